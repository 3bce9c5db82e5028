"""The rule engine: fires what the rules say, no more, whatever the order; and as shipped."""

import subprocess
import sys
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lightoff.engine import library
from lightoff.engine.entries.rules import ExampleEntry, ExamplesEntry, RuleEntry
from lightoff.engine.library.chaining import Situation, chain
from lightoff.engine.library.examples import situation_of
from lightoff.engine.library.rules import any_of_each
from lightoff.engine.model import Rule, RuleCondition
from lightoff.engine.reasoning.rules import RuleEngine

KNOWLEDGE = library.load()
CHECKS = any_of_each(KNOWLEDGE.checks)
INFINITE = float("inf")


def rule(id_: str, *conditions: RuleCondition, derives: tuple[str, ...] = ()) -> Rule:
    entry = RuleEntry(
        id=id_,
        says="it fires",
        when=[],
        then=[],
        source="from-memory",
        examples=ExamplesEntry(fires=[], spares=[]),
    )
    return Rule(id_, entry, conditions, derives, ())


def run(engine: RuleEngine, situation: Situation) -> frozenset[str]:
    engine.fire(situation.found, situation.held, situation.facts)
    engine.go_on_with(situation.suspects)
    return frozenset(each.id for each in engine.fired)


# --- the shipped rules ------------------------------------------------------------

EXAMPLES = [
    pytest.param(each, example, fires, id=f"{each.id}-{'fires' if fires else 'spares'}-{number}")
    for each in KNOWLEDGE.rules.values()
    for fires, examples in (
        (True, each.entry.examples.fires),
        (False, each.entry.examples.spares),
    )
    for number, example in enumerate(examples, start=1)
]


@pytest.fixture(scope="module")
def shipped() -> RuleEngine:
    return RuleEngine(tuple(KNOWLEDGE.rules.values()))


@pytest.mark.parametrize(("each", "example", "fires"), EXAMPLES)
def test_a_shipped_rule_fires_in_its_examples_and_not_in_its_near_misses(
    shipped: RuleEngine, each: Rule, example: ExampleEntry, fires: bool
) -> None:
    situation = situation_of(example, CHECKS)
    fired = run(shipped, situation)
    assert (each.id in fired) is fires
    assert fired == chain(tuple(KNOWLEDGE.rules.values()), situation).fired


@given(data=st.data())
@settings(max_examples=40, deadline=None)
def test_shipped_rules_fire_as_in_the_plain_chainer_on_any_findings(
    shipped: RuleEngine, data: st.DataObject
) -> None:
    asked = sorted(shipped.asked)
    names = data.draw(st.lists(st.sampled_from(asked), unique=True)) if asked else []
    found = {
        name: (
            data.draw(st.sampled_from([outcome.id for outcome in CHECKS[name].outcomes])),
            data.draw(st.none() | st.floats(0.0, 1000.0)) if CHECKS[name].dimension else None,
        )
        for name in names
    }
    watched = sorted(shipped.watched)
    suspects = {name: data.draw(st.floats(0.0, 1.0)) for name in watched}
    situation = Situation(found, (("licence", "none"),), (), suspects)
    assert run(shipped, situation) == chain(tuple(KNOWLEDGE.rules.values()), situation).fired


# --- random rules -----------------------------------------------------------------

FIGURES = st.sampled_from([-1.0, 0.5, 1.0])
WORDS = st.sampled_from(["a", "1", "True"])
FACTS = st.sampled_from(["f1", "f2", "f3"])
NAMES = st.sampled_from(["x", "y"])
OPEN = st.tuples(st.just(-INFINITE) | FIGURES, st.just(INFINITE) | FIGURES)


def _found(name: str, words: list[str], limits: tuple[float, float]) -> RuleCondition:
    return RuleCondition("found", name, frozenset(words), *limits)


CONDITIONS = st.one_of(
    st.builds(_found, NAMES, st.lists(WORDS, max_size=2), OPEN),
    st.builds(_found, NAMES, st.just([]), st.just((-INFINITE, INFINITE))),
    st.builds(RuleCondition, st.just("fact"), FACTS),
    st.builds(RuleCondition, st.just("suspect"), NAMES, low=FIGURES),
    st.builds(
        RuleCondition,
        st.sampled_from(["stalls-in", "licence"]),
        st.just(""),
        st.frozensets(WORDS, min_size=1, max_size=2),
    ),
    st.builds(RuleCondition, st.sampled_from(["repaired", "lacks-tool"]), WORDS),
)


@st.composite
def rule_sets(draw: st.DrawFn) -> tuple[Rule, ...]:
    """Rules over few names, so that they meet; facts may chain, also in a circle."""
    bodies = draw(
        st.lists(
            st.tuples(
                st.lists(CONDITIONS, min_size=1, max_size=3, unique=True),
                st.lists(FACTS, max_size=2, unique=True),
            ),
            max_size=10,
        )
    )
    return tuple(
        rule(f"r{number}", *conditions, derives=tuple(derives))
        for number, (conditions, derives) in enumerate(bodies)
    )


SITUATIONS = st.builds(
    Situation,
    found=st.dictionaries(NAMES, st.tuples(WORDS, st.none() | FIGURES), min_size=1),
    held=st.lists(
        st.tuples(st.sampled_from(["stalls-in", "licence", "repaired", "lacks-tool"]), WORDS),
        max_size=4,
    ).map(tuple),
    facts=st.lists(FACTS, max_size=2).map(tuple),
    suspects=st.dictionaries(NAMES, FIGURES, min_size=1),
)


@given(rules=rule_sets(), situations=st.lists(SITUATIONS, min_size=1, max_size=3))
@settings(max_examples=150, deadline=None)
def test_the_engine_fires_exactly_what_a_plain_forward_chainer_fires(
    rules: tuple[Rule, ...], situations: list[Situation]
) -> None:
    engine = RuleEngine(rules)
    for situation in situations:
        assert run(engine, situation) == chain(rules, situation).fired


@given(rules=rule_sets(), situation=SITUATIONS, data=st.data())
@settings(max_examples=60, deadline=None)
def test_the_order_of_rules_and_of_what_holds_changes_nothing(
    rules: tuple[Rule, ...], situation: Situation, data: st.DataObject
) -> None:
    shuffled = tuple(data.draw(st.permutations(rules)))
    other = Situation(
        found=dict(data.draw(st.permutations(list(situation.found.items())))),
        held=tuple(data.draw(st.permutations(situation.held))),
        facts=tuple(data.draw(st.permutations(situation.facts))),
        suspects=dict(data.draw(st.permutations(list(situation.suspects.items())))),
    )
    assert run(RuleEngine(shuffled), other) == run(RuleEngine(rules), situation)


@given(rules=rule_sets(), situation=SITUATIONS)
@settings(max_examples=60, deadline=None)
def test_one_more_finding_takes_no_conclusion_back(
    rules: tuple[Rule, ...], situation: Situation
) -> None:
    engine = RuleEngine(rules)
    known = dict(list(situation.found.items())[:-1])
    assert run(engine, replace(situation, found=known)) <= run(engine, situation)


# --- single traits ----------------------------------------------------------------


def test_rules_that_fired_come_in_the_order_given() -> None:
    rules = [rule(f"r{n}", RuleCondition("found", "x")) for n in (3, 1, 2)]
    engine = RuleEngine(rules)
    engine.fire({"x": ("a", None)})
    assert [each.id for each in engine.fired] == ["r3", "r1", "r2"]


def test_each_firing_starts_from_scratch() -> None:
    rules = [
        rule("first", RuleCondition("found", "x"), derives=("f",)),
        rule("second", RuleCondition("fact", "f"), RuleCondition("suspect", "p", low=0.5)),
    ]
    engine = RuleEngine(rules)
    assert run(engine, Situation({"x": ("a", None)}, suspects={"p": 0.6})) == {"first", "second"}
    assert run(engine, Situation({"x": ("a", None)})) == {"first"}
    assert run(engine, Situation({}, suspects={"p": 0.6})) == frozenset()


@pytest.mark.parametrize(("share", "fires"), [(0.49, False), (0.5, True), (1.0, True)])
def test_a_suspect_counts_from_its_share_on(share: float, fires: bool) -> None:
    engine = RuleEngine([rule("r", RuleCondition("suspect", "igniter", low=0.5))])
    assert bool(run(engine, Situation(suspects={"igniter": share}))) is fires


def test_words_that_look_like_numbers_are_words() -> None:
    engine = RuleEngine([rule("r", RuleCondition("found", "x", frozenset({"1"})))])
    assert run(engine, Situation({"x": ("1", None)})) == {"r"}
    assert run(engine, Situation({"x": ("True", 1.0)})) == frozenset()


def test_no_rules_fire_nothing() -> None:
    assert run(RuleEngine(()), Situation({"x": ("a", 1.0)}, facts=("f",))) == frozenset()


def test_loading_the_engine_leaves_the_log_of_the_program_alone() -> None:
    code = (
        "import logging; before = list(logging.root.handlers);"
        "import lightoff.engine.reasoning.rules; print(logging.root.handlers == before)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "True"
