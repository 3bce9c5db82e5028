"""Two faults at once: hypotheses that are predicted on demand, the most promising first.

What a furnace with two faults shows is simulated with both of them, never put together
from the two alone: one fault may hide the other, and two may bring out what neither does.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import combinations
from time import monotonic

import numpy as np

from lightoff.engine.machine.plan import Plan
from lightoff.engine.machine.simulate import ChatterError
from lightoff.engine.model import Check, Fault, Furnace, Overrides
from lightoff.engine.reasoning.belief import NOT_CURED, Belief, Period, posterior
from lightoff.engine.reasoning.prediction import Traces, columns_of
from lightoff.engine.reasoning.table import Floats, Hypothesis, Places, Table

PAIR_SHARE = 0.04
"""Prior share of all pairs of faults together (from memory: on few calls are two things
wrong that both stop the heat)."""
MOST_HYPOTHESES = 2_500
"""In a table with pairs."""
AT_LEAST = 0.05
"""Chance that a pair is given for a finding that neither fault explains, before it is
simulated: the two together may bring it about."""
PROMISING = 0.15
"""A pair that at best has this share of the likeliest single fault is simulated although
nobody asked for it. Of jobs with a single fault none gets there with right answers, and
12 % do with 3 % wrong answers: then some finding does not fit."""
CANNOT_MATTER = 1e-3
"""Pairs that at best have this share of the best hypothesis are not simulated."""
NEGLIGIBLE = 1e-3
"""Simulated pairs that together have no more than this share are left out of the table."""
BATCH = 24
"""Pairs simulated before it is looked again whether more can matter."""


# --- which pairs there are --------------------------------------------------------


@dataclass(frozen=True, slots=True, eq=False)
class Candidates:
    """All pairs that may occur; arrays have shape (pairs,)."""

    first: Places
    """Columns of the first and the second fault alone in the table of single faults."""
    second: Places
    log_prior: Floats
    """On the scale of the priors of the table."""


def go_together(one: Fault, other: Fault) -> bool:
    """Whether two faults can be there at once: they do not change the same value of a part."""
    return one.overrides.keys().isdisjoint(other.overrides)


def candidates(furnace: Furnace, table: Table) -> Candidates:
    """The pairs of a furnace with their priors, which do not depend on what is simulated.

    A fault that comes and goes is in a pair only as showing: while it is hidden, the pair
    looks like the other fault alone.
    """
    showing = [
        (column, furnace.faults[each.faults[0]])
        for column, each in enumerate(table.hypotheses)
        if len(each.faults) == 1 and each.showing
    ]
    both = [(a, b) for (a, one), (b, other) in combinations(showing, 2) if go_together(one, other)]
    first, second = np.array(both, dtype=np.int64).reshape(-1, 2).T
    priors = np.array([each.prior for each in table.hypotheses])
    product = priors[first] * priors[second]
    share = PAIR_SHARE / (1.0 - PAIR_SHARE) * priors.sum()
    return Candidates(first, second, np.log(product) + np.log(share / product.sum()))


def hopes(belief: Belief, of: Candidates) -> Floats:
    """Log of the weight that each pair has at best, against all single faults together.

    As if each finding were brought about by that fault which explains it better, or by the
    two together with the chance `AT_LEAST`. `belief` is over the table of single faults.
    """
    priors = [each.prior for each in belief.origin.hypotheses]
    logs: Floats = of.log_prior - np.log(sum(priors)) - belief.log_evidence
    if belief.leanings is not None:
        logs = logs + belief.leanings[of.first] + belief.leanings[of.second]
    for period in belief.periods():
        logs = logs + _hopes_in(period, belief, of)
    return logs


def _hopes_in(period: Period, belief: Belief, of: Candidates) -> Floats:
    """Of one period: a fault that was repaired before it explains nothing found in it."""
    repairs = np.array([each.repair for each in belief.origin.hypotheses])
    gone = np.isin(repairs, belief.repaired[: period.repairs])
    both_gone = gone[of.first] & gone[of.second]
    logs = np.zeros(len(of.first))
    if period.not_cured is not None:
        # Both are repaired with this one: then a repair was done badly.
        before = np.isin(repairs, belief.repaired[: period.repairs - 1])
        logs[both_gone & ~(before[of.first] & before[of.second])] = np.log(NOT_CURED)
    for finding in period.findings:
        chances = belief.origin.row(finding.check, finding.outcome or "")
        one = np.where(gone[of.first] & ~both_gone, 0.0, chances[of.first])
        other = np.where(gone[of.second] & ~both_gone, 0.0, chances[of.second])
        logs += np.log(np.maximum(np.maximum(one, other), AT_LEAST))
    return logs


# --- predicting them --------------------------------------------------------------


class Pairs:
    """The pairs of one furnace: predicted when wanted, and kept."""

    def __init__(self, furnace: Furnace, checks: Mapping[str, Check], table: Table) -> None:
        self._table = table
        self._furnace = furnace
        self._checks = [checks[check] for check in table.checks]
        self._columns: dict[int, Floats | None] = {}
        """Pair -> P(outcome | pair), shape (outcome rows,); None if it cannot be simulated."""
        self._latest: tuple[object, Table] | None = None

    @cached_property
    def candidates(self) -> Candidates:
        """All pairs that may occur."""
        return candidates(self._furnace, self._table)

    @cached_property
    def _plan(self) -> Plan:
        return Plan(self._furnace)

    def table(self, belief: Belief, seconds: float = float("inf")) -> Table:
        """The table of single faults followed by the pairs that matter for what is known.

        `belief` is over the single faults. After `seconds` no more pairs are simulated.
        """
        key = belief.findings, belief.repaired, belief.call, _bytes(belief.leanings), seconds
        if self._latest is None or self._latest[0] != key:
            pairs, weights = self._simulated(belief, monotonic() + seconds)
            self._latest = (key, self._with(sorted(_that_matter(pairs, weights))))
        return self._latest[1]

    def are_promising(self, belief: Belief) -> bool:
        """Whether some pair may explain what is known far better than any single fault.

        `belief` is over the single faults.
        """
        best = float(belief.log_weights.max()) - belief.log_evidence
        hoped = float(hopes(belief, self.candidates).max(initial=-np.inf))
        return hoped > best + float(np.log(PROMISING))

    def _simulated(self, belief: Belief, until: float) -> tuple[list[int], list[float]]:
        """Pairs, best first, until no more can matter; and the log weight of each."""
        hoped = hopes(belief, self.candidates)
        order = np.argsort(-hoped, kind="stable")[: MOST_HYPOTHESES - len(self._table.hypotheses)]
        pairs: list[int] = []
        weights: list[float] = []
        best = float(belief.log_weights.max()) - belief.log_evidence
        for start in range(0, len(order), BATCH):
            batch = order[start : start + BATCH]
            if hoped[batch[0]] < best + np.log(CANNOT_MATTER) or monotonic() > until:
                break
            predicted = self._predicted(batch.tolist())
            pairs += predicted
            weights += self._weights(belief, predicted)
            best = max([best, *weights])
        return pairs, weights

    def _predicted(self, pairs: Sequence[int]) -> list[int]:
        """Those of some pairs that can be simulated; their columns are known then."""
        new = [pair for pair in pairs if pair not in self._columns]
        if new:
            self._predict(new)
        return [pair for pair in pairs if self._columns[pair] is not None]

    def _predict(self, pairs: Sequence[int]) -> None:
        # Traces are let go with the batch: those of thousands of pairs would fill the memory.
        traces = Traces(self._furnace, self._plan)
        furnaces = [self._overrides(pair) for pair in pairs]
        try:
            columns = columns_of(self._checks, furnaces, traces)
        except ChatterError:
            self._predict_one_by_one(pairs)
        else:
            self._columns.update(zip(pairs, columns.T, strict=True))

    def _predict_one_by_one(self, pairs: Sequence[int]) -> None:
        """A furnace that never settles with some two faults hides no other pair."""
        for pair in pairs:
            if len(pairs) == 1:
                self._columns[pair] = None
            else:
                self._predict([pair])

    def _overrides(self, pair: int) -> Overrides:
        faults = [self._furnace.faults[fault] for fault in self._hypothesis(pair).faults]
        return {place: value for fault in faults for place, value in fault.overrides.items()}

    def _hypothesis(self, pair: int) -> Hypothesis:
        one = self._table.hypotheses[self.candidates.first[pair]]
        other = self._table.hypotheses[self.candidates.second[pair]]
        # One order for the same two repairs, whichever of their faults are meant.
        repairs = sorted({one.repair, other.repair}, key=self._order_of_repairs.__getitem__)
        return Hypothesis(
            id=f"{one.id}+{other.id}",
            faults=(*one.faults, *other.faults),
            repair="+".join(repairs),
            prior=float(np.exp(self.candidates.log_prior[pair])),
        )

    @cached_property
    def _order_of_repairs(self) -> dict[str, int]:
        repairs = dict.fromkeys(each.repair for each in self._table.hypotheses)
        return {repair: place for place, repair in enumerate(repairs)}

    def _with(self, pairs: Sequence[int]) -> Table:
        """The table with the columns of some pairs behind those of the single faults."""
        columns = [column for pair in pairs if (column := self._columns[pair]) is not None]
        return replace(
            self._table,
            hypotheses=(*self._table.hypotheses, *map(self._hypothesis, pairs)),
            likelihood=np.column_stack([self._table.likelihood, *columns]),
        )

    def _weights(self, belief: Belief, pairs: Sequence[int]) -> list[float]:
        """Log weights of pairs that were predicted, against all single faults together."""
        leanings = belief.leanings
        if leanings is not None:
            first, second = self.candidates.first[pairs], self.candidates.second[pairs]
            leanings = np.concatenate([leanings, leanings[first] + leanings[second]])
        logs = posterior(
            self._with(pairs), belief.findings, belief.repaired, leanings, belief.call
        ).log_weights
        singles = len(self._table.hypotheses)
        return list((logs[singles:] - np.logaddexp.reduce(logs[:singles])).tolist())


def _bytes(leanings: Floats | None) -> bytes:
    return b"" if leanings is None else leanings.tobytes()


def _that_matter(pairs: Sequence[int], weights: Sequence[float]) -> list[int]:
    """The fewest pairs without which next to nothing is lost."""
    order = np.argsort(-np.array(weights), kind="stable")
    shares = np.exp(np.array([0.0, *weights]) - max([0.0, *weights]))
    lost = shares[1:].sum() - np.cumsum(shares[1:][order])
    kept = int((lost > NEGLIGIBLE * shares.sum()).sum()) + 1
    return [pairs[place] for place in order[:kept]]
