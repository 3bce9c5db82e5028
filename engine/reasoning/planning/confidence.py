"""How likely a decision would survive everything that could still be checked.

Same-decision probability (Chen, Choi, Darwiche: Algorithms and applications for the
same-decision probability, JAIR 49, 2014), estimated by drawing answers to all remaining
checks. It says more than the probability of the leading repair: that can be high because
nothing has been looked at yet.
"""

from __future__ import annotations

import numpy as np

from lightoff.engine.reasoning.planning.costs import Indices
from lightoff.engine.reasoning.planning.problem import Problem
from lightoff.engine.reasoning.table import Floats

DRAWS = 400
LEAST_LIKELIHOOD = 1e-12


def same_decision(problem: Problem, checks: Indices, draws: int = DRAWS, seed: int = 0) -> float:
    """P(the leading repair still leads after all of these checks), 0 to 1.

    The same call gives the same figure: the draws are seeded.
    """
    leading = int(problem.by_repair(problem.shares).argmax())
    some = problem.only(checks)
    generator = np.random.default_rng(seed)
    # One draw per equal slice of probability: fewer draws tell as much.
    places = (np.arange(draws) + generator.random(draws)) / draws
    truths = np.searchsorted(np.cumsum(some.shares), places).clip(max=len(some.shares) - 1)
    answers = _answers(some, truths, generator)
    logs = np.log(np.maximum(some.likelihood, LEAST_LIKELIHOOD))
    weights = answers @ logs + np.log(np.maximum(some.shares, LEAST_LIKELIHOOD))
    then = np.exp(weights - weights.max(-1, keepdims=True))
    return float((some.by_repair(then).argmax(-1) == leading).mean())


def _answers(problem: Problem, truths: Indices, generator: np.random.Generator) -> Floats:
    """Drawn answers to all checks, 1 for the outcome found: shape (draws, outcome rows)."""
    counts = np.diff(problem.start)
    shape = len(truths), len(counts)
    if not len(counts):
        return np.zeros((len(truths), 0))
    upto = np.cumsum(problem.likelihood, axis=0)
    before = np.concatenate([np.zeros((1, upto.shape[1])), upto])[problem.start[:-1]]
    within = (upto - np.repeat(before, counts, axis=0))[:, truths].T
    luck = np.repeat(generator.random(shape), counts, axis=1)
    passed = np.add.reduceat(within < luck, problem.start[:-1], axis=1, dtype=np.int64)
    rows = problem.start[:-1] + np.minimum(passed, counts - 1)
    answers = np.zeros((len(truths), len(problem.likelihood)))
    np.put_along_axis(answers, rows, 1.0, axis=1)
    return answers
