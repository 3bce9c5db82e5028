from itertools import combinations

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from lightoff.engine.model import NO_FAULT, SOMETHING_ELSE
from lightoff.engine.reasoning.belief import Finding, prior
from lightoff.engine.reasoning.planning.choice import decide
from lightoff.engine.reasoning.planning.costs import setup_after
from lightoff.engine.reasoning.planning.lookahead import one_step
from lightoff.engine.reasoning.planning.problem import problem_of
from lightoff.engine.reasoning.planning.repairing import repairs_of
from lightoff.engine.reasoning.planning.separation import ec2_gains, ec2_weight
from lightoff.engine.reasoning.table import Hypothesis, Table
from tests.reasoning.tables import binary, costs, hypotheses, table, tables, xor_table


def plain_ec2(of: Table, check: int) -> float:
    """EC2 gain of a check without noise, edge by edge from its definition."""
    chances = prior(of).probabilities
    rows = of.likelihood[of.start[check] : of.start[check + 1]]
    gain = 0.0
    for one, other in combinations(range(len(chances)), 2):
        if of.hypotheses[one].repair != of.hypotheses[other].repair:
            kept = sum(float(row @ chances) for row in rows if row[one] == row[other] == 1.0)
            gain += chances[one] * chances[other] * (1.0 - kept)
    return gain


@st.composite
def tables_without_noise(draw: st.DrawFn) -> Table:
    generator = np.random.default_rng(draw(st.integers(0, 2**32 - 1)))
    faults = draw(st.integers(2, 8))
    repairs = [f"r{index}" for index in generator.integers(0, 3, faults)]
    checks = {f"c{n}": np.eye(3)[:, generator.integers(0, 3, faults)] for n in range(4)}
    return table(hypotheses(repairs, generator.uniform(0.1, 1.0, faults)), checks)


# --- what a check separates -------------------------------------------------------


@given(tables_without_noise())
def test_without_noise_the_gain_is_the_published_one_edge_by_edge(drawn):
    expected = [plain_ec2(drawn, check) for check in range(4)]
    assert ec2_gains(prior(drawn)) == pytest.approx(expected, abs=1e-12)


@given(tables())
def test_gains_lie_between_nothing_and_all_there_is_to_cut(drawn):
    belief = prior(drawn)
    weight = ec2_weight(repairs_of(drawn).sums(belief.probabilities))
    gains = ec2_gains(belief)
    assert gains.shape == (len(drawn.checks),)
    assert np.all(gains >= 0.0)
    assert np.all(gains <= weight + 1e-12)


@given(tables(), st.integers(2, 4))
def test_a_check_that_answers_alike_under_all_hypotheses_gains_nothing(drawn, outcomes):
    share = np.random.default_rng(outcomes).dirichlet(np.ones(outcomes))
    dull = table(drawn.hypotheses, {"dull": np.outer(share, np.ones(len(drawn.hypotheses)))})
    assert ec2_gains(prior(dull)) == pytest.approx([0.0], abs=1e-12)


@given(tables(), st.floats(0.0, 0.9))
def test_a_chance_of_no_answer_takes_exactly_that_share_of_the_gain(drawn, unanswered):
    rows = drawn.likelihood[: drawn.start[1]]
    lost = np.full((1, rows.shape[1]), unanswered)
    erased = table(drawn.hypotheses, {"c0": np.vstack([rows * (1.0 - unanswered), lost])})
    expected = (1.0 - unanswered) * ec2_gains(prior(drawn))[0]
    assert ec2_gains(prior(erased)) == pytest.approx([expected], abs=1e-12)


@pytest.mark.parametrize("tiny", [0.0, 5e-324, 1e-200, 1e-120])
def test_an_outcome_next_to_impossible_leaves_the_gain_a_number(tiny):
    rare = [[1.0 - tiny, 0.5], [0.0, 0.5], [tiny, 0.0]]
    pair = table(hypotheses(["x", "y"], [1, 1]), {"look": rare})
    assert ec2_gains(prior(pair)) == pytest.approx([0.25 * (1 - 0.75 * 0.9**2 * 8 / 9)], rel=1e-6)


def test_faults_that_share_a_repair_need_no_telling_apart():
    same = table(hypotheses(["x", "x", "x"], [1, 2, 3]), {"look": binary([1, 0, 0])})
    assert ec2_gains(prior(same)) == pytest.approx([0.0])


# --- the decision -----------------------------------------------------------------


def test_the_exclusive_or_does_not_trap_the_stop_rule():
    trap = xor_table()
    price = costs(trap)
    problem = problem_of(prior(trap), price, {})
    assert np.all(one_step(problem, np.arange(2)) > problem.stop(problem.shares)), "says: repair"
    first = decide(prior(trap), price, {})
    assert (first.kind, first.check, first.runner_up) == ("check", "first", "second")
    second = decide(prior(trap).given(Finding("first", "a")), price, {})
    assert (second.kind, second.check) == ("check", "second")
    both = prior(trap).given(Finding("first", "a")).given(Finding("second", "b"))
    last = decide(both, price, {})
    assert (last.kind, last.repair, last.probability) == ("repair", "different", 1.0)


def test_a_wrong_answer_now_and_then_does_not_close_the_trap_either():
    trap = xor_table()
    noisy = Table(
        trap.hypotheses, trap.checks, trap.outcomes, trap.start, 0.95 * trap.likelihood + 0.025
    )
    assert decide(prior(noisy), costs(noisy), {}).kind == "check"


PLAIN = table(
    hypotheses(["x", "y"], [1, 1]),
    {"dull": binary([0.5, 0.5]), "one": binary([0.98, 0.02]), "two": binary([0.98, 0.02])},
)


def test_of_two_equal_checks_the_first_in_the_table_is_taken():
    decision = decide(prior(PLAIN), costs(PLAIN), {})
    assert (decision.check, decision.runner_up, decision.regret) == ("one", "two", 0.0)


def test_of_two_equal_checks_the_shorter_is_taken_and_the_other_is_regretted():
    decision = decide(prior(PLAIN), costs(PLAIN, minutes=[1, 6, 2]), {})
    assert (decision.check, decision.runner_up) == ("two", "one")
    assert decision.regret == pytest.approx(4.0)
    assert decision.minutes == pytest.approx(2.0)


def test_of_two_equal_checks_the_safer_is_taken():
    decision = decide(prior(PLAIN), costs(PLAIN, hazards=[0, 2.0, 0.5]), {})
    assert decision.check == "two"
    assert decision.minutes == pytest.approx(2.0), "hazards are no minutes"


def test_of_two_equal_checks_the_one_whose_set_up_is_there_is_taken():
    price = costs(PLAIN, setups=[{}, {"door": "on"}, {"door": "off"}])
    assert decide(prior(PLAIN), price, {"door": "on"}).check == "one"
    assert decide(prior(PLAIN), price, {"door": "off"}).check == "two"


@pytest.mark.parametrize("answer", ["a", None])
def test_an_answered_check_is_not_asked_again_nor_one_nobody_knows(answer):
    weak = table(hypotheses(["x", "y"], [1, 1]), {"one": binary([0.6, 0.4]), "two": binary([1, 0])})
    belief = prior(weak).given(Finding("two", None)).given(Finding("one", answer))
    assert decide(belief, costs(weak), {}).kind != "check"


def test_left_out_checks_and_those_without_their_tools_are_not_proposed():
    price = costs(PLAIN, tools=[frozenset(), frozenset({"meter"}), frozenset()])
    assert decide(prior(PLAIN), price, {}, left_out={"one"}).check == "two"
    assert decide(prior(PLAIN), price, {}, toolbox=()).check == "two"
    assert decide(prior(PLAIN), price, {}, toolbox={"meter"}).check == "one"
    assert decide(prior(PLAIN), price, {}, left_out={"one", "two"}).kind == "repair"


def test_a_check_that_separates_nothing_is_never_proposed():
    assert decide(prior(PLAIN), costs(PLAIN), {}, left_out={"one", "two"}).check is None


def test_a_check_that_separates_next_to_nothing_is_not_proposed_even_for_free():
    slight = table(hypotheses(["x", "y"], [1, 1]), {"look": binary([0.5, 0.501])})
    assert decide(prior(slight), costs(slight, minutes=[0.0]), {}).kind == "repair"


def test_a_cheap_repair_in_doubt_is_checked_first_for_a_wrong_one_is_dear():
    doubtful = table(hypotheses(["x", "y"], [0.6, 0.4]), {"look": binary([0.98, 0.02])})
    price = costs(doubtful, repair=5.0, minutes=[4.0])
    assert decide(prior(doubtful), price, {}).check == "look"


def test_a_check_dearer_than_anything_it_could_save_is_not_proposed():
    decision = decide(prior(PLAIN), costs(PLAIN, minutes=[500, 500, 500]), {})
    assert (decision.kind, decision.repair) == ("repair", "x")


def test_a_dear_part_is_confirmed_even_when_clearly_ahead():
    sure = table(hypotheses(["board", "fuse"], [0.96, 0.04]), {"volts": binary([0.99, 0.01])})
    dear = costs(sure, repair=240.0, minutes=[8.0])
    cheap = costs(sure, repair=17.0, minutes=[8.0])
    assert decide(prior(sure), dear, {}).check == "volts"
    assert decide(prior(sure), cheap, {}).repair == "board"


def test_a_repair_that_failed_is_not_advised_again():
    belief = prior(PLAIN).given(Finding("one", "a")).given(Finding("two", "a")).after_repair("x")
    decision = decide(belief, costs(PLAIN), {})
    assert decision.leading == "x"
    assert decision.repair != "x"


def without_repair(identity: str) -> Table:
    lone = Hypothesis(identity, (), "whatever", 1.0)
    return table((lone, *hypotheses(["x"], [1.0])), {"look": binary([0.99, 0.01])})


def test_no_fault_ahead_ends_with_nothing_found():
    belief = prior(without_repair(NO_FAULT)).given(Finding("look", "a"))
    decision = decide(belief, costs(belief.table), {})
    assert (decision.kind, decision.repair, decision.leading) == ("nothing-found", None, NO_FAULT)


def test_something_else_ahead_is_referred():
    belief = prior(without_repair(SOMETHING_ELSE)).given(Finding("look", "a"))
    decision = decide(belief, costs(belief.table), {})
    assert (decision.kind, decision.check, decision.repair) == ("refer", None, None)


def test_many_dear_repairs_equally_likely_are_referred_when_no_check_is_left():
    many = table(hypotheses([f"r{n}" for n in range(9)], [1] * 9), {"dull": binary([0.5] * 9)})
    assert decide(prior(many), costs(many, repair=200.0), {}).kind == "refer"


def test_a_repair_without_a_price_is_a_key_error():
    price = costs(PLAIN)
    poor = type(price)(
        price.minutes, price.setups, price.transitions, price.start,
        price.hazard_minutes, {"x": 1.0}, price.tools,
    )  # fmt: skip
    with pytest.raises(KeyError, match="y"):
        decide(prior(PLAIN), poor, {})


def followed(of: Table, truth: int, seed: int):
    """The decisions of a whole job in which the furnace answers by the table."""
    generator = np.random.default_rng(seed)
    price, belief, done = costs(of), prior(of), []
    while (decision := decide(belief, price, setup_after(of, price, done))).kind == "check":
        rows = of.rows(decision.check)
        answer = generator.choice(rows.stop - rows.start, p=of.likelihood[rows, truth])
        outcome = of.outcomes[of.checks.index(decision.check)][answer]
        belief = belief.given(Finding(decision.check, outcome))
        done.append(decision.check)
    return decision, done


def spread_table(seed: int) -> Table:
    """24 faults, 12 repairs, 30 checks of which each reads a few faults apart, 2 % misread."""
    generator = np.random.default_rng(seed)
    repairs = [f"r{index % 12}" for index in range(24)]
    checks = {}
    for index in range(30):
        marked = generator.choice(24, generator.integers(2, 9), replace=False)
        column = np.full(24, 0.02)
        column[marked] = 0.98
        checks[f"c{index}"] = binary(column)
    return table(hypotheses(repairs, generator.uniform(0.5, 4.0, 24)), checks)


@pytest.mark.parametrize("truth", range(0, 24, 3))
def test_where_checks_can_tell_the_repair_is_found_with_more_than_nine_tenths(truth):
    decision, done = followed(spread_table(5), truth, seed=truth)
    assert decision.kind == "repair"
    assert decision.probability > 0.9
    assert len(set(done)) == len(done) <= 15


@given(tables(), st.integers(0, 1000))
def test_a_job_ends_and_never_asks_twice(drawn, seed):
    assume(len({each.repair for each in drawn.hypotheses}) > 1)
    decision, done = followed(drawn, 0, seed)
    assert decision.kind in {"repair", "refer"}
    assert len(set(done)) == len(done)
