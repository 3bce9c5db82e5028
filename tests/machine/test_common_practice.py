"""What a technician expects to see and to read (common practice), and what the machine shows.

One class for each fault: what is seen in a call, and the readings that settle it. None of
these figures stands in the knowledge as such; the simulated furnace has to come out at them.
"""

from math import inf

import pytest

from lightoff.engine.machine import probe
from tests.machine.readings import (
    CLOSED,
    DROPOUT,
    INWC,
    ROOM_SIDE,
    at,
    collector_suction,
    firing_rate,
    glow,
    lasted,
    line,
    low,
    microamps,
    steps,
    tries_then_lockout,
    turned,
)


class TestBlownFuse:
    def test_nothing_at_all_happens_with_line_voltage_present(self, trace_of):
        trace = trace_of("fuse.blown-alone")
        assert steps(trace) == ["off"]
        assert line(at(trace, "off").volts("L1", "N"))

    def test_24_volts_at_the_secondary_and_none_at_r(self, trace_of):
        moment = at(trace_of("fuse.blown-alone"), "off")
        assert low(moment.volts("SEC", "C"))
        assert moment.volts("R", "C") == 0.0


class TestThermostatNotCalling:
    def test_nothing_happens_with_r_live(self, trace_of):
        trace = trace_of("thermostat.not-calling")
        assert set(steps(trace)) == {"off", "standby"}
        assert low(at(trace, "standby").volts("R", "C"))

    def test_24_volts_from_r_to_c_and_none_from_w_to_c(self, trace_of):
        moment = at(trace_of("thermostat.not-calling"), "standby")
        assert low(moment.volts("R", "C"))
        assert moment.volts("W", "C") == 0.0

    def test_jumping_r_to_w_starts_it(self, trace_of):
        jumper = {("thermostat", "contacts"): "closed"}
        assert "heating" in steps(trace_of("thermostat.not-calling", overrides=jumper))


class TestHighLimitFailedOpen:
    def test_the_blower_may_run_but_nothing_is_lit(self, trace_of):
        trace = trace_of("high-limit.failed-open")
        assert turned(trace, "blower")
        assert "igniter-warm-up" not in steps(trace)
        assert not any(segment.drive.first_lit for segment in trace.segments)

    def test_24_volts_across_the_limit_and_none_across_its_neighbours(self, trace_of):
        moment = at(trace_of("high-limit.failed-open"), "limit-open")
        assert low(moment.volts("R", "LIMIT-OUT"))
        assert moment.volts("LIMIT-OUT", "ROLL-IN") < CLOSED
        assert moment.volts("ROLL-IN", "ROLL-OUT") < CLOSED


class TestInducerWindingOpen:
    def test_a_call_is_present_and_no_inducer_runs(self, trace_of):
        trace = trace_of("inducer.winding-open")
        assert low(at(trace, "proving-draft").volts("W", "C"))
        assert not turned(trace, "inducer")
        assert trace.stalls_in() == "proving-draft"

    def test_120_volts_at_the_motor_no_current_open_winding(self, trace_of):
        trace = trace_of("inducer.winding-open")
        moment = at(trace, "proving-draft")
        assert line(moment.volts("IND", "N"))
        assert moment.amperes("inducer", "winding") == 0.0
        assert probe.ohms(trace, "inducer") == inf


class TestInducerRelayOpen:
    def test_a_call_is_present_and_no_inducer_runs(self, trace_of):
        trace = trace_of("inducer-relay.open")
        assert low(at(trace, "proving-draft").volts("W", "C"))
        assert not turned(trace, "inducer")

    def test_0_volts_at_the_motor(self, trace_of):
        assert at(trace_of("inducer-relay.open"), "proving-draft").volts("IND", "N") < 1.0


@pytest.mark.parametrize("fault", ["collector-hose.pulled-off", "pressure-switch.failed-open"])
class TestHoseOffOrSwitchFailedOpen:
    def test_the_inducer_runs_and_the_call_stalls_proving_draft(self, trace_of, fault):
        trace = trace_of(fault)
        assert turned(trace, "inducer")
        assert trace.stalls_in() == "proving-draft"

    def test_24_volts_across_the_switch(self, trace_of, fault):
        assert low(at(trace_of(fault), "proving-draft").volts("ROLL-OUT", "PS-OUT"))

    def test_suction_at_the_tap_is_as_good_as_in_a_sound_furnace(self, trace_of, fault):
        good = collector_suction(trace_of())
        assert collector_suction(trace_of(fault)) == pytest.approx(good)
        port = at(trace_of(fault), "proving-draft").shown("collector-hose", "port-suction")
        assert port == pytest.approx(good)


def test_at_the_switch_port_hose_off_reads_none_and_switch_failed_reads_good(trace_of):
    closes = trace_of().machine.number("pressure-switch", "closes-at")
    off = at(trace_of("collector-hose.pulled-off"), "proving-draft")
    failed = at(trace_of("pressure-switch.failed-open"), "proving-draft")
    assert off.shown("pressure-switch", "draft") <= 0.0
    assert failed.shown("pressure-switch", "draft") > 1.5 * closes


class TestExhaustBlocked:
    def test_the_inducer_runs_and_the_call_stalls_proving_draft(self, trace_of):
        trace = trace_of("vent-pipe.blocked")
        assert turned(trace, "inducer")
        assert trace.stalls_in() == "proving-draft"

    def test_suction_is_low_at_the_tap(self, trace_of):
        blocked = collector_suction(trace_of("vent-pipe.blocked"))
        assert blocked < trace_of().machine.number("pressure-switch", "opens-at")
        assert blocked < 0.5 * collector_suction(trace_of())


class TestIntakeBlocked:
    def test_with_the_two_tap_switch_as_fitted_it_stalls_proving_draft(self, trace_of):
        trace = trace_of("intake-pipe.blocked")
        assert turned(trace, "inducer")
        assert trace.stalls_in() == "proving-draft"

    def test_suction_is_high_at_the_collector_and_the_differential_low(self, trace_of):
        sound, blocked = trace_of(), trace_of("intake-pipe.blocked")
        assert collector_suction(blocked) > 1.1 * collector_suction(sound)
        draft = at(blocked, "proving-draft").shown("pressure-switch", "draft")
        assert draft < blocked.machine.number("pressure-switch", "closes-at")

    def test_with_a_single_tap_switch_draft_is_proved_and_it_lights(self, trace_of):
        trace = trace_of("intake-pipe.blocked", overrides=ROOM_SIDE)
        assert at(trace, "trial-for-ignition").shown("burners", "far-flame") == 1.0

    def test_with_a_single_tap_switch_oxygen_is_low_and_carbon_monoxide_high(self, trace_of):
        moment = at(trace_of("intake-pipe.blocked", overrides=ROOM_SIDE), "flame-proved")
        assert moment.flue("o2") < 0.03
        assert moment.flue("co-air-free") > 400e-6

    def test_with_a_single_tap_switch_it_lights_poorly(self, trace_of):
        sound = microamps(trace_of(overrides=ROOM_SIDE), "trial-for-ignition")
        poor = trace_of("intake-pipe.blocked", overrides=ROOM_SIDE)
        assert microamps(poor, "trial-for-ignition") < 0.9 * sound

    def test_with_a_single_tap_switch_and_still_less_air_it_rolls_out(self, trace_of):
        resistance = trace_of().machine.number("intake-pipe", "resistance")
        shut = {("intake-pipe", "resistance"): 40 * resistance}
        trace = trace_of(overrides=ROOM_SIDE | shut)
        assert at(trace, "trial-for-ignition").shown("burners", "roll-out") == 1.0
        sound = microamps(trace_of(overrides=ROOM_SIDE), "trial-for-ignition")
        assert microamps(trace, "trial-for-ignition") < 0.9 * sound


class TestDrainBlocked:
    def test_it_works_then_stalls_proving_draft_after_minutes_of_firing(self, trace_of):
        trace = trace_of("drain.blocked")
        assert trace.stalls_in() == "heating"
        assert lasted(trace, "heating")[0] > 120
        assert lasted(trace, "proving-draft")[1:] == pytest.approx([60, 60, 60])

    def test_suction_is_low_and_water_stands_in_the_trap(self, trace_of):
        trace = trace_of("drain.blocked")
        moment = at(trace, "draft-lost")
        assert moment.pressure("ROOM", "COLLECTOR") < 0.5 * collector_suction(trace_of())
        assert moment.shown("drain", "level") > trace.machine.number("drain", "floods-at") * 0.9


class TestPressureSwitchStuckClosed:
    def test_a_call_is_present_and_the_inducer_never_starts(self, trace_of):
        trace = trace_of("pressure-switch.stuck-closed")
        assert low(at(trace, "switch-check").volts("W", "C"))
        assert not turned(trace, "inducer")

    def test_0_volts_across_the_switch_with_the_inducer_at_rest(self, trace_of):
        moment = at(trace_of("pressure-switch.stuck-closed"), "standby")
        assert moment.shown("inducer", "turns") == 0.0
        assert moment.volts("ROLL-OUT", "PS-OUT") < CLOSED


class TestIgniterOpen:
    def test_no_glow_tries_then_lockout(self, trace_of):
        trace = trace_of("igniter.open")
        assert glow(trace) < 100
        assert tries_then_lockout(trace)

    def test_120_volts_at_the_igniter_and_an_open_circuit_in_ohms(self, trace_of):
        trace = trace_of("igniter.open")
        assert line(at(trace, "igniter-warm-up").volts("IGN", "N"))
        assert probe.ohms(trace, "igniter") == inf


class TestIgniterRelayOpen:
    def test_no_glow_tries_then_lockout(self, trace_of):
        trace = trace_of("igniter-relay.open")
        assert glow(trace) < 100
        assert tries_then_lockout(trace)

    def test_0_volts_at_the_igniter_in_warm_up_and_good_ohms(self, trace_of):
        trace = trace_of("igniter-relay.open")
        assert at(trace, "igniter-warm-up").volts("IGN", "N") < 1.0
        assert 40 <= probe.ohms(trace, "igniter") <= 90


class TestIgniterAged:
    def test_dull_glow_gas_flows_no_light(self, trace_of):
        trace = trace_of("igniter.aged")
        assert 500 < glow(trace) < glow(trace_of()) - 200
        moment = at(trace, "trial-for-ignition")
        assert moment.shown("gas-valve", "click") == 1.0
        assert moment.pressure("MANIFOLD", "ROOM") > 3.0 * INWC
        assert moment.shown("burners", "first-flame") == 0.0

    def test_120_volts_present_ohms_high_less_current(self, trace_of):
        trace = trace_of("igniter.aged")
        moment = at(trace, "igniter-warm-up")
        assert line(moment.volts("IGN", "N"))
        assert probe.ohms(trace, "igniter") > 90
        sound = at(trace_of(), "igniter-warm-up").amperes("igniter")
        assert 0.0 < moment.amperes("igniter") < 0.5 * sound


class TestCockClosed:
    def test_glow_valve_clicks_no_flame(self, trace_of):
        trace = trace_of("gas-cock.closed")
        assert glow(trace) > 1000
        assert at(trace, "trial-for-ignition").shown("gas-valve", "click") == 1.0
        assert at(trace, "trial-for-ignition").shown("burners", "first-flame") == 0.0

    def test_24_volts_at_the_valve_in_the_trial_and_no_inlet_pressure(self, trace_of):
        moment = at(trace_of("gas-cock.closed"), "trial-for-ignition")
        assert low(moment.volts("MV", "C"))
        assert moment.pressure("INLET", "ROOM") == 0.0


class TestValveCoilOpen:
    def test_glow_no_click_no_flame(self, trace_of):
        trace = trace_of("gas-valve.coil-open")
        assert glow(trace) > 1000
        assert at(trace, "trial-for-ignition").shown("gas-valve", "click") == 0.0
        assert at(trace, "trial-for-ignition").shown("burners", "first-flame") == 0.0

    def test_24_volts_at_the_valve_in_the_trial_and_an_open_coil_in_ohms(self, trace_of):
        trace = trace_of("gas-valve.coil-open")
        assert low(at(trace, "trial-for-ignition").volts("MV", "C"))
        assert probe.ohms(trace, "gas-valve") == inf


class TestGasRelayOpen:
    def test_glow_no_click_no_flame(self, trace_of):
        trace = trace_of("gas-relay.open")
        assert glow(trace) > 1000
        assert at(trace, "trial-for-ignition").shown("gas-valve", "click") == 0.0
        assert at(trace, "trial-for-ignition").shown("burners", "first-flame") == 0.0

    def test_0_volts_at_the_valve_in_the_trial(self, trace_of):
        assert at(trace_of("gas-relay.open"), "trial-for-ignition").volts("MV", "C") < 1.0


class TestSensorCoated:
    def test_lights_on_all_burners_drops_out_at_the_end_of_the_trial_then_lockout(self, trace_of):
        trace = trace_of("flame-sensor.coated")
        assert at(trace, "trial-for-ignition").shown("burners", "far-flame") == 1.0
        assert lasted(trace, "trial-for-ignition") == pytest.approx([6, 6, 6])
        assert not at(trace, "inter-purge").segment.drive.first_lit
        assert tries_then_lockout(trace)

    def test_flame_current_is_below_the_dropout(self, trace_of):
        current = microamps(trace_of("flame-sensor.coated"), "trial-for-ignition")
        assert 0.0 < current < DROPOUT

    def test_1_to_6_microamps_after_cleaning(self, trace_of):
        clean = {("flame-sensor", "coating"): trace_of().machine.number("flame-sensor", "coating")}
        cleaned = trace_of("flame-sensor.coated", overrides=clean)
        assert 1 <= microamps(cleaned, "trial-for-ignition") <= 6


class TestCrossoverBlocked:
    def test_first_burner_lights_far_one_does_not_and_it_drops_out(self, trace_of):
        trace = trace_of("burners.crossover-blocked")
        moment = at(trace, "trial-for-ignition")
        assert moment.shown("burners", "first-flame") == 1.0
        assert moment.shown("burners", "far-flame") == 0.0
        assert tries_then_lockout(trace)

    def test_no_flame_at_the_sensor_and_the_sensor_itself_good(self, trace_of):
        trace = trace_of("burners.crossover-blocked")
        assert microamps(trace, "trial-for-ignition") == 0.0
        assert probe.ohms(trace, "flame-sensor/coating") == probe.ohms(
            trace_of(), "flame-sensor/coating"
        )
        assert probe.ohms(trace, "flame-sensor/insulator") == inf


class TestGroundMissing:
    def test_lights_and_drops_out(self, trace_of):
        trace = trace_of("ground-wire.missing")
        assert at(trace, "trial-for-ignition").shown("burners", "far-flame") == 1.0
        assert tries_then_lockout(trace)

    def test_flame_current_near_none_with_a_clean_sensor(self, trace_of):
        trace = trace_of("ground-wire.missing")
        assert microamps(trace, "trial-for-ignition") < 0.05
        assert probe.condition(trace, "flame-sensor", "looks") == "good"

    def test_chassis_to_neutral_is_neither_0_volts_in_the_flame_nor_0_ohms(self, trace_of):
        trace = trace_of("ground-wire.missing")
        assert at(trace, "trial-for-ignition").volts("CHASSIS", "N") > 10
        assert probe.ohms(trace, "ground-wire") == inf
        assert at(trace_of(), "trial-for-ignition").volts("CHASSIS", "N") < CLOSED


class TestRegulatorLow:
    def test_lights_but_not_across_and_drops_out(self, trace_of):
        trace = trace_of("gas-valve.regulator-low")
        moment = at(trace, "trial-for-ignition")
        assert moment.shown("burners", "first-flame") == 1.0
        assert moment.shown("burners", "far-flame") == 0.0
        assert tries_then_lockout(trace)

    def test_low_input(self, trace_of):
        assert firing_rate(trace_of("gas-valve.regulator-low")) < 0.75 * 80_000

    def test_manifold_pressure_is_low_with_good_inlet_pressure(self, trace_of):
        moment = at(trace_of("gas-valve.regulator-low"), "trial-for-ignition")
        assert moment.pressure("MANIFOLD", "ROOM") < 3.2 * INWC
        assert 5 * INWC <= moment.pressure("INLET", "ROOM") <= 7 * INWC


class TestFilterPlugged:
    def test_heats_limit_opens_after_minutes_and_cycles(self, trace_of):
        trace = trace_of("filter.plugged")
        assert trace.stalls_in() == "heating"
        assert lasted(trace, "heating")[0] > 60
        assert steps(trace).count("limit-open") > 1

    def test_temperature_rise_is_above_the_plate_and_static_pressure_high(self, trace_of, furnace):
        moment = at(trace_of("filter.plugged"), "heating")
        assert moment.temperature("rise") > furnace.plate["temperature-rise"][1]
        sound = at(trace_of(), "heating").pressure("SUPPLY", "RETURN")
        assert moment.pressure("SUPPLY", "RETURN") > 1.5 * sound


class TestBlowerMotorFailed:
    def test_heats_and_the_limit_opens_soon_after_lighting_without_air(self, trace_of):
        trace = trace_of("blower.motor-failed")
        lit = next(segment.start for segment in trace.segments if segment.drive.first_lit)
        opened = next(visit.start for visit in trace.visits() if visit.step == "limit-open")
        assert opened - lit < 120
        assert at(trace, "heating").segment.steady.house_air == 0.0

    def test_120_volts_at_the_motor_and_no_turning(self, trace_of):
        moment = at(trace_of("blower.motor-failed"), "heating")
        assert line(moment.volts("BLOWER-HEAT", "N"))
        assert moment.shown("blower", "turns") == 0.0


class TestExchangerCracked:
    def test_the_flame_is_steady_until_the_blower_starts_and_then_disturbed(self, trace_of):
        trace = trace_of("primary-exchanger.cracked")
        assert at(trace, "flame-proved").shown("burners", "disturbance") == 0.0
        assert at(trace, "heating").shown("burners", "disturbance") > 0.2

    def test_the_flame_changes_as_the_blower_starts(self, trace_of):
        trace = trace_of("primary-exchanger.cracked")
        assert microamps(trace, "flame-proved") == pytest.approx(
            microamps(trace_of(), "flame-proved")
        )
        assert microamps(trace, "heating") < 0.8 * microamps(trace, "flame-proved")


class TestValveLeakingBy:
    def test_flame_with_the_valve_off_while_inducer_and_blower_run(self, trace_of):
        moment = at(trace_of("gas-valve.leaking-by"), "flame-without-gas")
        assert moment.shown("burners", "far-flame") == 1.0
        assert moment.shown("inducer", "turns") > 0.0
        assert moment.shown("blower", "turns") > 0.0

    def test_flame_is_sensed_with_no_voltage_at_the_valve(self, trace_of):
        trace = trace_of("gas-valve.leaking-by")
        moment = at(trace, "flame-without-gas")
        assert microamps(trace, "flame-without-gas") > DROPOUT
        assert moment.volts("MV", "C") < 1.0
        assert moment.pressure("MANIFOLD", "ROOM") > 0.5 * INWC

    def test_nothing_is_lit_as_long_as_it_burns(self, trace_of):
        trace = trace_of("gas-valve.leaking-by")
        assert "trial-for-ignition" not in steps(trace)
        assert trace.segments[-1].step == "flame-without-gas"

    def test_the_flame_still_burns_with_no_call(self, trace_of):
        last = trace_of("gas-valve.leaking-by").segments[-1]
        assert not last.standing.calling
        assert last.drive.first_lit

    def test_inducer_and_blower_run_as_long_as_it_burns_with_no_call(self, trace_of):
        last = trace_of("gas-valve.leaking-by").segments[-1]
        assert {"inducer", "blower"} <= last.standing.turning
