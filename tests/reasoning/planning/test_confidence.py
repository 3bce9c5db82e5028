from itertools import product

import numpy as np
import pytest
from hypothesis import given, settings

from lightoff.engine.reasoning.belief import Finding, posterior, prior
from lightoff.engine.reasoning.planning.confidence import same_decision
from lightoff.engine.reasoning.planning.problem import problem_of
from lightoff.engine.reasoning.planning.repairing import repair_probabilities
from lightoff.engine.reasoning.table import Table
from tests.reasoning.tables import binary, costs, hypotheses, table, tables


def estimated(of: Table, **options) -> float:
    every = np.arange(len(of.checks))
    return same_decision(problem_of(prior(of), costs(of), {}, unlikely=0.0), every, **options)


def enumerated(of: Table) -> float:
    """The same over all answers to all checks, one by one."""
    leading = next(iter(repair_probabilities(prior(of))))
    total = 0.0
    for answers in product(*of.outcomes):
        found = [Finding(check, answer) for check, answer in zip(of.checks, answers, strict=True)]
        belief = posterior(of, found)
        if next(iter(repair_probabilities(belief))) == leading:
            total += float(np.exp(belief.log_evidence))
    return total


@settings(max_examples=25, deadline=None)
@given(tables())
def test_the_figure_is_that_of_every_answer_enumerated(drawn):
    assume_few = Table(
        drawn.hypotheses, drawn.checks[:3], drawn.outcomes[:3], drawn.start[:4],
        drawn.likelihood[: drawn.start[min(3, len(drawn.checks))]],
    )  # fmt: skip
    assert estimated(assume_few, draws=20_000) == pytest.approx(enumerated(assume_few), abs=0.02)


def test_a_check_that_tells_all_leaves_the_leader_its_own_probability():
    sure = table(hypotheses(["x", "y"], [0.7, 0.3]), {"look": binary([1.0, 0.0])})
    assert estimated(sure) == pytest.approx(0.7, abs=0.005)


def test_with_nothing_left_to_check_a_decision_stands():
    dull = table(hypotheses(["x", "y"], [0.6, 0.4]), {"look": binary([0.5, 0.5])})
    nothing = np.zeros(0, dtype=np.int64)
    assert same_decision(problem_of(prior(dull), costs(dull), {}), nothing) == 1.0
    assert estimated(dull) == 1.0


def test_the_same_question_gets_the_same_figure():
    sure = table(hypotheses(["x", "y"], [0.7, 0.3]), {"look": binary([0.8, 0.1])})
    assert estimated(sure, draws=50) == estimated(sure, draws=50)
