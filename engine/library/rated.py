"""What is read off the furnace itself: it takes the place of what the knowledge has.

A rating that the model computes with scales it as a similar furnace would be: each value
named in `scales` grows with a power of the new figure over the old one.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from contextlib import suppress
from dataclasses import dataclass, field, replace

from msgspec.structs import replace as replace_entry

from lightoff.engine.entries.furnaces import FurnaceEntry
from lightoff.engine.entries.proving import RatingEntry
from lightoff.engine.library.options import with_choice, wrong_choice
from lightoff.engine.library.report import suggestion
from lightoff.engine.machine.airgas import orifice_share
from lightoff.engine.machine.kinds import KINDS
from lightoff.engine.model import Furnace, Knowledge, Part
from lightoff.engine.units import UNITS, Unit, UnitError, parse_as, parse_range, show

_WORD = r"[a-z]+(?:-[a-z]+)*"
_PLACE = re.compile(
    rf"(?:plate\.({_WORD})\.(low|high)|({_WORD})\.({_WORD}))(?: ([+-]) (\d+(?:\.\d+)?))?"
)
"""An end of a range of the rating plate, or a value of a part, and what is given on top."""

_UNIT = re.compile(r".*[a-z\d.] ([^\d\s+-].*)")
"""A text, and the unit at its end."""


class RatingError(ValueError):
    """A rating that cannot be; `str` says why, and what to type instead."""


@dataclass(frozen=True, slots=True)
class Read:
    """What was read off one furnace: rating -> figure as typed."""

    furnace: str = ""
    figures: Mapping[str, str] = field(default_factory=dict)


NOTHING_READ = Read()


# --- what a person types ----------------------------------------------------------


def ratings_for(knowledge: Knowledge, furnace: Furnace) -> tuple[RatingEntry, ...]:
    """What can be read off a furnace, in the order of asking."""
    return tuple(each for each in knowledge.ratings.values() if _has(furnace, each))


def _has(furnace: Furnace, rating: RatingEntry) -> bool:
    part, _, value = rating.value.partition(".")
    return (
        rating.plate in furnace.plate
        or rating.option in furnace.entry.options
        or (part in furnace.parts and value in furnace.parts[part].values)
    )


def by_model(furnace: Furnace, rating: RatingEntry) -> str:
    """The figure that holds for a furnace while nothing was read off it."""
    if rating.plate:
        return furnace.entry.plate[rating.plate]
    if rating.option:
        option = furnace.entry.options[rating.option]
        if option.figure:
            return furnace.entry.site[option.figure]
        return furnace.entry.chosen.get(rating.option, next(iter(option.choices)))
    part, _, value = rating.value.partition(".")
    return _shown(furnace.parts[part], value)


def _shown(part: Part, value: str) -> str:
    figure = part.values[value]
    if isinstance(figure, str):
        return figure
    return show(figure, KINDS[part.kind].values[value].dimension)


def understood(furnace: Furnace, rating: RatingEntry, text: str) -> str:
    """A rating as it is kept; RatingError if it cannot be one.

    A single figure of a range means that figure and `rating.around` either side of it.
    """
    entered = " ".join(text.split())
    try:
        if rating.plate:
            return _range(furnace, rating, entered)
        if rating.option:
            return _choice(furnace, rating, entered)
        return _value(furnace, rating, entered)
    except UnitError as error:
        raise RatingError(f"{error}; by the model it is {by_model(furnace, rating)}") from None


def known_figures(
    knowledge: Knowledge, furnace: Furnace, figures: Iterable[tuple[str, str]]
) -> dict[str, str]:
    """Those of some figures, as they are kept, that can be read off a furnace today."""
    known = {rating.id: rating for rating in ratings_for(knowledge, furnace)}
    kept = {}
    for name, text in figures:
        with suppress(KeyError, RatingError):
            kept[name] = understood(furnace, known[name], text)
    return kept


def _range(furnace: Furnace, rating: RatingEntry, text: str) -> str:
    unit = _unit_at_end(furnace.entry.plate[rating.plate])
    if " to " in text:
        low, high = parse_range(text, unit.dimension)
    else:
        low, high = _around(rating, parse_as(text, unit.dimension))
    _possible(middle((low, high)), middle(furnace.plate[rating.plate]), furnace, rating)
    return f"{unit.from_si(low):.4g} to {unit.from_si(high):.4g} {unit.name}"


def _around(rating: RatingEntry, figure: float) -> tuple[float, float]:
    if rating.up_to:
        return 0.0, figure
    share = parse_as(rating.around, "fraction") if rating.around else 0.0
    return figure * (1.0 - share), figure * (1.0 + share)


LARGEST = 4.0
"""A furnace of a type may be so many times as large, or as small, as the model has it."""


def _possible(new: float, old: float, furnace: Furnace, rating: RatingEntry) -> None:
    if not old / LARGEST <= new <= old * LARGEST:
        raise RatingError(
            f"that is far from a furnace of this type ({by_model(furnace, rating)}); "
            "read it again, with its unit"
        )


def _choice(furnace: Furnace, rating: RatingEntry, text: str) -> str:
    what, known = wrong_choice(furnace.entry, rating.option, text)
    if what:
        raise RatingError(f"{text[:40]!r} is no {what}; {suggestion(text, known)}")
    return text


def _value(furnace: Furnace, rating: RatingEntry, text: str) -> str:
    part, _, value = rating.value.partition(".")
    spec = KINDS[furnace.parts[part].kind].values[value]
    figure, old = parse_as(text, spec.dimension), furnace.parts[part].values[value]
    if not isinstance(old, str):
        _possible(figure, old, furnace, rating)
    return text


def _unit_at_end(text: str) -> Unit:
    """The unit at the end of a range such as `3.2 to 3.8 inwc`; UnitError if it has none."""
    match = _UNIT.fullmatch(text)
    if match is None or match[1] not in UNITS:
        raise UnitError(f"{text!r} ends in no unit", "write a unit such as inwc behind it")
    return UNITS[match[1]]


def middle(limits: tuple[float, float]) -> float:
    """The middle of a range."""
    return sum(limits) / 2.0


# --- what it makes of the model ---------------------------------------------------


def as_read(entry: FurnaceEntry, ratings: Mapping[str, RatingEntry], read: Read) -> FurnaceEntry:
    """The entry with what was read off the furnace instead of what stands in it."""
    for rating, text in _of(entry, ratings, read):
        if rating.plate:
            entry = replace_entry(entry, plate={**entry.plate, rating.plate: text})
        elif rating.option:
            entry = with_choice(entry, rating.option, text)
        else:
            part, _, value = rating.value.partition(".")
            fitted = entry.parts[part]
            own = replace_entry(fitted, values={**fitted.values, value: text})
            entry = replace_entry(entry, parts={**entry.parts, part: own})
    return entry


def _of(
    entry: FurnaceEntry, ratings: Mapping[str, RatingEntry], read: Read
) -> Iterator[tuple[RatingEntry, str]]:
    if read.furnace == entry.id:
        for name, text in read.figures.items():
            if name in ratings:
                yield ratings[name], text


def scaled(
    entry: FurnaceEntry,
    before: FurnaceEntry,
    parts: Mapping[str, Part],
    parts_before: Mapping[str, Part],
    ratings: Mapping[str, RatingEntry],
    read: Read,
) -> dict[str, Part]:
    """The parts of a furnace whose entry was `before`, scaled by what was read off it."""
    found = dict(parts)
    for rating, _ in _of(before, ratings, read):
        grown = _grown(rating, entry, before, parts, parts_before)
        for place, power in rating.scales.items():
            for part, value in _figures_at(entry, found, place):
                found[part] = _times(found[part], value, grown**power)
    return found


def _grown(
    rating: RatingEntry,
    entry: FurnaceEntry,
    before: FurnaceEntry,
    parts: Mapping[str, Part],
    parts_before: Mapping[str, Part],
) -> float:
    """The new figure over the old one; 1 where it is none."""
    if rating.plate:
        dimension = _unit_at_end(before.plate[rating.plate]).dimension
        old = middle(parse_range(before.plate[rating.plate], dimension))
        return middle(parse_range(entry.plate[rating.plate], dimension)) / old
    part, _, value = rating.value.partition(".")
    if not rating.value or isinstance(parts[part].values[value], str):
        return 1.0
    return float(parts[part].values[value]) / float(parts_before[part].values[value])


def _figures_at(
    entry: FurnaceEntry, parts: Mapping[str, Part], place: str
) -> list[tuple[str, str]]:
    """(part, value) of one value, or of all of a dimension along a way and where it leaks."""
    where, _, what = place.partition(".")
    ways = {
        "combustion-air": [*entry.combustion_air, *entry.leaks.values()],
        "house-air": entry.house_air,
        "gas-train": entry.gas_train,
    }
    if where not in ways:
        return [(where, what)] if where in parts else []
    return [
        (name, value)
        for name in ways[where]
        if name in parts
        for value, spec in KINDS[parts[name].kind].values.items()
        if spec.dimension == what
    ]


def _times(part: Part, value: str, factor: float) -> Part:
    old = part.values.get(value)
    if old is None or isinstance(old, str):
        return part
    return replace(part, values={**part.values, value: old * factor})


# --- bands that follow the rating plate -------------------------------------------


def plate_in_place(furnace: Furnace) -> dict[str, str]:
    """The ranges of the plate as they hold where the furnace stands.

    The input is printed for sea level; a fixed orifice passes less where the air is thin.
    """
    plate, altitude = furnace.entry.plate, furnace.site.get("altitude", 0.0)
    if not altitude or "input" not in plate:
        return plate
    unit = _unit_at_end(plate["input"])
    low, high = (
        unit.from_si(each) * orifice_share(altitude)
        for each in parse_range(plate["input"], unit.dimension)
    )
    return {**plate, "input": f"{low:.4g} to {high:.4g} {unit.name}"}


def of_plate(text: str, plate: Mapping[str, str], parts: Mapping[str, Part]) -> str:
    """A band with its figures for `plate.NAME.low`, `plate.NAME.high` and `PART.VALUE`.

    They are told in the unit that stands at the end of the band. KeyError for what the
    furnace does not have, UnitError if the unit is none of that figure.
    """

    def figure(match: re.Match[str]) -> str:
        name, end, part, value, sign, given = match.groups()
        unit = _unit_at_end(text)
        if name:
            si = parse_range(plate[name], unit.dimension)[end == "high"]
        else:
            si = _figure(parts[part], value, unit)
        number = unit.from_si(si) + (float(f"{sign}{given}") if given else 0.0)
        return f"{number:.6g}"

    return _PLACE.sub(figure, text)


def _figure(part: Part, value: str, unit: Unit) -> float:
    figure = part.values[value]
    dimension = KINDS[part.kind].values[value].dimension
    if isinstance(figure, str) or dimension != unit.dimension:
        raise UnitError(f"{part.id}.{value} is not told in {unit.name}", "write its own unit")
    return figure
