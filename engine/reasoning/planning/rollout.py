"""What going on is expected to cost if a simple rule picks every further check.

The rule: the check that cuts most EC2 weight per minute, as long as that is expected to
be cheaper than stopping. Trying each of a few first checks with the rule after it
(one-step rollout) is far better than the rule alone. All nodes of one depth are worked
out together.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from lightoff.engine.reasoning.planning.costs import Indices
from lightoff.engine.reasoning.planning.problem import Flags, Problem
from lightoff.engine.reasoning.planning.separation import Separation
from lightoff.engine.reasoning.planning.steady import steady
from lightoff.engine.reasoning.table import Floats

SEPARATES = 1e-3
"""Least share of the EC2 weight that a check must cut to be a candidate."""
LEAST_REACH = 0.01
"""Probability under which a node is not looked into further: its price is estimated."""
MOST_DEPTH = 16
HARDER = 3.0
"""How much dearer than the next check the later ones are, for such estimates (measured)."""


@dataclass(frozen=True, slots=True, eq=False)
class Nodes:
    """States at the same depth, one per row."""

    shares: Floats
    """P(hypothesis) in each, shape (nodes, hypotheses), rows summing to 1."""
    reach: Floats
    """How likely one comes to each, shape (nodes,)."""
    setup: Indices
    """Shape (nodes, aspects)."""
    open: Flags
    """Checks that have not been done, shape (nodes, checks)."""

    def some(self, at: Indices) -> Nodes:
        """Some of the states."""
        return Nodes(self.shares[at], self.reach[at], self.setup[at], self.open[at])


def root(problem: Problem) -> Nodes:
    """The state now."""
    return Nodes(
        shares=problem.shares[None],
        reach=np.ones(1),
        setup=problem.setup[None],
        open=np.ones((1, len(problem.prices)), dtype=np.bool_),
    )


def prices_in(problem: Problem, nodes: Nodes) -> Floats:
    """Price of every check in each node, shape (nodes, checks)."""
    return np.asarray(problem.prices + problem.setup_minutes(nodes.setup))


def after_checks(problem: Problem, nodes: Nodes, at: Indices, checks: Indices) -> Branches:
    """The states after doing checks in nodes: `at` and `checks` of shape (n,)."""
    counts = np.diff(problem.start)[checks]
    edge = np.repeat(np.arange(len(at)), counts)
    within = np.arange(len(edge)) - np.repeat(np.cumsum(counts) - counts, counts)
    rows = problem.start[checks][edge] + within
    joint = nodes.shares[at[edge]] * problem.likelihood[rows]
    chance = joint.sum(-1)
    possible = chance > 1e-12
    edge, joint, chance = edge[possible], joint[possible], chance[possible]
    parent = at[edge]
    still_open = nodes.open[parent].copy()
    still_open[np.arange(len(edge)), checks[edge]] = False
    states = Nodes(
        shares=joint / chance[:, None],
        reach=nodes.reach[parent] * chance,
        setup=problem.after(nodes.setup[parent], checks[edge]),
        open=still_open,
    )
    return Branches(edge, chance, states)


@dataclass(frozen=True, slots=True, eq=False)
class Branches:
    """States that checks lead to, and from which of the checks, and how likely."""

    edge: Indices
    chance: Floats
    states: Nodes

    def mean(self, values: Floats, edges: int) -> Floats:
        """Expected value after each check, shape (edges,), from those of the states."""
        means: Floats = np.bincount(self.edge, self.chance * values, edges).astype(np.float64)
        return means


def values(problem: Problem, separation: Separation, nodes: Nodes, depth: int = 0) -> Floats:
    """Expected price of going on by the rule from each node, shape (nodes,)."""
    stop = problem.stop(nodes.shares)
    known = problem.known(nodes.shares)
    # No check can save more than knowing the truth would.
    at = np.flatnonzero(steady(stop - known) > steady(problem.prices).min(initial=np.inf))
    picked = _picked(problem, separation, nodes.some(at), (stop - known)[at])
    at = at[picked.nodes]
    deeper = (steady(nodes.reach[at]) >= np.float32(LEAST_REACH)) & (depth < MOST_DEPTH)
    going_on = known[at] + picked.estimate
    if deeper.any():
        checks = picked.checks[deeper]
        branches = after_checks(problem, nodes, at[deeper], checks)
        then = values(problem, separation, branches.states, depth + 1)
        going_on[deeper] = picked.prices[deeper] + branches.mean(then, len(checks))
    result = stop.copy()
    result[at] = np.minimum(stop[at], going_on)
    return result


@dataclass(frozen=True, slots=True, eq=False)
class Picked:
    """What the rule picks, where it picks anything; arrays of shape (n,)."""

    nodes: Indices
    checks: Indices
    prices: Floats
    estimate: Floats
    """Rough price of finding the repair: as many such checks as cut the whole EC2 weight."""


def _picked(problem: Problem, separation: Separation, nodes: Nodes, savable: Floats) -> Picked:
    """The check that the rule picks in each node, none where none can save its price."""
    if not nodes.open.size:
        none = np.zeros(0, dtype=np.int64)
        return Picked(none, none, np.zeros(0), np.zeros(0))
    prices = prices_in(problem, nodes)
    gains = separation.gain_shares(nodes.shares)
    worth = steady(prices) < steady(savable)[:, None]
    usable = nodes.open & (steady(gains) > SEPARATES) & worth
    rate = np.where(usable, gains / np.maximum(prices, np.finfo(float).tiny), -1.0)
    best = steady(rate).argmax(-1)
    rows = np.arange(len(best))
    found = np.flatnonzero(rate[rows, best] > 0.0)
    best = best[found]
    return Picked(found, best, prices[found, best], HARDER / rate[found, best])


def rollout(problem: Problem, separation: Separation, firsts: Indices) -> Floats:
    """Expected price of each of some first checks with the rule after it, shape (firsts,)."""
    here = root(problem)
    at = np.zeros(len(firsts), dtype=np.int64)
    branches = after_checks(problem, here, at, firsts)
    then = branches.mean(values(problem, separation, branches.states), len(firsts))
    prices: Floats = prices_in(problem, here)[0, firsts] + then
    return prices
