"""The check of scenarios: what holds passes, what cannot be marked is refused."""

import functools
from collections import Counter
from dataclasses import replace

import pytest

from lightoff.engine.library import scenarios
from lightoff.engine.model import Fault, HiddenFault
from lightoff.engine.reasoning.diagnosis import Diagnosis
from lightoff.engine.teaching.check import check_scenario
from tests.conftest import FURNACE, loaded
from tests.scenario_text import cold_gym

FAULT = "fault: flame-sensor.coated"


@functools.cache
def diagnosis_of(furnace):
    return Diagnosis.of(loaded(), furnace)


@pytest.fixture(scope="module")
def diagnosis():
    return diagnosis_of(FURNACE)


@pytest.fixture
def scenario_with(tmp_path, knowledge):
    def with_(*changes):
        scenario, problems = scenarios.read_scenario(cold_gym(tmp_path, *changes), knowledge)
        assert problems == []
        return scenario

    return with_


@pytest.fixture
def checking(scenario_with, diagnosis):
    return lambda *changes: check_scenario(scenario_with(*changes), diagnosis)


def hiding(scenario, fault: Fault):
    return replace(scenario, hidden=(HiddenFault(fault),))


# --- what passes -------------------------------------------------------------------------


def test_a_right_scenario_passes_with_its_path(checking):
    checked = checking()
    assert checked.is_sound
    assert checked.ended == "cured"
    assert checked.path[-1].id == "clean-flame-sensor"
    assert {step.kind for step in checked.path[:-1]} == {"check"}


def test_the_minutes_are_those_of_talk_waiting_and_path(checking):
    checked = checking()
    assert checked.talking == pytest.approx(0.9)
    assert checked.minutes == pytest.approx(0.9 + sum(step.minutes for step in checked.path))


def test_two_faults_are_both_mended(checking):
    checked = checking((FAULT, "fault: igniter.open\n  - fault: filter.plugged"), ("90", "300"))
    repairs = [step.id for step in checked.path if step.kind == "repair"]
    assert checked.is_sound
    assert sorted("+".join(repairs).split("+")) == ["replace-filter", "replace-igniter"]


def test_a_stop_by_the_rules_is_a_right_end(checking):
    checked = checking(("since-when: slowly-worse", "smell-of-gas: 'yes'"))
    assert checked.is_sound
    assert (checked.ended, checked.path, checked.difficulty) == ("stopped", (), None)
    assert checked.stopped


def test_what_is_told_is_known_before_the_first_step(checking):
    """A sensor that was cleaned in vain is the less likely one."""
    untold = checking(("since-when: slowly-worse, always-or-sometimes: every-call", ""))
    cleaned = checking(("since-when: slowly-worse", "tried-before: sensor-cleaned-and-came-back"))
    assert cleaned.difficulty.surprise > untold.difficulty.surprise


def test_a_fault_that_comes_and_goes_costs_the_calls_until_it_shows(checking):
    always = checking((", always-or-sometimes: every-call", ""))
    later = checking(
        (", always-or-sometimes: every-call", ""),
        (FAULT, f"{FAULT}\n    shows: {{after-calls: 2}}"),
    )
    half = checking(
        (", always-or-sometimes: every-call", ""), (FAULT, f"{FAULT}\n    shows: {{share: 0.5}}")
    )
    assert (always.waiting, later.waiting, half.waiting) == (0.0, 30.0, 15.0)
    assert later.minutes == always.minutes + 30.0


# --- what is refused ---------------------------------------------------------------------


def test_a_furnace_that_runs_like_a_sound_one_is_refused(checking):
    checked = checking((FAULT, f"{FAULT}\n    sets: {{coating: 0.2 Mohm}}"))
    assert "nobody would complain" in checked.refused[0]


def test_a_mild_fault_that_comes_and_goes_need_not_show(checking):
    mild = f"{FAULT}\n    sets: {{coating: 0.2 Mohm}}\n    shows: {{share: 0.3}}"
    checked = checking((FAULT, mild))
    assert not any("nobody would complain" in each for each in checked.refused)


def test_told_to_fail_in_every_call_while_it_comes_and_goes_is_refused(checking):
    checked = checking((FAULT, f"{FAULT}\n    shows: {{share: 0.4}}"))
    assert "told to fail in every call" in checked.refused[0]


def test_too_little_time_is_refused(checking):
    checked = checking(("minutes: 90", "minutes: 20"))
    assert len(checked.refused) == 1
    assert "but 20 min are allowed" in checked.refused[0]


@pytest.mark.parametrize("fault", ["transformer.weak", "collector-hose.split"])
def test_tools_that_do_not_suffice_are_refused_and_all_tools_do(checking, fault):
    poor = checking((FAULT, f"fault: {fault}"), ("minutes: 90", "minutes: 900\ntools: []"))
    full = checking((FAULT, f"fault: {fault}"), ("minutes: 90", "minutes: 900"))
    assert "With the tools in the bag the program has to give up." in poor.refused
    assert full.is_sound


def test_a_good_part_replaced_on_the_way_is_refused(checking):
    bag = "minutes: 900\ntools: [flashlight, meter]"
    checked = checking((FAULT, "fault: gas-valve.regulator-low"), ("minutes: 90", bag))
    assert checked.refused[0] == "The program repairs what is good on its way: clean-burners."


def test_no_check_of_the_path_needs_a_tool_that_is_not_in_the_bag(checking, knowledge):
    checked = checking(("minutes: 90", "minutes: 900\ntools: [flashlight]"))
    checks = knowledge.checks[FURNACE]
    used = {
        tool
        for step in checked.path
        if step.kind == "check"
        for tool in checks[step.id].entry.tools
    }
    assert used <= {"flashlight"}


def test_what_cannot_be_told_apart_is_refused(scenario_with, diagnosis, furnace):
    """A twin: it does what a coated sensor does, and is mended by another repair."""
    twin = replace(
        furnace.faults["flame-sensor.coated"],
        entry=replace_repair(furnace.faults["flame-sensor.coated"], "replace-igniter"),
    )
    checked = check_scenario(hiding(scenario_with(), twin), diagnosis)
    assert [each.faults for each in checked.alike] == [("flame-sensor.coated",)]
    assert any(
        "looks the same on arrival with: flame-sensor.coated" in each for each in checked.refused
    )


def test_a_bag_that_cannot_tell_apart_is_refused_and_a_full_one_is_not(checking):
    poor = checking((FAULT, "fault: fuse.blown-alone"), ("minutes: 90", "minutes: 900\ntools: []"))
    full = checking((FAULT, "fault: fuse.blown-alone"), ("minutes: 90", "minutes: 900"))
    assert poor.alike
    assert full.alike == ()


def replace_repair(fault: Fault, repair: str):
    import msgspec

    return msgspec.structs.replace(fault.entry, repair=repair)


# --- notes, traps, difficulty ------------------------------------------------------------


@pytest.mark.parametrize(
    "change",
    [
        ("title: No heat in the gym", "title: The flame sensor again"),
        ("complaint: There is fire", "complaint: The Flame Sensor. There is fire"),
    ],
)
def test_a_text_that_names_the_guilty_part_is_noted(checking, change):
    checked = checking(change)
    assert checked.is_sound
    assert any("names the part to blame" in note for note in checked.notes)


def test_a_right_scenario_with_all_tools_and_time_has_no_notes(checking):
    assert checking().notes == ()


def test_tools_of_the_repair_that_are_missing_are_noted(checking):
    checked = checking(("minutes: 90", "minutes: 900\ntools: [flashlight, meter, hand-tools]"))
    assert any("must be fetched first" in note for note in checked.notes)


def test_no_trap_is_a_repair_that_is_needed(checking):
    checked = checking((FAULT, "fault: igniter.out-of-position"))
    assert checked.traps
    assert all(trap.repair != "reposition-igniter" for trap in checked.traps)


def test_what_occurs_seldom_is_harder_than_what_occurs_often(checking):
    often, seldom = checking(), checking((FAULT, "fault: flame-sensor.out-of-flame"))
    assert seldom.difficulty.figure > often.difficulty.figure
    assert seldom.difficulty.surprise > often.difficulty.surprise
    assert seldom.difficulty.rank > often.difficulty.rank >= 1


def test_the_parts_of_the_difficulty_are_within_their_ranges(checking):
    found = checking().difficulty
    assert found.expected > 0.0
    assert 0.0 <= found.wrong_half_way <= 1.0
    assert found.searched > 0.0


# --- the shipped ones --------------------------------------------------------------------


@pytest.mark.parametrize("path", scenarios.scenario_files(), ids=lambda path: path.stem)
def test_every_shipped_scenario_passes(path, knowledge):
    scenario, problems = scenarios.read_scenario(path, knowledge, path.name)
    assert problems == []
    assert check_scenario(scenario, diagnosis_of(scenario.furnace.id)).refused == ()


def test_every_furnace_comes_with_four_scenarios(knowledge):
    read = [
        scenarios.read_scenario(path, knowledge, path.name)[0]
        for path in scenarios.scenario_files()
    ]
    counted = Counter(scenario.furnace.id for scenario in read)
    assert {id_: counted[id_] for id_ in knowledge.furnaces if counted[id_] < 4} == {}
