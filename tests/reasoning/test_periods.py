"""Calls and repairs in the belief, against enumeration of every course of events."""

import random
from dataclasses import replace
from itertools import product

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from lightoff.engine.reasoning.belief import NOT_CURED, Finding, posterior, prior
from lightoff.engine.reasoning.explain import NEW_CALL, explain_suspect, weights_of
from lightoff.engine.reasoning.leave_out import outcome_chances, with_it, without
from lightoff.engine.reasoning.overturn import flips
from lightoff.engine.reasoning.second_look import misfits, sufficiency
from lightoff.engine.reasoning.suspects import suspects_of
from lightoff.engine.reasoning.table import Hypothesis, Table, after_repairs, repairs_in
from tests.reasoning.tables import binary, table

CHECKS = ("look", "hear", "feel")
REPAIRS = {"a": "ra", "b": "rb", "c": "rc", "d": "ra"}


@st.composite
def tables(draw):
    """Faults a to d, c comes and goes; two share a repair; all pairs of a, b and d."""
    generator = np.random.default_rng(draw(st.integers(0, 2**32 - 1)))
    shows = draw(st.sampled_from([0.2, 0.6, 0.9]))
    weight = dict(zip("abcd0", generator.uniform(0.2, 1.0, 5), strict=True))
    kinds = [
        Hypothesis("no-fault", (), "no-repair", weight["0"]),
        Hypothesis("a", ("a",), "ra", weight["a"]),
        Hypothesis("b", ("b",), "rb", weight["b"]),
        Hypothesis("c", ("c",), "rc", weight["c"] * shows, True, shows),
        Hypothesis("c hidden", ("c",), "rc", weight["c"] * (1 - shows), False, shows),
        Hypothesis("d", ("d",), "ra", weight["d"]),
        Hypothesis("a+b", ("a", "b"), "ra+rb", 0.3),
        Hypothesis("a+d", ("a", "d"), "ra", 0.2),
        Hypothesis("b+d", ("b", "d"), "ra+rb", 0.1),
    ]
    chances = generator.uniform(0.05, 0.95, (len(CHECKS), len(kinds)))
    checks = {check: binary(row) for check, row in zip(CHECKS, chances.tolist(), strict=True)}
    return table(tuple(kinds), checks)


@st.composite
def courses(draw):
    """What happens in a job: findings, new calls and repairs, in order."""
    steps = st.one_of(
        st.tuples(st.sampled_from(CHECKS), st.sampled_from(["a", "b", None])),
        st.just("call"),
        st.sampled_from(["ra", "rb", "rc"]),
    )
    return draw(st.lists(steps, max_size=7))


def believed(of, course):
    belief = prior(of)
    for step in course:
        if step == "call":
            belief = belief.in_another_call()
        elif isinstance(step, str):
            belief = belief.after_repair(step)
        else:
            belief = belief.given(Finding(*step))
    return belief


def enumerated(of: Table, course) -> dict[str, float]:
    """Weight of each suspect by going through faults x showing in each call, one by one."""
    stretches = [[]]
    for step in course:
        stretches.append([step]) if isinstance(step, str) else stretches[-1].append(step)
    columns = {each.id: number for number, each in enumerate(of.hypotheses)}
    weights = {}
    for each in of.hypotheses:
        if not each.showing:
            continue
        whole = each.prior / each.shows
        for drawn in product([True, False], repeat=len(stretches) if each.shows < 1 else 0):
            weight = whole * course_weight(of, columns, each, stretches, drawn)
            weights[each.id] = weights.get(each.id, 0.0) + weight
    return weights


def course_weight(of, columns, truth, stretches, drawn) -> float:
    """Chance of what happened if `truth` is there and shows in the calls as drawn."""
    weight, left, done = 1.0, list(truth.faults), set()
    standing = truth.id
    for number, stretch in enumerate(stretches):
        if drawn:
            weight *= truth.shows if drawn[number] else 1.0 - truth.shows
        answers = {}
        for step in stretch:
            if step == "call":
                continue
            if isinstance(step, tuple):
                if step[1] is not None:
                    answers[step[0]] = step[1]
                continue
            others = [fault for fault in left if REPAIRS[fault] != step]
            if step not in done and left and not others:
                weight *= NOT_CURED
            elif others:
                left = others
                standing = left[0] if len(left) == 1 else standing
            done.add(step)
        hidden = bool(drawn) and not drawn[number]
        column = columns[f"{standing} hidden" if hidden else standing]
        for check, outcome in answers.items():
            weight *= of.row(check, outcome)[column]
    return weight


@given(tables(), courses())
def test_the_belief_is_that_of_enumerating_faults_and_what_shows_in_each_call(of, course):
    expected = enumerated(of, course)
    total = sum(expected.values())
    belief = believed(of, course)
    own = {}
    for each, share in zip(of.hypotheses, belief.probabilities, strict=True):
        name = each.id.removesuffix(" hidden")
        own[name] = own.get(name, 0.0) + share
    assert own == pytest.approx({name: weight / total for name, weight in expected.items()})


@given(tables(), courses())
def test_a_new_call_divides_a_fault_that_comes_and_goes_anew_and_changes_nothing_else(of, course):
    before = believed(of, course)
    after = before.in_another_call()
    old, new = before.probabilities, after.probabilities
    assert new[3] + new[4] == pytest.approx(old[3] + old[4])
    assert new[3] == pytest.approx(of.hypotheses[3].shows * (new[3] + new[4]))
    others = [0, 1, 2, 5, 6, 7, 8]
    assert new[others] == pytest.approx(old[others])
    assert after.log_evidence == pytest.approx(before.log_evidence)
    again = after.in_another_call()
    assert again.probabilities == pytest.approx(new)


@given(tables(), courses(), st.randoms(use_true_random=False))
def test_the_order_of_findings_within_a_period_does_not_matter(of, course, shuffle: random.Random):
    belief = believed(of, course)
    once = {(each.check, each.call, each.repairs): each for each in belief.findings}
    findings = list(once.values())
    expected = belief.rested_on(findings)
    shuffle.shuffle(findings)
    assert np.array_equal(belief.rested_on(findings).log_weights, expected.log_weights)


@given(tables(), courses())
def test_one_thing_after_the_other_is_the_same_as_all_at_once(of, course):
    belief = believed(of, course)
    at_once = posterior(of, belief.findings, belief.repaired, call=belief.call)
    assert np.array_equal(at_once.log_weights, belief.log_weights)
    assert at_once.table is belief.table


# --- what was repaired ------------------------------------------------------------


def pair_table():
    kinds = (
        Hypothesis("a", ("a",), "ra", 0.5),
        Hypothesis("b", ("b",), "rb", 0.4),
        Hypothesis("a+b", ("a", "b"), "ra+rb", 0.1),
    )
    return table(kinds, {"look": binary([0.9, 0.2, 0.8]), "hear": binary([0.9, 0.1, 0.7])})


def test_after_one_repair_a_pair_is_the_other_fault_with_its_column():
    of = pair_table()
    now = after_repairs(of, ("ra",))
    assert now.hypotheses[2] == replace(of.hypotheses[2], faults=("b",), repair="rb")
    assert np.array_equal(now.likelihood[:, 2], of.likelihood[:, 1])
    assert np.array_equal(now.likelihood[:, :2], of.likelihood[:, :2])
    assert after_repairs(of, ("rc",)) is of


def test_findings_before_a_repair_use_the_pair_and_findings_after_it_what_is_left():
    belief = prior(pair_table()).given(Finding("look", "a")).after_repair("ra")
    belief = belief.given(Finding("look", "a"))
    expected = np.array([0.5 * 0.9 * NOT_CURED * 0.9, 0.4 * 0.2 * 0.2, 0.1 * 0.8 * 0.2])
    assert belief.probabilities == pytest.approx(expected / expected.sum())
    assert [each.id for each in suspects_of(belief)] == ["b", "a"]


def test_a_check_may_be_made_again_after_a_repair_and_in_another_call():
    belief = prior(pair_table()).given(Finding("look", "a")).given(Finding("hear", None))
    assert belief.asked == {"look", "hear"}
    assert belief.in_another_call().asked == {"hear"}
    assert belief.after_repair("ra").asked == {"hear"}


def test_what_another_call_cannot_change_is_not_asked_again_and_counts_once():
    of = replace(pair_table(), lasting=frozenset({"look"}), history=frozenset({"hear"}))
    belief = prior(of).given(Finding("look", "a")).given(Finding("hear", "a"))
    assert belief.in_another_call().asked == {"look", "hear"}
    assert belief.after_repair("ra").asked == {"hear"}
    twice = belief.in_another_call().given(Finding("look", "b"))
    once = prior(of).given(Finding("hear", "a")).in_another_call().given(Finding("look", "b"))
    assert twice.probabilities == pytest.approx(once.probabilities)


def test_two_repairs_at_once_are_both_done():
    together, apart = prior(pair_table()).after_repair("ra+rb"), prior(pair_table())
    apart = apart.after_repair("ra").after_repair("rb")
    assert together.repaired == ("ra", "rb")
    assert together.probabilities == pytest.approx(apart.probabilities)
    assert together.log_weights == pytest.approx(np.log([0.5, 0.4, 0.1]) + np.log(NOT_CURED))


def test_a_finding_that_claims_more_repairs_than_were_done_belongs_to_the_last():
    odd = posterior(pair_table(), [Finding("look", "a", repairs=5)], ["ra"])
    assert odd.probabilities == pytest.approx(
        prior(pair_table()).after_repair("ra").given(Finding("look", "a")).probabilities
    )


def test_a_repair_that_no_hypothesis_asks_for_is_refused():
    with pytest.raises(KeyError, match="rx"):
        prior(pair_table()).after_repair("rx")
    with pytest.raises(KeyError, match="rx"):
        prior(pair_table()).after_repair("ra+rx")


# --- what rests on it -------------------------------------------------------------


@given(tables(), courses())
def test_an_earlier_finding_is_judged_in_the_light_of_later_ones(of, course):
    belief = believed(of, course)
    for finding in belief.weighed:
        others = [
            each
            for each in belief.findings
            if (each.check, each.call, each.repairs)
            != (finding.check, finding.call, finding.repairs)
        ]
        evidence = [
            belief.rested_on([*others, replace(finding, outcome=each)]).log_evidence
            for each in ("a", "b")
        ]
        expected = np.exp(np.array(evidence) - np.logaddexp.reduce(evidence))
        anything = np.ones(len(of.hypotheses), dtype=bool)
        then = belief.table_of(finding)
        chances = outcome_chances(then, finding.check, without(belief, finding), anything)
        assert chances == pytest.approx(expected)
        total = np.logaddexp.reduce(with_it(belief, finding))
        assert total == pytest.approx(belief.log_evidence)


@given(tables(), courses())
def test_weights_of_evidence_add_up_over_calls_and_repairs(of, course):
    belief = believed(of, course)
    for a, b in (("a", "b"), ("c", "no-fault"), ("a+b", "c hidden")):
        weights = weights_of(belief, a, b)
        names = [each.id for each in of.hypotheses]
        logs = belief.log_weights[names.index(a)] - belief.log_weights[names.index(b)]
        decibans = 10.0 * logs / np.log(10.0)
        assert sum(each.decibans for each in weights) == pytest.approx(decibans, abs=1e-8)


@given(tables(), courses())
def test_a_suspect_is_explained_over_calls_and_repairs(of, course):
    belief = believed(of, course)
    for suspect in suspects_of(belief):
        told = explain_suspect(belief, suspect.id)
        came = told.prior + sum(piece.as_it_came for piece in told.pieces)
        assert told.odds == pytest.approx(came, abs=1e-8)
        assert NEW_CALL not in [piece.evidence for piece in told.pieces]
        for piece in told.pieces:
            if isinstance(piece.evidence, Finding):
                assert piece.evidence in belief.weighed


@given(tables(), courses())
def test_second_looks_and_flips_can_be_taken_of_any_course(of, course):
    belief = believed(of, course)
    assert all(each.finding in belief.weighed for each in (*misfits(belief), *flips(belief)))
    assert np.isfinite(sufficiency(belief).surprise)


def test_a_fault_that_showed_before_and_hides_now_is_no_misfit():
    shows = 0.5
    fault = {"faults": ("loose",), "repair": "mend", "shows": shows}
    kinds = (
        Hypothesis("loose", prior=0.3, **fault),
        Hypothesis("hidden", prior=0.3, showing=False, **fault),
        Hypothesis("no-fault", (), "leave", 0.4),
    )
    checks = {f"c{number}": binary([0.01, 0.99, 0.99]) for number in range(3)}
    belief = prior(table(kinds, checks))
    for check in checks:
        belief = belief.given(Finding(check, "b"))
    belief = belief.in_another_call()
    for check in checks:
        belief = belief.given(Finding(check, "a"))
    assert belief.probabilities[1] > 0.9
    assert misfits(belief) == ()
    assert sufficiency(belief).suffices


def test_repairs_in_splits_what_two_faults_ask_for():
    assert repairs_in("ra+rb") == ("ra", "rb")
    assert repairs_in("ra") == ("ra",)
