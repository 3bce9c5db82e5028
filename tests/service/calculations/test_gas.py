"""Gas: meter, orifices, manifold pressure, altitude, pipe."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lightoff.engine.service.calculations.drills import DRILLS, near_drills
from lightoff.engine.service.calculations.entry import ImpossibleError
from lightoff.engine.service.calculations.pipe import FACTOR, diameter_for, drop_in, flow_in
from tests.service.calculations.worked import result, verdicts, worked

CLOCKED = {"dial": "1 ft3", "heating_value": "1000 Btu/ft3"}


def clocked(**more: str) -> float:
    return result("input", "Btu/h", "clock", **CLOCKED, **more)


class TestClock:
    def test_two_turns_in_twice_the_time_are_the_same_input(self):
        assert clocked(time="80 s", turns="2") == pytest.approx(clocked(time="40 s"))

    def test_warm_gas_counts_for_less_and_pressed_gas_for_more(self):
        plain = clocked(time="40 s")
        assert clocked(time="40 s", temperature="60 F") == pytest.approx(plain)
        assert clocked(time="40 s", temperature="112 F") == pytest.approx(
            plain * 519.67 / 571.67, rel=1e-5
        )
        # 2 psi over 14.696 psi of the air
        assert clocked(time="40 s", pressure="2 psi") == pytest.approx(
            plain * 16.696 / 14.696, rel=1e-4
        )
        assert clocked(time="40 s", altitude="5000 ft") == pytest.approx(plain * 0.8321, rel=1e-3)

    @pytest.mark.parametrize(
        ("plate", "verdict"),
        [
            ("90 kBtu/h", "within"),
            ("82 kBtu/h", "within"),
            ("81 kBtu/h", "above"),
            ("100 kBtu/h", "within"),
            ("101 kBtu/h", "below"),
        ],
    )
    def test_the_plate_allows_a_tenth_either_way(self, plate, verdict):
        assert verdicts("clock", time="40 s", **CLOCKED, plate=plate) == [verdict]

    def test_without_a_plate_there_is_no_verdict_and_nothing_is_out(self):
        answer = worked("clock", time="40 s", **CLOCKED)
        assert [each.word for each in answer.verdicts] == ["unknown"]
        assert not answer.is_out
        assert "of-plate" not in answer.figures

    def test_the_gas_gives_its_heating_value_unless_it_is_told(self):
        natural = result("input", "Btu/h", "clock", dial="1 ft3", time="40 s")
        propane = result("input", "Btu/h", "clock", dial="1 ft3", time="40 s", fuel="propane")
        assert natural == pytest.approx(90 * 1034.6, rel=1e-3)
        assert propane == pytest.approx(90 * 2514.3, rel=1e-3)

    @pytest.mark.parametrize(
        ("wrong", "complaint"),
        [
            ({"dial": "0 ft3"}, "cannot be"),
            ({"time": "0 s"}, "cannot be"),
            ({"pressure": "-3 inwc"}, "a gauge pressure is not below 0"),
            ({"time": "3 ft"}, "is a length, not a time; give it in s, min, h"),
            ({"plate": "0 Btu/h"}, "read it off the plate"),
        ],
    )
    def test_what_cannot_be_is_refused(self, wrong, complaint):
        with pytest.raises(ImpossibleError, match=complaint):
            worked("clock", **{"dial": "1 ft3", "time": "40 s", **wrong})


class TestOrifice:
    @settings(deadline=None)
    @given(
        st.floats(0.01, 0.2),
        st.integers(1, 8),
        st.floats(1.0, 12.0),
        st.sampled_from(["natural-gas", "propane"]),
        st.floats(0.0, 10_000.0),
    )
    def test_the_size_for_the_input_of_an_orifice_is_that_orifice(
        self, inches, count, manifold, fuel, feet
    ):
        same = {
            "count": f"{count}",
            "manifold": f"{manifold} inwc",
            "fuel": fuel,
            "altitude": f"{feet} ft",
        }
        power = result("input", "W", "orifice", diameter=f"{inches} in", **same)
        again = result("diameter", "in", "orifice-size", input=f"{power:.12g} W", **same)
        assert again == pytest.approx(inches, rel=1e-9)

    def test_more_bore_more_pressure_and_less_height_pass_more(self):
        def flow(diameter="0.04 in", manifold="3.5 inwc", altitude="0 ft"):
            return result(
                "gas-flow",
                "ft3/h",
                "orifice",
                diameter=diameter,
                manifold=manifold,
                altitude=altitude,
            )

        assert flow(diameter="0.08 in") == pytest.approx(4 * flow())
        assert flow(manifold="14 inwc") == pytest.approx(2 * flow())
        assert flow(altitude="4000 ft") < flow()

    def test_propane_is_drilled_smaller_for_the_same_input(self):
        natural = result("diameter", "in", "orifice-size", input="20000 Btu/h")
        propane = result("diameter", "in", "orifice-size", input="20000 Btu/h", fuel="propane")
        assert propane < 0.65 * natural

    def test_the_nearest_drills_are_named(self):
        assert worked("orifice", diameter="0.0465 in").notes == ("That is a no. 56 drill.",)
        between = worked("orifice", diameter="0.050 in").notes[0]
        assert between == "It lies between drills no. 56 (0.0465 in) and no. 55 (0.0520 in)."
        assert "beyond" in near_drills(0.3 * 0.0254)
        assert "beyond" in near_drills(0.005 * 0.0254)

    def test_drills_grow_as_their_numbers_fall(self):
        sizes = list(DRILLS.values())
        assert sizes == sorted(set(sizes))
        assert (max(DRILLS), min(DRILLS)) == (80, 30)

    def test_half_a_burner_is_refused(self):
        with pytest.raises(ImpossibleError, match="no whole number; count the burners"):
            worked("orifice", diameter="0.04 in", count="2.5")


class TestManifold:
    @settings(deadline=None)
    @given(st.floats(40.0, 200.0), st.floats(2.0, 8.0), st.floats(0.7, 1.3))
    def test_the_pressure_for_an_input_gives_that_input(self, now, manifold, share):
        known = {"input": f"{now:.12g} kBtu/h", "manifold": f"{manifold:.12g} inwc"}
        wanted = share * now
        to = result("set-to", "Pa", "manifold", wanted=f"{wanted:.12g} kBtu/h", **known)
        then = result("input-then", "kBtu/h", "manifold-input", set_to=f"{to:.12g} Pa", **known)
        assert then == pytest.approx(wanted, rel=1e-9)

    @pytest.mark.parametrize(
        ("pressure", "verdict"),
        [
            ("3.1 inwc", "below"),
            ("3.2 inwc", "within"),
            ("3.8 inwc", "within"),
            ("4 inwc", "above"),
        ],
    )
    def test_the_regulator_stays_near_the_plate(self, pressure, verdict):
        known = {"input": "80 kBtu/h", "manifold": "3.5 inwc"}
        assert verdicts("manifold-input", set_to=pressure, **known) == [verdict]

    def test_propane_has_its_own_plate(self):
        known = {"input": "80 kBtu/h", "manifold": "10 inwc", "fuel": "propane"}
        assert verdicts("manifold-input", set_to="10.2 inwc", **known) == ["within"]

    def test_no_pressure_at_all_is_a_shut_valve(self):
        with pytest.raises(ImpossibleError, match="0 is a shut valve"):
            worked("manifold", input="80 kBtu/h", manifold="0 inwc", wanted="80 kBtu/h")


class TestAltitude:
    def test_up_to_two_thousand_feet_nothing_changes(self):
        assert result("share", "", "altitude", sea_level="80 kBtu/h", altitude="2000 ft") == 1.0

    def test_above_it_counts_from_sea_level(self):
        share = result("share", "", "altitude", sea_level="80 kBtu/h", altitude="2001 ft")
        assert share == pytest.approx(0.92, abs=1e-3)

    def test_another_code_has_its_own_rate(self):
        given = {"sea_level": "80 kBtu/h", "altitude": "3000 ft", "rate": "3 %"}
        assert result("share", "", "altitude", **given) == pytest.approx(0.91)

    @pytest.mark.parametrize(
        ("clocked", "verdict"), [("64 kBtu/h", "within"), ("66 kBtu/h", "above")]
    )
    def test_the_clocked_input_is_held_against_what_is_allowed(self, clocked, verdict):
        given = {"sea_level": "80 kBtu/h", "altitude": "5000 ft", "clocked": clocked}
        assert verdicts("altitude", **given) == [verdict]

    def test_the_bore_that_is_named_gives_the_allowed_input(self):
        there = {"altitude": "6000 ft"}
        bore = result("bore", "", "altitude", sea_level="80 kBtu/h", **there)
        allowed = result("allowed", "W", "altitude", sea_level="80 kBtu/h", **there)
        small = result("diameter", "in", "orifice-size", input=f"{allowed:.12g} W", **there)
        plain = result("diameter", "in", "orifice-size", input="80 kBtu/h")
        assert small / plain == pytest.approx(bore, rel=1e-9)


class TestPipe:
    @settings(deadline=None)
    @given(
        st.floats(0.3, 4.0), st.floats(0.05, 3.0), st.floats(5.0, 500.0), st.sampled_from([*FACTOR])
    )
    def test_flow_drop_and_diameter_of_the_formula_agree(self, inches, inwc, feet, fuel):
        diameter, drop, length = inches * 0.0254, inwc * 249.0889, feet * 0.3048
        flow = flow_in(diameter, drop, length, FACTOR[fuel])
        assert drop_in(diameter, flow, length, FACTOR[fuel]) == pytest.approx(drop, rel=1e-9)
        assert diameter_for(flow, drop, length, FACTOR[fuel]) == pytest.approx(diameter, rel=1e-9)

    @settings(deadline=None)
    @given(st.floats(10.0, 300.0), st.floats(1.01, 3.0))
    def test_more_gas_and_more_length_drop_more_and_more_bore_less(self, kbtu, more):
        def drop(power=kbtu, length=40.0, diameter=0.824):
            return result(
                "drop",
                "Pa",
                "pipe",
                input=f"{power} kBtu/h",
                length=f"{length} ft",
                diameter=f"{diameter} in",
            )

        assert drop(power=kbtu * more) > drop()
        assert drop(length=40.0 * more) == pytest.approx(more * drop())
        assert drop(diameter=0.824 * more) < drop()

    def test_the_next_steel_pipe_is_named(self):
        given = {"input": "150 kBtu/h", "length": "40 ft", "diameter": "0.622 in"}
        assert worked("pipe", **given).notes == (
            "In schedule 40 steel pipe that is nominal 3/4 in.",
        )
        assert verdicts("pipe", **given) == ["above"]
        huge = {"input": "9000 kBtu/h", "length": "900 ft", "diameter": "3 in"}
        assert worked("pipe", **huge).notes == (
            "In schedule 40 steel pipe that is nominal more than 3 in.",
        )
