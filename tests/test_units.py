"""The table of units: against pint, there and back, and what it refuses."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lightoff.engine.machine.kinds import KINDS
from lightoff.engine.units import (
    DIMENSIONS,
    UNITS,
    UnitError,
    parse,
    parse_as,
    parse_range,
    show,
    units_of,
)

pint = pytest.importorskip("pint")

PINT_NAMES = {
    "ohm": "ohm",
    "kohm": "kiloohm",
    "Mohm": "megaohm",
    "VA": "volt_ampere",
    "Btu/h": "Btu_it/hour",
    "kBtu/h": "1000*Btu_it/hour",
    "inwc": "inch_H2O",
    "m2": "m**2",
    "cm2": "cm**2",
    "mm2": "mm**2",
    "in2": "inch**2",
    "in": "inch",
    "ft2": "ft**2",
    "m3": "m**3",
    "L": "liter",
    "ft3": "ft**3",
    "m3/s": "m**3/s",
    "m3/h": "m**3/hour",
    "L/s": "liter/s",
    "cfm": "ft**3/minute",
    "ft3/h": "ft**3/hour",
    "J/m3": "J/m**3",
    "MJ/m3": "MJ/m**3",
    "Btu/ft3": "Btu_it/ft**3",
    "h": "hour",
    "min": "minute",
    "s": "second",
    "Pa s2/m6": "Pa*s**2/m**6",
    "s/m2": "s/m**2",
    "%": "percent",
    "F rise": "delta_degF",
    "C rise": "delta_degC",
    "K rise": "kelvin",
    "C": "degC",
    "F": "degF",
    "K": "kelvin",
    "rpm": "revolution/minute",
    "r/s": "revolution/s",
    "ACH": "1/hour",
}
SI = {
    "time": "s",
    "voltage": "V",
    "current": "A",
    "resistance": "ohm",
    "power": "W",
    "pressure": "Pa",
    "temperature": "K",
    "temperature-rise": "delta_degC",
    "length": "m",
    "area": "m**2",
    "volume": "m**3",
    "volume-flow": "m**3/s",
    "energy-per-volume": "J/m**3",
    "fraction": "dimensionless",
    "rotation": "revolution/s",
    "air-changes": "1/s",
    "flow-resistance": "Pa*s**2/m**6",
    "drain-resistance": "s/m**2",
}
REGISTRY = pint.UnitRegistry(autoconvert_offset_to_baseunit=True)


def in_pint(number: float, unit: str, wanted: str) -> float:
    scale, _, name = unit.rpartition("1000*")
    factor = 1000.0 if unit.startswith("1000*") else 1.0
    assert not scale
    return REGISTRY.Quantity(number * factor, REGISTRY(name).units).to(wanted).magnitude


@pytest.mark.parametrize("name", UNITS)
@pytest.mark.parametrize("number", [0.0, 1.0, 37.5])
def test_a_unit_is_worth_in_si_what_pint_says(name: str, number: float) -> None:
    amount = parse(f"{number} {name}")
    expected = in_pint(number, PINT_NAMES.get(name, name), SI[amount.dimension])
    assert amount.value == pytest.approx(expected, rel=1e-12, abs=1e-15)


@pytest.mark.parametrize("name", UNITS)
def test_a_value_in_si_is_in_a_unit_what_pint_says(name: str) -> None:
    unit = UNITS[name]
    pint_name = PINT_NAMES.get(name, name)
    factor = 1000.0 if pint_name.startswith("1000*") else 1.0
    quantity = REGISTRY.Quantity(311.0, SI[unit.dimension])
    expected = quantity.to(pint_name.removeprefix("1000*")).magnitude / factor
    assert unit.from_si(311.0) == pytest.approx(expected, rel=1e-12)


@given(st.sampled_from(sorted(UNITS)), st.floats(-1e6, 1e6))
def test_a_number_comes_back_from_si_as_it_went(name: str, number: float) -> None:
    unit = UNITS[name]
    assert unit.from_si(unit.to_si(number)) == pytest.approx(number, rel=1e-9, abs=1e-6)


@given(st.sampled_from(sorted(UNITS)), st.floats(0.0, 1e6))
def test_a_written_amount_is_read_as_it_was_meant(name: str, number: float) -> None:
    assert parse(f"{number!r} {name}").value == UNITS[name].to_si(number)


@given(
    st.sampled_from(sorted(DIMENSIONS - {"temperature", "count", "fraction"})),
    st.floats(1e-4, 1e5),
    st.booleans(),
)
def test_what_is_shown_can_be_read_again_to_three_digits(
    dimension: str, value: float, si: bool
) -> None:
    shown = show(value, dimension, si)
    unit = UNITS[shown.split(" ", 1)[1]]
    coarsest = abs(unit.factor)
    assert parse_as(shown, dimension) == pytest.approx(value, rel=6e-3, abs=0.5 * coarsest)


@pytest.mark.parametrize(
    ("text", "same_as"),
    [
        ("3.5inwc", "3.5 inwc"),
        ('0.65 "wc', "0.65 inwc"),
        ("0.65 in wc", "0.65 inwc"),
        ("0.65 in. w.c.", "0.65 inwc"),
        ("3.7 \u00b5A", "3.7 uA"),
        ("3.7 \u03bcA", "3.7 uA"),
        ("60 \u2126", "60 ohm"),
        ("12 M\u03a9", "12 Mohm"),
        ("68\u00b0F", "68 F"),
        ("68 \u00b0F", "68 F"),
        ("20 \u2103", "20 C"),
        ("35 \u00b0F rise", "35 F rise"),
        ("5 inches", "5 in"),
        ("  24 VAC ", "24 V"),
        ("\u22123 Pa", "-3 Pa"),
        ("1e3 Pa", "1000 Pa"),
        (".5 A", "0.5 A"),
        ("20 cm\u00b2", "20 cm2"),
        ("90 seconds", "90 s"),
    ],
)
def test_other_spellings_mean_the_same(text: str, same_as: str) -> None:
    read, meant = parse(text), parse(same_as)
    assert (read.value, read.dimension) == (meant.value, meant.dimension)


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("", "is no amount; write a number and its unit"),
        ("V", "is no amount"),
        ("nan V", "is no amount"),
        ("inf ohm", "is no amount"),
        ("0x10 V", "is no unit"),
        ("1_000 V", "no separators"),
        ("1,000 V", "no separators"),
        ("3 , 5 V", "no separators"),
        ("1e999 V", "1e999 V is out of range"),
        ("3 Vols", "did you mean"),
        ("3 furlongs", "is no unit; units are s, min"),
        ("-1 K", "below absolute zero"),
        ("-500 F", "below absolute zero"),
        ("3 V 4", "is no unit"),
        ("\u0663 V", "is no amount"),
        ("9" * 61, "is no amount"),
    ],
)
def test_what_is_no_amount_is_refused_with_a_mend(text: str, message: str) -> None:
    with pytest.raises(UnitError, match=message.replace("?", r"\?")) as error:
        parse(text)
    assert error.value.mend


@given(st.text(max_size=80))
def test_no_text_does_worse_than_a_unit_error(text: str) -> None:
    try:
        amount = parse(text)
    except UnitError:
        return
    assert math.isfinite(amount.value)
    assert amount.dimension in DIMENSIONS


def test_an_amount_of_another_dimension_is_refused_with_the_right_units() -> None:
    with pytest.raises(UnitError) as error:
        parse_as("3 V", "pressure")
    assert str(error.value) == (
        "3 V is a voltage, not a pressure; give it in inwc, Pa, kPa, mbar, psi"
    )


def test_a_bare_number_is_accepted_only_for_counts_and_fractions() -> None:
    assert parse_as(4, "count") == 4.0
    assert parse_as(0.9, "fraction") == 0.9
    assert parse_as("0.9", "fraction") == 0.9
    assert parse_as("90 %", "fraction") == pytest.approx(0.9)
    with pytest.raises(UnitError, match="60 has no unit; give it in s, min, h"):
        parse_as(60, "time")
    with pytest.raises(UnitError, match="write a number without a unit"):
        parse_as("4 V", "count")


@pytest.mark.parametrize("number", [True, float("nan"), float("inf")])
def test_a_bare_number_that_is_none_is_refused(number: float) -> None:
    with pytest.raises(UnitError):
        parse_as(number, "fraction")


def test_a_range_may_give_its_unit_once_or_twice() -> None:
    assert parse_range("18 to 32 V", "voltage") == (18.0, 32.0)
    assert parse_range("60 s to 5 min", "time") == (60.0, 300.0)
    assert parse_range("0.2 to 0.4", "fraction") == (0.2, 0.4)
    low, high = parse_range("35 to 65 F rise", "temperature-rise")
    assert (low, high) == pytest.approx((19.4444, 36.1111), abs=1e-3)


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("18 V", "is no range"),
        ("32 to 18 V", "does not go up"),
        ("18 to 18 V", "does not go up"),
        ("18 to 32", "has no unit"),
        ("18 A to 32 V", "is a current"),
    ],
)
def test_what_is_no_range_is_refused(text: str, message: str) -> None:
    with pytest.raises(UnitError, match=message):
        parse_range(text, "voltage")


@pytest.mark.parametrize(
    ("value", "dimension", "trade", "si"),
    [
        (120.2, "voltage", "120 V", "120 V"),
        (25.43, "voltage", "25.4 V", "25.4 V"),
        (0.0, "voltage", "0 V", "0 V"),
        (-0.001, "voltage", "0 V", "0 V"),
        (161.9, "pressure", "0.65 inwc", "162 Pa"),
        (-248.0, "pressure", "-1 inwc", "-248 Pa"),
        (3.7e-6, "current", "3.7 uA", "3.7 uA"),
        (0.0125, "current", "12.5 mA", "12.5 mA"),
        (2.94, "current", "2.94 A", "2.94 A"),
        (60.0, "resistance", "60 ohm", "60 ohm"),
        (12e6, "resistance", "12 Mohm", "12 Mohm"),
        (math.inf, "resistance", "open", "open"),
        (math.inf, "time", "no end", "no end"),
        (15.0, "time", "15 s", "15 s"),
        (960.0, "time", "16 min", "16 min"),
        (3600.0, "time", "60 min", "60 min"),
        (293.15, "temperature", "68 F", "20 C"),
        (25.0, "temperature-rise", "45 F rise", "25 C rise"),
        (23445.7, "power", "80 kBtu/h", "23.4 kW"),
        (0.0020828, "length", "0.082 in", "2.1 mm"),
        (0.95, "fraction", "95 %", "95 %"),
        (35e-6, "fraction", "35 ppm", "35 ppm"),
        (4.0, "count", "4", "4"),
        (8.0e5, "flow-resistance", "8e5 Pa s2/m6", "8e5 Pa s2/m6"),
        (6.0e4, "drain-resistance", "6e4 s/m2", "6e4 s/m2"),
    ],
)
def test_values_are_shown_as_the_trade_writes_them(
    value: float, dimension: str, trade: str, si: str
) -> None:
    assert show(value, dimension) == trade
    assert show(value, dimension, si=True) == si


def test_every_dimension_of_a_part_kind_has_units_and_can_be_shown() -> None:
    used = {spec.dimension for kind in KINDS.values() for spec in kind.values.values()}
    shown = {dimension for kind in KINDS.values() for dimension in kind.shows.values()}
    for dimension in (used | shown) - {""}:
        assert dimension == "count" or units_of(dimension)
        assert show(1.0, dimension)
