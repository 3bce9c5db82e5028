"""Electrical: igniter and transformer."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lightoff.engine.service.calculations.entry import ImpossibleError
from tests.service.calculations.worked import result, verdicts, worked


class TestIgniter:
    @settings(deadline=None)
    @given(st.floats(10.0, 130.0), st.floats(1.0, 1000.0))
    def test_ohms_and_amps_give_the_same_power(self, volts, ohms):
        by_ohms = worked("igniter", volts=f"{volts} V", ohms=f"{ohms} ohm")
        amps = by_ohms.figures["current"]
        if not 0.05 <= amps <= 30.0:
            return
        by_amps = worked("igniter", volts=f"{volts} V", amps=f"{amps:.15g} A")
        assert dict(by_amps.figures) == pytest.approx(dict(by_ohms.figures), rel=1e-9)

    @pytest.mark.parametrize(
        ("volts", "verdict"),
        [("101 V", "below"), ("102 V", "within"), ("132 V", "within"), ("133 V", "above")],
    )
    def test_its_volts_lie_between_85_and_110_percent(self, volts, verdict):
        assert verdicts("igniter", volts=volts, amps="3.5 A") == [verdict]

    def test_another_rating_has_its_own_range(self):
        assert verdicts("igniter", volts="20 V", amps="1 A", rated="24 V") == ["below"]

    @pytest.mark.parametrize(
        ("given", "complaint"),
        [
            ({}, "neither is given"),
            ({"amps": "3 A", "ohms": "40 ohm"}, "both are given"),
            ({"ohms": "0 ohm"}, "0 is a short"),
            ({"amps": "0 A"}, "it is open"),
            ({"amps": "3 V"}, "is a voltage, not a current; give it in A, mA, uA"),
        ],
    )
    def test_what_cannot_be_is_refused(self, given, complaint):
        with pytest.raises(ImpossibleError, match=complaint):
            worked("igniter", volts="120 V", **given)

    def test_no_volts_are_refused(self):
        with pytest.raises(ImpossibleError, match="see why nothing arrives"):
            worked("igniter", volts="0 V", amps="3 A")


class TestTransformer:
    def test_the_clamp_and_the_sum_of_loads_agree(self):
        by_clamp = worked("transformer", rating="40 VA", amps="1.2 A")
        by_sum = worked("transformer", rating="40 VA", load="28.8 VA")
        assert dict(by_clamp.figures) == pytest.approx(dict(by_sum.figures))

    @pytest.mark.parametrize(
        ("load", "verdict"), [("32 VA", "within"), ("33 VA", "above"), ("0 VA", "within")]
    )
    def test_four_fifths_are_its_load_for_good(self, load, verdict):
        assert verdicts("transformer", rating="40 VA", load=load)[0] == verdict

    def test_a_class_2_transformer_has_a_hundred(self):
        assert verdicts("transformer", rating="100 VA", load="10 VA")[1] == "within"
        assert verdicts("transformer", rating="120 VA", load="10 VA")[1] == "above"

    def test_the_line_side_is_refused(self):
        with pytest.raises(ImpossibleError, match="at the secondary"):
            worked("transformer", rating="40 VA", volts="120 V", amps="1 A")

    def test_watts_and_volt_amperes_are_both_taken(self):
        full = result("full", "A", "transformer", rating="40 W", load="10 VA")
        assert full == pytest.approx(40 / 24)
