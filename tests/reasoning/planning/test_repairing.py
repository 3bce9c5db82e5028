from itertools import permutations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from lightoff.engine.model import NO_FAULT, SOMETHING_ELSE
from lightoff.engine.reasoning.belief import Finding, prior
from lightoff.engine.reasoning.planning.costs import REFER_MINUTES, VERIFY_MINUTES, price_of_repair
from lightoff.engine.reasoning.planning.repairing import (
    RepairPlan,
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


@st.composite
def suspects(draw: st.DrawFn):
    generator = np.random.default_rng(draw(st.integers(0, 2**32 - 1)))
    count = draw(st.integers(1, 5))
    return generator.dirichlet(np.ones(count)) * draw(st.floats(0.5, 1.0)), generator.uniform(
        5.0, 250.0, count
    )


def plan_cost(order, shares, plan: RepairPlan) -> float:
    """Price of repairs in an order, then giving up, added up one by one."""
    total, left = 0.0, dict(enumerate(shares))
    for index in order:
        cured = left.pop(index)
        fails = sum(left.values())
        total += (cured + fails) * plan.minutes[index] + fails * plan.wrong
    return total + sum(share * plan.give_up[index] for index, share in left.items())


@given(suspects(), st.floats(0.0, 300.0), st.floats(1.0, 300.0))
def test_a_plan_prices_every_repair_that_fails_and_giving_up_in_the_end(case, wrong, refer):
    shares, minutes = case
    shares = shares / shares.sum()
    plan = RepairPlan(tuple("abcde"[: len(shares)]), minutes, wrong, refer + minutes)
    order = np.argsort(-shares / (minutes + wrong), kind="stable")
    expected = [plan_cost(order[:count], shares, plan) for count in range(len(shares) + 1)]
    assert plan.costs(shares) == pytest.approx(expected)


@given(suspects(), st.floats(0.0, 300.0))
def test_no_order_of_all_repairs_is_cheaper_than_the_plan(case, wrong):
    shares, minutes = case
    shares = shares / shares.sum()
    plan = RepairPlan(tuple("abcde"[: len(shares)]), minutes, wrong, np.full(len(shares), 1e6))
    best = min(plan_cost(order, shares, plan) for order in permutations(range(len(shares))))
    assert float(plan.cost(shares)) == pytest.approx(best)


@given(suspects())
def test_many_states_at_once_cost_what_each_costs_alone(case):
    shares, minutes = case
    plan = RepairPlan(tuple("abcde"[: len(shares)]), minutes, 50.0, minutes + 100.0)
    stacked = np.array([shares, shares[::-1]])
    assert plan.cost(stacked) == pytest.approx([float(plan.cost(row)) for row in stacked])


def test_repairs_collect_the_faults_that_share_them_likeliest_first():
    found = repair_probabilities(prior(FULL))
    assert list(found) == ["x", "y", NO_FAULT, SOMETHING_ELSE]
    assert list(found.values()) == pytest.approx([4 / 9, 3 / 9, 1 / 9, 1 / 9])


def shares_of(belief):
    return repairs_of(FULL).sums(belief.probabilities)


def test_a_known_repair_costs_itself_and_the_rest_a_verification_or_a_referral():
    plan = RepairPlan.of(repairs_of(FULL).ids, costs(FULL, repair=300.0))
    assert plan.known() == pytest.approx([VERIFY_MINUTES, REFER_MINUTES, 300.0, 300.0])


def test_the_plan_begins_with_the_best_share_per_minute():
    plan = RepairPlan.of(repairs_of(FULL).ids, costs(FULL))
    first = plan.order(shares_of(prior(FULL).given(Finding("look", "b"))))[0]
    assert plan.ids[first] == "y"


def test_with_every_repair_done_only_giving_up_is_left():
    plan = RepairPlan.of(repairs_of(FULL).ids, costs(FULL), done=("x", "y"))
    assert not plan.order(shares_of(prior(FULL))).size
    assert float(plan.cost(np.eye(4)[2])) == REFER_MINUTES


def test_two_repairs_are_priced_together_and_verified_once():
    price = costs(table(hypotheses(["x", "y"], [1.0, 1.0]), {"look": binary([0.5, 0.5])}))
    assert price_of_repair(price, "x+y") == 75.0 + 75.0 - VERIFY_MINUTES
