import random
from math import inf, log

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from lightoff.engine.model import NO_FAULT, SOMETHING_ELSE
from lightoff.engine.reasoning.belief import NOT_CURED, Finding, posterior, prior
from lightoff.engine.reasoning.table import Hypothesis, Table
from tests.reasoning.tables import binary, hypotheses, table, tables

TWO = table(
    hypotheses(["x", "y"], [1, 3]), {"look": binary([0.9, 0.2]), "hear": binary([0.5, 0.4])}
)


@st.composite
def tables_with_findings(draw: st.DrawFn) -> tuple[Table, tuple[Finding, ...]]:
    """A random table and findings on some of its checks, each asked once."""
    drawn = draw(tables())
    asked = draw(st.permutations(drawn.checks))[: draw(st.integers(0, len(drawn.checks)))]
    answers = [(None, *drawn.outcomes[drawn.checks.index(check)]) for check in asked]
    return drawn, tuple(
        Finding(check, draw(st.sampled_from(allowed)))
        for check, allowed in zip(asked, answers, strict=True)
    )


def test_one_finding_gives_the_share_computed_by_hand():
    belief = prior(TWO).given(Finding("look", "a"))
    assert belief.probabilities == pytest.approx([0.9 / 1.5, 0.6 / 1.5])
    assert belief.log_evidence == pytest.approx(log(0.25 * 0.9 + 0.75 * 0.2))


def test_prior_weights_are_made_to_sum_to_one():
    assert prior(TWO).probabilities == pytest.approx([0.25, 0.75])
    assert prior(TWO).log_evidence == pytest.approx(0.0, abs=1e-12)


@given(tables_with_findings())
def test_probabilities_sum_to_one(case):
    assert posterior(*case).probabilities.sum() == pytest.approx(1.0, abs=1e-12)


@given(tables_with_findings(), st.randoms(use_true_random=False))
def test_the_order_of_findings_does_not_matter_to_the_last_bit(case, shuffle: random.Random):
    drawn, findings = case
    shuffled = list(findings)
    shuffle.shuffle(shuffled)
    expected = posterior(drawn, findings).log_weights
    assert np.array_equal(posterior(drawn, shuffled).log_weights, expected)


@given(tables_with_findings(), st.data())
def test_dont_know_changes_nothing(case, data):
    drawn, findings = case
    belief = posterior(drawn, findings)
    unsure = belief.given(Finding(data.draw(st.sampled_from(drawn.checks)), None, "?"))
    assert np.array_equal(unsure.log_weights, belief.log_weights)


@given(tables_with_findings(), st.data())
def test_leaving_out_the_last_finding_restores_the_belief_exactly(case, data):
    drawn, findings = case
    before = posterior(drawn, findings)
    fresh = [check for check in drawn.checks if check not in {each.check for each in findings}]
    check = data.draw(st.sampled_from(fresh or drawn.checks))
    after = before.given(Finding(check, drawn.outcomes[drawn.checks.index(check)][0]))
    undone = posterior(drawn, after.findings[:-1])
    assert undone.findings == before.findings
    assert np.array_equal(undone.log_weights, before.log_weights)


@given(tables_with_findings())
def test_one_finding_at_a_time_is_the_same_as_all_at_once(case):
    drawn, findings = case
    belief = prior(drawn)
    for finding in findings:
        belief = belief.given(finding)
    assert np.array_equal(belief.log_weights, posterior(drawn, findings).log_weights)


def test_a_repeated_check_counts_once_with_its_latest_answer():
    twice = posterior(TWO, [Finding("look", "a"), Finding("hear", "a"), Finding("look", "b")])
    once = posterior(TWO, [Finding("hear", "a"), Finding("look", "b")])
    assert np.array_equal(twice.log_weights, once.log_weights)
    assert len(twice.findings) == 3


def test_the_same_answer_given_twice_is_no_stronger_than_once():
    once = prior(TWO).given(Finding("look", "a"))
    assert np.array_equal(once.given(Finding("look", "a")).log_weights, once.log_weights)


def test_a_repair_that_did_not_cure_lowers_its_faults_and_keeps_the_findings():
    found = prior(TWO).given(Finding("look", "a"))
    failed = found.after_repair("x")
    odds_before = found.probabilities[0] / found.probabilities[1]
    odds_after = failed.probabilities[0] / failed.probabilities[1]
    assert odds_after == pytest.approx(NOT_CURED * odds_before)
    assert failed.findings == found.findings
    assert failed.repaired == ("x",)


def test_a_repair_told_twice_counts_once():
    once = prior(TWO).after_repair("x")
    assert np.array_equal(once.after_repair("x").log_weights, once.log_weights)


def test_no_fault_and_something_else_are_kept_apart_whatever_repair_they_name():
    odd = (Hypothesis(NO_FAULT, (), "x", 1.0), Hypothesis(SOMETHING_ELSE, (), "x", 1.0))
    mixed = table((*hypotheses(["x"], [1.0]), *odd), {"look": binary([0.5, 0.5, 0.5])})
    after = prior(mixed).after_repair("x").probabilities
    assert after[1] == after[2] > after[0]


def test_evidence_falls_when_no_hypothesis_explains_the_findings_well():
    strict = table(hypotheses(["x", "y"], [1, 1]), {"look": binary([0.99, 0.98])})
    expected = prior(strict).given(Finding("look", "a")).log_evidence
    surprising = prior(strict).given(Finding("look", "b")).log_evidence
    assert surprising < log(0.02) < log(0.9) < expected


def test_findings_that_no_hypothesis_allows_are_an_error_that_names_the_checks():
    strict = table(hypotheses(["x", "y"], [1, 1]), {"look": binary([1, 1])})
    belief = prior(strict).given(Finding("look", "b"))
    assert belief.log_evidence == -inf
    with pytest.raises(ValueError, match="look"):
        _ = belief.probabilities


@pytest.mark.parametrize(
    "wrong", [Finding("smell", "a"), Finding("smell", None), Finding("look", "z")]
)
def test_a_finding_the_table_does_not_have_is_a_key_error(wrong):
    with pytest.raises(KeyError):
        prior(TWO).given(wrong)


def test_a_repair_that_no_hypothesis_asks_for_is_a_key_error():
    with pytest.raises(KeyError, match="paint"):
        prior(TWO).after_repair("paint")
