"""Scenario files: what is read from a right one, and one line for each mistake."""

import pytest

from lightoff.engine.library import scenarios
from tests.scenario_text import COLD_GYM, cold_gym

FAULT = "fault: flame-sensor.coated"
LAB = "lab: {never: It is quickly done on paper.}"


@pytest.fixture
def reading(tmp_path, knowledge):
    """`reading((old, new), ...)`: the scenario with these changes, and its mistakes."""
    return lambda *changes: scenarios.read_scenario(
        cold_gym(tmp_path, *changes), knowledge, "cold-gym.yaml"
    )


# --- right ones --------------------------------------------------------------------------


def test_a_right_file_has_no_mistakes(reading):
    scenario, problems = reading()
    assert problems == []
    assert scenario.id == "cold-gym"
    assert [fault.id for fault in scenario.faults] == ["flame-sensor.coated"]
    assert scenario.repairs == {"clean-flame-sensor"}
    assert scenario.tells == {"since-when": "slowly-worse", "always-or-sometimes": "every-call"}


def test_without_a_list_of_tools_all_are_in_the_bag(reading, knowledge):
    scenario, _ = reading()
    assert scenario.tools == knowledge.tools.keys()


def test_an_empty_bag_stays_empty(reading):
    scenario, _ = reading(("minutes: 90", "minutes: 90\ntools: []"))
    assert scenario.tools == frozenset()


def test_without_severity_a_fault_is_the_usual_one(reading, furnace):
    scenario, _ = reading()
    assert scenario.overrides == furnace.faults["flame-sensor.coated"].overrides


def test_a_severity_changes_only_its_own_value(reading, furnace):
    scenario, problems = reading((FAULT, f"{FAULT}\n    sets: {{coating: 60 Mohm}}"))
    usual = furnace.faults["flame-sensor.coated"].overrides
    assert problems == []
    assert scenario.overrides == {**usual, ("flame-sensor", "coating"): 60e6}


@pytest.mark.parametrize(
    ("shows", "share", "after"),
    [("always", 1.0, 0), ("{share: 0.4}", 0.4, 0), ("{after-calls: 2}", 1.0, 2)],
)
def test_when_a_fault_shows(reading, shows, share, after):
    scenario, problems = reading((FAULT, f"{FAULT}\n    shows: {shows}"))
    assert problems == []
    assert (scenario.hidden[0].share, scenario.hidden[0].after_calls) == (share, after)
    assert scenario.hidden[0].is_always_there == (shows == "always")


def test_two_faults_have_both_changes_and_both_repairs(reading):
    scenario, _ = reading((FAULT, f"{FAULT}\n  - fault: filter.plugged"))
    assert scenario.repairs == {"clean-flame-sensor", "replace-filter"}
    assert {part for part, _ in scenario.overrides} == {"flame-sensor", "filter"}


def test_marks_left_out_are_the_usual_ones(reading):
    scenario, problems = reading((LAB, f"{LAB}\nmarks: {{cause: 60}}"))
    assert problems == []
    assert (scenario.entry.marks.cause, scenario.entry.marks.minutes) == (60.0, 20.0)


def test_a_lab_sheet_that_says_everything_is_read(reading):
    sheet = "lab: {set: [a], undo: [b], before: [c], after: [d], stands-by: A licensed person.}"
    scenario, problems = reading((LAB, sheet))
    assert problems == []
    assert scenario.entry.lab.how_to_set == ["a"]


# --- mistakes ----------------------------------------------------------------------------

MISTAKES = [
    ("id: cold-gym", "id: warm-gym", 1, "not the name of the file"),
    ("id: cold-gym", "id: Cold Gym", 1, "is no id"),
    ("title: No heat in the gym", "title: ' '", 2, "this text is empty"),
    ("title: No heat in the gym", "titel: No heat", 2, "did you mean title?"),
    ("level: first-week", "level: first-weak", 4, "did you mean first-week?"),
    ("two-pipe-condensing", "two-pipe-condensin", 5, "did you mean two-pipe-condensing?"),
    (FAULT, "fault: flame-sensor.caoted", 7, "did you mean flame-sensor.coated?"),
    (FAULT, f"{FAULT}\n  - fault: filter.plugged\n  - fault: igniter.open", 6, "3 faults"),
    (FAULT, f"{FAULT}\n  - {FAULT}", 6, "cannot be there at once"),
    (FAULT, f"{FAULT}\n    sets: {{coatin: 60 Mohm}}", 8, "did you mean coating?"),
    (FAULT, f"{FAULT}\n    sets: {{rectified: 0.1}}", 8, "no value that flame-sensor.coated sets"),
    (FAULT, f"{FAULT}\n    sets: {{coating: 60 V}}", 8, "coating"),
    (FAULT, f"{FAULT}\n    sets: {{coating: 0.1 Mohm}}", 8, "in a sound flame-sensor"),
    (FAULT, f"{FAULT}\n    sets: {{coating: -3 Mohm}}", 8, "negative"),
    (FAULT, f"{FAULT}\n    shows: sometimes", 8, "'sometimes' is not allowed"),
    (FAULT, f"{FAULT}\n    shows: {{share: 1}}", 8, "no share of the calls"),
    (FAULT, f"{FAULT}\n    shows: {{after-calls: 0}}", 8, "nobody waits"),
    (FAULT, f"{FAULT}\n    shows: {{share: 0.4, after-calls: 2}}", 8, "give one of both"),
    (FAULT, f"{FAULT}\n    shows: {{}}", 8, "give one of both"),
    ("since-when: slowly-worse", "since-wen: slowly-worse", 9, "did you mean since-when?"),
    ("since-when: slowly-worse", "since-when: slowly-wors", 9, "did you mean slowly-worse?"),
    ("since-when: slowly-worse", "igniter-glow: dark", 9, "is not told"),
    ("minutes: 90", "minutes: 0", 10, "so many minutes"),
    ("minutes: 90", "minutes: .inf", 10, "a number"),
    ("minutes: 90", "minutes: 1e300", 10, "so many minutes"),
    ("minutes: 90", "minutes: an hour", 10, "a number"),
    ("minutes: 90", "minutes: 90\ntools: [metre]", 11, "did you mean meter?"),
    ("learn: [A weak flame signal looks like no flame.]", "learn: []", 11, "list is empty"),
    ("hints: [What does the board see of the flame?]", "hints: ['']", 12, "text is empty"),
    (LAB, "lab: {set: [Do it.]}", 13, "lacks undo"),
    (LAB, "lab: {}", 13, "lacks set"),
    (LAB, "lab: {never: It burns., set: [Do it.]}", 13, "never to be set"),
    (LAB, f"{LAB}\nmarks: {{cause: -1}}", 14, "no weight"),
    (LAB, f"{LAB}\nmarks: {{safety: 10}}", 14, "no key 'safety'"),
    (LAB, f"{LAB}\ntraps: {{flame-sensor: x}}", 14, "is to blame here"),
    (LAB, f"{LAB}\ntraps: {{clean-flame-sensor: x}}", 14, "is to blame here"),
    (LAB, f"{LAB}\ntraps: {{igniterr: x}}", 14, "did you mean igniter?"),
    ("source: invented", "source: published", 14, "'published' is not allowed here"),
    ("source: invented", "source: &a invented", 14, "anchor"),
    ("source: invented", "source: !!python/none invented", 14, "tag"),
    ("source: invented", "source: invented\nid: cold-gym", 15, "twice"),
]


@pytest.mark.parametrize(("old", "new", "line", "said"), MISTAKES)
def test_a_mistake_is_told_with_its_line_and_a_mend(reading, old, new, line, said):
    scenario, problems = reading((old, new))
    assert scenario is None
    assert said in "\n".join(map(str, problems))
    assert line in {problem.place.line for problem in problems}
    assert all(problem.mend and "\n" not in str(problem) for problem in problems)


def test_no_weight_above_zero_is_a_mistake(reading):
    nothing = "marks: {cause: 0, minutes: 0, checks: 0, parts: 0, proof: 0}"
    _, problems = reading((LAB, f"{LAB}\n{nothing}"))
    assert [problem.what for problem in problems] == ["nothing counts"]


def test_several_mistakes_are_told_at_once_by_line(reading):
    _, problems = reading(("minutes: 90", "minutes: 0"), (FAULT, "fault: x.y"), ("cold-gym", "x"))
    assert [problem.place.line for problem in problems] == [1, 7, 10]


@pytest.mark.parametrize("text", ["", "- id: cold-gym", "cold-gym", "{", "\x00", "a: &b [*b]"])
def test_what_is_no_scenario_at_all_is_told_in_lines(tmp_path, knowledge, text):
    path = tmp_path / "cold-gym.yaml"
    path.write_text(text)
    scenario, problems = scenarios.read_scenario(path, knowledge)
    assert scenario is None
    assert problems


def test_every_key_left_out_but_the_optional_ones_is_told(tmp_path, knowledge):
    optional = {"tells"}
    for line in COLD_GYM.splitlines():
        key = line.partition(":")[0]
        if line.startswith(" ") or key in ("faults", *optional):
            continue
        path = cold_gym(tmp_path, (f"{line}\n", ""))
        scenario, problems = scenarios.read_scenario(path, knowledge)
        assert scenario is None, key
        assert f"the key '{key}' is missing" in str(problems[0])


def test_a_file_that_is_not_there_is_told(tmp_path, knowledge):
    scenario, problems = scenarios.read_scenario(tmp_path / "none.yaml", knowledge)
    assert scenario is None
    assert "cannot be read" in str(problems[0])


def test_shipped_files_are_found_by_name(tmp_path):
    cold_gym(tmp_path)
    cold_gym(tmp_path, name="another.yaml")
    (tmp_path / "notes.txt").write_text("")
    names = [path.name for path in scenarios.scenario_files(tmp_path)]
    assert names == ["another.yaml", "cold-gym.yaml"]
    assert scenarios.shipped().is_dir()
