"""What many outcomes say together: right or wrong, checks and minutes, by area and by fault.

Every mean counts a fault by how often it occurs; a pair by the product of both.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from lightoff.engine.reasoning.study.sums import SAID, Case, Spent, Sums, Tally


@dataclass(frozen=True, slots=True)
class Figures:
    """Means over diagnoses; shares are 0 to 1, `price` in minutes as the advice counts it."""

    diagnoses: int
    right: float
    right_at_first: float
    right_in_the_end: float
    stopped: float
    checks: float
    measuring: float
    """Minutes of checks without their set-up."""
    setting_up: float
    repairing: float
    verifying: float
    price: float

    @property
    def minutes(self) -> float:
        """Minutes by the clock."""
        return self.measuring + self.setting_up + self.repairing + self.verifying


@dataclass(frozen=True, slots=True)
class Area:
    """The faults of one area of the furnace together, and the worst of them."""

    name: str
    faults: int
    figures: Figures
    worst: str
    worst_right: float
    worst_minutes: float


@dataclass(frozen=True, slots=True)
class Confused:
    """How often one repair was needed and another advised first."""

    needed: str
    advised: str
    times: int
    share: float
    """Of all diagnoses, by weight."""


@dataclass(frozen=True, slots=True)
class CheckTime:
    """What a check takes of a mean diagnosis."""

    check: str
    times: float
    minutes: float
    setup: float

    @property
    def all_minutes(self) -> float:
        return self.minutes + self.setup


@dataclass(frozen=True, slots=True)
class Said:
    """How often the first suspect was right where its probability was `low` to `high`."""

    low: float
    high: float
    diagnoses: int
    right: float
    """By weight."""


@dataclass(frozen=True, slots=True)
class OfCase:
    """The figures of one fault or pair."""

    faults: tuple[str, ...]
    area: str
    weight: float
    figures: Figures


@dataclass(frozen=True, slots=True)
class Summary:
    """All outcomes on one furnace."""

    furnace: str
    figures: Figures
    failed: int
    """Diagnoses that broke down; they count in no other figure."""
    areas: tuple[Area, ...]
    confused: tuple[Confused, ...]
    checks: tuple[CheckTime, ...]
    """Where the time of measuring goes, the dearest first."""
    said: tuple[Said, ...]
    cases: tuple[OfCase, ...]


Weighted = Sequence[tuple[Case, float]]
"""Cases, each with the share of one of its diagnoses in the mean."""


def summary_of(tally: Tally) -> Summary:
    """What a tally says; the figures are zero where nothing was diagnosed."""
    cases = [case for case in tally.cases() if case.sums.diagnoses]
    weighted = _weighted(cases)
    return Summary(
        furnace=tally.furnace.id,
        figures=_figures(weighted),
        failed=sum(sums.failed for sums in tally.sums.values()),
        areas=tuple(_areas(cases)),
        confused=tuple(_confused(weighted)),
        checks=tuple(_checks(weighted)),
        said=tuple(_said(weighted)),
        cases=tuple(OfCase(case.faults, case.area, case.weight, _own(case)) for case in cases),
    )


def figures_of(cases: Sequence[Case]) -> Figures:
    """The means over some faults or pairs; zero where nothing was diagnosed."""
    return _figures(_weighted([case for case in cases if case.sums.diagnoses]))


def _weighted(cases: Sequence[Case]) -> Weighted:
    total = sum(case.weight for case in cases)
    return [(case, case.weight / total / case.sums.diagnoses) for case in cases]


def _own(case: Case) -> Figures:
    return _figures(_weighted([case]))


def _figures(cases: Weighted) -> Figures:
    return Figures(
        diagnoses=sum(case.sums.diagnoses for case, _ in cases),
        right=_mean(cases, lambda sums: sums.right),
        right_at_first=_mean(cases, lambda sums: sums.right_at_first),
        right_in_the_end=_mean(cases, lambda sums: sums.right_in_the_end),
        stopped=_mean(cases, lambda sums: sums.stopped),
        checks=_mean(cases, lambda sums: sums.spent.times),
        measuring=_mean(cases, lambda sums: sums.spent.minutes),
        setting_up=_mean(cases, lambda sums: sums.spent.setup),
        repairing=_mean(cases, lambda sums: sums.repairing),
        verifying=_mean(cases, lambda sums: sums.verifying),
        price=_mean(cases, lambda sums: sums.price),
    )


def _mean(cases: Weighted, value: Callable[[Sums], float]) -> float:
    return sum(share * value(case.sums) for case, share in cases)


def _areas(cases: Sequence[Case]) -> Iterator[Area]:
    for name in dict.fromkeys(case.area for case in cases):
        own = [case for case in cases if case.area == name]
        figures = {case.name: _own(case) for case in own}
        worst = min(figures, key=lambda each: (figures[each].right, -figures[each].minutes))
        right, minutes = figures[worst].right, figures[worst].minutes
        yield Area(name, len(own), _figures(_weighted(own)), worst, right, minutes)


def _confused(cases: Weighted) -> list[Confused]:
    """The commonest first."""
    times: Counter[tuple[str, str]] = Counter()
    shares: dict[tuple[str, str], float] = {}
    for case, share in cases:
        for names, count in case.sums.confused.items():
            times[names] += count
            shares[names] = shares.get(names, 0.0) + share * count
    order = sorted(times, key=lambda names: (-times[names], -shares[names], names))
    return [Confused(*names, times[names], shares[names]) for names in order]


def _checks(cases: Weighted) -> list[CheckTime]:
    spent: dict[str, Spent] = {}
    for case, share in cases:
        for check, own in case.sums.checks.items():
            spent.setdefault(check, Spent()).add(own, share)
    checks = [CheckTime(check, own.times, own.minutes, own.setup) for check, own in spent.items()]
    return sorted(checks, key=lambda each: (-each.all_minutes, each.check))


def _said(cases: Weighted) -> Iterator[Said]:
    """For each class of the first suspect's probability, how often it was right."""
    for at, low in enumerate(SAID):
        high = SAID[at + 1] if at + 1 < len(SAID) else 1.0
        diagnoses = sum(case.sums.said[at] for case, _ in cases)
        if diagnoses:
            whole = sum(share * case.sums.said[at] for case, share in cases)
            right = sum(share * case.sums.said_right[at] for case, share in cases)
            yield Said(low, high, diagnoses, right / whole)
