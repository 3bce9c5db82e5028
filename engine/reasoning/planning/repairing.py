"""What repairing now is expected to cost: repairs in the best order until cured.

Kalagnanam & Henrion, arXiv 1304.2362; Heckerman, Breese, Rommelse, CACM 38(3), 1995.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass

import numpy as np

from lightoff.engine.model import NO_FAULT, SOMETHING_ELSE
from lightoff.engine.reasoning.belief import Belief, repair_class
from lightoff.engine.reasoning.planning.costs import (
    REFER_MINUTES,
    VERIFY_MINUTES,
    WRONG_REPAIR_MINUTES,
    Costs,
    Indices,
    price_of_repair,
)
from lightoff.engine.reasoning.planning.steady import ranked
from lightoff.engine.reasoning.table import Floats, Table


@dataclass(frozen=True, slots=True, eq=False)
class Repairs:
    """The repairs that the hypotheses of a table ask for."""

    ids: tuple[str, ...]
    number: Indices
    """Which of the repairs each hypothesis asks for, shape (hypotheses,)."""

    def sums(self, shares: Floats) -> Floats:
        """P(repair), shape (..., repairs), from P(hypothesis), shape (..., hypotheses)."""
        order = np.argsort(self.number, kind="stable")
        starts = np.searchsorted(self.number[order], np.arange(len(self.ids)))
        return np.asarray(np.add.reduceat(shares[..., order], starts, axis=-1))


def repairs_of(table: Table) -> Repairs:
    """The distinct repairs of a table, in the order of its hypotheses."""
    asked = [repair_class(hypothesis) for hypothesis in table.hypotheses]
    place = {repair: index for index, repair in enumerate(dict.fromkeys(asked))}
    return Repairs(tuple(place), np.array([place[each] for each in asked], dtype=np.int64))


def repair_probabilities(belief: Belief) -> dict[str, float]:
    """Repair -> probability that it is the one needed, likeliest first."""
    repairs = repairs_of(belief.table)
    shares = repairs.sums(belief.probabilities)
    order = ranked(-shares)
    return {repairs.ids[index]: float(shares[index]) for index in order}


def _best(rates: Floats, most: int) -> Indices:
    """Places of the highest rates along the last axis, highest first, at most so many."""
    return ranked(-rates)[..., :most]


MOST_TRIED = 8
"""Repairs tried on suspicion before giving up, at most."""
UNAFFORDABLE = 1e9
"""Price of a repair that is not to be tried (again)."""


@dataclass(frozen=True, slots=True, eq=False)
class RepairPlan:
    """Prices of trying repairs, and of giving up; arrays have shape (repairs,)."""

    ids: tuple[str, ...]
    minutes: Floats
    """Price of each repair if it cures."""
    wrong: float
    """On top if it does not cure."""
    give_up: Floats
    """Price of checking and trying nothing more if this is the repair needed: the job is
    referred, and the repair is paid for all the same."""

    @classmethod
    def of(cls, repairs: Sequence[str], costs: Costs, done: Collection[str] = ()) -> RepairPlan:
        """The prices of repairs; KeyError for a repair that has none."""
        minutes, give_up = [], []
        for repair in repairs:
            fault = repair not in {NO_FAULT, SOMETHING_ELSE}
            price = price_of_repair(costs, repair) if fault else 0.0
            minutes.append(UNAFFORDABLE if not fault or repair in done else price)
            nothing = VERIFY_MINUTES if repair == NO_FAULT else REFER_MINUTES
            # A repair that was done is not paid for a second time.
            give_up.append(nothing + (0.0 if repair in done else price))
        return cls(tuple(repairs), np.array(minutes), WRONG_REPAIR_MINUTES, np.array(give_up))

    def costs(self, shares: Floats) -> Floats:
        """Expected price of giving up after the first k repairs in the best order.

        Shape (..., k), k from 0 to at most `MOST_TRIED`, for shares of (..., repairs).
        """
        # A wrong repair costs `minutes + wrong`, a right one `wrong` less: the best order
        # is by probability over the former.
        prices = self.minutes + self.wrong
        order = _best(shares / prices, MOST_TRIED)
        in_order = np.take_along_axis(shares, order, axis=-1)
        not_tried = shares.sum(-1, keepdims=True) - np.cumsum(in_order, axis=-1)
        steps = (not_tried + in_order) * prices[order]
        steps -= in_order * (self.give_up + self.wrong)[order]
        given_up = (shares @ self.give_up)[..., None]
        return np.concatenate([given_up, given_up + np.cumsum(steps, axis=-1)], axis=-1)

    def cost(self, shares: Floats) -> Floats:
        """Expected price of repairing until cured or better given up, shape (...,)."""
        return np.asarray(self.costs(shares).min(axis=-1))

    def known(self) -> Floats:
        """Price of each if it were known to be the one, shape (repairs,)."""
        return np.minimum(self.minutes, self.give_up)

    def order(self, shares: Floats) -> Indices:
        """Repairs worth trying, best first, from P(repair) of shape (repairs,)."""
        order = _best(shares / (self.minutes + self.wrong), len(shares))
        affordable = (self.minutes[order] < UNAFFORDABLE) & (shares[order] > 0.0)
        return np.asarray(order[affordable])

    def only(self, kept: Indices) -> RepairPlan:
        """The same for some of its repairs."""
        ids = tuple(self.ids[each] for each in kept)
        return RepairPlan(ids, self.minutes[kept], self.wrong, self.give_up[kept])
