"""A reading that a person tells unasked, between any two points in any step.

A reading that some check takes is an answer to that check. Any other becomes a check of
its own, with two outcomes: it reads about as was told, or it does not. The machine
predicts it like every other.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from lightoff.engine.entries.checks import CheckEntry, ReadsEntry
from lightoff.engine.library import readings
from lightoff.engine.library.checks import MISREAD
from lightoff.engine.model import SOMETHING_ELSE, Band, Check, Furnace, Outcome, Overrides
from lightoff.engine.reasoning.answers import ReadingError, bare_unit, is_bare_number, reading
from lightoff.engine.reasoning.diagnosis import Diagnosis
from lightoff.engine.reasoning.job import AS_READ, JobState, Quantity, Told
from lightoff.engine.reasoning.planning.costs import Costs
from lightoff.engine.reasoning.prediction import BEYOND_ANY_METER, predict, spread_of
from lightoff.engine.reasoning.table import Floats, Table

# --- a reading --------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Form:
    """How a quantity is told: how many places, in a step or not, with an example."""

    places: int
    timed: bool
    example: str
    reads: Callable[[tuple[str, ...], str], ReadsEntry]
    tools: tuple[str, ...] = ("meter",)


def _volts(places: tuple[str, ...], during: str) -> ReadsEntry:
    return ReadsEntry(volts=(places[0], places[1]), during=during)


def _pressure(places: tuple[str, ...], during: str) -> ReadsEntry:
    return ReadsEntry(pressure=(places[0], places[1]), during=during)


FORMS: Mapping[Quantity, Form] = {
    "volts": Form(2, True, "volts R C heating 24.5 V", _volts),
    "pressure": Form(
        2, True, "pressure ROOM COLLECTOR proving-draft 0.9 inwc", _pressure, ("manometer",)
    ),
    "amps": Form(
        1,
        True,
        "amps igniter igniter-warm-up 3.1 A",
        lambda places, during: ReadsEntry(amps=places[0], during=during),
    ),
    "microamps": Form(
        1,
        True,
        "microamps flame-sensor heating 2.1",
        lambda places, during: ReadsEntry(microamps=places[0], during=during),
    ),
    "ohms": Form(1, False, "ohms igniter 55 ohm", lambda places, _: ReadsEntry(ohms=places[0])),
    "seconds": Form(
        1,
        False,
        "seconds proving-draft 60 s",
        lambda places, _: ReadsEntry(seconds=places[0]),
        (),
    ),
}
"""What may be told with no check asking for it."""

FILLERS = frozenset({"and", "at", "between", "during", "in", "is", "of", "to"})
"""Words that people put between the others."""

VARIES: Mapping[str, float] = {
    "voltage": 0.05,
    "pressure": 0.15,
    "current": 0.15,
    "resistance": 0.2,
    "time": 0.25,
}
"""Natural variation of sound parts and houses, as a share, by dimension (from memory)."""

LEAST_BAND: Mapping[str, float] = {
    "voltage": 2.0,
    "pressure": 25.0,
    "current": 0.1,
    "resistance": 1.0,
    "time": 3.0,
}
"""Half the width of "about as was told", at the least, in SI units (from memory)."""
LEAST_BAND_MICROAMPS = 0.3e-6

FIGURE_BY_CHANCE = 0.15
"""Chance that a fault that is not modelled shows about what was read (from memory)."""

SPREADS = 2.0
"""How many spreads a reading may lie off and still be about as was told."""


def is_reading(words: Sequence[str]) -> bool:
    """Whether the words begin with a quantity that can be told as a reading."""
    return bool(words) and words[0].lower() in FORMS


def understand_reading(furnace: Furnace, words: Sequence[str], time: str) -> Told:
    """A reading told as QUANTITY PLACES STEP VALUE; ReadingError says what is amiss."""
    quantity = next(each for each in FORMS if each == words[0].lower())
    form = FORMS[quantity]
    said = [word for word in words[1:] if word.lower() not in FILLERS]
    needed = form.places + form.timed
    if len(said) <= needed:
        raise ReadingError(f"something is missing; tell it as: t {form.example}")
    places, during = _where(furnace, quantity, words)
    check = _check(furnace, quantity, places, during)
    entered = " ".join(said[needed:])
    if is_bare_number(entered):
        entered = f"{entered} {bare_unit(check)}"
    # A meter that shows no continuity is put down as a number, which a journal can hold.
    value = min(reading(check, entered), BEYOND_ANY_METER)
    return Told(
        time=time, quantity=quantity, places=places, during=during, value=value, entered=entered
    )


def _place(furnace: Furnace, quantity: Quantity, word: str) -> str:
    if FORMS[quantity].places == 2:
        return word.upper()
    part, slash, branch = word.lower().partition("/")
    known = furnace.sequence.steps if quantity == "seconds" else furnace.parts
    return _named(part, known) + slash + branch


def _named(word: str, known: Iterable[str]) -> str:
    """The name that a word means: itself, or the only one that begins so."""
    wanted = word.lower()
    names = list(known)
    begins = [name for name in names if name.startswith(wanted)]
    return begins[0] if wanted not in names and len(begins) == 1 else wanted


def _check(furnace: Furnace, quantity: Quantity, places: tuple[str, ...], during: str) -> Check:
    """The check that reads this quantity there, with no outcomes yet."""
    reads = FORMS[quantity].reads(places, during)
    try:
        dimension = readings.reading(reads, furnace).dimension
    except readings.ReadingError as error:
        raise ReadingError(f"{error.what}; {error.mend}") from error
    where = " to ".join(places) + (f" in {during}" if during else "")
    entry = CheckEntry(
        id="told",
        area="told",
        by="meter",
        ask=f"{quantity.capitalize()}, {where}?",
        how=[],
        reads=reads,
        outcomes={},
        minutes=0.0,
        source="from-memory",
    )
    return Check(
        id="told",
        entry=entry,
        outcomes=(),
        dimension=dimension,
        trying={},
        varies=VARIES[dimension],
        misread=MISREAD["meter"],
        setup={},
    )


def bare_check(furnace: Furnace, told: Told) -> Check:
    """The check that takes a reading, with no outcomes; ReadingError for an unknown place."""
    return _check(furnace, told.quantity, told.places, told.during)


def understand_places(furnace: Furnace, words: Sequence[str], time: str) -> Told:
    """What is to be read, told as QUANTITY PLACES STEP; its value is 0 until it is."""
    quantity = next(each for each in FORMS if each == words[0].lower())
    zero = f"0 {bare_unit(_check(furnace, quantity, *_where(furnace, quantity, words)))}"
    return understand_reading(furnace, [*words, *zero.split()], time)


def _where(
    furnace: Furnace, quantity: Quantity, words: Sequence[str]
) -> tuple[tuple[str, ...], str]:
    """The places and the step that the words behind a quantity name."""
    form = FORMS[quantity]
    said = [word for word in words[1:] if word.lower() not in FILLERS]
    if len(said) < form.places + form.timed:
        raise ReadingError(f"something is missing; say it as: {_without_figure(form)}")
    places = tuple(_place(furnace, quantity, word) for word in said[: form.places])
    during = _named(said[form.places], furnace.sequence.steps) if form.timed else ""
    return places, during


def _without_figure(form: Form) -> str:
    return " ".join(form.example.split()[: 1 + form.places + form.timed])


def check_that_reads(checks: Iterable[Check], told: Told) -> Check | None:
    """The check that takes just this reading, with nothing changed for a trial; None if none."""
    wanted = _same_reading(FORMS[told.quantity].reads(told.places, told.during))
    return next(
        (each for each in checks if _same_reading(each.entry.reads) == wanted),
        None,
    )


def _same_reading(reads: ReadsEntry) -> ReadsEntry:
    """The reading with the points of a voltage in one order: a meter shows no sign on AC."""
    if reads.volts is None or reads.after_trying:
        return reads
    first, second = sorted(reads.volts)
    return ReadsEntry(volts=(first, second), during=reads.during)


# --- a check of its own -----------------------------------------------------------


def check_of(furnace: Furnace, told: Told, doors_off: Overrides) -> Check:
    """The check that stands for a reading that no check takes.

    In a step it is read with the doors off, which holds the door switch in: `doors_off`.
    """
    bare = _check(furnace, told.quantity, told.places, told.during)
    half = _half_width(bare, told.value)
    about = Band(told.value - half, told.value + half)
    outcomes = (
        Outcome(AS_READ, about, told.entered),
        Outcome("otherwise", Band(otherwise=True), "something else"),
    )
    trying = doors_off if FORMS[told.quantity].timed else {}
    return replace(bare, id=told.check, outcomes=outcomes, trying=trying)


def doors_off(checks: Iterable[Check]) -> Overrides:
    """What taking the doors off does to the furnace, as the checks made so have it."""
    return next(
        (
            each.trying
            for each in checks
            if each.setup.get("door") == "off" and not each.entry.reads.after_trying
        ),
        {},
    )


def _half_width(check: Check, value: float) -> float:
    microamps = check.entry.reads.microamps is not None
    least = LEAST_BAND_MICROAMPS if microamps else LEAST_BAND[check.dimension]
    return max(least, SPREADS * float(spread_of(check, np.array([value]))[0]))


def equipped(diagnosis: Diagnosis, job: JobState) -> Diagnosis:
    """The diagnosis with the checks that stand for what was told in a job."""
    latest = {told.check: told for told in job.readings}
    if not latest:
        return diagnosis
    off = doors_off(diagnosis.checks.values())
    added = [check_of(diagnosis.furnace, told, off) for told in latest.values()]
    table = _longer(diagnosis.table, _neutral(predict(diagnosis.furnace, added)))
    checks = {**diagnosis.checks, **{check.id: check for check in added}}
    return replace(
        diagnosis,
        checks=checks,
        table=table,
        costs=_longer_costs(diagnosis.costs, len(added)),
        adviser=diagnosis.adviser.over(table, checks),
    )


def _neutral(table: Table) -> Table:
    """With the chance of each reading under a fault not modelled as for any one figure."""
    unknown = np.array([each.id == SOMETHING_ELSE for each in table.hypotheses])
    likelihood = table.likelihood.copy()
    for check in table.checks:
        rows = table.rows(check)
        likelihood[rows, unknown] = [[FIGURE_BY_CHANCE], [1.0 - FIGURE_BY_CHANCE]]
    return replace(table, likelihood=likelihood)


def _longer(table: Table, further: Table) -> Table:
    return replace(
        table,
        checks=table.checks + further.checks,
        outcomes=table.outcomes + further.outcomes,
        start=np.concatenate([table.start, table.start[-1] + further.start[1:]]),
        likelihood=np.vstack([table.likelihood, further.likelihood]),
    )


def _longer_costs(costs: Costs, further: int) -> Costs:
    nothing: Floats = np.zeros(further)
    return replace(
        costs,
        minutes=np.concatenate([costs.minutes, nothing]),
        setups=costs.setups + ({},) * further,
        hazard_minutes=np.concatenate([costs.hazard_minutes, nothing]),
        tools=costs.tools + (frozenset[str](),) * further,
    )
