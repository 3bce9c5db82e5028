"""How hard a scenario is, with what makes it so.

The parts: what the diagnosis is expected to cost from the start, what it costs somebody
who does not choose the checks, how unlikely the truth is at first, how many repairs look
likelier, and how much speaks for wrong ones half way.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from math import log2

from lightoff.engine.model import Scenario
from lightoff.engine.reasoning.belief import Belief
from lightoff.engine.reasoning.diagnosis import Diagnosis
from lightoff.engine.reasoning.planning.costs import VERIFY_MINUTES
from lightoff.engine.reasoning.planning.repairing import RepairPlan, repair_probabilities
from lightoff.engine.reasoning.play import Course, Played
from lightoff.engine.reasoning.table import repairs_in
from lightoff.engine.teaching.leverage import unchosen_minutes

LEAST = 1e-9
"""Probability below which the truth counts as no less likely."""


@dataclass(frozen=True, slots=True)
class Difficulty:
    """The figure and its parts; for two faults, of the repair that is harder to come by."""

    expected: float
    """Minutes that finding out is expected to cost the program at the start, wrong repairs
    included, beyond the repair needed. On the high side: from many suspects the program
    looks one check ahead and reckons with repairing after it."""
    searched: float
    """Minutes of checks with their set-up that it took the program in this scenario."""
    surprise: float
    """-log2 of the probability of what is needed at the start, bits; summed over repairs."""
    rank: int
    """Place of what is needed among all repairs at the start, 1 the likeliest."""
    wrong_half_way: float
    """Probability held by wrong repairs after half of the checks, 0 to 1."""
    unchosen: float
    """Mean minutes of somebody who makes the checks in any order; see leverage.py."""
    own: float
    """Minutes of the program's own steps, calls that prove repairs included."""

    @property
    def leverage(self) -> float:
        """How many times more it costs not to choose the checks, less one."""
        return self.unchosen / self.own - 1.0

    @property
    def figure(self) -> float:
        """All parts in one figure, weighed from memory: about 1 (plain) to 10 (hard)."""
        return (
            self.unchosen / 100.0
            + self.searched / 40.0
            + self.expected / 240.0
            + self.surprise / 16.0
            + log2(self.rank) / 12.0
            + self.wrong_half_way / 4.0
        )


def difficulty(scenario: Scenario, diagnosis: Diagnosis, course: Course) -> Difficulty | None:
    """The difficulty of what the program played; None if it was stopped before any step."""
    if not course.steps:
        return None
    needed = scenario.repairs
    first = course.steps[0]
    shares = repair_probabilities(first.belief)
    order = list(shares)
    return Difficulty(
        expected=_expected(diagnosis, first),
        searched=sum(step.minutes + step.setup for step in course.steps if step.finding),
        surprise=sum(-log2(max(shares.get(repair, 0.0), LEAST)) for repair in needed),
        rank=max(order.index(each) + 1 if each in shares else len(order) for each in needed),
        wrong_half_way=1.0 - share_of(_half_way(course), needed),
        unchosen=unchosen_minutes(scenario, diagnosis, first.belief),
        own=sum(map(_minutes, course.steps)),
    )


def _minutes(step: Played) -> float:
    proving = VERIFY_MINUTES if step.decision.repair else 0.0
    return step.minutes + step.setup + proving


def _expected(diagnosis: Diagnosis, first: Played) -> float:
    """Expected price of the program's own play, less that of the repairs if they were known."""
    decision, shares = first.decision, repair_probabilities(first.belief)
    whole = decision.repair_now if decision.repair_after is None else decision.repair_after
    known = RepairPlan.of(tuple(shares), diagnosis.costs).known()
    return whole - sum(
        share * float(price) for share, price in zip(shares.values(), known, strict=True)
    )


def _half_way(course: Course) -> Belief:
    """What was known before the step in the middle of the checks, or at the start."""
    checks = [step for step in course.steps if step.finding is not None] or [course.steps[0]]
    return checks[len(checks) // 2].belief


def share_of(belief: Belief, needed: Collection[str]) -> float:
    """Probability of what needs nothing but these repairs, 0 to 1."""
    return sum(
        share
        for repair, share in repair_probabilities(belief).items()
        if set(repairs_in(repair)) <= set(needed)
    )
