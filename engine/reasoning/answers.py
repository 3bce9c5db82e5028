"""What a person typed -> the outcome of a check, or a plain reason why it cannot be."""

from __future__ import annotations

from lightoff.engine import units
from lightoff.engine.model import NOT_REACHED, Check, Outcome
from lightoff.engine.reasoning.belief import Finding
from lightoff.engine.reasoning.prediction import outcome_index

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
}
"""The unit meant by a bare number, by dimension: the one an instrument shows."""

ENDLESS = frozenset({"ol", "o.l", "o.l.", "open", "infinite", "inf", "no reading"})
"""What people write for a meter that shows no continuity."""

MAY_BE_NEGATIVE = frozenset({"pressure", "temperature"})

HIGHEST = {"voltage": 1_000.0, "current": 200.0, "pressure": 60_000.0, "temperature": 2_300.0}
"""Readings above these (SI units) are slips of the pen, not readings (common practice)."""


class ReadingError(ValueError):
    """An answer that cannot be; `str` says why and what to type instead."""


def understand(check: Check, text: str) -> Finding:
    """The finding that an answer means; raises ReadingError.

    An outcome by name or `#number`; by bare number where no figure is read. Otherwise a
    reading, with its unit or in the unit the instrument shows.
    """
    entered = " ".join(text.split())
    outcome = _named(check, entered)
    if outcome is None:
        if not check.dimension:
            raise ReadingError(
                f"{entered or 'nothing'} is not among the answers; {_choices(check)}"
            )
        outcome = check.outcomes[outcome_index(check, reading(check, entered))]
    return Finding(check.id, outcome.id, entered)


def reading(check: Check, text: str) -> float:
    """A reading in SI units; ReadingError if it cannot be one of this check."""
    if check.dimension == "resistance" and text.lower() in ENDLESS:
        return float("inf")
    try:
        value = units.parse_as(_with_unit(check, text), check.dimension)
    except units.UnitError as error:
        raise ReadingError(f"{error}") from error
    return _possible(check, value, text)


def bare_unit(check: Check) -> str:
    """The unit meant where a person types a number alone."""
    reads = check.entry.reads
    if reads.microamps is not None:
        return "uA"
    if reads.flue == "co-air-free":
        return "ppm"
    if reads.sight is not None or reads.sound is not None:
        return BARE_UNIT[check.dimension] if check.dimension != "fraction" else ""
    return BARE_UNIT.get(check.dimension, "")


def _with_unit(check: Check, text: str) -> str:
    try:
        float(text)
    except ValueError:
        return text
    return f"{text} {bare_unit(check)}".strip()


def _possible(check: Check, value: float, text: str) -> float:
    if value < 0 and check.dimension not in MAY_BE_NEGATIVE:
        raise ReadingError(
            f"{text} cannot be: a {check.dimension} is never negative; read it again"
        )
    if check.dimension == "temperature" and value < 200.0:
        raise ReadingError(f"{text} cannot be: no furnace is as cold as that; read it again")
    highest = HIGHEST.get(check.dimension)
    if highest is not None and abs(value) > highest:
        shown = units.show(highest, check.dimension)
        raise ReadingError(f"{text} cannot be: over {shown} nothing here reads; read it again")
    return value


def _named(check: Check, text: str) -> Outcome | None:
    number = text.removeprefix("#")
    if number.isdecimal() and (text.startswith("#") or not check.dimension):
        index = int(number) - 1
        if not 0 <= index < len(check.outcomes):
            raise ReadingError(f"there is no answer {number}; {_choices(check)}")
        return check.outcomes[index]
    wanted = text.lower().replace(" ", "-")
    exact = [outcome for outcome in check.outcomes if outcome.id == wanted]
    begins = [outcome for outcome in check.outcomes if wanted and outcome.id.startswith(wanted)]
    found = exact or begins
    return found[0] if len(found) == 1 else None


def _choices(check: Check) -> str:
    names = [outcome.id for outcome in check.outcomes if outcome.id != NOT_REACHED]
    return f"give one of: {', '.join(names)}"
