"""House air and combustion air: temperature rise, airflow, fan laws, room, openings."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lightoff.engine.service.calculations.entry import ImpossibleError
from tests.service.calculations.worked import result, verdicts, worked


class TestRise:
    def test_it_is_supply_less_return_in_any_unit(self):
        in_fahrenheit = {"return": "68 F", "supply": "123 F"}
        in_celsius = {"return": "20 C", "supply": "50 C"}
        assert result("rise", "F", "rise", **in_fahrenheit) == pytest.approx(55)
        assert result("rise", "F", "rise", **in_celsius) == pytest.approx(54)

    @pytest.mark.parametrize(
        ("supply", "verdict"), [("98 F", "below"), ("123 F", "within"), ("150 F", "above")]
    )
    def test_the_plate_says_what_is_right(self, supply, verdict):
        plate = {"plate_low": "40 F", "plate_high": "70 F", "return": "68 F"}
        assert verdicts("rise", supply=supply, **plate) == [verdict]

    def test_one_end_of_the_plate_is_no_verdict(self):
        given = {"return": "68 F", "supply": "123 F", "plate_low": "40 F"}
        assert verdicts("rise", **given) == ["unknown"]

    @pytest.mark.parametrize(
        ("wrong", "complaint"),
        [
            ({"supply": "60 F"}, "not warmer than return air"),
            ({"plate_low": "70 F", "plate_high": "40 F"}, "does not go up"),
            ({"plate_low": "400 F"}, "read the range"),
        ],
    )
    def test_what_cannot_be_is_refused(self, wrong, complaint):
        with pytest.raises(ImpossibleError, match=complaint):
            worked("rise", **{"return": "68 F", "supply": "123 F", **wrong})


class TestAirflow:
    @settings(deadline=None)
    @given(st.floats(20.0, 200.0), st.floats(15.0, 100.0), st.floats(0.0, 10_000.0))
    def test_the_rise_at_an_airflow_gives_that_airflow(self, heat, rise, feet):
        same = {"heat": f"{heat:.12g} kBtu/h", "altitude": f"{feet} ft"}
        flow = result("airflow", "cfm", "airflow", rise=f"{rise} F", **same)
        again = result("rise", "F", "rise-at", airflow=f"{flow:.12g} cfm", **same)
        assert again == pytest.approx(rise, rel=1e-9)

    def test_thin_and_warm_air_must_flow_more(self):
        def flow(**more):
            return result("airflow", "cfm", "airflow", heat="80 kBtu/h", rise="60 F", **more)

        assert flow(altitude="5000 ft") == pytest.approx(flow() / 0.8321, rel=1e-3)
        assert flow(air="130 F") > flow()

    def test_the_factor_of_the_trade_is_told(self):
        note = "The factor is 1.080 Btu/h for each cfm and F."
        assert worked("airflow", heat="80 kBtu/h", rise="60 F").notes == (note,)

    def test_no_rise_is_refused(self):
        with pytest.raises(ImpossibleError, match="measure while burners run"):
            worked("airflow", heat="80 kBtu/h", rise="0 F")


class TestFan:
    @settings(deadline=None)
    @given(st.floats(200.0, 2000.0), st.floats(0.5, 2.0))
    def test_there_and_back_changes_nothing(self, rpm, ratio):
        start = {"flow": "1000 cfm", "pressure": "0.5 inwc", "power": "300 W"}
        to = worked("fan", rpm=f"{rpm} rpm", rpm_then=f"{rpm * ratio} rpm", **start).figures
        back = worked(
            "fan",
            rpm=f"{rpm * ratio} rpm",
            rpm_then=f"{rpm} rpm",
            flow=f"{to['flow-then']:.15g} m3/s",
            pressure=f"{to['pressure-then']:.15g} Pa",
            power=f"{to['power-then']:.15g} W",
        )
        first = worked("fan", rpm="1 r/s", rpm_then="1 r/s", **start).figures
        assert dict(back.figures) == pytest.approx(dict(first), rel=1e-9)

    def test_twice_the_speed_is_twice_four_times_eight_times(self):
        found = worked(
            "fan", rpm="500 rpm", rpm_then="1000 rpm", flow="1 m3/s", pressure="1 Pa", power="1 W"
        ).figures
        assert list(found.values()) == pytest.approx([2, 4, 8])

    def test_thin_air_asks_for_less_pressure_and_power_at_the_same_flow(self):
        given = {"rpm": "800 rpm", "rpm_then": "800 rpm", "altitude_then": "5000 ft"}
        found = worked("fan", flow="1 m3/s", pressure="100 Pa", power="100 W", **given).figures
        assert list(found.values()) == pytest.approx([1.0, 83.2, 83.2], rel=1e-3)

    def test_only_what_is_given_is_told(self):
        assert set(worked("fan", rpm="800 rpm", rpm_then="900 rpm", flow="1 m3/s").figures) == {
            "flow-then"
        }

    def test_nothing_to_work_out_is_refused(self):
        with pytest.raises(ImpossibleError, match="flow, pressure or power"):
            worked("fan", rpm="800 rpm", rpm_then="900 rpm")

    def test_the_motor_must_bear_it(self):
        given = {"rpm": "800 rpm", "rpm_then": "1000 rpm", "power": "300 W"}
        assert verdicts("fan", motor="500 W", **given) == ["above"]
        assert verdicts("fan", motor="1 hp", **given) == ["within"]

    def test_a_fan_that_stands_still_is_refused(self):
        with pytest.raises(ImpossibleError, match="a fan turns"):
            worked("fan", rpm="0 rpm", rpm_then="900 rpm", flow="1 m3/s")


ROOM = {"length": "20 ft", "width": "30 ft", "height": "8 ft"}


class TestRoom:
    @pytest.mark.parametrize("side", ROOM)
    def test_a_room_of_no_volume_is_refused(self, side):
        with pytest.raises(ImpossibleError, match="a room has length, width and height"):
            worked("room-volume", input="50 kBtu/h", **{**ROOM, side: "0 ft"})

    def test_no_appliance_at_all_is_refused(self):
        with pytest.raises(ImpossibleError, match="no air is needed"):
            worked("room-volume", input="0 Btu/h", **ROOM)

    def test_more_air_changes_than_may_be_counted_are_refused(self):
        with pytest.raises(ImpossibleError, match=r"count at most 0\.60"):
            worked("room-volume", input="50 kBtu/h", air_changes="0.7 ACH", **ROOM)

    def test_joined_rooms_count(self):
        assert verdicts("room-volume", input="150 kBtu/h", **ROOM) == ["below"]
        assert verdicts("room-volume", input="150 kBtu/h", joined="2700 ft3", **ROOM) == ["within"]

    def test_fan_assisted_and_others_are_added(self):
        both = result(
            "needed",
            "ft3",
            "room-volume",
            input="40 kBtu/h",
            fan_assisted="60 kBtu/h",
            air_changes="0.3 ACH",
            **ROOM,
        )
        assert both == pytest.approx((21 * 40 + 15 * 60) / 0.3)


class TestOpenings:
    # Free area for each Btu/h: NFPA 54, from memory.
    @pytest.mark.parametrize(
        ("way", "square_inches"),
        [
            ("two-direct", 50),
            ("two-level-ducts", 100),
            ("one-outdoors", 66.7),
            ("two-indoors", 200),
        ],
    )
    def test_free_area_goes_by_the_way(self, way, square_inches):
        free = result("free", "in2", "openings", input="200 kBtu/h", way=way)
        assert free == pytest.approx(square_inches, rel=1e-3)

    def test_indoors_it_is_never_under_a_hundred_square_inches(self):
        small = result("free", "in2", "openings", input="20 kBtu/h", way="two-indoors")
        assert small == pytest.approx(100)

    def test_louvres_take_their_share(self):
        gross = result("gross", "in2", "openings", input="200 kBtu/h", free_share="25 %")
        assert gross == pytest.approx(200)
        given = {"input": "200 kBtu/h", "free_share": "25 %"}
        assert verdicts("openings", fitted="199 in2", **given) == ["below"]
        assert verdicts("openings", fitted="200 in2", **given) == ["within"]

    def test_where_they_go_is_told(self):
        assert "ceiling, the other" in worked("openings", input="100 kBtu/h").notes[0]
        one = worked("openings", input="100 kBtu/h", way="one-outdoors").notes[0]
        assert "vent connectors" in one
