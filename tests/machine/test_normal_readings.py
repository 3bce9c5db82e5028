"""What a sound furnace reads (common practice), and that the machine reads it."""

import pytest

from lightoff.engine.machine import probe
from lightoff.engine.machine.trace import SATISFIED
from lightoff.engine.units import UNITS
from tests.machine.readings import (
    BTU_PER_HOUR,
    CLOSED,
    INWC,
    at,
    firing_rate,
    lasted,
    microamps,
    steps,
)


class TestNormalReadings:
    """A sound furnace, natural gas (common practice)."""

    @pytest.mark.parametrize(
        "step", ["standby", "proving-draft", "igniter-warm-up", "trial-for-ignition", "heating"]
    )
    def test_line_115_to_120_volts_and_r_to_c_24_to_28(self, healthy, step):
        assert 115 <= at(healthy, step).volts("L1", "N") <= 120
        assert 24 <= at(healthy, step).volts("R", "C") <= 28

    @pytest.mark.parametrize(
        ("one", "other"),
        [
            ("LINE-IN", "BREAKER-OUT"),
            ("BREAKER-OUT", "SWITCH-OUT"),
            ("SWITCH-OUT", "L1"),
            ("SEC", "R"),
            ("STAT-R", "FLOAT"),
            ("FLOAT", "STAT-W"),
            ("R", "LIMIT-OUT"),
            ("ROLL-IN", "ROLL-OUT"),
            ("ROLL-OUT", "PS-OUT"),
        ],
    )
    def test_under_half_a_volt_across_a_closed_switch(self, healthy, one, other):
        assert at(healthy, "heating").volts(one, other) < CLOSED

    def test_igniter_40_to_90_ohms_cold(self, healthy):
        assert 40 <= probe.ohms(healthy, "igniter") <= 90

    @pytest.mark.parametrize("step", ["trial-for-ignition", "flame-proved", "heating"])
    def test_flame_current_1_to_6_microamps(self, healthy, step):
        assert 1 <= microamps(healthy, step) <= 6

    def test_inlet_5_to_7_and_manifold_3_2_to_3_8_inches(self, healthy):
        moment = at(healthy, "heating")
        assert 5 <= moment.pressure("INLET", "ROOM") / INWC <= 7
        assert 3.2 <= moment.pressure("MANIFOLD", "ROOM") / INWC <= 3.8

    def test_input_and_temperature_rise_within_the_plate(self, healthy, furnace):
        lowest, highest = furnace.plate["temperature-rise"]
        assert lowest <= at(healthy, "heating").temperature("rise") <= highest
        lowest, highest = furnace.plate["input"]
        assert lowest <= firing_rate(healthy) * BTU_PER_HOUR <= highest

    def test_total_external_static_near_half_an_inch(self, healthy):
        static = at(healthy, "heating").pressure("SUPPLY", "RETURN") / INWC
        assert static == pytest.approx(0.5, abs=0.1)

    def test_oxygen_6_to_9_percent_and_air_free_carbon_monoxide_under_100_ppm(self, healthy):
        assert 0.06 <= at(healthy, "heating").flue("o2") <= 0.09
        assert at(healthy, "heating").flue("co-air-free") < 100e-6

    def test_flue_gas_90_to_140_fahrenheit(self, healthy):
        assert 90 <= UNITS["F"].from_si(at(healthy, "heating").temperature("flue")) <= 140

    def test_the_call_goes_from_start_to_stop(self, healthy, furnace):
        assert healthy.stalls_in() == SATISFIED
        assert steps(healthy) == ["off", *furnace.sequence.path, "standby"]

    @pytest.mark.parametrize(
        ("step", "shortest", "longest"),
        [
            ("pre-purge", 15, 30),
            ("igniter-warm-up", 17, 45),
            ("trial-for-ignition", 4, 7),
            ("flame-proved", 30, 45),
            ("post-purge", 5, 30),
            ("blower-off-delay", 60, 180),
        ],
    )
    def test_steps_take_as_long_as_usual(self, healthy, step, shortest, longest):
        (seconds,) = lasted(healthy, step)
        assert shortest <= round(seconds, 6) <= longest

    def test_the_igniter_is_on_for_part_of_the_trial_only(self, healthy):
        trial = [s for s in healthy.segments if s.step == "trial-for-ignition"]
        on = [s for s in trial if "igniter-relay" in s.standing.energised]
        assert 0 < sum(s.end - s.start for s in on) < sum(s.end - s.start for s in trial)

    def test_3_to_5_tries_and_a_rest_of_1_to_3_hours(self, furnace):
        assert 3 <= furnace.sequence.counters["tries"] <= 5
        (rest,) = [leave.after for leave in furnace.sequence.steps["lockout"].leaves if leave.after]
        assert 3600 <= rest <= 3 * 3600
