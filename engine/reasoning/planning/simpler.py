"""A smaller problem with the same best way on, as nearly as matters."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from lightoff.engine.reasoning.planning.costs import Indices
from lightoff.engine.reasoning.planning.problem import Problem
from lightoff.engine.reasoning.planning.steady import ranked
from lightoff.engine.reasoning.table import Floats

UNLIKELY_SUSPECTS = 0.005
"""Probability that the suspects left out may have together."""
UNLIKELY_ANSWER = 0.05
"""An answer less likely than this is a mistake: it happens, but is not planned for."""
ALIKE = 0.02
"""Two checks are alike if their answers are about as likely under every suspect."""


@dataclass(frozen=True, slots=True, eq=False)
class Simpler:
    """The smaller problem, and the checks left out because another tells as much."""

    problem: Problem
    doubles: dict[int, tuple[int, float]]
    """Number of a check in the table -> the one kept for it, and the minutes it is dearer."""


def simpler(problem: Problem, most: int) -> Simpler | None:
    """The likely suspects, and the checks that tell them apart; None if there are more."""
    kept = _likely(problem, most)
    if kept is None:
        return None
    few = _with_suspects(problem, kept)
    planned = np.where(few.likelihood < UNLIKELY_ANSWER, 0.0, few.likelihood)
    few = replace(few, likelihood=planned / _per_row(few, planned))
    checks, doubles = _distinct(few)
    return Simpler(few.only(checks), doubles)


def _likely(problem: Problem, most: int) -> Indices | None:
    order = ranked(-problem.shares)
    enough = int(np.searchsorted(np.cumsum(problem.shares[order]), 1.0 - UNLIKELY_SUSPECTS)) + 1
    return None if enough > most else np.sort(order[:enough])


def _with_suspects(problem: Problem, kept: Indices) -> Problem:
    number = problem.number[kept]
    starts = np.flatnonzero(np.diff(number, prepend=-1))
    return replace(
        problem,
        shares=problem.shares[kept] / problem.shares[kept].sum(),
        first=starts,
        likelihood=problem.likelihood[:, kept],
        plan=problem.plan.only(number[starts]),
    )


def _per_row(problem: Problem, likelihood: Floats) -> Floats:
    """Sum of each check's column, repeated for its rows: (outcome rows, hypotheses)."""
    sums = np.add.reduceat(likelihood, problem.start[:-1], axis=0)
    return np.asarray(np.repeat(sums, np.diff(problem.start), axis=0))


def _distinct(problem: Problem) -> tuple[Indices, dict[int, tuple[int, float]]]:
    """Checks that tell something, the cheapest of those that tell alike; and the others."""
    minutes = problem.prices + problem.setup_minutes(problem.setup)
    kept: dict[int, Floats] = {}
    doubles = {}
    for check in ranked(minutes).tolist():
        own = problem.likelihood[problem.start[check] : problem.start[check + 1]]
        own = own[own.max(1) > 0.0]
        own = own[np.lexsort(own.T)]
        if np.ptp(own, axis=1).max() < ALIKE:
            continue
        same = _alike(own, kept)
        if same is None:
            kept[check] = own
        else:
            dearer = float(minutes[check] - minutes[same])
            doubles[int(problem.checks[check])] = int(problem.checks[same]), dearer
    return np.array(sorted(kept), dtype=np.int64), doubles


def _alike(own: Floats, kept: dict[int, Floats]) -> int | None:
    for check, rows in kept.items():
        if own.shape == rows.shape and np.abs(own - rows).max() < ALIKE:
            return check
    return None
