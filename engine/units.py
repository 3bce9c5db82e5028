"""The closed table of units: text with a unit <-> number in SI units.

Factors are exact by definition (international inch, foot and pound, International
Table Btu, conventional inch of water column: 1 in x 1000 kg/m3 x 9.80665 m/s2).
"""

from __future__ import annotations

import difflib
import math
import re
from dataclasses import dataclass

INCH = 0.0254
FOOT = 0.3048
POUND_FORCE = 0.45359237 * 9.80665
INCH_OF_WATER = INCH * 1000.0 * 9.80665
BTU = 1055.05585262
FAHRENHEIT = 5.0 / 9.0
ICE_POINT = 273.15
"""0 C in K."""
FAHRENHEIT_ZERO = ICE_POINT - 32.0 * FAHRENHEIT
"""0 F in K."""

LONGEST = 60
"""Characters an amount may have at most."""


@dataclass(frozen=True, slots=True)
class Unit:
    """A unit: SI value = number * factor + zero."""

    name: str
    dimension: str
    factor: float
    zero: float = 0.0

    def to_si(self, number: float) -> float:
        return number * self.factor + self.zero

    def from_si(self, value: float) -> float:
        return (value - self.zero) / self.factor


@dataclass(frozen=True, slots=True)
class Amount:
    """A number in SI units, its dimension, and the text it was read from."""

    value: float
    dimension: str
    text: str


class UnitError(ValueError):
    """A text that is no amount; `what` is wrong with it and `mend` says how to mend it."""

    def __init__(self, what: str, mend: str) -> None:
        super().__init__(f"{what}; {mend}")
        self.what = what
        self.mend = mend


def _units() -> dict[str, Unit]:
    factors: dict[str, dict[str, float]] = {
        "time": {"s": 1.0, "min": 60.0, "h": 3600.0},
        "voltage": {"V": 1.0, "mV": 1e-3},
        "current": {"A": 1.0, "mA": 1e-3, "uA": 1e-6},
        "resistance": {"ohm": 1.0, "kohm": 1e3, "Mohm": 1e6},
        "power": {"W": 1.0, "kW": 1e3, "VA": 1.0, "Btu/h": BTU / 3600, "kBtu/h": BTU / 3.6},
        "pressure": {
            "inwc": INCH_OF_WATER,
            "Pa": 1.0,
            "kPa": 1e3,
            "mbar": 100.0,
            "psi": POUND_FORCE / INCH**2,
        },
        "temperature-rise": {"F rise": FAHRENHEIT, "C rise": 1.0, "K rise": 1.0},
        "length": {"m": 1.0, "cm": 0.01, "mm": 0.001, "in": INCH, "ft": FOOT},
        "area": {"m2": 1.0, "cm2": 1e-4, "mm2": 1e-6, "in2": INCH**2, "ft2": FOOT**2},
        "volume": {"m3": 1.0, "L": 1e-3, "ft3": FOOT**3},
        "volume-flow": {
            "m3/s": 1.0,
            "m3/h": 1.0 / 3600,
            "L/s": 1e-3,
            "cfm": FOOT**3 / 60,
            "ft3/h": FOOT**3 / 3600,
        },
        "energy-per-volume": {"J/m3": 1.0, "MJ/m3": 1e6, "Btu/ft3": BTU / FOOT**3},
        "fraction": {"%": 0.01, "ppm": 1e-6},
        "rotation": {"rpm": 1.0 / 60, "r/s": 1.0},
        "air-changes": {"ACH": 1.0 / 3600, "1/s": 1.0},
        "flow-resistance": {"Pa s2/m6": 1.0},
        "drain-resistance": {"s/m2": 1.0},
    }
    units = [
        Unit(name, dimension, factor)
        for dimension, names in factors.items()
        for name, factor in names.items()
    ]
    units += [
        Unit("C", "temperature", 1.0, ICE_POINT),
        Unit("F", "temperature", FAHRENHEIT, FAHRENHEIT_ZERO),
        Unit("K", "temperature", 1.0),
    ]
    return {unit.name: unit for unit in units}


UNITS = _units()
"""Unit by its name."""

DIMENSIONLESS = ("count", "fraction")
"""Dimensions in which a bare number may stand."""

DIMENSIONS = frozenset(unit.dimension for unit in UNITS.values()) | frozenset(DIMENSIONLESS)

_OTHER_SPELLINGS = {
    "V": ("volt", "volts", "VAC", "Vac", "v"),
    "A": ("amp", "amps", "a"),
    "uA": ("microamp", "microamps", "ua"),
    "ohm": ("ohms", "Ohm", "Ohms"),
    "kohm": ("kohms", "kOhm"),
    "Mohm": ("Mohms", "MOhm", "megohm", "megohms"),
    "s": ("sec", "second", "seconds"),
    "min": ("minute", "minutes"),
    "h": ("hour", "hours"),
    "inwc": ("in wc", "in w.c.", "in. w.c.", "in. wc", '"wc', '" wc', '"w.c.', "inWC", "in WC"),
    "in": ("inch", "inches", '"'),
    "ft": ("foot", "feet", "'"),
    "Btu/h": ("BTU/h", "Btuh", "BTUH"),
    "kBtu/h": ("kBTU/h", "MBH"),
    "cfm": ("CFM", "ft3/min"),
    "Btu/ft3": ("BTU/ft3",),
    "L": ("l",),
    "rpm": ("RPM", "r/min"),
    "ACH": ("ach", "1/h"),
    "%": ("percent",),
}
_BY_SPELLING = {
    **UNITS,
    **{other: UNITS[name] for name, others in _OTHER_SPELLINGS.items() for other in others},
}

_SIGNS = str.maketrans(
    {
        "\u00b5": "u",  # micro sign
        "\u03bc": "u",  # Greek mu
        "\u2126": "ohm",  # ohm sign
        "\u03a9": "ohm",  # Greek capital omega
        "\u00b0": "",  # degree sign
        "\u2103": "C",
        "\u2109": "F",
        "\u00b2": "2",
        "\u00b3": "3",
        "\u2033": '"',  # double prime
        "\u201d": '"',
        "\u2212": "-",  # minus sign
        "\u00a0": " ",
        "\u202f": " ",
    }
)

_AMOUNT = re.compile(r"([+-]?(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)(?:[eE][+-]?[0-9]+)?)[ ]*(.*)")


def units_of(dimension: str) -> tuple[str, ...]:
    """Names of the units of a dimension."""
    return tuple(unit.name for unit in UNITS.values() if unit.dimension == dimension)


def parse(text: str) -> Amount:
    """Read "3.5 inwc"; a number without a unit is a count. UnitError if it is neither."""
    number, spelling = split(text)
    if not spelling:
        return Amount(_finite(number, text), "count", text)
    unit = unit_named(spelling)
    if unit is None:
        raise unknown_unit(text, spelling)
    return amount_in(unit, number, text)


def unit_named(spelling: str) -> Unit | None:
    """The unit of that name or other spelling, None if the table has none."""
    return _BY_SPELLING.get(spelling)


def amount_in(unit: Unit, number: float, text: str) -> Amount:
    """A number of a unit; UnitError if it is out of range or below absolute zero."""
    value = _finite(unit.to_si(number), text)
    if unit.dimension == "temperature" and value < 0.0:
        raise UnitError(f"{text} is below absolute zero", "give a temperature that can be")
    return Amount(value, unit.dimension, text)


def parse_as(given: str | float, dimension: str) -> float:
    """Read an amount of a dimension, in SI units; UnitError if it is none.

    A number without a unit is accepted only for a count or a fraction.
    """
    amount = parse(given) if isinstance(given, str) else _bare(given)
    if amount.dimension == dimension:
        return amount.value
    if amount.dimension != "count":
        raise UnitError(
            f"{amount.text} is a {amount.dimension}, not a {dimension}", hint(dimension)
        )
    if dimension not in DIMENSIONLESS:
        raise UnitError(f"{amount.text} has no unit", hint(dimension))
    return amount.value


def parse_range(text: str, dimension: str) -> tuple[float, float]:
    """(lowest, highest) of "3.2 to 3.8 inwc", in SI units; UnitError if it is none."""
    low, between, high = text.partition(" to ")
    if not between:
        raise UnitError(f"{text!r} is no range", "write it as `3.2 to 3.8 inwc`")
    unit = "" if split(low)[1] else split(high)[1]
    lowest, highest = parse_as(f"{low} {unit}", dimension), parse_as(high, dimension)
    if not lowest < highest:
        raise UnitError(f"{text!r} does not go up", "write the lower figure first")
    return lowest, highest


def _bare(number: float) -> Amount:
    if isinstance(number, bool):
        raise UnitError(f"{str(number).lower()} is no number", "write a number with its unit")
    return Amount(_finite(float(number), f"{number:g}"), "count", f"{number:g}")


def split(text: str) -> tuple[float, str]:
    """The number and the spelling of its unit, "" without one; UnitError if it is neither."""
    plain = text.translate(_SIGNS).strip(" ")
    match = _AMOUNT.fullmatch(plain) if len(plain) <= LONGEST else None
    if match is None:
        raise UnitError(
            f"{text[:LONGEST]!r} is no amount", "write a number and its unit, such as 3.5 inwc"
        )
    return float(match[1]), " ".join(match[2].split())


def _finite(value: float, text: str) -> float:
    if not math.isfinite(value):
        raise UnitError(f"{text} is out of range", "write a number that can be measured")
    return value


def unknown_unit(text: str, spelling: str, mend: str = "") -> UnitError:
    """The complaint about a unit that does not exist; `mend` where no other is spelt alike."""
    what = f"{spelling!r} in {text!r} is no unit"
    if spelling.startswith((",", "_")) or spelling[0].isdigit():
        return UnitError(
            f"{text!r} is no amount", "write the number with a decimal point and no separators"
        )
    near = difflib.get_close_matches(spelling, _BY_SPELLING, n=1)
    if near:
        return UnitError(what, f"did you mean {_BY_SPELLING[near[0]].name}?")
    return UnitError(what, mend or f"units are {', '.join(UNITS)}")


def hint(dimension: str) -> str:
    """How to give an amount of a dimension, with the names of its units."""
    names = units_of(dimension)
    if dimension == "count":
        return "write a number without a unit"
    bare = " or no unit" if dimension in DIMENSIONLESS else ""
    return f"give it in {', '.join(names)}{bare}"


# --- showing -----------------------------------------------------------------------

SIGNIFICANT = 3

_Scale = tuple[tuple[float, str, int], ...]
"""(below which SI value, unit, decimals at most), smallest first."""

_ALL = math.inf

_TRADE: dict[str, _Scale] = {
    "time": ((120.0, "s", 1), (7201.0, "min", 1), (_ALL, "h", 1)),
    "voltage": ((2e-3, "V", 2), (0.1, "mV", 1), (_ALL, "V", 2)),
    "current": ((1e-3, "uA", 2), (0.1, "mA", 1), (_ALL, "A", 2)),
    "resistance": ((1e4, "ohm", 2), (1e6, "kohm", 1), (_ALL, "Mohm", 1)),
    "power": ((293.0, "Btu/h", 0), (_ALL, "kBtu/h", 1)),
    "pressure": ((_ALL, "inwc", 2),),
    "temperature": ((_ALL, "F", 1),),
    "temperature-rise": ((_ALL, "F rise", 1),),
    "length": ((1.0, "in", 3), (_ALL, "ft", 1)),
    "area": ((_ALL, "in2", 2),),
    "volume": ((_ALL, "ft3", 2),),
    "volume-flow": ((0.005, "ft3/h", 1), (_ALL, "cfm", 1)),
    "energy-per-volume": ((_ALL, "Btu/ft3", 0),),
    "fraction": ((1e-3, "ppm", 0), (2.0, "%", 1), (_ALL, "", 2)),
    "count": ((_ALL, "", 2),),
    "rotation": ((_ALL, "rpm", 0),),
    "air-changes": ((_ALL, "ACH", 2),),
}

_SI: dict[str, _Scale] = {
    "power": ((1e3, "W", 1), (_ALL, "kW", 2)),
    "pressure": ((1e4, "Pa", 1), (_ALL, "kPa", 1)),
    "temperature": ((_ALL, "C", 1),),
    "temperature-rise": ((_ALL, "C rise", 1),),
    "length": ((1.0, "mm", 1), (_ALL, "m", 2)),
    "area": ((1.0, "cm2", 2), (_ALL, "m2", 2)),
    "volume": ((1.0, "L", 1), (_ALL, "m3", 2)),
    "volume-flow": ((_ALL, "L/s", 2),),
    "energy-per-volume": ((_ALL, "MJ/m3", 1),),
}


def show(value: float, dimension: str, si: bool = False) -> str:
    """A value in SI units as the trade writes it (or in SI units), to three digits.

    A resistance without end is "open". KeyError for a dimension that does not exist.
    """
    if math.isinf(value):
        return "open" if dimension == "resistance" else "no end"
    if dimension.endswith("-resistance"):
        return f"{_exponent(value)} {units_of(dimension)[0]}"
    scale = _SI.get(dimension, _TRADE[dimension]) if si else _TRADE[dimension]
    if value == 0.0 and dimension == "fraction":
        return "0 %"
    _, name, decimals = next(row for row in scale if abs(value) < row[0])
    number = UNITS[name].from_si(value) if name else value
    return f"{_rounded(number, decimals)} {name}".rstrip()


def _rounded(number: float, decimals: int) -> str:
    size = math.floor(math.log10(abs(number))) if number else 0
    text = f"{number:.{max(0, min(decimals, SIGNIFICANT - 1 - size))}f}"
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def _exponent(number: float) -> str:
    digits, power = f"{number:.2e}".split("e")
    return f"{digits.rstrip('0').rstrip('.')}e{int(power)}"
