"""What single finding would change which repair leads: one still to come, or one made."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass

import numpy as np

from lightoff.engine.reasoning.belief import Belief, Finding
from lightoff.engine.reasoning.leave_out import normalised, outcome_place, without
from lightoff.engine.reasoning.planning.repairing import repair_probabilities, repairs_of
from lightoff.engine.reasoning.table import Floats


@dataclass(frozen=True, slots=True)
class Turn:
    """An outcome of a check not yet made, after which another repair leads."""

    check: str
    outcome: str
    chance: float
    leading: str
    """The repair that leads then, with its probability."""
    share: float


@dataclass(frozen=True, slots=True)
class Flip:
    """A finding, and the outcome with which another repair would lead."""

    finding: Finding
    outcome: str
    price: float
    """Decibans by which what was found was more to be expected than this outcome, given
    all the other evidence: below zero, the other outcome was the likelier one."""
    leading: str
    share: float


def turns(belief: Belief, repair: str, left_out: Collection[str] = ()) -> tuple[Turn, ...]:
    """Findings that would take the lead from a repair, or give it to it; likeliest first.

    Checks asked in this period do not count, nor those in `left_out`. `repair` may be the id of
    a hypothesis without a fault. KeyError if no hypothesis asks for it.
    """
    shares = repair_probabilities(belief)
    if repair not in shares:
        raise KeyError(repair)
    leads = next(iter(shares)) == repair
    closed = belief.asked | set(left_out)
    found = [
        turn
        for turn in _outcomes(belief)
        if turn.check not in closed and turn.chance > 0.0 and (turn.leading == repair) != leads
    ]
    return tuple(sorted(found, key=lambda turn: -turn.chance))


def _outcomes(belief: Belief) -> list[Turn]:
    """Every outcome of every check, with its chance and the repair that leads after it."""
    table, repairs = belief.table, repairs_of(belief.table)
    chances, shares = _divided(repairs.sums(table.likelihood * belief.probabilities))
    names = [
        (check, outcome)
        for check, outcomes in zip(table.checks, table.outcomes, strict=True)
        for outcome in outcomes
    ]
    return [
        Turn(check, outcome, float(chance), repairs.ids[int(row.argmax())], float(row.max()))
        for (check, outcome), chance, row in zip(names, chances, shares, strict=True)
    ]


def flips(belief: Belief) -> tuple[Flip, ...]:
    """Findings that, had they come out otherwise, would change which repair leads.

    Cheapest first: those that were least to be expected as against the other outcome.
    """
    leading = next(iter(repair_probabilities(belief)))
    found = [
        flip
        for finding in belief.weighed
        for flip in _otherwise(belief, finding)
        if flip.leading != leading
    ]
    return tuple(sorted(found, key=lambda flip: flip.price))


def _otherwise(belief: Belief, finding: Finding) -> list[Flip]:
    """Each other possible outcome of a finding, with the repair that would lead."""
    table, repairs = belief.table_of(finding), repairs_of(belief.table)
    outcomes = table.outcomes[table.checks.index(finding.check)]
    joint = table.likelihood[table.rows(finding.check)] * normalised(without(belief, finding))
    chances, shares = _divided(repairs.sums(joint))
    found = chances[outcome_place(table, finding)]
    return [
        Flip(
            finding,
            outcome,
            _decibans(found, chance),
            repairs.ids[int(row.argmax())],
            float(row.max()),
        )
        for outcome, chance, row in zip(outcomes, chances, shares, strict=True)
        if outcome != finding.outcome and chance > 0.0
    ]


def _decibans(chance: float, other: float) -> float:
    return float(10.0 * np.log10(chance / other)) if chance > 0.0 else float("-inf")


def _divided(joint: Floats) -> tuple[Floats, Floats]:
    """P(outcome), shape (outcomes,), and P(repair | outcome) from P(outcome, repair)."""
    chance = joint.sum(1)
    return chance, joint / np.where(chance > 0.0, chance, 1.0)[:, None]
