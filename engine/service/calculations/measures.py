"""What figures are of, with the units they are shown in; units beyond the table by pint.

The closed table of `units` is asked first, so a text means the same here as at any other
prompt: C is a temperature and F no farad. Its factors are held to those of pint by tests.
pint has the units that the table lacks (hPa, inHg, gal/h, therm/h), and is imported only
for those. It is given one name at a time, never a text to work out.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING, Any

from lightoff.engine.units import (
    SIGNIFICANT,
    Unit,
    UnitError,
    amount_in,
    hint,
    parse,
    split,
    unit_named,
    units_of,
    unknown_unit,
)

if TYPE_CHECKING:
    import pint


@dataclass(frozen=True, slots=True)
class Measure:
    """A dimension, and the units in which the trade and SI tell it, "" for a plain number."""

    dimension: str
    trade: str
    si: str


COUNT = Measure("count", "", "")
SHARE = Measure("fraction", "%", "%")
PARTS_PER_MILLION = Measure("fraction", "ppm", "ppm")
TIME = Measure("time", "s", "s")
TEMPERATURE = Measure("temperature", "F", "C")
RISE = Measure("temperature-rise", "F rise", "K rise")
PRESSURE = Measure("pressure", "inwc", "Pa")
DIAMETER = Measure("length", "in", "mm")
DISTANCE = Measure("length", "ft", "m")
OPENING = Measure("area", "in2", "cm2")
VOLUME = Measure("volume", "ft3", "m3")
GAS_FLOW = Measure("volume-flow", "ft3/h", "m3/h")
AIR_FLOW = Measure("volume-flow", "cfm", "L/s")
WATER_FLOW = Measure("volume-flow", "gal/h", "L/h")
WATER_PER_HEAT = Measure("volume-per-energy", "gal/therm", "L/MJ")
HEAT_FLOW = Measure("power", "Btu/h", "kW")
WATTS = Measure("power", "W", "W")
VOLT_AMPERES = Measure("power", "VA", "VA")
HEATING_VALUE = Measure("energy-per-volume", "Btu/ft3", "MJ/m3")
VOLTS = Measure("voltage", "V", "V")
AMPERES = Measure("current", "A", "A")
OHMS = Measure("resistance", "ohm", "ohm")
SPEED = Measure("rotation", "rpm", "r/s")
AIR_CHANGES = Measure("air-changes", "ACH", "ACH")
DENSITY = Measure("density", "lb/ft3", "kg/m3")

IN_SI = {
    "time": "s",
    "voltage": "V",
    "current": "A",
    "resistance": "ohm",
    "power": "W",
    "pressure": "Pa",
    "length": "m",
    "area": "m2",
    "volume": "m3",
    "volume-flow": "m3/s",
    "energy-per-volume": "J/m3",
    "volume-per-energy": "m3/J",
    "density": "kg/m3",
}
"""SI unit of the dimensions in which units beyond the table are taken.

Not a temperature, since a difference has its dimension, nor rotation, where pint counts
radians.
"""


BASE = {
    **IN_SI,
    "temperature": "K",
    "temperature-rise": "K rise",
    "rotation": "r/s",
    "air-changes": "1/s",
    "fraction": "",
    "count": "",
}
"""Unit of the figures of a dimension as they are computed with."""


def read(text: str, dimension: str) -> float:
    """An amount of a dimension in SI units; UnitError says what is wrong and how to mend it.

    A difference of temperatures may be told in F, C or K.
    """
    try:
        number, spelling = split(text)
    except UnitError as error:
        raise UnitError(error.what, hint_for(dimension)) from None
    if not spelling and dimension != "count":
        raise UnitError(f"{text} has no unit", hint_for(dimension))
    unit = unit_of(spelling, dimension) if spelling else None
    if spelling and unit is None:
        raise unknown_unit(text, spelling, hint_for(dimension))
    amount = parse(text) if unit is None else amount_in(unit, number, text)
    if amount.dimension != dimension:
        raise UnitError(f"{text} is a {amount.dimension}, not a {dimension}", hint_for(dimension))
    return amount.value


def written(value: float, measure: Measure, si: bool) -> str:
    """A value in SI units as the trade or SI writes it, to four digits."""
    name = measure.si if si else measure.trade
    unit = unit_of(name, measure.dimension)
    return f"{_rounded(unit.from_si(value) if unit else value)} {name}".rstrip()


def written_twice(value: float, measure: Measure, si_first: bool) -> str:
    """The value as one writes it and, where that differs, as the other does."""
    first, second = written(value, measure, si_first), written(value, measure, not si_first)
    return first if first == second else f"{first} ({second})"


def hint_for(dimension: str) -> str:
    """How to give an amount of a dimension, with the names of units."""
    if dimension in ("count", *IN_SI.keys() - {"density", "volume-per-energy"}):
        return hint(dimension)
    return f"give it in {', '.join(units_of(dimension)) or IN_SI[dimension]}"


def _rounded(number: float) -> str:
    size = math.floor(math.log10(abs(number))) if number else 0
    text = f"{number:.{max(0, SIGNIFICANT - size)}f}"
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


# --- units beyond the table ---------------------------------------------------------

_NAME = re.compile(r"[A-Za-z][A-Za-z_0-9]{0,29}")
MOST_NAMES = 4
"""Units that one may be made of."""


def unit_of(spelling: str, dimension: str) -> Unit | None:
    """The unit of that spelling, from the table or else of this dimension by pint."""
    known = unit_named(spelling)
    if known is None:
        return _by_pint(spelling, dimension) if dimension in IN_SI else None
    if (known.dimension, dimension) == ("temperature", "temperature-rise"):
        return unit_named(f"{known.name} rise")
    return known


@cache
def _by_pint(spelling: str, dimension: str) -> Unit | None:
    meant, base = _product(spelling), _product(IN_SI[dimension])
    if meant is None or base is None or meant.dimensionality != base.dimensionality:
        return None
    return Unit(spelling, dimension, float(_registry().Quantity(1.0, meant).to(base).magnitude))


@cache
def _registry() -> pint.UnitRegistry[Any]:
    import pint

    return pint.UnitRegistry()


def _product(spelling: str) -> pint.Unit | None:
    """Units multiplied, those behind a stroke divided, as in `gal/h`; None if one is none."""
    pieces = re.split(r"([*/])", spelling)
    powers: dict[str, int] = {}
    for name, before in zip(pieces[::2], ("*", *pieces[1::2]), strict=True):
        found = _single(name.strip())
        if found is None or len(powers) == MOST_NAMES:
            return None
        unit, power = found
        powers[unit] = powers.get(unit, 0) + (power if before == "*" else -power)
    return _registry().Unit(_registry().UnitsContainer(powers))


def _single(name: str) -> tuple[str, int] | None:
    """Pint's name of one unit, and its power: one with 2 or 3 behind it is squared or cubed."""
    if _NAME.fullmatch(name) is None:
        return None
    if unit := _named(name):
        return unit, 1
    unit = _named(name[:-1]) if name[-1] in "23" else ""
    return (unit, int(name[-1])) if unit else None


def _named(name: str) -> str:
    """The name under which pint keeps a unit with its prefix, "" if it has none of that name."""
    meant = _registry().parse_unit_name(name) if name else ()
    return "".join(meant[0][:2]) if meant else ""
