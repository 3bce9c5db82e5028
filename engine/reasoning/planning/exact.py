"""The best way on, by exact dynamic programming, once few suspects are left.

Checks and repairs in any order: a repair that does not cure tells something too. States
are probabilities of the hypotheses with the set-up; those met before are not worked out
again, and ways that cannot beat the best found are left.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from lightoff.engine.reasoning.planning.costs import Indices
from lightoff.engine.reasoning.planning.problem import Flags, Problem
from lightoff.engine.reasoning.planning.steady import ranked
from lightoff.engine.reasoning.table import Floats

POSSIBLE = 1e-9
"""Probability under which an outcome is taken as impossible."""
Done = frozenset[tuple[str, int]]


class TooManyStatesError(Exception):
    """More states than allowed: the problem is too large to be solved exactly."""


@dataclass(frozen=True, slots=True, eq=False)
class Actions:
    """What may be done to cure, and what it does."""

    prices: Floats
    """Price of doing each where its set-up is there, shape (actions,)."""
    on_cure: Floats
    """On top if it cures: below zero where a wrong repair is dearer, shape (actions,)."""
    cures: Floats
    """P(cured | hypothesis), shape (actions, hypotheses)."""
    needs: Indices
    """State of each aspect of the set-up, -1 for any, shape (actions, aspects)."""
    give_up: Floats
    """Price of doing nothing more, shape (hypotheses,)."""
    to_arrival: bool = True
    """Whether the set-up is as on arrival afterwards."""


def repairs_for(problem: Problem) -> Actions:
    """The repairs that the hypotheses of a problem need: each cures its own, surely."""
    number, count = problem.number, problem.repairs
    return Actions(
        prices=problem.plan.minutes + problem.plan.wrong,
        on_cure=np.full(count, -problem.plan.wrong),
        cures=np.asarray(np.eye(count)[:, number]),
        needs=np.full((count, problem.needs.shape[1]), -1, dtype=np.int64),
        give_up=problem.plan.give_up[number],
    )


@dataclass(frozen=True, slots=True)
class Solution:
    """The least expected price, and what each first move leads to, best way after it."""

    price: float
    checks: dict[int, float]
    """Number of a check in the problem -> price with it first."""
    actions: dict[int, float]
    """Number of an action -> price with it first."""
    give_up: float
    states: int


def solve(problem: Problem, actions: Actions | None = None, most_states: int = 10**9) -> Solution:
    """The best way on from a problem; TooManyStatesError if there are more states than allowed."""
    solver = _Solver(problem, actions or repairs_for(problem), most_states)
    start = _State(problem.shares, problem.setup, frozenset())
    checks = {
        check: price
        for check in range(len(problem.prices))
        if (price := solver.check(start, check, np.inf)) is not None
    }
    tried = {
        action: price
        for action in range(len(solver.actions.prices))
        if (price := solver.action(start, action, np.inf)) is not None
    }
    give_up = float(start.shares @ solver.actions.give_up)
    best = min([give_up, *checks.values(), *tried.values()])
    return Solution(best, checks, tried, give_up, len(solver.known))


@dataclass(frozen=True, slots=True, eq=False)
class _State:
    shares: Floats
    setup: Indices
    done: Done

    @property
    def key(self) -> tuple[bytes, bytes, Done]:
        # Adding zero turns -0.0 into 0.0, which has other bytes.
        return (np.round(self.shares, 11) + 0.0).tobytes(), self.setup.tobytes(), self.done


@dataclass(slots=True, eq=False)
class _Solver:
    problem: Problem
    actions: Actions
    most_states: int
    known: dict[tuple[bytes, bytes, Done], float] = field(default_factory=dict)
    least: Floats = field(init=False)
    """Least price of any way on for each hypothesis, if it were told."""
    rows: list[Floats] = field(init=False)
    unsure: Flags = field(init=False)
    """Whether asking a check again might tell more: it must be remembered as done."""

    def __post_init__(self) -> None:
        sure = np.minimum(self.actions.on_cure, 0.0) + self.actions.prices
        curing = np.where(self.actions.cures > 0.0, sure[:, None], np.inf)
        self.least = np.minimum(curing.min(0, initial=np.inf), self.actions.give_up)
        edges = zip(self.problem.start[:-1], self.problem.start[1:], strict=True)
        self.rows = [self.problem.likelihood[first:last] for first, last in edges]
        fractions = [(rows > POSSIBLE) & (rows < 1.0 - POSSIBLE) for rows in self.rows]
        self.unsure = np.array([bool(each.any()) for each in fractions], dtype=np.bool_)

    def value(self, state: _State) -> float:
        """Least expected price from a state on."""
        key = state.key
        if key not in self.known:
            if len(self.known) >= self.most_states:
                raise TooManyStatesError
            self.known[key] = self._best(state)
        return self.known[key]

    def _best(self, state: _State) -> float:
        best = float(state.shares @ self.actions.give_up)
        least = float(state.shares @ self.least)
        # Checks first: the low prices they find early let dear actions be left out.
        for check in range(len(self.rows)):
            if self.problem.prices[check] + least < best:
                price = self.check(state, check, best)
                best = best if price is None else min(best, price)
        for action in self._likeliest(state):
            price = self.action(state, action, best)
            best = best if price is None else min(best, price)
        return best

    def _likeliest(self, state: _State) -> list[int]:
        """Actions that may cure, the likeliest per price first."""
        rates = self.actions.cures @ state.shares / np.maximum(self.actions.prices, 1e-9)
        order: list[int] = ranked(-rates).tolist()
        return [action for action in order if rates[action] > 0.0]

    def check(self, state: _State, check: int, limit: float) -> float | None:
        """Price with a check first; None if it tells nothing or must reach the limit."""
        if ("check", check) in state.done:
            return None
        joint = self.rows[check] * state.shares
        chances = joint.sum(1)
        if self._dull(joint, chances):
            return None
        price = self._price(self.problem.prices[check], self.problem.needs[check], state.setup)
        least = float(state.shares @ self.least)
        if price + least >= limit:
            return None
        setup = self.problem.after(state.setup, check)
        done = state.done | {("check", check)} if self.unsure[check] else state.done
        for row, chance in zip(joint, chances, strict=True):
            if chance > POSSIBLE:
                then = _State(row / chance, setup, done)
                # What is left is never cheaper than its least price: `price + least` only grows.
                price += chance * self.value(then)
                least -= float(row @ self.least)
                if price + least >= limit:
                    return None
        return float(price)

    def _dull(self, joint: Floats, chances: Floats) -> bool:
        """Whether all outcomes leave the shares as they are."""
        shares = joint.sum(0)
        return bool(np.all(np.abs(joint - chances[:, None] * shares) < POSSIBLE))

    def action(self, state: _State, action: int, limit: float) -> float | None:
        """Price with an action first; None if it cannot cure or must reach the limit."""
        cured = state.shares * self.actions.cures[action]
        chance = float(cured.sum())
        if chance <= POSSIBLE or ("action", action) in state.done:
            return None
        price = self._price(self.actions.prices[action], self.actions.needs[action], state.setup)
        price += chance * float(self.actions.on_cure[action])
        left = state.shares - cured
        if price + float(left @ self.least) >= limit:
            return None
        fails = float(left.sum())
        if fails <= POSSIBLE:
            return price
        partly = bool(np.any((cured > 0.0) & (left > POSSIBLE)))
        done = state.done | {("action", action)} if partly else state.done
        return price + fails * self.value(_State(left / fails, self._after(state, action), done))

    def _after(self, state: _State, action: int) -> Indices:
        if self.actions.to_arrival:
            return self.problem.arrival
        needed = self.actions.needs[action]
        return np.asarray(np.where(needed >= 0, needed, state.setup))

    def _price(self, price: float, needs: Indices, setup: Indices) -> float:
        total = float(price)
        for aspect, (needed, there) in enumerate(zip(needs, setup, strict=True)):
            if needed >= 0 and needed != there:
                total += float(self.problem.changes[aspect, needed])
        return total
