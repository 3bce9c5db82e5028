from itertools import permutations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from lightoff.engine.model import NO_FAULT, SOMETHING_ELSE
from lightoff.engine.reasoning.belief import Finding, prior
from lightoff.engine.reasoning.costs import REFER_MINUTES, VERIFY_MINUTES
from lightoff.engine.reasoning.repairing import (
    RepairPlan,
    expected_repair_cost,
    referral_costs,
    repair_probabilities,
    repairs_of,
)
from lightoff.engine.reasoning.table import Hypothesis
from tests.reasoning.tables import binary, costs, hypotheses, table

FULL = table(
    (
        Hypothesis(NO_FAULT, (), "no-repair", 1.0),
        Hypothesis(SOMETHING_ELSE, (), "refer", 1.0),
        *hypotheses(["x", "y", "x"], [3.0, 3.0, 1.0]),
    ),
    {"look": binary([0.5, 0.5, 0.9, 0.1, 0.9])},
)


def cost_of(order, shares, minutes) -> float:
    total, not_cured = 0.0, 1.0
    for index in order:
        total += not_cured * minutes[index]
        not_cured -= shares[index]
    return total


@st.composite
def suspects(draw: st.DrawFn):
    generator = np.random.default_rng(draw(st.integers(0, 2**32 - 1)))
    count = draw(st.integers(1, 5))
    return generator.dirichlet(np.ones(count)) * draw(st.floats(0.5, 1.0)), generator.uniform(
        5.0, 250.0, count
    )


@given(suspects())
def test_no_order_of_repairs_is_cheaper(case):
    shares, minutes = case
    best = min(cost_of(order, *case) for order in permutations(range(len(shares))))
    assert expected_repair_cost(shares, minutes) == pytest.approx(best)


@given(suspects(), st.floats(1.0, 300.0))
def test_referring_costs_the_call_and_the_repair_needed(case, refer):
    shares, minutes = case
    figures = referral_costs(shares, minutes, refer)
    assert figures.shape == (len(shares) + 1,)
    assert figures[0] == pytest.approx(refer + shares @ minutes)
    never_cured = (1.0 - shares.sum()) * refer
    assert figures[-1] == pytest.approx(float(expected_repair_cost(shares, minutes)) + never_cured)


@given(suspects())
def test_many_states_at_once_cost_what_each_costs_alone(case):
    shares, minutes = case
    stacked = np.array([shares, shares[::-1]])
    alone = [float(expected_repair_cost(row, minutes)) for row in stacked]
    assert expected_repair_cost(stacked, minutes) == pytest.approx(alone)


def test_repairs_collect_the_faults_that_share_them_likeliest_first():
    found = repair_probabilities(prior(FULL))
    assert list(found) == ["x", "y", NO_FAULT, SOMETHING_ELSE]
    assert list(found.values()) == pytest.approx([4 / 9, 3 / 9, 1 / 9, 1 / 9])


def test_a_known_repair_costs_itself_and_the_rest_a_verification_or_a_referral():
    plan = RepairPlan.of(prior(FULL), costs(FULL, repair=300.0), repairs_of(FULL))
    assert plan.known() == pytest.approx([VERIFY_MINUTES, REFER_MINUTES, 300.0, 300.0])


def test_the_plan_begins_with_the_best_share_per_minute():
    belief = prior(FULL).given(Finding("look", "b"))
    plan = RepairPlan.of(belief, costs(FULL), repairs_of(FULL))
    shares = belief.probabilities @ repairs_of(FULL).member
    assert repairs_of(FULL).ids[plan.first(shares)] == "y"


def test_with_every_repair_done_only_referring_is_left():
    belief = prior(FULL).after_repair("x").after_repair("y")
    plan = RepairPlan.of(belief, costs(FULL), repairs_of(FULL))
    shares = belief.probabilities @ repairs_of(FULL).member
    assert plan.first(shares) == -1
    assert float(plan.cost(np.eye(4)[2])) == REFER_MINUTES
