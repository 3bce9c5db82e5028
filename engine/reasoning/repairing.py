"""What repairing now is expected to cost: repairs in the best order until cured.

Kalagnanam & Henrion, arXiv 1304.2362; Heckerman, Breese, Rommelse, CACM 38(3), 1995.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from lightoff.engine.model import NO_FAULT, SOMETHING_ELSE
from lightoff.engine.reasoning.belief import Belief, repair_class
from lightoff.engine.reasoning.costs import REFER_MINUTES, VERIFY_MINUTES, Costs
from lightoff.engine.reasoning.table import Floats, Table

Indices = NDArray[np.int64]

NEGLIGIBLE = 1e-7
"""Probability under which a repair is left out of the plan: worth seconds at most."""


@dataclass(frozen=True, slots=True, eq=False)
class Repairs:
    """The repairs that the hypotheses of a table ask for."""

    ids: tuple[str, ...]
    member: Floats
    """Shape (hypotheses, repairs): 1 where the hypothesis asks for the repair."""


def repairs_of(table: Table) -> Repairs:
    """The distinct repairs of a table, in the order of its hypotheses."""
    asked = [repair_class(hypothesis) for hypothesis in table.hypotheses]
    ids = tuple(dict.fromkeys(asked))
    place = {repair: index for index, repair in enumerate(ids)}
    member = np.zeros((len(asked), len(ids)))
    member[np.arange(len(asked)), [place[repair] for repair in asked]] = 1.0
    return Repairs(ids, member)


def repair_probabilities(belief: Belief) -> dict[str, float]:
    """Repair -> probability that it is the one needed, likeliest first."""
    repairs = repairs_of(belief.table)
    shares = belief.probabilities @ repairs.member
    order = np.argsort(-shares, kind="stable")
    return {repairs.ids[index]: float(shares[index]) for index in order}


def repair_order(shares: Floats, minutes: Floats) -> Indices:
    """Repairs by probability per minute, best first, along the last axis.

    The best order as long as every repair is paid for and verified; it is not where the
    last suspect may be replaced unchecked.
    """
    return np.asarray(np.argsort(-shares / minutes, axis=-1, kind="stable"))


def expected_repair_cost(shares: Floats, minutes: Floats, cure: Floats | None = None) -> Floats:
    """Expected price of doing all repairs in the best order until cured, shape (...,).

    `shares` (..., repairs) are the probabilities that each repair cures; what they lack to
    1 is cured by none. Each repair costs `minutes` (repairs,) whether it cures or not, and
    `cure` (repairs,) on top if it does.
    """
    spent = _spent(shares, minutes, repair_order(shares, minutes))[..., -1]
    return spent if cure is None else np.asarray(spent + shares @ cure)


def referral_costs(shares: Floats, minutes: Floats, refer: float) -> Floats:
    """Expected price if the job is referred after the first k repairs in the best order.

    Shape (..., repairs + 1), k from 0. Referring costs `refer`, and the repair needed is
    paid for all the same.
    """
    order = repair_order(shares, minutes)
    in_order = np.take_along_axis(shares, order, axis=-1)
    not_cured = 1.0 - np.cumsum(in_order, axis=-1)
    unpaid = (shares @ minutes)[..., None] - np.cumsum(in_order * minutes[order], axis=-1)
    later = _spent(shares, minutes, order) + not_cured * refer + unpaid
    at_once = refer + (shares @ minutes)[..., None]
    return np.concatenate([at_once, later], axis=-1)


def _spent(shares: Floats, minutes: Floats, order: Indices) -> Floats:
    """Expected price of the first 1, 2, ... repairs in this order."""
    in_order = np.take_along_axis(shares, order, axis=-1)
    reached = 1.0 - np.cumsum(in_order, axis=-1) + in_order
    return np.asarray(np.cumsum(reached * minutes[order], axis=-1))


@dataclass(frozen=True, slots=True, eq=False)
class RepairPlan:
    """Prices of the repairs that can still be tried."""

    tried: Indices
    """Indices of these repairs."""
    minutes: Floats
    no_fault: Floats
    """1 at "no fault", which costs a verification call rather than a referral."""

    @classmethod
    def of(cls, belief: Belief, costs: Costs, repairs: Repairs) -> RepairPlan:
        closed = {NO_FAULT, SOMETHING_ELSE, *belief.repaired}
        shares = belief.probabilities @ repairs.member
        tried = [
            index
            for index, repair in enumerate(repairs.ids)
            if repair not in closed and shares[index] > NEGLIGIBLE
        ]
        minutes = [costs.repair_minutes[repairs.ids[index]] for index in tried]
        no_fault = [float(repair == NO_FAULT) for repair in repairs.ids]
        return cls(np.array(tried, dtype=np.int64), np.array(minutes), np.array(no_fault))

    def cost(self, shares: Floats) -> Floats:
        """Expected price of repairing until cured or better referred.

        Shape (...,) for shares of (..., repairs).
        """
        best = referral_costs(shares[..., self.tried], self.minutes, REFER_MINUTES).min(-1)
        return np.asarray(best - (shares @ self.no_fault) * (REFER_MINUTES - VERIFY_MINUTES))

    def known(self) -> Floats:
        """Price of each if it were known to be the one, shape (repairs,)."""
        return self.cost(np.eye(len(self.no_fault)))

    def first(self, shares: Floats) -> int:
        """Index of the repair to begin with; -1 if it is better to refer at once."""
        tried = shares[self.tried]
        stop_after = int(referral_costs(tried, self.minutes, REFER_MINUTES).argmin())
        return int(self.tried[repair_order(tried, self.minutes)[0]]) if stop_after else -1
