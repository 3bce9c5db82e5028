from math import inf, log10

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lightoff.engine.reasoning.belief import Finding, posterior, prior
from lightoff.engine.reasoning.choice import decide
from lightoff.engine.reasoning.explain import LEADING, weights_of, why_check
from tests.reasoning.tables import binary, costs, hypotheses, table, tables

FOUR = table(
    hypotheses(["w", "x", "y", "z"], [4, 3, 2, 1]),
    {"look": binary([0.9, 0.1, 0.1, 0.1]), "never": [[1] * 4, [0] * 4]},
)


def test_the_outcomes_of_a_check_show_chance_and_leading_repairs():
    why = why_check(prior(FOUR), costs(FOUR), "look", {})
    assert [each.outcome for each in why.outcomes] == ["a", "b"]
    assert [each.chance for each in why.outcomes] == pytest.approx([0.42, 0.58])
    yes, no = (each.leading for each in why.outcomes)
    assert yes[0] == ("w", pytest.approx(0.36 / 0.42))
    assert [repair for repair, _ in no] == ["x", "y", "z"]
    assert len(yes) == len(no) == LEADING


def test_the_figures_are_those_of_the_decision():
    belief, price = prior(FOUR), costs(FOUR)
    decision = decide(belief, price, {})
    why = why_check(belief, price, decision.check, {})
    assert (why.gain, why.minutes) == (decision.gain, decision.minutes)
    assert (why.repair_now, why.repair_after) == (decision.repair_now, decision.repair_after)


def test_an_impossible_outcome_has_no_leading_repair():
    possible, impossible = why_check(prior(FOUR), costs(FOUR), "never", {}).outcomes
    assert (possible.chance, impossible.chance) == (pytest.approx(1.0), 0.0)
    assert impossible.leading == ()


@given(tables())
def test_chances_of_the_outcomes_sum_to_one(drawn):
    why = why_check(prior(drawn), costs(drawn), "c0", {})
    assert sum(each.chance for each in why.outcomes) == pytest.approx(1.0)


@given(tables(), st.data())
def test_weights_of_evidence_add_up_to_the_odds(drawn, data):
    findings = [
        Finding(check, data.draw(st.sampled_from([*allowed, None])))
        for check, allowed in zip(drawn.checks, drawn.outcomes, strict=True)
    ]
    belief = posterior(drawn, findings, [drawn.hypotheses[0].repair])
    weights = weights_of(belief, "h0", "h1")
    odds = belief.probabilities[0] / belief.probabilities[1]
    assert sum(each.decibans for each in weights) == pytest.approx(10.0 * log10(odds), abs=1e-9)


def test_each_finding_has_its_own_weight_and_dont_know_has_none():
    belief = posterior(FOUR, [Finding("look", "a", "yes"), Finding("never", None)], ["x"])
    weights = weights_of(belief, "h0", "h1")
    assert [each.evidence for each in weights] == ["prior", Finding("look", "a", "yes"), "x"]
    assert weights[1].decibans == pytest.approx(10.0 * log10(9.0))
    assert weights[2].decibans > 0.0


def test_evidence_impossible_under_one_or_both_has_a_weight_all_the_same():
    strict = table(hypotheses(["x", "y", "z"], [1, 1, 1]), {"look": binary([1, 0, 0])})
    belief = prior(strict).given(Finding("look", "a"))
    assert weights_of(belief, "h0", "h1")[1].decibans == inf
    assert weights_of(belief, "h1", "h2")[1].decibans == 0.0


def test_an_unknown_hypothesis_or_check_is_a_key_error():
    with pytest.raises(KeyError, match="h9"):
        weights_of(prior(FOUR), "h0", "h9")
    with pytest.raises(KeyError, match="smell"):
        why_check(prior(FOUR), costs(FOUR), "smell", {})
