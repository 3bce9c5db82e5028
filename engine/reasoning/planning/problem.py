"""What is left of a diagnosis, as arrays for looking ahead.

Unlikely hypotheses and checks that cannot be done are left out. The exact planner
(exact.py) and the rollout (rollout.py) both work on this and on nothing else.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from lightoff.engine.model import SOMETHING_ELSE
from lightoff.engine.reasoning.belief import Belief
from lightoff.engine.reasoning.planning.costs import (
    Costs,
    Indices,
    Setup,
    change_minutes,
    setup_arrays,
)
from lightoff.engine.reasoning.planning.repairing import RepairPlan, repairs_of
from lightoff.engine.reasoning.planning.steady import ranked
from lightoff.engine.reasoning.table import Floats

Flags = NDArray[np.bool_]

UNLIKELY = 1e-4
"""Probability that the hypotheses left out may have together."""
MOST_HYPOTHESES = 150
"""More are never looked ahead for: the likeliest are kept."""


@dataclass(frozen=True, slots=True, eq=False)
class Problem:
    """Suspects, checks with their prices, and what stopping costs.

    Hypotheses that need the same repair stand together. Prices are minutes-equivalents.
    """

    shares: Floats
    """P(hypothesis), shape (hypotheses,), sum 1."""
    first: Indices
    """First hypothesis of each repair, shape (repairs,)."""
    likelihood: Floats
    """P(outcome | hypothesis), shape (outcome rows, hypotheses)."""
    start: Indices
    """First row of each check, and the number of rows, shape (checks + 1,)."""
    checks: Indices
    """Number of each check in the table, shape (checks,)."""
    prices: Floats
    """Price of each check where its set-up is there already, shape (checks,)."""
    needs: Indices
    """State of each aspect of the set-up that a check needs, -1 for any: (checks, aspects)."""
    changes: Floats
    """Minutes to bring an aspect to a state, shape (aspects, states)."""
    setup: Indices
    """The states on now, shape (aspects,)."""
    arrival: Indices
    """The states on arrival, and after a repair, shape (aspects,)."""
    plan: RepairPlan

    @property
    def repairs(self) -> int:
        """How many different repairs the hypotheses need."""
        return len(self.first)

    @property
    def number(self) -> Indices:
        """Which repair each hypothesis needs, shape (hypotheses,)."""
        counts = np.diff(self.first, append=len(self.shares))
        return np.repeat(np.arange(self.repairs), counts)

    def by_repair(self, shares: Floats) -> Floats:
        """P(repair), shape (..., repairs), from P(hypothesis), shape (..., hypotheses)."""
        sums: Floats = np.add.reduceat(shares, self.first, axis=-1)
        return sums

    def stop(self, shares: Floats) -> Floats:
        """Price of checking no further, shape (...,), for shares of (..., hypotheses)."""
        return self.plan.cost(self.by_repair(shares))

    def known(self, shares: Floats) -> Floats:
        """Price if the truth were told for nothing: no way of going on is cheaper."""
        return np.asarray(self.by_repair(shares) @ self.plan.known())

    def setup_minutes(self, setup: Indices) -> Floats:
        """Minutes to change the set-up for each check: (..., aspects) -> (..., checks)."""
        return change_minutes(self.needs, self.changes, setup)

    def after(self, setup: Indices, check: Indices | int) -> Indices:
        """The set-up once checks are done, shapes (..., aspects) and (...,)."""
        needed = self.needs[check]
        return np.asarray(np.where(needed >= 0, needed, setup))

    def only(self, kept: Indices) -> Problem:
        """The same with some of its checks."""
        rows = [np.arange(self.start[check], self.start[check + 1]) for check in kept]
        counts = np.diff(self.start)[kept]
        every = np.concatenate(rows) if rows else np.zeros(0, dtype=np.int64)
        return replace(
            self,
            likelihood=self.likelihood[every],
            start=np.concatenate([[0], np.cumsum(counts)]).astype(np.int64),
            checks=self.checks[kept],
            prices=self.prices[kept],
            needs=self.needs[kept],
        )


def problem_of(
    belief: Belief, costs: Costs, setup_now: Setup, unlikely: float = UNLIKELY
) -> Problem:
    """What is left with these findings: all checks, and the likely hypotheses.

    Those left out may have a probability of `unlikely` together.
    """
    shares = belief.probabilities
    repairs = repairs_of(belief.table)
    kept = _likely(shares, unlikely)
    needed = repairs.number[kept]
    kept = kept[np.argsort(needed, kind="stable")]
    needed = np.sort(needed)
    first = np.flatnonzero(np.concatenate([[True], np.diff(needed) > 0]))
    plan = RepairPlan.of([repairs.ids[each] for each in needed[first]], costs, belief.repaired)
    arrays = setup_arrays(costs)
    return Problem(
        shares=shares[kept] / shares[kept].sum(),
        first=first,
        likelihood=_planned(belief, kept),
        start=belief.table.start,
        checks=np.arange(len(belief.table.checks)),
        prices=costs.minutes + costs.hazard_minutes,
        needs=arrays.needs,
        changes=arrays.changes,
        setup=arrays.states({**costs.start, **setup_now}),
        arrival=arrays.states(costs.start),
        plan=plan,
    )


def _planned(belief: Belief, kept: Indices) -> Floats:
    """P(outcome | hypothesis) to plan with, shape (outcome rows, kept hypotheses).

    Nobody can plan to find what is not modelled: there every answer is as likely as it is
    in all, so that no check is made only to tell it from the rest.
    """
    likelihood = belief.table.likelihood[:, kept]
    unknown = [belief.table.hypotheses[each].id == SOMETHING_ELSE for each in kept]
    shares = np.where(unknown, 0.0, belief.probabilities[kept])
    if not any(unknown) or not shares.any():
        return likelihood
    whole = likelihood @ (shares / shares.sum())
    return np.asarray(np.where(unknown, whole[:, None], likelihood))


def _likely(shares: Floats, unlikely: float) -> Indices:
    """The likeliest hypotheses that together leave out next to nothing."""
    order = ranked(-shares)
    enough = int(np.searchsorted(np.cumsum(shares[order]), 1.0 - unlikely)) + 1
    return np.sort(order[: min(enough, MOST_HYPOTHESES)])
