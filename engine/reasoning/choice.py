"""Which check next, or repair now.

A check is worth what it separates of the hypotheses *that need different repairs* (EC2:
Golovin, Krause, Ray, arXiv 1010.3091) per minute. Repairing now is worth its expected
minutes in the best order (repairing.py).
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from lightoff.engine.model import NO_FAULT, SOMETHING_ELSE
from lightoff.engine.reasoning.belief import Belief
from lightoff.engine.reasoning.costs import CALL_BACK_MINUTES, Costs, Setup, all_minutes
from lightoff.engine.reasoning.repairing import Indices, RepairPlan, Repairs, repairs_of
from lightoff.engine.reasoning.safer import safer_first
from lightoff.engine.reasoning.table import Floats, Table

Flags = NDArray[np.bool_]

CLEARLY_AHEAD = 0.9
"""Below this probability a repair is advised only when no check is worth its price."""
SEPARATES = 1e-3
"""Least share of the EC2 weight that a check must cut to be a candidate."""


@dataclass(frozen=True, slots=True, eq=False)
class Assessment:
    """The figures of one state; arrays have shape (checks,), prices are in minutes."""

    repairs: Repairs
    shares: Floats
    """P(repair is the one needed), shape (repairs,)."""
    gains: Floats
    """Share of the EC2 weight that each check is expected to cut, 0 to 1."""
    minutes: Floats
    """Minutes of each check from the present set-up."""
    prices: Floats
    """The same with the minutes-equivalent of its hazards."""
    repair_now: float
    """Expected price of repairing now, in the best order, until cured or referred."""
    repair_after: Floats
    """Expected price of one check and of repairing then."""
    repair_known: float
    """Expected price if the fault were known."""

    @property
    def leading(self) -> str:
        """The likeliest repair, or the id of the hypothesis without a fault that leads."""
        leading: int = int(self.shares.argmax())
        return self.repairs.ids[leading]


@dataclass(frozen=True, slots=True)
class Decision:
    """What to do next, with the figures that say why; prices in minutes.

    `check` is set for kind "check" only, `repair` for kind "repair" only.
    """

    kind: Literal["check", "repair", "nothing-found", "refer"]
    check: str | None
    repair: str | None
    leading: str
    probability: float
    """Of the repair advised, else of the leading one."""
    repair_now: float
    repair_after: float | None = None
    gain: float | None = None
    minutes: float | None = None
    runner_up: str | None = None
    regret: float | None = None
    """What the runner-up is expected to cost more, looking one step ahead. Below zero
    where EC2, which looks further, prefers a check that pays only later."""


def ec2_weight(shares: Floats) -> Floats:
    """EC2 weight of masses of shape (..., repairs): all pairs that need different repairs."""
    return np.asarray((shares.sum(-1) ** 2 - (shares**2).sum(-1)) / 2)


def ec2_gains(belief: Belief, repairs: Repairs | None = None) -> Floats:
    """EC2 weight that each check is expected to cut, shape (checks,).

    For answers without noise this is EC2 as published: what is left after an outcome is
    the weight of the posterior times the square of the share of hypotheses that allow the
    outcome. With noise the share is the effective one, (sum p L)^2 / sum p L^2 (own
    extension): the same where L is 0 or 1, and 1 where an outcome is equally likely under
    all. So a check that says nothing gains 0, and one that is not answered with chance d
    gains exactly (1 - d) of what it would.
    """
    return _gains(belief, joint_shares(belief, repairs or repairs_of(belief.table)))


def ec2_shares(belief: Belief) -> Floats:
    """Share of the EC2 weight that each check is expected to cut, shape (checks,), 0 to 1."""
    repairs = repairs_of(belief.table)
    weight = float(ec2_weight(belief.probabilities @ repairs.member))
    return np.asarray(ec2_gains(belief, repairs) / max(weight, np.finfo(float).tiny))


def _gains(belief: Belief, joint: Floats) -> Floats:
    chance, then = divided(joint)
    left = chance * effective_shares(belief) ** 2 * ec2_weight(then)
    first = slice(int(belief.table.start[0]), int(belief.table.start[1]))
    before = ec2_weight(joint[first].sum(0))
    return np.asarray(np.maximum(before - per_check(belief.table, left), 0.0))


def effective_shares(belief: Belief) -> Floats:
    """The share of hypotheses that allow each outcome, shape (outcome rows,), 0 to 1."""
    # Only ratios within a row count; scaled, the square of a tiny chance does not vanish.
    top = belief.table.likelihood.max(axis=1, keepdims=True)
    scaled = belief.table.likelihood / np.where(top > 0.0, top, 1.0)
    chance = scaled @ belief.probabilities
    spread = np.square(scaled) @ belief.probabilities
    return np.asarray(chance * (chance / np.where(spread > 0.0, spread, 1.0)))


def divided(joint: Floats) -> tuple[Floats, Floats]:
    """P(outcome), shape (outcome rows,), and P(repair | outcome) from P(outcome, repair)."""
    chance = joint.sum(1)
    return chance, joint / np.where(chance > 0.0, chance, 1.0)[:, None]


def joint_shares(belief: Belief, repairs: Repairs) -> Floats:
    """P(outcome, repair) given the findings, shape (outcome rows, repairs)."""
    joint: Floats = belief.table.likelihood @ (belief.probabilities[:, None] * repairs.member)
    return joint


def per_check(table: Table, rows: Floats) -> Floats:
    """Sums over the outcomes of each check: shape (outcome rows,) -> (checks,)."""
    sums: Floats = np.add.reduceat(rows, table.start[:-1])
    return sums


def assess(belief: Belief, costs: Costs, setup_now: Setup) -> Assessment:
    """All figures that the decision rests on."""
    repairs = repairs_of(belief.table)
    joint = joint_shares(belief, repairs)
    shares = belief.probabilities @ repairs.member
    weight = max(float(ec2_weight(shares)), np.finfo(float).tiny)
    gains = _gains(belief, joint) / weight
    minutes = all_minutes(costs, setup_now)
    prices = minutes + costs.hazard_minutes
    plan = RepairPlan.of(belief, costs, repairs)
    repair_now = float(plan.cost(shares))
    return Assessment(
        repairs=repairs,
        shares=shares,
        gains=gains,
        minutes=minutes,
        prices=prices,
        repair_now=repair_now,
        repair_after=prices + _repair_after(belief, plan, joint, gains, repair_now),
        repair_known=float(shares @ plan.known()),
    )


def _repair_after(
    belief: Belief, plan: RepairPlan, joint: Floats, gains: Floats, repair_now: float
) -> Floats:
    """Expected price of repairing after each check, shape (checks,).

    Only worked out for checks that separate something: the others change nothing.
    """
    separates = gains > SEPARATES
    rows = np.repeat(separates, np.diff(belief.table.start))
    chance, then = divided(joint[rows])
    weighted = np.zeros(len(rows))
    weighted[rows] = chance * plan.cost(then)
    return np.where(separates, per_check(belief.table, weighted), repair_now)


def decide(
    belief: Belief,
    costs: Costs,
    setup_now: Setup,
    left_out: Collection[str] = (),
    toolbox: Collection[str] | None = None,
) -> Decision:
    """What to do next.

    `left_out` are checks that may not or will not be done (skipped, or forbidden by a
    rule); `toolbox` holds the tools at hand, None for all.
    """
    figures = assess(belief, costs, setup_now)
    open_ = candidates(belief, costs, figures, left_out, toolbox)
    ranked = _ranked(belief, costs, figures, open_ & worthwhile(belief, figures))
    if not ranked.size:
        return _repair_decision(belief, costs, figures)
    return _check_decision(belief, figures, ranked)


def look_further(
    belief: Belief,
    costs: Costs,
    setup_now: Setup,
    left_out: Collection[str] = (),
    toolbox: Collection[str] | None = None,
) -> Decision | None:
    """The check that tells most for its price, worth it or not; None if none tells anything."""
    figures = assess(belief, costs, setup_now)
    ranked = _ranked(belief, costs, figures, candidates(belief, costs, figures, left_out, toolbox))
    return _check_decision(belief, figures, ranked) if ranked.size else None


def decision_for(belief: Belief, costs: Costs, setup_now: Setup, check: str) -> Decision:
    """The decision to make a certain check; ValueError if the table lacks it."""
    index = belief.table.checks.index(check)
    return _check_decision(belief, assess(belief, costs, setup_now), np.array([index]))


def _ranked(belief: Belief, costs: Costs, figures: Assessment, chosen: Flags) -> Indices:
    """The chosen checks by EC2 weight cut per minute, best first.

    A test on live parts is not the best where a safer check tells as much for comparable
    effort: then that one is.
    """
    indices = np.flatnonzero(chosen)
    rate = figures.gains[indices] / np.maximum(figures.prices[indices], np.finfo(float).tiny)
    ranked = np.asarray(indices[np.argsort(-rate, kind="stable")])
    live = np.array([belief.table.checks[index] in costs.live for index in ranked], dtype=np.bool_)
    return safer_first(ranked, live, figures.gains[ranked], figures.minutes[ranked])


def candidates(
    belief: Belief,
    costs: Costs,
    figures: Assessment,
    left_out: Collection[str] = (),
    toolbox: Collection[str] | None = None,
) -> Flags:
    """Which checks can still tell anything and can be done, shape (checks,).

    An answered check is no candidate, nor one answered "don't know": asked again, the
    same person knows no more.
    """
    closed = {finding.check for finding in belief.findings} | set(left_out)
    can = [
        check not in closed and (toolbox is None or tools <= set(toolbox))
        for check, tools in zip(belief.table.checks, costs.tools, strict=True)
    ]
    result: Flags = np.array(can) & (figures.gains > SEPARATES)
    return result


def worthwhile(belief: Belief, figures: Assessment) -> Flags:
    """Which checks are worth more than repairing now, shape (checks,).

    One step ahead is too short a look: with two checks that only together tell two repairs
    apart, neither makes repairing cheaper. So while no repair is clearly ahead, a check is
    also worth the share of the EC2 weight it cuts of all that could be saved.
    """
    pays: Flags = figures.repair_after < figures.repair_now
    if _ahead(belief, figures):
        return pays
    doubt = 1.0 - float(figures.shares.max())
    savable = figures.repair_now - figures.repair_known + doubt * CALL_BACK_MINUTES
    return pays | (figures.prices < figures.gains * savable)


def _ahead(belief: Belief, figures: Assessment) -> bool:
    return bool(figures.shares.max() >= CLEARLY_AHEAD) and figures.leading not in belief.repaired


def _check_decision(belief: Belief, figures: Assessment, ranked: Indices) -> Decision:
    best = int(ranked[0])
    second = int(ranked[1]) if ranked.size > 1 else None
    after = figures.repair_after
    return Decision(
        kind="check",
        check=belief.table.checks[best],
        repair=None,
        leading=figures.leading,
        probability=float(figures.shares.max()),
        repair_now=figures.repair_now,
        repair_after=float(after[best]),
        gain=float(figures.gains[best]),
        minutes=float(figures.minutes[best]),
        runner_up=None if second is None else belief.table.checks[second],
        regret=None if second is None else float(after[second] - after[best]),
    )


def _repair_decision(belief: Belief, costs: Costs, figures: Assessment) -> Decision:
    first = RepairPlan.of(belief, costs, figures.repairs).first(figures.shares)
    if _ahead(belief, figures):
        first = int(figures.shares.argmax())
    if figures.leading == NO_FAULT:
        return _without_repair("nothing-found", figures)
    if figures.leading == SOMETHING_ELSE or first < 0:
        return _without_repair("refer", figures)
    return Decision(
        kind="repair",
        check=None,
        repair=figures.repairs.ids[first],
        leading=figures.leading,
        probability=float(figures.shares[first]),
        repair_now=figures.repair_now,
    )


def _without_repair(kind: Literal["nothing-found", "refer"], figures: Assessment) -> Decision:
    probability = float(figures.shares.max())
    return Decision(kind, None, None, figures.leading, probability, figures.repair_now)
