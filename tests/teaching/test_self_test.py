"""Self-test questions: right by the model, wrong choices wrong, the same for a seed."""

import os
import random
import subprocess
import sys

import pytest

from lightoff.engine.machine import probe
from lightoff.engine.machine.combustion import FUELS, ICE_POINT, dew_point
from lightoff.engine.outcomes import outcome_index
from lightoff.engine.reasoning.prediction import Traces
from lightoff.engine.teaching.self_test.burning import METHANE
from lightoff.engine.teaching.self_test.pool import KINDS, questions
from lightoff.engine.teaching.self_test.question import Source
from tests.conftest import FURNACE


@pytest.fixture(scope="module")
def furnace(knowledge):
    return knowledge.furnaces[FURNACE]


@pytest.fixture(scope="module")
def some(knowledge, furnace):
    return {
        kind: questions(knowledge, furnace, 3 if kind in {"products", "water"} else 12, 1, [kind])
        for kind in KINDS
    }


@pytest.mark.parametrize("kind", KINDS)
def test_each_kind_makes_questions_with_choices_that_differ(some, kind):
    assert len(some[kind]) >= 3
    for question in some[kind]:
        assert 2 <= len(set(question.choices)) == len(question.choices) <= 4
        assert 0 <= question.right < len(question.choices)
        assert question.ask
        assert question.why


def test_the_same_seed_asks_the_same_and_another_something_else(knowledge, furnace):
    first = questions(knowledge, furnace, 8, 5)
    assert first == questions(knowledge, furnace, 8, 5)
    assert first != questions(knowledge, furnace, 8, 6)


def test_as_many_as_asked_for_are_all_different(knowledge, furnace):
    asked = questions(knowledge, furnace, 40, 2)
    assert len({(each.ask, each.choices[each.right]) for each in asked}) == 40


def test_fewer_come_where_there_are_no_more(knowledge, furnace):
    assert len(questions(knowledge, furnace, 50, 1, ["water"])) == 3


def test_an_unknown_kind_is_refused(knowledge, furnace):
    with pytest.raises(KeyError):
        questions(knowledge, furnace, 1, 1, ["nonsense"])


def test_no_other_choice_carries_the_label_that_is_asked(knowledge, furnace, some):
    by_name = {part.entry.name: part.entry for part in furnace.parts.values()}
    for question in some["label"]:
        label = question.ask.removeprefix("A wiring diagram says ").split(". Which")[0]
        carrying = [label in by_name[choice].labels.usual for choice in question.choices]
        assert carrying.count(True) == 1
        assert carrying[question.right]


def test_where_it_stalls_is_what_the_simulated_furnace_does(knowledge, furnace, some):
    traces = Traces(furnace)
    named = {
        f"{furnace.parts[fault.part].entry.name}: {fault.entry.name}": fault
        for fault in furnace.faults.values()
    }
    watching = next(
        c
        for c in knowledge.checks[FURNACE].values()
        if c.entry.reads.stalls and c.entry.phase == "watch" and not c.trying
    )
    for question in some["stalls"]:
        fault = named[question.ask.split(". Where does")[0]]
        reading = probe.read(traces.of(fault.overrides), watching.entry.reads)
        right = watching.outcomes[outcome_index(watching, reading)].text
        assert question.choices[question.right] == right


def test_a_meter_question_has_one_choice_near_the_true_reading(some):
    for question in some["meter"]:
        volts = [float(choice.split()[0]) for choice in question.choices]
        right = volts[question.right]
        others = [each for n, each in enumerate(volts) if n != question.right]
        assert all(abs(each - right) > 2.0 for each in others)


def test_the_next_step_follows_in_the_sequence(furnace, some):
    does = [furnace.sequence.steps[each].entry.does for each in furnace.sequence.path]
    for question in some["next"]:
        here = question.ask.split("\u201c")[1].split("\u201d")[0]
        assert does[does.index(here) + 1] == question.choices[question.right]


def test_methane_burns_by_its_equation():
    # CH4 + 2 O2 -> CO2 + 2 H2O; oxygen 20.95 % of air (ICAO standard atmosphere).
    assert METHANE.water == pytest.approx(2.0)
    assert METHANE.carbon_dioxide == pytest.approx(1.0)
    assert METHANE.stoichiometric_air == pytest.approx(2.0 / 0.2095)


def test_the_dew_point_asked_for_is_that_of_the_fuel(furnace, some):
    for question in some["water"]:
        excess = float(question.ask.split(" with ")[1].split(" %")[0]) / 100
        celsius = dew_point(FUELS[furnace.entry.gas], excess) - ICE_POINT
        assert f"{celsius:.0f} \u00b0C" in question.choices[question.right]


def test_the_name_of_a_part_is_not_given_away(knowledge, furnace, some):
    for kind in ("place", "job"):
        for question in some[kind]:
            assert question.choices[question.right].lower() not in question.ask.lower()


def test_choices_come_in_any_order(knowledge, furnace):
    places = {each.right for each in questions(knowledge, furnace, 30, 3, ["place"])}
    assert len(places) > 1


def test_a_question_without_a_wrong_choice_is_none(knowledge, furnace):
    source = Source(knowledge, furnace, random.Random(1))
    assert source.put("x", "What?", "this", ["this"], "because") is None


def test_the_same_seed_asks_the_same_in_another_process():
    made = (
        "from lightoff.engine import library; "
        "from lightoff.engine.teaching.self_test.pool import questions; "
        "k = library.load(); print(questions(k, k.furnaces['two-pipe-condensing'], 40, 3))"
    )

    def sheet(hashing):
        environment = {**os.environ, "PYTHONHASHSEED": hashing}
        run = [sys.executable, "-c", made]
        return subprocess.run(run, env=environment, capture_output=True, check=True).stdout

    assert sheet("1") == sheet("2")


def test_only_the_right_fault_explains_what_is_seen(knowledge, furnace, some):
    traces = Traces(furnace)
    named = {
        f"{furnace.parts[fault.part].entry.name}: {fault.entry.name}": fault
        for fault in furnace.faults.values()
    }
    for question in some["explains"]:
        asked = [
            check
            for check in knowledge.checks[FURNACE].values()
            if question.ask.startswith(f"{check.entry.ask} \u201c")
        ]
        assert any(_showing(check, question, named, traces) for check in asked)


def _showing(check, question, named, traces):
    """Whether the right fault alone gives the outcome, and a sound furnace gets so far."""
    said = question.ask.split(" \u201c")[-1].split(".\u201d")[0]

    def shown(overrides):
        reading = probe.read(traces.of({**overrides, **check.trying}), check.entry.reads)
        return check.outcomes[outcome_index(check, reading)].text

    hits = [shown(named[each].overrides) == said for each in question.choices]
    reached = probe.read(traces.of(dict(check.trying)), check.entry.reads) is not None
    return reached and hits[question.right] and hits.count(True) == 1
