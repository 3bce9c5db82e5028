"""What the trade expects of furnaces that draw by themselves, pilot and thermocouple (common
practice), and that the model does it without being told."""

import pytest

from lightoff.engine.machine import probe
from tests.conftest import loaded
from tests.machine.played import longest, played, tried
from tests.machine.readings import at

SPARK, STANDING = "spark-pilot-natural-draft", "standing-pilot"
BOTH = pytest.mark.parametrize("furnace", [SPARK, STANDING])


def reads(furnace: str, check: str, *faults: str) -> float:
    value = probe.read(tried(furnace, check, *faults), loaded().checks[furnace][check].entry.reads)
    assert isinstance(value, float)
    return value


class TestChimney:
    @BOTH
    def test_blocked_it_spills_and_the_gas_is_shut_for_good(self, furnace):
        trace = played(furnace, "chimney.blocked")
        assert at(trace, "burners-warming").shown("draft-hood", "spills") > 0.5
        assert not trace.segments[-1].standing.positions["spill-switch"]
        tripped = next(s.start for s in trace.segments if not s.standing.positions["spill-switch"])
        assert 10 < tripped - at(trace, "standby").time < 300
        assert not any(s.drive.first_lit for s in trace.segments if s.start > tripped + 120)

    @BOTH
    def test_a_downdraft_turns_the_vent_round(self, furnace):
        warming = at(played(furnace, "chimney.downdraft"), "burners-warming")
        assert warming.pressure("VENT", "ROOM") > 0
        assert warming.shown("draft-hood", "spills") == 1.0

    @BOTH
    def test_a_room_short_of_air_makes_carbon_monoxide_and_trips_nothing(self, furnace):
        trace = played(furnace, "air-opening.room-too-tight")
        heating = at(trace, "heating")
        assert heating.flue("o2") < 0.05
        assert heating.flue("co-air-free") > 100e-6
        assert trace.stalls_in() == "satisfied"


class TestFanSwitch:
    @BOTH
    def test_open_the_limit_opens_and_closes_with_the_blower_still(self, furnace):
        trace = played(furnace, "fan-switch.failed-open")
        assert sum(visit.step == "limit-open" for visit in trace.visits()) >= 3
        assert not any("blower" in s.standing.turning for s in trace.segments)
        assert at(trace, "limit-open").volts("L1", "BLOWER-HEAT") > 100

    @BOTH
    def test_stuck_closed_the_blower_runs_before_any_call(self, furnace):
        trace = played(furnace, "fan-switch.stuck-closed")
        assert all("blower" in s.standing.turning for s in trace.segments[2:])


class TestThermocouple:
    def test_weak_it_reads_low_open_and_under_load_and_the_pilot_does_not_hold(self):
        fault = "thermocouple.weak"
        assert reads(STANDING, "millivolts-open", fault) < 0.015
        assert reads(STANDING, "millivolts-under-load", fault) < 0.006
        assert reads(STANDING, "pilot-holds", fault) == 0.0

    def test_a_loose_nut_reads_well_open_and_low_under_load(self):
        fault = "thermocouple-joint.loose"
        assert reads(STANDING, "millivolts-open", fault) > 0.025
        assert reads(STANDING, "millivolts-under-load", fault) < 0.004

    def test_a_shorted_holding_coil_is_no_bad_thermocouple(self):
        fault = "gas-valve.hold-coil-failed"
        assert reads(STANDING, "millivolts-open", fault) > 0.025
        assert reads(STANDING, "pilot-holds", fault) == 0.0

    def test_sound_it_gives_25_to_35_millivolts_open(self):
        assert 0.025 <= reads(STANDING, "millivolts-open") <= 0.035

    def test_a_pilot_that_was_blown_out_holds_once_it_is_relit(self):
        fault = "pilot.blown-out"
        trace = played(STANDING, fault)
        assert trace.stalls_in() == "burners-warming"
        assert at(trace, "burners-warming").volts("VALVE", "C") > 20
        assert not any(s.drive.first_lit for s in trace.segments)
        assert reads(STANDING, "pilot-holds", fault) > 0.9

    def test_the_knob_at_pilot_leaves_the_pilot_burning_and_the_burners_out(self):
        trace = played(STANDING, "gas-valve.knob-at-pilot")
        assert at(trace, "no-main-flame").shown("pilot", "pilot-flame") == 1.0
        assert not any(s.drive.first_lit for s in trace.segments)

    def test_gas_shuts_within_three_minutes_of_a_pilot_lost_to_an_open_spill_switch(self):
        trace = played(STANDING, "chimney.blocked")
        opened = next(s.start for s in trace.segments if not s.standing.positions["spill-switch"])
        assert not any(s.drive.pilot_gas for s in trace.segments if s.start > opened + 180)


class TestSparkPilot:
    @pytest.mark.parametrize(
        ("fault", "stalls"),
        [
            ("vent-damper.motor-failed", "damper-opening"),
            ("vent-damper.end-switch-open", "damper-opening"),
            ("vent-damper.blade-stuck", "damper-opening"),
            ("ignition-module.dead", "pilot-check"),
            ("pilot-electrode.gap-wrong", "pilot-trial"),
            ("pilot-electrode.porcelain-cracked", "pilot-trial"),
            ("pilot-electrode.coated", "pilot-trial"),
            ("burner-ground-wire.missing", "pilot-trial"),
            ("pilot.dirty", "pilot-trial"),
            ("gas-valve.pilot-coil-open", "pilot-trial"),
            ("gas-valve.coil-open", "burners-warming"),
            ("gas-relay.open", "burners-warming"),
        ],
    )
    def test_each_fault_stalls_where_the_trade_finds_it(self, fault, stalls):
        assert played(SPARK, fault).stalls_in() == stalls

    def test_an_open_end_switch_leaves_24_volts_before_it_and_none_behind(self):
        opening = at(played(SPARK, "vent-damper.end-switch-open"), "damper-opening")
        assert opening.shown("vent-damper", "position") > 0.95
        assert opening.volts("DAMPER", "C") > 20
        assert opening.volts("TH", "C") < 1

    def test_a_coated_electrode_lights_the_pilot_and_is_not_believed(self):
        trace = played(SPARK, "pilot-electrode.coated")
        trial = at(trace, "pilot-trial")
        assert trial.shown("pilot", "pilot-flame") == 1.0
        assert trial.segment.electrics.flame_current("pilot-electrode") < 0.5e-6
        assert "lockout" in {visit.step for visit in trace.visits()}

    @pytest.mark.parametrize(
        "fault", ["burner-ground-wire.missing", "pilot-electrode.porcelain-cracked"]
    )
    def test_without_ground_or_with_a_crack_nothing_sparks(self, fault):
        assert not any(s.sparks for s in played(SPARK, fault).segments)

    def test_the_main_valve_opens_only_behind_a_proved_pilot(self):
        for fault in loaded().furnaces[SPARK].faults:
            for segment in played(SPARK, fault).segments:
                if abs(segment.electrics.across("gas-valve", "coil")) > 18:
                    assert segment.drive.pilot_lit, fault

    def test_nothing_sparks_before_the_damper_is_proved(self):
        for fault in loaded().furnaces[SPARK].faults:
            for segment in played(SPARK, fault).segments:
                if segment.sparks:
                    assert segment.standing.positions["vent-damper"] or fault == (
                        "vent-damper.end-switch-stuck-closed"
                    )

    def test_the_pilot_is_tried_three_times_at_most(self):
        trace = played(SPARK, "pilot-electrode.gap-wrong")
        assert sum(visit.step == "pilot-trial" for visit in trace.visits()) == 3
        assert longest(trace, "pilot-trial") <= 90
