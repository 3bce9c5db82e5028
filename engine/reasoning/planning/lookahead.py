"""What each way on is expected to cost in the end: a check first, a repair first, stopping.

One-step rollout for the best few checks; exact dynamic programming once few suspects and
checks are left.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from lightoff.engine.reasoning.planning.costs import Indices
from lightoff.engine.reasoning.planning.exact import TooManyStatesError, solve
from lightoff.engine.reasoning.planning.problem import Problem
from lightoff.engine.reasoning.planning.rollout import (
    Nodes,
    after_checks,
    rollout,
    root,
    values,
)
from lightoff.engine.reasoning.planning.separation import Separation
from lightoff.engine.reasoning.planning.simpler import simpler
from lightoff.engine.reasoning.planning.steady import is_less, ranked, steady
from lightoff.engine.reasoning.table import Floats

MOST_CHECKS = 32
"""Checks looked ahead with: those that cut most EC2 weight per minute now."""
MANY_SUSPECTS = 20.0
"""Effective number of suspects above which the rule alone picks: the ways on from there are
too many to be worked out as far as it takes to better it (measured)."""
FIRSTS, FIRSTS_BY_PRICE = 5, 2
"""Checks tried as the first: the best by EC2 per minute, and the best one step ahead."""
FIRST_REPAIRS = 2
"""Repairs tried as the first: the best by probability over price."""
WORTH_TRYING = 0.2
"""Probability under which a repair is not looked ahead from: it will not be the first."""
FEW_SUSPECTS, FEW_CHECKS, FEW_STATES = 8, 8, 200
"""Up to so many the best way is worked out exactly."""


@dataclass(frozen=True, slots=True)
class Ways:
    """Expected price of each way on, minutes."""

    checks: dict[int, float]
    """Number of a check in the table -> price with it first."""
    stop: float
    """Price without a check now."""
    repair: str | None
    """The repair to begin with if no check is made; None to try none."""

    @property
    def best_check(self) -> float:
        return min(self.checks.values())


def look_ahead(problem: Problem, best_first: Indices, exact: bool = True) -> Ways:
    """The ways on from a problem of all checks, of which some may be done, best first."""
    some = problem.only(best_first[:MOST_CHECKS])
    if exact and (ways := _exactly(some)) is not None:
        return ways
    firsts, separation = _firsts(some), separation_in(some)
    prices = rollout(some, separation, firsts)
    checks = dict(zip(some.checks[firsts].tolist(), prices.tolist(), strict=True))
    return Ways(checks, *_stopping(some, separation))


def priced(problem: Problem, best_first: Indices, wanted: Sequence[int]) -> Ways:
    """What certain checks first are expected to cost, worked out as in looking ahead."""
    best = best_first[:MOST_CHECKS].tolist()
    some = problem.only(np.array([*best, *(each for each in wanted if each not in best)]))
    ways = _exactly(some)
    if ways is not None and set(wanted) <= ways.checks.keys():
        return replace(ways, checks={each: ways.checks[each] for each in wanted})
    firsts = np.array([some.checks.tolist().index(each) for each in wanted], dtype=np.int64)
    separation = separation_in(some)
    prices = rollout(some, separation, firsts)
    return Ways(dict(zip(wanted, prices.tolist(), strict=True)), *_stopping(some, separation))


def priced_repair(problem: Problem, best_first: Indices, repair: str) -> float | None:
    """What a repair first is expected to cost; None if it is none of those worth a thought."""
    some = problem.only(best_first[:MOST_CHECKS])
    if repair not in some.plan.ids:
        return None
    shares, number = some.by_repair(some.shares), some.plan.ids.index(repair)
    return _repair_first(some, separation_in(some), shares, number)


def separation_in(problem: Problem) -> Separation:
    """What the checks of a problem separate."""
    return Separation.of(problem.likelihood, problem.start, problem.number)


def _firsts(problem: Problem) -> Indices:
    """The checks worth trying as the first, of those ranked by EC2 per minute."""
    count = len(problem.prices)
    if effective_suspects(problem) > MANY_SUSPECTS:
        return np.arange(min(1, count))
    if count <= FIRSTS + FIRSTS_BY_PRICE:
        return np.arange(count)
    rest = np.arange(FIRSTS, count)
    by_price = rest[ranked(one_step(problem, rest))[:FIRSTS_BY_PRICE]]
    return np.concatenate([np.arange(FIRSTS), by_price])


def effective_suspects(problem: Problem) -> float:
    """How many equally likely hypotheses would leave as much in doubt: exp of the entropy."""
    likely = problem.shares[problem.shares > 0.0]
    return float(np.exp(-(likely * np.log(likely)).sum()))


def one_step(problem: Problem, checks: Indices) -> Floats:
    """Expected price of each check, and of stopping then, shape (checks,)."""
    here = root(problem)
    branches = after_checks(problem, here, np.zeros(len(checks), dtype=np.int64), checks)
    then = branches.mean(problem.stop(branches.states.shares), len(checks))
    prices: Floats = problem.prices[checks] + problem.setup_minutes(problem.setup)[checks] + then
    return prices


def _stopping(problem: Problem, separation: Separation) -> tuple[float, str | None]:
    """Price of the best way without a check now, and its first repair."""
    shares = problem.by_repair(problem.shares)
    best, repair = float(shares @ problem.plan.give_up), None
    order = problem.plan.order(shares)
    if order.size and is_less(at_once := float(problem.plan.cost(shares)), best):
        best, repair = at_once, problem.plan.ids[order[0]]
    for first in order[steady(shares[order]) >= WORTH_TRYING][:FIRST_REPAIRS].tolist():
        price = _repair_first(problem, separation, shares, first)
        if is_less(price, best):
            best, repair = price, problem.plan.ids[first]
    return best, repair


def _repair_first(problem: Problem, separation: Separation, shares: Floats, repair: int) -> float:
    """Price of one repair and, if it does not cure, of going on by the rule."""
    fails = 1.0 - float(shares[repair])
    price = float(problem.plan.minutes[repair]) + problem.plan.wrong * fails
    if fails <= 1e-9:
        return price
    left = problem.shares.copy()
    left[slice(*np.append(problem.first, len(left))[repair : repair + 2])] = 0.0
    here = root(problem)
    then = Nodes(left[None] / fails, np.array([fails]), problem.arrival[None], here.open)
    return price + fails * float(values(problem, separation, then)[0])


def _exactly(some: Problem) -> Ways | None:
    """The ways on by exact dynamic programming; None if too much is left for that."""
    few = simpler(some, FEW_SUSPECTS)
    if few is None or len(few.problem.prices) > FEW_CHECKS:
        return None
    try:
        solution = solve(few.problem, most_states=FEW_STATES)
    except TooManyStatesError:
        return None
    numbers = few.problem.checks
    checks = {int(numbers[check]): price for check, price in solution.checks.items()}
    for double, (kept, dearer) in few.doubles.items():
        if kept in checks:
            checks[double] = checks[kept] + dearer
    stop, repair = solution.give_up, None
    for action, price in solution.actions.items():
        if is_less(price, stop):
            stop, repair = price, few.problem.plan.ids[action]
    return Ways(checks, stop, repair)
