"""How somebody gets on: what was practised, what is weak, and what comes next."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from statistics import fmean
from typing import TypeVar, get_args

from lightoff.engine.entries.scenarios import Level
from lightoff.engine.model import Scenario
from lightoff.engine.teaching.practice.store import Attempt
from lightoff.engine.teaching.practice.summary import Summary, read_summary

T = TypeVar("T")

LEVELS: tuple[str, ...] = get_args(Level)
GOOD, WEAK = 85.0, 60.0
"""Marks from which one goes a level up, and below which one goes a level down; the mean of
the last few attempts counts (from memory)."""
LAST = 3


@dataclass(frozen=True, slots=True)
class Closed:
    """An attempt that was closed."""

    attempt: Attempt
    summary: Summary

    @property
    def earned(self) -> float:
        """Its marks; none for unsafe work."""
        return self.summary.total if self.summary.safe else 0.0


def closed_of(attempts: Iterable[Attempt]) -> list[Closed]:
    """Those that were closed, oldest first; ValueError for a summary that is none."""
    return [Closed(each, read_summary(each.summary)) for each in attempts if each.summary]


def by_area(closed: Iterable[Closed]) -> dict[str, list[float]]:
    """Area -> marks in it, oldest first."""
    found: dict[str, list[float]] = defaultdict(list)
    for each in closed:
        for area in each.summary.areas:
            found[area].append(each.earned)
    return dict(found)


def weak_areas(closed: Sequence[Closed]) -> list[str]:
    """Areas whose last marks are below good, the weakest first."""
    means = {area: fmean(marks[-LAST:]) for area, marks in by_area(closed).items()}
    return sorted((area for area in means if means[area] < GOOD), key=means.__getitem__)


def level_of(closed: Sequence[Closed]) -> str:
    """The level that somebody should practise on now."""
    level = 0
    if closed:
        level = LEVELS.index(closed[-1].summary.level)
        same = [each.earned for each in closed if each.summary.level == LEVELS[level]]
        mean = fmean(same[-LAST:])
        level += (mean >= GOOD) - (mean < WEAK)
    return LEVELS[max(0, min(level, len(LEVELS) - 1))]


# --- the next one -----------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Shipped:
    """A scenario with the text of its file."""

    scenario: Scenario
    raw: bytes


@dataclass(frozen=True, slots=True)
class Chosen:
    """The scenario that comes next, and why in a sentence that gives nothing away."""

    what: Shipped
    why: str
    again: bool
    """It was practised before, and so was all that would suit as well."""


def choose_next(shipped: Sequence[Shipped], closed: Sequence[Closed]) -> Chosen:
    """The next one: nearest to the level, in a weak area if it can be, longest not practised.

    ValueError if there is none to choose from. The area is not said: it would be a hint.
    """
    if not shipped:
        raise ValueError("there are no scenarios")
    wanted = LEVELS.index(level_of(closed))
    weak = weak_areas(closed)
    last_done = {each.summary.scenario: number for number, each in enumerate(closed, start=1)}

    def order(each: Shipped) -> tuple[int, int, int, str]:
        areas = areas_of(each.scenario)
        rank = min((weak.index(area) for area in areas if area in weak), default=len(weak))
        off = abs(LEVELS.index(each.scenario.entry.level) - wanted)
        return off, last_done.get(each.scenario.id, 0), rank, each.scenario.id

    chosen = min(shipped, key=order)
    again = chosen.scenario.id in last_done
    why = f"Chosen for you: {chosen.scenario.id}, {chosen.scenario.entry.level}."
    return Chosen(chosen, why, again)


def areas_of(scenario: Scenario) -> tuple[str, ...]:
    """The areas of the furnace in which a scenario's faults are."""
    parts = scenario.furnace.parts
    return tuple(dict.fromkeys(parts[fault.part].entry.area for fault in scenario.faults))


# --- a class ----------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Standing:
    """How one person stands."""

    who: str
    attempts: int
    mean: float
    last: float
    unsafe: int
    weak: tuple[str, ...]


def standing_of(who: str, closed: Sequence[Closed]) -> Standing:
    """ValueError without attempts."""
    return Standing(
        who=who,
        attempts=len(closed),
        mean=fmean(each.earned for each in closed),
        last=closed[-1].earned,
        unsafe=sum(not each.summary.safe for each in closed),
        weak=tuple(weak_areas(closed)),
    )


def wasted_checks(closed: Iterable[Closed]) -> Mapping[str, int]:
    """Check -> how often it could tell nothing new, the most often first."""
    return _counted(check for each in closed for check in each.summary.useless)


def confused(closed: Iterable[Closed]) -> Mapping[tuple[str, str], int]:
    """(needed, blamed instead) -> how often, the most often first."""
    return _counted(
        (needed, blamed)
        for each in closed
        for needed in each.summary.needed
        for blamed in each.summary.blamed
        if needed not in each.summary.blamed and blamed not in each.summary.needed
    )


def _counted(things: Iterable[T]) -> dict[T, int]:

    return dict(Counter(things).most_common())
