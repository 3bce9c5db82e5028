"""Why this check, and why this suspect rather than that one."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from lightoff.engine.reasoning.belief import (
    Belief,
    Finding,
    counted,
    in_table_order,
    log_likelihood,
    log_not_cured,
    log_prior,
)
from lightoff.engine.reasoning.choice import assess
from lightoff.engine.reasoning.costs import Costs, Setup
from lightoff.engine.reasoning.repairing import repair_probabilities
from lightoff.engine.reasoning.table import Floats

LEADING = 3
"""How many repairs are shown per outcome."""


@dataclass(frozen=True, slots=True)
class AfterOutcome:
    """What one outcome of a check would leave."""

    outcome: str
    chance: float
    leading: tuple[tuple[str, float], ...]
    """The likeliest repairs then, with their probabilities."""


@dataclass(frozen=True, slots=True)
class WhyCheck:
    """What a check would tell, and at what price in minutes."""

    check: str
    gain: float
    """Share of the EC2 weight it is expected to cut, 0 to 1."""
    minutes: float
    repair_now: float
    repair_after: float
    outcomes: tuple[AfterOutcome, ...]


@dataclass(frozen=True, slots=True)
class Weight:
    """What one piece of evidence says for suspect a against suspect b."""

    evidence: Finding | str
    """A finding, the id of a repair that did not cure, or "prior"."""
    decibans: float
    """10 * log10 of the likelihood ratio: above zero for a, below for b."""


def why_check(belief: Belief, costs: Costs, check: str, setup_now: Setup) -> WhyCheck:
    """What each outcome of a check would do; KeyError if the table lacks the check."""
    chances = belief.table.likelihood[belief.table.rows(check)] @ belief.probabilities
    index = belief.table.checks.index(check)
    figures = assess(belief, costs, setup_now)
    return WhyCheck(
        check=check,
        gain=float(figures.gains[index]),
        minutes=float(figures.minutes[index]),
        repair_now=figures.repair_now,
        repair_after=float(figures.repair_after[index]),
        outcomes=tuple(
            _after(belief, check, outcome, float(chance))
            for outcome, chance in zip(belief.table.outcomes[index], chances, strict=True)
        ),
    )


def _after(belief: Belief, check: str, outcome: str, chance: float) -> AfterOutcome:
    if chance <= 0.0:
        return AfterOutcome(outcome, 0.0, ())
    then = repair_probabilities(belief.given(Finding(check, outcome)))
    return AfterOutcome(outcome, chance, tuple(then.items())[:LEADING])


def weights_of(belief: Belief, a: str, b: str) -> tuple[Weight, ...]:
    """Weight of evidence for hypothesis a against b, piece by piece (I. J. Good).

    The decibans add up to 10 * log10 of P(a) / P(b). KeyError for an unknown hypothesis.
    """
    table = belief.table
    answers = counted(belief.findings)
    pieces: list[tuple[Finding | str, Floats]] = [("prior", log_prior(table))]
    for check in in_table_order(table, answers):
        pieces.append((answers[check], log_likelihood(table, answers[check])))
    for repair in sorted(set(belief.repaired)):
        pieces.append((repair, log_not_cured(table, repair)))
    first, second = _index(belief, a), _index(belief, b)
    return tuple(
        Weight(evidence, _decibans(float(logs[first]), float(logs[second])))
        for evidence, logs in pieces
    )


def _decibans(log_a: float, log_b: float) -> float:
    # Two impossible hypotheses are equally impossible: inf - inf would be no number.
    return 0.0 if log_a == log_b else 10.0 * (log_a - log_b) / float(np.log(10.0))


def _index(belief: Belief, hypothesis: str) -> int:
    for index, candidate in enumerate(belief.table.hypotheses):
        if candidate.id == hypothesis:
            return index
    raise KeyError(hypothesis)
