"""Quantities as a person types them: strict, in trade and SI units, never worked out as text."""

import math
import re
from contextlib import suppress

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lightoff.engine.service.calculations import measures
from lightoff.engine.service.calculations.measures import (
    BASE,
    DIAMETER,
    HEAT_FLOW,
    IN_SI,
    PRESSURE,
    TEMPERATURE,
    Measure,
    read,
    unit_of,
    written,
    written_twice,
)
from lightoff.engine.units import UNITS, UnitError

MEASURES = [each for each in vars(measures).values() if isinstance(each, Measure)]


@pytest.mark.parametrize(
    ("text", "dimension", "si"),
    [
        ("3.5 inwc", "pressure", 871.811),
        ("3.5inwc", "pressure", 871.811),
        ("80 F", "temperature", 299.817),
        ("80 \u00b0F", "temperature", 299.817),
        ("0.040 m3", "volume", 0.040),
        ("55 F", "temperature-rise", 55 / 1.8),
        ("55 F rise", "temperature-rise", 55 / 1.8),
        ("7 %", "fraction", 0.07),
        ("50 ppm", "fraction", 50e-6),
        ("4", "count", 4.0),
        # beyond the closed table
        ("2 inHg", "pressure", 6772.78),
        ("10 hPa", "pressure", 1000.0),
        ("1 therm/h", "power", 29307.1),
        ("1 gal/h", "volume-flow", 3.785411784e-3 / 3600),
        ("35 m3/min", "volume-flow", 35 / 60),
        ("2 yard", "length", 1.8288),
        ("38.6 kJ/L", "energy-per-volume", 38.6e6),
        ("0.5 hp", "power", 372.85),
        ("1 yard3", "volume", 0.764555),
    ],
)
def test_an_amount_is_read_in_any_unit_of_its_dimension(text, dimension, si):
    assert read(text, dimension) == pytest.approx(si, rel=1e-5)


@pytest.mark.parametrize(
    ("text", "dimension", "mend"),
    [
        ("3.5", "pressure", "has no unit; give it in inwc, Pa"),
        ("0.07", "fraction", "has no unit; give it in %, ppm"),
        ("3.5 ft3", "pressure", "is a volume, not a pressure; give it in inwc, Pa"),
        ("3.5 psii", "pressure", "did you mean psi?"),
        ("3.5 kg", "pressure", "is no unit; give it in inwc, Pa"),
        ("2 gal", "volume-flow", "is no unit; give it in m3/s"),
        ("80 delta_degF", "temperature", "is no unit"),
        ("80 degF", "temperature", "is no unit"),
        ("100 Hz", "rotation", "is no unit; give it in rpm"),
        ("4 F rise", "temperature", "not a temperature"),
        ("nan ft3", "volume", "is no amount"),
        ("inf ft3", "volume", "is no amount"),
        ("1e999 ft3", "volume", "is out of range"),
        ("-500 F", "temperature", "below absolute zero"),
        ("3,5 inwc", "pressure", "no separators"),
        ("", "pressure", "is no amount"),
        ("5 %", "count", "is a fraction, not a count"),
        ("1" * 100, "volume", "is no amount"),
    ],
)
def test_what_is_no_amount_is_refused_with_a_mend(text, dimension, mend):
    with pytest.raises(UnitError, match=re.escape(mend)):
        read(text, dimension)


@pytest.mark.parametrize(
    "unit",
    [
        "__import__('os').system('true')",
        "Pa**9**9**9",
        "Pa+Pa",
        "(Pa)",
        "Pa.__class__",
        "[psi]",
        "\x1b[2JPa",
        "Pa*s*m*kg*A/A/kg/m/s",
        "Pa/",
        "/Pa",
        "**",
        "kilokilopascal",
        "a" * 50,
        "Pa\n",
        "Pa;Pa",
        "lambda: 1",
    ],
)
def test_hostile_units_are_refused_and_never_worked_out(unit, monkeypatch):
    def refuse(*_arguments, **_options):
        raise AssertionError("a text reached the evaluating parser")

    registry = type(measures._registry())
    for parser in ("parse_expression", "parse_units", "__call__"):
        monkeypatch.setattr(registry, parser, refuse)
    with pytest.raises(UnitError):
        read(f"1 {unit}", "pressure")


@settings(deadline=None)
@given(st.text(max_size=70))
def test_any_text_at_all_is_an_amount_or_refused(text):
    with suppress(UnitError):
        assert math.isfinite(read(text, "pressure"))


@settings(deadline=None)
@given(
    st.floats(1e-3, 1e6),
    st.sampled_from([each for each in MEASURES if each.dimension != "temperature"]),
)
def test_what_is_written_reads_back_alike(value, measure):
    for si in (False, True):
        text = written(value, measure, si)
        again = read(text, measure.dimension)
        size = unit_of(text.partition(" ")[2], measure.dimension)
        smallest = 1e-3 * (size.factor if size else 1.0)
        assert again == pytest.approx(value, rel=5e-3, abs=smallest)


@pytest.mark.parametrize("measure", MEASURES, ids=str)
def test_every_measure_has_units_of_its_dimension(measure):
    assert measure.dimension in BASE
    for name in {measure.trade, measure.si, BASE[measure.dimension]} - {""}:
        unit = unit_of(name, measure.dimension)
        assert unit is not None
        assert unit.dimension == measure.dimension


@pytest.mark.parametrize("dimension", IN_SI)
def test_base_units_are_those_of_the_table(dimension):
    unit = unit_of(IN_SI[dimension], dimension)
    assert unit is not None
    assert unit.factor == 1.0


def test_the_table_goes_before_pint():
    assert unit_of("C", "temperature") is UNITS["C"]
    assert unit_of("F", "temperature") is UNITS["F"]
    assert unit_of("MBH", "power") is UNITS["kBtu/h"]


def test_a_figure_is_written_to_four_digits_in_both_kinds_of_units():
    assert written_twice(871.811, PRESSURE, si_first=False) == "3.5 inwc (871.8 Pa)"
    assert written_twice(871.811, PRESSURE, si_first=True) == "871.8 Pa (3.5 inwc)"
    assert written(0.0009652, DIAMETER, si=False) == "0.038 in"
    assert written(18170.0, HEAT_FLOW, si=False) == "61999 Btu/h"
    assert written(273.15, TEMPERATURE, si=True) == "0 C"
