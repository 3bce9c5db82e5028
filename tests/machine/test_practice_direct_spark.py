"""Faults of spark, module and propane, as a technician sees them (common practice)."""

from math import inf

import pytest

from lightoff.engine.machine import probe
from tests.machine.direct_spark import input_rate, longest, sparks, trace
from tests.machine.readings import CLOSED, DROPOUT, INWC, at, low, microamps, steps, turned

TRIES = 3
NO_SPARK = [
    "spark-relay.open",
    "spark-wire.open",
    "spark-wire.grounded",
    "spark-electrode.gap-too-wide",
    "spark-electrode.gap-too-narrow",
    "spark-electrode.porcelain-cracked",
    "burner-ground-wire.missing",
]
NO_GAS = [
    "gas-cock.closed",
    "gas-supply.tank-empty",
    "gas-valve.switch-off",
    "gas-valve.stuck-shut",
]
NOT_SENSED = [
    "flame-sensor.coated",
    "flame-sensor.insulator-cracked",
    "flame-sensor.out-of-flame",
    "flame-sensor-wire.open",
    "ignition-module.flame-circuit-failed",
    "burner-ground-wire.rusty",
]


@pytest.mark.parametrize("fault", [*NO_SPARK, *NO_GAS, *NOT_SENSED, "gas-relay.open"])
def test_it_tries_as_often_as_it_may_then_locks_out_until_the_call_ends(fault):
    seen = steps(trace(fault))
    assert seen.count("trial-for-ignition") == TRIES
    assert seen[-2:] == ["lockout", "standby"]
    assert trace(fault).stalls_in() == "trial-for-ignition"


@pytest.mark.parametrize("fault", NO_SPARK)
def test_without_a_spark_the_valve_clicks_gas_flows_and_nothing_burns(fault):
    moment = at(trace(fault), "trial-for-ignition")
    assert not sparks(trace(fault), "trial-for-ignition")
    assert moment.shown("gas-valve", "click") == 1.0
    assert moment.pressure("MANIFOLD", "ROOM") / INWC > 9
    assert moment.shown("burners", "first-flame") == 0.0


@pytest.mark.parametrize("fault", NO_GAS)
def test_without_gas_it_sparks_with_24_volts_at_the_valve_and_no_manifold_pressure(fault):
    moment = at(trace(fault), "trial-for-ignition")
    assert sparks(trace(fault), "trial-for-ignition")
    assert low(moment.volts("VALVE", "C"))
    assert moment.pressure("MANIFOLD", "ROOM") == 0.0


@pytest.mark.parametrize("fault", NOT_SENSED)
def test_unsensed_flame_lights_on_all_burners_and_drops_out(fault):
    moment = at(trace(fault), "trial-for-ignition")
    assert moment.shown("burners", "far-flame") == 1.0
    assert microamps(trace(fault), "trial-for-ignition") < DROPOUT


@pytest.mark.parametrize(
    ("fault", "feed"), [("ignition-module.dead", True), ("module-plug.open", False)]
)
def test_a_sleeping_module_leaves_the_inducer_running_in_the_purge_for_the_whole_call(fault, feed):
    played = trace(fault)
    assert played.stalls_in() == "pre-purge"
    assert longest(played, "pre-purge") > 900
    assert turned(played, "inducer")
    assert not any(segment.sparks or segment.drive.valve for segment in played.segments)
    assert low(at(played, "pre-purge").volts("PS-IN", "C"))
    assert low(at(played, "pre-purge").volts("TH", "C")) == feed


def test_a_dead_fan_control_leaves_inducer_blower_and_module_dead_with_24_volts_at_r():
    played = trace("board.dead")
    assert steps(played) == ["off"]
    assert low(at(played, "off").volts("R", "C"))
    assert not turned(played, "inducer")
    assert not turned(played, "blower")


def test_the_module_gets_its_feed_only_with_call_limits_and_draft():
    assert at(trace("pressure-switch.failed-open"), "proving-draft").volts("TH", "C") < 1.0
    assert at(trace("high-limit.failed-open"), "limit-open").volts("TH", "C") < 1.0
    assert at(trace(), "standby").volts("TH", "C") < 1.0
    assert low(at(trace(), "pre-purge").volts("TH", "C"))


def test_24_volts_stand_across_an_open_limit_and_none_across_its_neighbours():
    moment = at(trace("high-limit.failed-open"), "limit-open")
    assert low(moment.volts("W", "HL-OUT"))
    assert moment.volts("HL-OUT", "ROLL-IN") < CLOSED
    assert moment.volts("ROLL-IN", "ROLL-OUT") < CLOSED


def test_in_lockout_the_inducer_goes_on_and_the_valve_is_dead():
    moment = at(trace("gas-cock.closed"), "lockout")
    assert moment.shown("inducer", "turns") == 1.0
    assert moment.volts("VALVE", "C") < 1.0


def test_the_gas_output_failed_sparks_without_voltage_at_mv():
    moment = at(trace("gas-relay.open"), "trial-for-ignition")
    assert sparks(trace("gas-relay.open"), "trial-for-ignition")
    assert moment.volts("MV", "C") < 1.0
    assert low(moment.volts("TH", "C"))


def test_an_open_coil_reads_open_with_24_volts_and_no_click():
    played = trace("gas-valve.coil-open")
    moment = at(played, "trial-for-ignition")
    assert low(moment.volts("VALVE", "C"))
    assert moment.shown("gas-valve", "click") == 0.0
    assert probe.ohms(played, "gas-valve") == inf


def test_a_rusty_burner_ground_still_sparks_and_a_ground_lead_brings_the_current_back():
    assert sparks(trace("burner-ground-wire.rusty"), "trial-for-ignition")
    assert microamps(trace(), "trial-for-ignition") > 4 * microamps(
        trace("burner-ground-wire.rusty"), "trial-for-ignition"
    )


@pytest.mark.parametrize("fault", ["gas-supply.tank-too-cold", "gas-supply.pipe-too-small"])
def test_a_supply_that_cannot_follow_is_right_at_rest_and_falls_as_gas_is_used(fault):
    at_rest = at(trace(fault), "standby").pressure("INLET", "ROOM") / INWC
    burning = at(trace(fault), "trial-for-ignition").pressure("INLET", "ROOM") / INWC
    assert 11 <= at_rest <= 13
    assert burning < 8


def test_orifices_for_natural_gas_let_far_too_much_propane_through():
    wrong = trace("burners.wrong-orifices")
    assert input_rate(wrong, "trial-for-ignition") > 2 * input_rate(trace(), "trial-for-ignition")
    moment = at(wrong, "trial-for-ignition")
    assert moment.flue("o2") == 0.0
    assert moment.flue("co-air-free") > 400e-6


def test_covered_louvers_roll_the_flame_out_and_trip_the_switch_while_suction_is_high():
    played = trace("air-opening.louvers-blocked")
    assert probe.condition(played, "rollout-switch", "looks") == "button-out"
    suction = at(played, "proving-draft").pressure("ROOM", "COLLECTOR")
    assert suction > at(trace(), "proving-draft").pressure("ROOM", "COLLECTOR")


def test_a_valve_that_leaks_by_burns_on_when_the_call_has_ended():
    moment = at(trace("gas-valve.leaking-by"), "blower-off-delay")
    assert moment.shown("burners", "first-flame") == 1.0
    assert moment.volts("VALVE", "C") < 1.0


def test_a_welded_gas_output_opens_the_valve_before_the_spark():
    moment = at(trace("gas-relay.welded"), "pre-purge")
    assert moment.shown("gas-valve", "click") == 1.0
    assert not sparks(trace("gas-relay.welded"), "pre-purge")


def test_a_module_that_never_stops_sparks_under_the_flame_and_still_heats():
    played = trace("spark-relay.never-stops")
    assert played.stalls_in() == "satisfied"
    assert sparks(played, "pre-purge")
    assert sparks(played, "heating")


def test_a_sound_spark_stops_as_soon_as_flame_is_sensed():
    assert sparks(trace(), "trial-for-ignition")
    assert not sparks(trace(), "flame-proved")


@pytest.mark.parametrize("fault", ["supply.voltage-low", "transformer.weak"])
def test_low_voltage_sparks_while_the_valve_does_not_pull_in(fault):
    moment = at(trace(fault), "trial-for-ignition")
    assert sparks(trace(fault), "trial-for-ignition")
    assert moment.shown("gas-valve", "click") == 0.0
    assert moment.volts("VALVE", "C") < 18
