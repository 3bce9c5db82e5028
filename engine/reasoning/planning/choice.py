"""Which check next, or repair now: whatever is expected to cost least in the end.

Checks are ranked by what they separate of the hypotheses *that need different repairs*
(EC2: Golovin, Krause, Ray, arXiv 1010.3091) per minute; looking ahead (lookahead.py) says
which of the best to take, and when to stop.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from lightoff.engine.model import NO_FAULT, SOMETHING_ELSE
from lightoff.engine.reasoning.belief import Belief
from lightoff.engine.reasoning.planning.confidence import same_decision
from lightoff.engine.reasoning.planning.costs import Costs, Indices, Setup, all_minutes
from lightoff.engine.reasoning.planning.lookahead import Ways, look_ahead, priced, separation_in
from lightoff.engine.reasoning.planning.problem import Flags, Problem, problem_of
from lightoff.engine.reasoning.planning.repairing import repair_probabilities
from lightoff.engine.reasoning.planning.rollout import SEPARATES
from lightoff.engine.reasoning.planning.safer import safer_first
from lightoff.engine.reasoning.planning.steady import is_less, ranked, steady
from lightoff.engine.reasoning.table import Floats

WORTH_ASKING = 1.0
"""Minutes that a check must be expected to save: less is not worth a person's patience."""


@dataclass(frozen=True, slots=True, eq=False)
class Assessment:
    """The figures of one state; arrays have shape (checks,), prices are in minutes."""

    repairs: dict[str, float]
    """Repair -> probability that it is the one needed, likeliest first."""
    problem: Problem
    """What is looked ahead with: the likely hypotheses and all checks."""
    gains: Floats
    """Share of the EC2 weight that each check is expected to cut, 0 to 1."""
    minutes: Floats
    """Minutes of each check from the present set-up."""
    prices: Floats
    """The same with the minutes-equivalent of its hazards."""
    repair_now: float
    """Expected price of repairing now, in the best order, until cured or given up."""

    @property
    def leading(self) -> str:
        """The likeliest repair, or the id of the hypothesis without a fault that leads."""
        return next(iter(self.repairs))


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
    """What the runner-up is expected to cost more. Below zero where a test on live parts
    gave way to a safer check."""
    stays: float | None = None
    """Probability that the leading repair would still lead after all checks that are left
    (same-decision probability); None where a check is to be made."""


def assess(belief: Belief, costs: Costs, setup_now: Setup) -> Assessment:
    """All figures that the decision rests on, but for what looking ahead adds."""
    problem = problem_of(belief, costs, setup_now)
    minutes = all_minutes(costs, setup_now)
    return Assessment(
        repairs=repair_probabilities(belief),
        problem=problem,
        gains=separation_in(problem).gain_shares(problem.shares[None])[0],
        minutes=minutes,
        prices=minutes + costs.hazard_minutes,
        repair_now=float(problem.stop(problem.shares)),
    )


def decide(
    belief: Belief,
    costs: Costs,
    setup_now: Setup,
    left_out: Collection[str] = (),
    toolbox: Collection[str] | None = None,
    exact: bool = True,
) -> Decision:
    """What to do next: whatever is expected to cost least in the end.

    `left_out` are checks that may not or will not be done (skipped, or forbidden by a
    rule); `toolbox` holds the tools at hand, None for all. Without `exact`, few suspects
    are looked ahead for like many.
    """
    figures = assess(belief, costs, setup_now)
    open_ = candidates(belief, costs, figures, left_out, toolbox)
    ways = look_ahead(figures.problem, ranked_by_rate(figures, open_), exact)
    if ways.checks and is_less(ways.best_check, ways.stop - WORTH_ASKING):
        numbers = list(ways.checks)
        order = [numbers[place] for place in ranked(np.array(list(ways.checks.values())))]
        return _check_decision(belief, figures, ways, _safer(belief, costs, figures, order))
    return _repair_decision(figures, ways, np.flatnonzero(open_))


def look_further(
    belief: Belief,
    costs: Costs,
    setup_now: Setup,
    left_out: Collection[str] = (),
    toolbox: Collection[str] | None = None,
) -> Decision | None:
    """The check that tells most for its price, worth it or not; None if none tells anything."""
    figures = assess(belief, costs, setup_now)
    by_rate = ranked_by_rate(figures, candidates(belief, costs, figures, left_out, toolbox))
    order = _safer(belief, costs, figures, by_rate.tolist())
    if not order:
        return None
    return _check_decision(belief, figures, priced(figures.problem, by_rate, order[:2]), order)


def decision_for(belief: Belief, costs: Costs, setup_now: Setup, check: str) -> Decision:
    """The decision to make a certain check; ValueError if the table lacks it."""
    index = belief.table.checks.index(check)
    figures = assess(belief, costs, setup_now)
    open_ = ranked_by_rate(figures, candidates(belief, costs, figures))
    return _check_decision(belief, figures, priced(figures.problem, open_, [index]), [index])


def ranked_by_rate(figures: Assessment, chosen: Flags) -> Indices:
    """The chosen checks by EC2 weight cut per minute, best first."""
    indices = np.flatnonzero(chosen)
    rate = figures.gains[indices] / np.maximum(figures.prices[indices], np.finfo(float).tiny)
    return np.asarray(indices[ranked(-rate)])


def _safer(belief: Belief, costs: Costs, figures: Assessment, order: list[int]) -> list[int]:
    """A test on live parts gives way to a safer check that tells as much for like effort."""
    best_first = np.array(order, dtype=np.int64)
    live = np.array([belief.table.checks[index] in costs.live for index in order], dtype=np.bool_)
    moved: list[int] = safer_first(
        best_first, live, figures.gains[best_first], figures.minutes[best_first]
    ).tolist()
    return moved


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
    closed = belief.asked | set(left_out)
    can = [
        check not in closed and (toolbox is None or tools <= set(toolbox))
        for check, tools in zip(belief.table.checks, costs.tools, strict=True)
    ]
    result: Flags = np.array(can, dtype=np.bool_) & (steady(figures.gains) > SEPARATES)
    return result


def _check_decision(
    belief: Belief, figures: Assessment, ways: Ways, order: Sequence[int]
) -> Decision:
    best = order[0]
    second = order[1] if len(order) > 1 else None
    after = ways.checks
    return Decision(
        kind="check",
        check=belief.table.checks[best],
        repair=None,
        leading=figures.leading,
        probability=figures.repairs[figures.leading],
        repair_now=figures.repair_now,
        repair_after=after[best],
        gain=float(figures.gains[best]),
        minutes=float(figures.minutes[best]),
        runner_up=None if second is None else belief.table.checks[second],
        regret=None if second is None else after[second] - after[best],
    )


def _repair_decision(figures: Assessment, ways: Ways, left: Indices) -> Decision:
    stays = same_decision(figures.problem, left)
    if figures.leading == NO_FAULT:
        return _without_repair("nothing-found", figures, stays)
    if figures.leading == SOMETHING_ELSE or ways.repair is None:
        return _without_repair("refer", figures, stays)
    return Decision(
        kind="repair",
        check=None,
        repair=ways.repair,
        leading=figures.leading,
        probability=figures.repairs[ways.repair],
        repair_now=figures.repair_now,
        stays=stays,
    )


def _without_repair(
    kind: Literal["nothing-found", "refer"], figures: Assessment, stays: float
) -> Decision:
    probability = figures.repairs[figures.leading]
    return Decision(kind, None, None, figures.leading, probability, figures.repair_now, stays=stays)
