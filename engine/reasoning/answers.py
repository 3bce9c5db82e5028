"""What a person typed -> the outcome of a check, or a plain reason why it cannot be."""

from __future__ import annotations

from lightoff.engine import units
from lightoff.engine.model import NOT_REACHED, Check, Outcome
from lightoff.engine.outcomes import outcome_index
from lightoff.engine.reasoning.belief import Finding

BARE_UNIT = {
    "voltage": "V",
    "current": "A",
    "resistance": "ohm",
    "pressure": "inwc",
    "temperature": "F",
    "temperature-rise": "F rise",
    "time": "s",
    "length": "in",
    "fraction": "%",
    "power": "kBtu/h",
}
"""The unit meant by a bare number, by dimension: the one an instrument shows."""

ENDLESS = frozenset({"ol", "o.l", "o.l.", "open", "infinite", "inf", "no reading"})
"""What people write for a meter that shows no continuity."""

DONT_KNOW = frozenset({"?", "dont-know", "don't know", "dont know"})

MAY_BE_NEGATIVE = frozenset({"pressure", "temperature"})

HIGHEST = {
    "voltage": 1_000.0,
    "current": 200.0,
    "pressure": 60_000.0,
    "temperature": 2_300.0,
    "fraction": 1.0,
    "time": 86_400.0,
    "power": 150_000.0,
}
"""Readings above these (SI units) are slips of the pen, not readings (common practice)."""

COLDEST = 200.0
"""Kelvin; no furnace stands in air as cold as that."""

HIGHEST_FLAME_CURRENT = 1e-3
"""Amperes; a thousand times what a flame rod carries at best."""

OXYGEN_IN_AIR = 0.21
"""Share of oxygen in dry air, rounded up: no flue gas holds more, nor more CO2."""

LONGEST_QUOTED = 40


class ReadingError(ValueError):
    """An answer that cannot be; `str` says why and what to type instead."""


def understand(check: Check, text: str) -> Finding:
    """The finding that an answer means; raises ReadingError.

    "Don't know"; an outcome by name or `#number`, by bare number where no figure is read;
    or a reading, with its unit or in the unit the instrument shows.
    """
    entered = " ".join(text.split())
    if entered.lower() in DONT_KNOW:
        return Finding(check.id, None, entered)
    outcome = _named(check, entered)
    if outcome is None:
        if not reads_a_figure(check):
            raise ReadingError(f"{_quoted(entered)} is not among the answers; {_choices(check)}")
        outcome = check.outcomes[outcome_index(check, reading(check, entered))]
    return Finding(check.id, outcome.id, entered)


def reads_a_figure(check: Check) -> bool:
    """Whether the person reads a figure off an instrument; not what is seen or heard."""
    reads = check.entry.reads
    return bool(check.dimension) and reads.sight is None and reads.sound is None


def is_a_figure(check: Check, entered: str) -> bool:
    """Whether what was entered was read off an instrument, not an outcome that was named."""
    return reads_a_figure(check) and _holds_a_digit(entered) and "#" not in entered


def reading(check: Check, text: str) -> float:
    """A reading in SI units; ReadingError if it cannot be one of this check."""
    if check.dimension == "resistance" and text.lower() in ENDLESS:
        return float("inf")
    if not _holds_a_digit(text):
        unit = bare_unit(check)
        raise ReadingError(
            f"{_quoted(text)} is neither a reading nor an answer; "
            f"give a reading in {unit}, or {_choices(check, lead='')}"
        )
    try:
        value = units.parse_as(with_unit(check, text), check.dimension)
    except units.UnitError as error:
        raise ReadingError(_in_units_of(check, error)) from error
    return _possible(check, value, text)


def _in_units_of(check: Check, error: units.UnitError) -> str:
    """The complaint about an amount, with the units that this check can be read in."""
    if not error.what.endswith("is no unit"):
        return str(error)
    return f"{error.what}; give it in {', '.join(units.units_of(check.dimension))}"


def bare_unit(check: Check) -> str:
    """The unit meant where a person types a number alone; "" where no figure is read."""
    reads = check.entry.reads
    if not reads_a_figure(check):
        return ""
    if reads.microamps is not None:
        return "uA"
    return "ppm" if reads.flue == "co-air-free" else BARE_UNIT.get(check.dimension, "")


def is_bare_number(text: str) -> bool:
    """Whether a text is a number without a unit."""
    try:
        float(text)
    except ValueError:
        return False
    return _holds_a_digit(text)


def _holds_a_digit(text: str) -> bool:
    return any(character.isdecimal() for character in text)


def with_unit(check: Check, text: str) -> str:
    """A reading as it was typed, with the unit that was meant where a number stood alone."""
    return f"{text} {bare_unit(check)}".strip() if is_bare_number(text) else text


def _possible(check: Check, value: float, text: str) -> float:
    if value < 0 and check.dimension not in MAY_BE_NEGATIVE:
        raise ReadingError(f"{text} cannot be: a {check.dimension} is never below zero here")
    if check.dimension == "temperature" and value < COLDEST:
        raise ReadingError(f"{text} cannot be: no furnace is as cold as that; read it again")
    most = highest(check)
    if abs(value) > most:
        shown = units.show(most, check.dimension)
        raise ReadingError(f"{text} cannot be: nothing here reads over {shown}; read it again")
    return value


def highest(check: Check) -> float:
    """The highest reading that a check can give, SI units."""
    if check.entry.reads.microamps is not None:
        return HIGHEST_FLAME_CURRENT
    if check.entry.reads.flue in ("o2", "co2"):
        return OXYGEN_IN_AIR
    return HIGHEST.get(check.dimension, float("inf"))


def _named(check: Check, text: str) -> Outcome | None:
    number = text.removeprefix("#")
    if _is_count(number) and (text.startswith("#") or not reads_a_figure(check)):
        return _numbered(check, number)
    wanted = text.lower().replace(" ", "-")
    exact = [outcome for outcome in check.outcomes if outcome.id == wanted]
    begins = [outcome for outcome in check.outcomes if wanted and outcome.id.startswith(wanted)]
    found = exact or begins
    return found[0] if len(found) == 1 else None


def _is_count(text: str) -> bool:
    return text.isascii() and text.isdecimal()


def _numbered(check: Check, number: str) -> Outcome:
    index = int(number[:9]) - 1
    if not 0 <= index < len(check.outcomes):
        raise ReadingError(f"there is no answer {_clipped(number)}; {_choices(check)}")
    return check.outcomes[index]


def _quoted(text: str) -> str:
    return f"{_clipped(text)!r}" if text else "nothing"


def _clipped(text: str) -> str:
    return text if len(text) <= LONGEST_QUOTED else f"{text[:LONGEST_QUOTED]}..."


def _choices(check: Check, lead: str = "give ") -> str:
    names = [outcome.id for outcome in check.outcomes if outcome.id != NOT_REACHED]
    return f"{lead}one of: {', '.join(names)}"
