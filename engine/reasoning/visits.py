"""What was read on one furnace in all the jobs on it, and how it moves.

A repair may move whatever it demands to be proved, so those readings begin anew with it;
so they do where something was not good and was put right on the spot.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np

from lightoff.engine import units
from lightoff.engine.model import Furnace
from lightoff.engine.reasoning.answers import ReadingError, reading, reads_a_figure
from lightoff.engine.reasoning.job import JobState
from lightoff.engine.reasoning.prediction import meter_spread
from lightoff.engine.reasoning.table import repairs_in
from lightoff.engine.service.drift import Drift, drift
from lightoff.engine.service.proving import Item, rests_on, touched

SOON = 10.0
"""Years to the end of what is good, up to which a drift without a meaning of its own is told
(from memory: about half the life of a furnace)."""


@dataclass(frozen=True, slots=True)
class Visit:
    """A job on the furnace as it stands; `id` is that of its journal, "" of the present one."""

    id: str
    job: JobState


def last_read(furnace: str, visits: Iterable[Visit]) -> tuple[tuple[str, str], ...]:
    """What was last read off a furnace itself, rating and figure; visits the oldest first."""
    read = [each.job.ratings for each in visits if each.job.furnace == furnace]
    return next((each for each in reversed(read) if each), ())


@dataclass(frozen=True, slots=True)
class Taken:
    """A reading as it was left in a visit; `value` in SI units."""

    visit: str
    day: date
    value: float
    entered: str
    anew: bool
    """Something that moves it was put right since the reading before."""


@dataclass(frozen=True, slots=True)
class Course:
    """All readings of one thing, the oldest first, and how those since the last repair move."""

    item: Item
    readings: tuple[Taken, ...]
    drift: Drift | None

    @property
    def meaning(self) -> str:
        """What this drift means and what to do about it; "" if nothing is known of it."""
        words = self.item.proof.drift
        if self.drift is None or words is None or not self.drift.per_year:
            return ""
        return words.falling if self.drift.is_falling else words.rising

    @property
    def matters(self) -> bool:
        """Whether the drift is to be pointed out."""
        if self.drift is None or not self.drift.is_clear:
            return False
        years = self.drift.years
        return bool(self.meaning) or (years is not None and years <= SOON)


def course_of(item: Item, furnace: Furnace, visits: Sequence[Visit]) -> Course:
    """What was read of one thing in visits to a furnace, given the oldest first."""
    found = [_taken(item, furnace, visit) for visit in visits if visit.job.furnace == furnace.id]
    readings = tuple(sorted((each for each in found if each), key=lambda each: each.day))
    anew = max((number for number, each in enumerate(readings) if each.anew), default=0)
    since = readings[anew:]
    moves = drift(
        [(each.day, each.value) for each in since],
        spread_between_visits(item, [each.value for each in since]),
        item.limits,
    )
    return Course(item, readings, moves)


def courses_of(
    items: Iterable[Item], furnace: Furnace, visits: Sequence[Visit]
) -> tuple[Course, ...]:
    """The same of all things of which figures are read, without those never read."""
    figures = (item for item in items if reads_a_figure(item.check))
    found = (course_of(item, furnace, visits) for item in figures)
    return tuple(course for course in found if course.readings)


def spread_between_visits(item: Item, values: Sequence[float]) -> float:
    """Standard deviation of a reading by the meter and by what varies by itself, SI units.

    The parts are the same from visit to visit, so how good parts differ does not count.
    """
    finite = [abs(value) for value in values if np.isfinite(value)]
    if not finite:
        return 0.0
    size = np.array([sum(finite) / len(finite)])
    words = item.proof.drift
    share = units.parse_as(words.varies, "fraction") if words and words.varies else 0.0
    return float(np.hypot(meter_spread(item.check, size), share * size)[0])


# --- one visit --------------------------------------------------------------------


def _taken(item: Item, furnace: Furnace, visit: Visit) -> Taken | None:
    """The reading that a visit left, None if there is none or its day is not known."""
    job = visit.job
    day = day_of(job)
    moved = _is_moved(item, furnace, job)
    figures = [
        (text, value) for text in _entered(item, job, moved) for value in _figure(item, text)
    ]
    if day is None or not figures:
        return None
    entered, value = figures[-1]
    return Taken(visit.id, day, value, entered, moved or _was_put_right(item, job))


def day_of(job: JobState) -> date | None:
    """The day on which a job began; None if its journal has no such day."""
    try:
        return date.fromisoformat(job.started[:10])
    except ValueError:
        return None


def _is_moved(item: Item, furnace: Furnace, job: JobState) -> bool:
    """Whether a repair of the job may have moved what is read."""
    last = repairs_in(job.to_prove or job.cured_by) if job.to_prove or job.cured_by else ()
    repairs = {*job.repaired, *last}
    return bool(repairs) and rests_on(item.proof, touched(furnace, repairs))


def _entered(item: Item, job: JobState, moved: bool) -> list[str]:
    """What was typed in a job for one thing, the last one last; nothing from before a repair."""
    cured = bool(job.to_prove or job.cured_by)
    found = [
        each.entered
        for each in job.findings
        if each.check == item.check.id
        and (not moved or (each.repairs == len(job.repaired) and not cured))
    ]
    return [*found, *(each.entered for each in job.proofs if each.check == item.check.id)]


def _figure(item: Item, entered: str) -> list[float]:
    """The value of what was typed; none if that is no figure."""
    try:
        return [reading(item.check, entered)]
    except ReadingError:
        return []


def _was_put_right(item: Item, job: JobState) -> bool:
    """Whether it was tried again after it was not good."""
    tried = [each.verdict for each in job.proofs if each.check == item.check.id]
    return "out" in tried[:-1]
