"""Rules on a job: what they conclude, and that they lean the belief as they say."""

import numpy as np
import pytest

from lightoff.engine.entries.rules import EffectEntry, ExamplesEntry, RuleEntry
from lightoff.engine.model import Rule, RuleCondition
from lightoff.engine.reasoning.advice import Adviser, Person, about, shares_of
from lightoff.engine.reasoning.belief import Finding, posterior
from lightoff.engine.reasoning.diagnosis import Diagnosis
from lightoff.engine.reasoning.table import Hypothesis

LIGHT = "status-light-after-call"


def rule(
    name: str,
    *conditions: RuleCondition,
    weighs: tuple[tuple[str, float], ...] = (),
    derives: tuple[str, ...] = (),
    **effects: str | list[str],
) -> Rule:
    then = [EffectEntry(**{effect: value}) for effect, value in effects.items()]
    entry = RuleEntry(
        id=name,
        says=f"{name} fired",
        when=[],
        then=then,
        source="from-memory",
        examples=ExamplesEntry(fires=[], spares=[]),
    )
    return Rule(name, entry, conditions, derives, weighs)


def found(check: str, *words: str, low: float = float("-inf")) -> RuleCondition:
    return RuleCondition("found", check, frozenset(words), low)


def adviser(diagnosis: Diagnosis, *rules: Rule) -> Adviser:
    return Adviser(diagnosis.table, diagnosis.checks, rules)


def odds(diagnosis: Diagnosis, probabilities: np.ndarray, fault: str) -> float:
    column = [each.id for each in diagnosis.table.hypotheses].index(fault)
    return float(probabilities[column] / (1.0 - probabilities[column]))


def test_a_rule_without_its_finding_concludes_nothing(diagnosis: Diagnosis):
    advice = adviser(diagnosis, rule("r", found(LIGHT, "dark"), stop="smell-of-gas")).advise(())
    assert advice.fired == ()
    assert advice.stopped == ()


def test_a_weighing_rule_multiplies_the_odds_of_its_suspect_by_its_factor(diagnosis: Diagnosis):
    light = diagnosis.checks[LIGHT].outcomes[0].id
    findings = (Finding(LIGHT, light),)
    weighing = rule("r", found(LIGHT, light), weighs=(("igniter.open", 4.0),))
    plain = posterior(diagnosis.table, findings).probabilities
    leaning = adviser(diagnosis, weighing).advise(findings).belief.probabilities
    ratio = odds(diagnosis, leaning, "igniter.open") / odds(diagnosis, plain, "igniter.open")
    assert ratio == pytest.approx(4.0)


def test_rules_chain_over_the_facts_they_derive(diagnosis: Diagnosis):
    light = diagnosis.checks[LIGHT].outcomes[1].id
    chain = [
        rule("last", RuleCondition("fact", "second"), caution="carbon-monoxide"),
        rule("middle", RuleCondition("fact", "first"), derives=("second",), derive="second"),
        rule("start", found(LIGHT, light), derives=("first",), derive="first"),
    ]
    advice = adviser(diagnosis, *chain).advise([Finding(LIGHT, light)])
    assert [each.id for each in advice.fired] == ["last", "middle", "start"]
    assert [said.text for said in advice.cautions] == ["carbon-monoxide"]
    assert [said.rule.id for said in advice.facts] == ["middle", "start"]


def test_dont_know_is_no_finding_for_a_rule(diagnosis: Diagnosis):
    advice = adviser(diagnosis, rule("r", found(LIGHT), oblige="look")).advise(
        [Finding(LIGHT, None)]
    )
    assert advice.obligations == ()


def test_a_reading_is_compared_in_si_units(diagnosis: Diagnosis):
    check = next(each for each in diagnosis.checks.values() if each.entry.reads.ohms == "igniter")
    high = rule("r", found(check.id, low=100.0), oblige="renew it")
    engine = adviser(diagnosis, high)
    outcome = check.outcomes[0].id
    assert engine.advise([Finding(check.id, outcome, "0.18 kohm")]).obligations
    assert not engine.advise([Finding(check.id, outcome, "60 ohm")]).obligations
    assert not engine.advise([Finding(check.id, outcome, outcome)]).obligations


def test_a_rule_on_a_suspect_fires_only_once_it_is_likely_enough(diagnosis: Diagnosis):
    on_part = rule(
        "r", RuleCondition("suspect", "igniter", low=0.5), oblige="look at the porcelain"
    )
    engine = adviser(diagnosis, on_part)
    assert not engine.advise(()).fired
    cracked = [
        Finding(check.id, outcome.id)
        for check in diagnosis.checks.values()
        if check.entry.reads.condition == "igniter.looks"
        for outcome in check.outcomes
        if "cracked" in outcome.band.words
    ]
    assert shares_of(posterior(diagnosis.table, cracked))["igniter"] > 0.5
    assert engine.advise(cracked).fired


def test_tools_licence_and_failed_repairs_are_conditions(diagnosis: Diagnosis):
    rules = [
        rule("tool", RuleCondition("lacks-tool", "manometer"), hold_back=["gas-valve-click"]),
        rule("licence", RuleCondition("licence", "", frozenset({"none"})), oblige="ask for one"),
        rule("again", RuleCondition("repaired", "replace-igniter"), oblige="why twice?"),
    ]
    engine = adviser(diagnosis, *rules)
    assert engine.advise(()).fired == ()
    person = Person(frozenset({"manometer"}), "none")
    advice = engine.advise((), ["replace-igniter"], person)
    assert [each.id for each in advice.fired] == ["tool", "licence", "again"]
    assert [said.text for said in advice.held_back] == ["gas-valve-click"]


def test_the_order_of_findings_changes_no_conclusion(diagnosis: Diagnosis):
    names = list(diagnosis.checks)[:3]
    findings = [Finding(name, diagnosis.checks[name].outcomes[0].id) for name in names]
    rules = [
        rule(
            f"r{number}",
            found(name, diagnosis.checks[name].outcomes[0].id),
            weighs=(("filter", 2.0),),
        )
        for number, name in enumerate(names)
    ]
    engine, other = adviser(diagnosis, *rules), adviser(diagnosis, *rules)
    one, two = engine.advise(findings), other.advise(findings[::-1])
    assert one.fired == two.fired
    np.testing.assert_allclose(one.belief.probabilities, two.belief.probabilities)


def test_a_target_is_a_part_or_one_of_its_faults():
    hypothesis = Hypothesis("igniter.open", ("igniter.open",), "replace-igniter", 0.1)
    assert about(hypothesis, "igniter")
    assert about(hypothesis, "igniter.open")
    assert not about(hypothesis, "igniter.aged")
    assert not about(hypothesis, "igniter-plug")
