"""Outcomes of a study counted as they come in, by fault or pair."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field
from math import prod

from lightoff.engine.model import Furnace
from lightoff.engine.reasoning.study.outcome import Outcome

ONE_AREA, TWO_AREAS = "two in one area", "two in two areas"
"""What stands for the area of a pair."""

SAID = (0.0, 0.5, 0.8, 0.9, 0.95, 0.99)
"""Lower ends of the classes into which the first suspect's probability falls."""


@dataclass(slots=True)
class Spent:
    """How often a check was made, and the minutes it took."""

    times: float = 0.0
    minutes: float = 0.0
    setup: float = 0.0

    def add(self, other: Spent, weight: float = 1.0) -> None:
        self.times += weight * other.times
        self.minutes += weight * other.minutes
        self.setup += weight * other.setup


@dataclass(slots=True)
class Sums:
    """Outcomes of one fault or pair, added up."""

    diagnoses: int = 0
    failed: int = 0
    right: int = 0
    right_at_first: int = 0
    right_in_the_end: int = 0
    stopped: int = 0
    price: float = 0.0
    repairing: float = 0.0
    verifying: float = 0.0
    checks: dict[str, Spent] = field(default_factory=dict)
    confused: Counter[tuple[str, str]] = field(default_factory=Counter)
    """(what was needed, what was advised first) -> how often that was wrong."""
    said: Counter[int] = field(default_factory=Counter)
    said_right: Counter[int] = field(default_factory=Counter)
    """Class of the first suspect's probability -> how often, and how often it was right."""

    def add(self, outcome: Outcome) -> None:
        """Count one outcome; one that broke down counts as that alone."""
        if outcome.ended == "failed":
            self.failed += 1
            return
        self.diagnoses += 1
        self.right += outcome.right
        self.right_at_first += outcome.right_at_first
        self.right_in_the_end += outcome.right_in_the_end
        self.stopped += outcome.ended == "stopped"
        self.price += outcome.price
        self.repairing += outcome.repairing
        self.verifying += outcome.verifying
        for made in outcome.checks:
            spent = self.checks.setdefault(made.check, Spent())
            spent.add(Spent(1, made.minutes, made.setup))
        self._add_first_advice(outcome)

    def _add_first_advice(self, outcome: Outcome) -> None:
        if not outcome.right_at_first:
            self.confused["+".join(outcome.needed), outcome.advised_first] += 1
        if outcome.suspect:
            said = max(at for at, low in enumerate(SAID) if outcome.suspect_probability >= low)
            self.said[said] += 1
            self.said_right[said] += outcome.suspect_right

    @property
    def spent(self) -> Spent:
        """All checks together."""
        whole = Spent()
        for each in self.checks.values():
            whole.add(each)
        return whole


@dataclass(frozen=True, slots=True)
class Case:
    """One fault or pair, by ids: all its diagnoses. `weight`: how often it occurs."""

    faults: tuple[str, ...]
    area: str
    weight: float
    sums: Sums

    @property
    def name(self) -> str:
        return " + ".join(self.faults)


class Tally:
    """Outcomes on one furnace, counted as they come in any order."""

    def __init__(self, furnace: Furnace) -> None:
        self.furnace = furnace
        self.sums: dict[tuple[str, ...], Sums] = {}

    def add(self, outcome: Outcome) -> None:
        self.sums.setdefault(outcome.task.faults, Sums()).add(outcome)

    def cases(self) -> list[Case]:
        """The faults and pairs so far, in the order of the furnace's faults."""
        place = {fault: number for number, fault in enumerate(self.furnace.faults)}
        ids = sorted(self.sums, key=lambda faults: (len(faults), [place[each] for each in faults]))
        return [self._case(faults) for faults in ids]

    def _case(self, ids: tuple[str, ...]) -> Case:
        faults = [self.furnace.faults[each] for each in ids]
        areas = list(dict.fromkeys(self.furnace.parts[each.part].entry.area for each in faults))
        pair = ONE_AREA if len(areas) == 1 else TWO_AREAS
        area = pair if len(faults) > 1 else areas[0]
        return Case(ids, area, prod(each.entry.weight for each in faults), self.sums[ids])
