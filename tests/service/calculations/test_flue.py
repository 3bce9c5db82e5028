"""Flue gas: excess air, carbon monoxide, efficiency, dew point, condensate."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lightoff.engine.service.calculations.entry import ImpossibleError
from tests.service.calculations.worked import result, verdicts, worked

oxygens = st.floats(0.0, 19.8)


class TestRefusals:
    @pytest.mark.parametrize("oxygen", ["20.9 %", "20 %", "20.95 %", "100 %", "-1 %", "0.3"])
    @pytest.mark.parametrize("name", ["excess-air", "co-air-free", "efficiency", "dew-point"])
    def test_oxygen_of_plain_air_or_none_at_all_is_refused(self, name, oxygen):
        others = {"co": "50 ppm"} if name == "co-air-free" else {}
        others |= {"flue": "300 F"} if name == "efficiency" else {}
        with pytest.raises(ImpossibleError) as error:
            worked(name, o2=oxygen, **others)
        assert error.value.input == "o2"

    def test_the_mend_for_plain_air_is_to_look_at_probe_and_burner(self):
        with pytest.raises(ImpossibleError, match="the sample is plain air: see to probe"):
            worked("co-air-free", co="50 ppm", o2="20.9 %")

    def test_less_than_no_monoxide_is_refused(self):
        with pytest.raises(ImpossibleError, match="set the analyser to zero"):
            worked("co-air-free", co="-1 ppm", o2="7 %")

    def test_flue_gas_colder_than_its_air_is_refused(self):
        with pytest.raises(ImpossibleError, match="flue gas colder than the air"):
            worked("efficiency", o2="7 %", flue="60 F", air="70 F")


class TestMonoxide:
    @pytest.mark.parametrize(
        ("ppm", "found"),
        [
            ("50 ppm", ["within", "within"]),
            ("150 ppm", ["within", "above"]),
            ("500 ppm", ["above", "above"]),
        ],
    )
    def test_four_hundred_air_free_is_the_limit(self, ppm, found):
        assert verdicts("co-air-free", co=ppm, o2="6 %") == found

    @settings(deadline=None)
    @given(st.integers(0, 5000), oxygens, st.floats(0.0, 0.1))
    def test_it_grows_with_both_and_is_never_below_the_reading(self, ppm, oxygen, more):
        def air_free(percent):
            return result("air-free", "ppm", "co-air-free", co=f"{ppm} ppm", o2=f"{percent} %")

        assert air_free(0.0) == pytest.approx(ppm)
        assert air_free(oxygen) >= ppm * (1 - 1e-12)
        assert air_free(oxygen + more) >= air_free(oxygen) * (1 - 1e-12)


class TestExcessAir:
    @settings(deadline=None)
    @given(oxygens, st.floats(0.001, 0.1))
    def test_more_oxygen_is_more_air_and_less_dioxide(self, oxygen, more):
        one = worked("excess-air", o2=f"{oxygen} %").figures
        other = worked("excess-air", o2=f"{oxygen + more} %").figures
        assert other["excess-air"] > one["excess-air"]
        assert other["co2"] < one["co2"]

    def test_usual_oxygen_lies_between_six_and_nine(self):
        found = {o2: verdicts("excess-air", o2=o2)[0] for o2 in ("4 %", "6 %", "9 %", "11 %")}
        assert list(found.values()) == ["below", "within", "within", "above"]


class TestEfficiency:
    @settings(deadline=None)
    @given(
        st.floats(0.0, 12.0), st.floats(200.0, 700.0), st.sampled_from(["natural-gas", "propane"])
    )
    def test_hotter_flue_gas_more_air_and_monoxide_lose_more(self, oxygen, flue, fuel):
        def efficiency(oxygen=oxygen, flue=flue, ppm=0.0):
            return result(
                "efficiency",
                "",
                "efficiency",
                o2=f"{oxygen} %",
                flue=f"{flue} F",
                co=f"{ppm} ppm",
                fuel=fuel,
            )

        assert 0.0 < efficiency() < 0.95
        assert efficiency(flue=flue + 20.0) < efficiency()
        assert efficiency(oxygen=oxygen + 1.0) < efficiency()
        assert efficiency(ppm=2000.0) < efficiency()

    def test_what_is_lost_and_what_is_not_are_the_whole(self):
        found = worked("efficiency", o2="8 %", flue="350 F", co="200 ppm").figures
        parts = [found[each] for each in ("efficiency", "dry", "water", "unburnt")]
        assert sum(parts) == pytest.approx(1.0)

    def test_condensing_wins_heat_back_and_is_said(self):
        warm = worked("efficiency", o2="6 %", flue="140 F")
        cool = worked("efficiency", o2="6 %", flue="100 F")
        assert warm.notes == ()
        assert "below its dew point" in cool.notes[0]
        assert 0.87 < warm.figures["efficiency"] < 0.90
        assert 0.93 < cool.figures["efficiency"] < 0.98


class TestWater:
    @settings(deadline=None)
    @given(oxygens, st.floats(0.001, 0.1))
    def test_more_air_lowers_the_dew_point(self, oxygen, more):
        def point(percent):
            return result("dew-point", "F", "dew-point", o2=f"{percent} %")

        assert point(oxygen + more) < point(oxygen)

    @pytest.mark.parametrize(("flue", "verdict"), [("120 F", "below"), ("140 F", "within")])
    def test_a_dry_vent_stays_above_the_dew_point(self, flue, verdict):
        assert verdicts("dew-point", o2="7 %", flue=flue) == [verdict]

    def test_above_the_dew_point_nothing_condenses(self):
        assert worked("condensate", input="80 kBtu/h", o2="7 %", flue="200 F").figures["rate"] == 0

    @settings(deadline=None)
    @given(st.floats(40.0, 130.0), st.floats(0.1, 5.0))
    def test_colder_flue_gas_condenses_more_and_twice_the_input_twice_as_much(self, flue, less):
        def rate(temperature, power="80 kBtu/h"):
            return result(
                "rate", "gal/h", "condensate", input=power, o2="6 %", flue=f"{temperature} F"
            )

        assert rate(flue - less) >= rate(flue)
        assert rate(flue, "160 kBtu/h") == pytest.approx(2 * rate(flue))

    def test_the_pump_must_lift_it(self):
        given = {"input": "100 kBtu/h", "o2": "6 %", "flue": "100 F"}
        assert verdicts("condensate", pump="2 gal/h", **given) == ["within"]
        assert verdicts("condensate", pump="0.1 gal/h", **given) == ["above"]
