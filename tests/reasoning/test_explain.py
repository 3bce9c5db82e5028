from math import inf, isfinite, log, log10

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from lightoff.engine.reasoning.advice import about, leanings_of
from lightoff.engine.reasoning.belief import Finding, posterior, prior
from lightoff.engine.reasoning.explain import (
    LEADING,
    RULES,
    explain_suspect,
    weights_of,
    why_check,
)
from lightoff.engine.reasoning.overturn import flips, turns
from lightoff.engine.reasoning.planning.choice import decide
from lightoff.engine.reasoning.planning.repairing import repair_probabilities
from lightoff.engine.reasoning.suspects import suspects_of
from lightoff.engine.reasoning.table import Hypothesis
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


@st.composite
def beliefs(draw):
    """Beliefs after findings on all checks or some, a repair in vain, and rules that lean."""
    drawn = draw(tables())
    findings = [
        Finding(check, draw(st.sampled_from([*allowed, None])))
        for check, allowed in zip(drawn.checks, drawn.outcomes, strict=True)
    ]
    findings = draw(st.permutations(findings))[: draw(st.integers(0, len(findings)))]
    repaired = draw(st.sampled_from([[], [drawn.hypotheses[0].repair]]))
    factors = draw(
        st.lists(
            st.sampled_from([0.001, 1.0, 3.0, 8.0]),
            min_size=len(drawn.hypotheses),
            max_size=len(drawn.hypotheses),
        )
    )
    return posterior(drawn, findings, repaired, np.log(factors))


def odds(belief, suspect):
    """Decibans of a suspect against all the others."""
    share = sum(
        chance
        for each, chance in zip(belief.table.hypotheses, belief.probabilities, strict=True)
        if ("+".join(each.faults) or each.id) == suspect
    )
    return 10.0 * log10(share / (1.0 - share))


@given(beliefs())
def test_weights_of_evidence_add_up_to_the_odds(belief):
    weights = weights_of(belief, "h0", "h1")
    ratio = belief.probabilities[0] / belief.probabilities[1]
    assert sum(each.decibans for each in weights) == pytest.approx(10.0 * log10(ratio), abs=1e-9)


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


# --- a suspect --------------------------------------------------------------------


@given(beliefs(), st.integers(0, 1))
def test_prior_and_weights_as_they_came_add_up_to_the_odds_of_a_suspect(belief, number):
    told = explain_suspect(belief, f"h{number}")
    came = told.prior + sum(piece.as_it_came for piece in told.pieces)
    assert told.odds == pytest.approx(came, abs=1e-9)
    assert told.odds == pytest.approx(odds(belief, f"h{number}"), abs=1e-6)


@given(beliefs(), st.integers(0, 1))
def test_without_a_finding_the_odds_are_lower_by_just_its_weight(belief, number):
    told = explain_suspect(belief, f"h{number}")
    for piece in told.pieces:
        if not isinstance(piece.evidence, Finding):
            continue
        others = [each for each in belief.findings if each != piece.evidence]
        without = posterior(belief.table, others, belief.repaired, belief.leanings)
        lost = odds(belief, f"h{number}") - odds(without, f"h{number}")
        assert piece.decibans == pytest.approx(lost, abs=1e-6)


@given(beliefs())
def test_the_first_finding_for_the_leading_suspect_is_the_one_whose_loss_lowers_it_most(belief):
    leading = suspects_of(belief)[0].id
    speaking = [
        piece.evidence
        for piece in explain_suspect(belief, leading).speaking_for(least=1e-6)
        if isinstance(piece.evidence, Finding)
    ]
    left = {
        each.check: odds(
            posterior(
                belief.table,
                [other for other in belief.findings if other != each],
                belief.repaired,
                belief.leanings,
            ),
            leading,
        )
        for each in belief.findings
        if each.outcome is not None
    }
    if speaking:
        assert left[speaking[0].check] == pytest.approx(min(left.values()), abs=1e-6)
    else:
        assert all(without >= odds(belief, leading) - 1e-5 for without in left.values())


@given(beliefs(), st.integers(0, 1))
def test_what_is_predicted_is_the_likeliest_outcome_of_the_suspect(belief, number):
    table_ = belief.table
    for piece in explain_suspect(belief, f"h{number}").pieces:
        if not isinstance(piece.evidence, Finding):
            assert piece.predicted is None
            continue
        column = table_.likelihood[table_.rows(piece.evidence.check), number]
        assert piece.predicted.chance == pytest.approx(column.max())
        assert piece.predicted.of_found == pytest.approx(
            table_.row(piece.evidence.check, piece.evidence.outcome)[number]
        )


def test_for_and_against_are_sorted_and_leave_out_what_hardly_speaks():
    belief = posterior(FOUR, [Finding("look", "a")], ["x"])
    told = explain_suspect(belief, "h0")
    assert [piece.evidence for piece in told.speaking_for()] == [Finding("look", "a"), "x"]
    assert told.speaking_for(least=100.0) == ()
    against = explain_suspect(belief, "h1").speaking_against()
    assert [piece.evidence for piece in against] == ["x", Finding("look", "a")]


def test_a_fault_that_comes_and_goes_is_one_suspect_whether_it_shows_or_not():
    kinds = (
        Hypothesis("p.loose", ("p.loose",), "tighten", 1.0),
        Hypothesis("p.loose (not showing)", ("p.loose",), "tighten", 1.0, showing=False),
        Hypothesis("q.open", ("q.open",), "replace", 2.0),
    )
    belief = prior(table(kinds, {"look": binary([0.9, 0.1, 0.1])})).given(Finding("look", "a"))
    told = explain_suspect(belief, "p.loose")
    assert told.odds == pytest.approx(10.0 * log10(1.0 / 0.2))
    assert told.pieces[0].predicted.of_found == pytest.approx(0.5)


def test_nothing_is_wrong_and_something_else_can_be_explained_too():
    kinds = (
        Hypothesis("no-fault", (), "no-repair", 1.0),
        Hypothesis("something-else", (), "refer", 1.0),
        Hypothesis("q.open", ("q.open",), "replace", 2.0),
    )
    belief = prior(table(kinds, {"look": binary([0.1, 0.5, 0.9])})).given(Finding("look", "a"))
    assert explain_suspect(belief, "no-fault").pieces[0].decibans < 0.0
    assert explain_suspect(belief, "something-else").suspect.probability == pytest.approx(0.5 / 2.4)
    with pytest.raises(KeyError, match="refer"):
        explain_suspect(belief, "refer")


def test_evidence_that_rules_a_suspect_out_weighs_endlessly():
    strict = table(hypotheses(["x", "y"], [1, 1]), {"look": binary([1, 0])})
    told = explain_suspect(prior(strict).given(Finding("look", "a")), "h1")
    assert told.pieces[0].decibans == -inf
    assert told.odds == -inf
    assert isfinite(told.prior)


# --- rules ------------------------------------------------------------------------


def test_rules_that_are_not_named_count_as_one_piece_of_evidence():
    belief = posterior(FOUR, [], (), np.log([3.0, 1.0, 1.0, 1.0]))
    (piece,) = explain_suspect(belief, "h0").pieces
    assert piece.evidence == RULES
    assert piece.decibans == pytest.approx(10.0 * log10(3.0))
    assert piece.predicted is None


def test_each_rule_that_weighs_is_a_piece_of_its_own(diagnosis):
    rules = [rule for rule in diagnosis.adviser.rules if rule.weighs][:2]
    leanings = sum(leanings_of(diagnosis.table, [rule]) for rule in rules)
    fault = next(
        each.id for each in diagnosis.table.hypotheses if about(each, rules[0].weighs[0][0])
    )
    told = explain_suspect(posterior(diagnosis.table, (), (), leanings), fault, rules)
    assert [piece.evidence for piece in told.pieces] == rules
    assert told.odds == pytest.approx(told.prior + sum(each.as_it_came for each in told.pieces))


def test_weights_against_one_other_hypothesis_count_the_rules():
    belief = posterior(FOUR, [], (), np.array([log(3.0), 0.0, 0.0, 0.0]))
    assert [each.evidence for each in weights_of(belief, "h0", "h1")] == ["prior", RULES]


# --- what would change it ---------------------------------------------------------


@given(beliefs(), st.integers(0, 1))
def test_a_turn_hands_the_lead_from_or_to_the_repair_of_the_suspect(belief, number):
    told = explain_suspect(belief, f"h{number}")
    leads = next(iter(repair_probabilities(belief))) == told.suspect.repair
    for turn in told.turns:
        then = repair_probabilities(belief.given(Finding(turn.check, turn.outcome)))
        assert then[turn.leading] == pytest.approx(turn.share)
        assert turn.share == pytest.approx(max(then.values()))
        assert (turn.leading == told.suspect.repair) is not leads
        assert turn.check not in belief.asked
    chances = [turn.chance for turn in told.turns]
    assert chances == sorted(chances, reverse=True)


def test_a_turn_has_the_chance_of_its_outcome():
    told = turns(prior(FOUR), "w")
    assert [(each.check, each.outcome, each.leading) for each in told] == [("look", "b", "x")]
    assert told[0].chance == pytest.approx(0.58)
    assert turns(prior(FOUR), "w", left_out=["look"]) == ()
    with pytest.raises(KeyError, match="polish"):
        turns(prior(FOUR), "polish")


@given(beliefs())
def test_a_flip_changes_the_leading_repair(belief):
    leading = next(iter(repair_probabilities(belief)))
    for flip in flips(belief):
        others = [each for each in belief.findings if each.check != flip.finding.check]
        otherwise = [*others, Finding(flip.finding.check, flip.outcome)]
        then = repair_probabilities(
            posterior(belief.table, otherwise, belief.repaired, belief.leanings)
        )
        assert max(then.values()) == pytest.approx(then[flip.leading])
        assert flip.leading != leading


def test_the_cheapest_flip_is_of_the_finding_least_to_be_expected():
    kinds = hypotheses(["x", "y"], [1, 1])
    sure = table(kinds, {"sharp": binary([0.99, 0.01]), "dull": binary([0.2, 0.7])})
    belief = posterior(sure, [Finding("sharp", "a"), Finding("dull", "a")])
    assert [flip.finding.check for flip in flips(belief)] == ["sharp"]
    both = posterior(sure, [Finding("dull", "b")])
    (flip,) = flips(both)
    assert (flip.outcome, flip.leading) == ("a", "y")
    assert flip.price == pytest.approx(10.0 * log10(0.55 / 0.45))
