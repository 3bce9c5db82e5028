"""`lightoff scenario`: the list leaks nothing, the check tells everything."""

import json

import pytest
from click.testing import CliRunner

from lightoff.cli import names
from lightoff.cli.main import lightoff
from lightoff.engine.library import scenarios
from tests.scenario_text import cold_gym


@pytest.fixture(autouse=True)
def loaded(monkeypatch, knowledge, tmp_path):
    monkeypatch.setattr(names, "load_knowledge", lambda: knowledge)
    monkeypatch.setattr(scenarios, "shipped", lambda: tmp_path)
    monkeypatch.setenv("COLUMNS", "80")


def running(*arguments):
    return CliRunner().invoke(lightoff, ["scenario", *map(str, arguments)], catch_exceptions=False)


# --- list --------------------------------------------------------------------------------


def test_the_list_names_every_scenario(tmp_path):
    cold_gym(tmp_path)
    result = running("list")
    assert result.exit_code == 0
    assert "cold-gym" in result.stdout
    assert "No heat in the gym" in result.stdout


@pytest.mark.parametrize("arguments", [("list",), ("list", "--json")])
def test_the_list_does_not_say_what_is_wrong(tmp_path, arguments):
    cold_gym(tmp_path)
    told = running(*arguments).output
    assert not any(word in told for word in ("sensor", "coated", "clean", "hint"))


def test_the_list_puts_easy_ones_first(tmp_path):
    cold_gym(tmp_path, ("first-week", "journeyman"))
    cold_gym(tmp_path, ("id: cold-gym", "id: later"), name="later.yaml")
    listed = json.loads(running("list", "--json").stdout)
    assert [each["id"] for each in listed] == ["later", "cold-gym"]


def test_a_list_of_none_says_so_and_is_no_error():
    result = running("list")
    assert (result.exit_code, result.stdout) == (0, "")
    assert "no scenarios" in result.stderr


def test_a_damaged_shipped_file_is_told_and_the_others_are_listed(tmp_path):
    cold_gym(tmp_path)
    cold_gym(tmp_path, ("minutes: 90", "minutes: 0"), name="bad.yaml")
    result = running("list", "--json")
    assert result.exit_code == 1
    assert [each["id"] for each in json.loads(result.stdout)] == ["cold-gym"]
    assert "bad.yaml:10:" in result.stderr


# --- check -------------------------------------------------------------------------------


def test_a_sound_scenario_ends_with_0_and_shows_its_path(tmp_path):
    path = cold_gym(tmp_path)
    result = running("check", path)
    assert result.exit_code == 0
    assert result.stdout.splitlines()[0] == f"{path}: sound"
    assert "repair: clean-flame-sensor" in result.stdout
    assert "Difficulty" in result.stdout
    assert all(len(line) <= 80 for line in result.stdout.splitlines()[1:])
    assert "\x1b" not in result.output


def test_a_refused_scenario_ends_with_1_and_says_why(tmp_path):
    result = running("check", cold_gym(tmp_path, ("minutes: 90", "minutes: 5")))
    assert result.exit_code == 1
    assert "REFUSED" in result.stdout
    assert "5 min are allowed" in " ".join(result.stdout.split())


def test_mistakes_end_with_1_and_one_line_each(tmp_path):
    path = cold_gym(tmp_path, ("minutes: 90", "minutes: 0"))
    result = running("check", path)
    assert result.exit_code == 1
    assert result.stdout.startswith(f"{path}:10: ")
    assert len(result.stdout.splitlines()) == 1


def test_one_bad_file_among_good_ones_ends_with_1_and_all_are_told(tmp_path):
    good = cold_gym(tmp_path)
    bad = cold_gym(tmp_path, ("id: cold-gym", "id: bad"), ("90", "5"), name="bad.yaml")
    result = running("check", good, bad, "--json")
    told = json.loads(result.stdout)
    assert result.exit_code == 1
    assert [each["sound"] for each in told] == [True, False]
    assert told[0]["minutes"] > told[0]["difficulty"]["searched"]
    assert told[1]["refused"]


def test_the_json_of_a_file_with_mistakes_has_their_lines(tmp_path):
    result = running("check", cold_gym(tmp_path, ("furnace: two", "furnace: too")), "--json")
    told = json.loads(result.stdout)
    assert result.exit_code == 1
    assert told[0]["sound"] is False
    assert told[0]["problems"][0]["line"] == 5


def test_without_a_file_all_shipped_ones_are_checked(tmp_path):
    cold_gym(tmp_path)
    result = running("check", "--json")
    assert [each["file"] for each in json.loads(result.stdout)] == ["cold-gym.yaml"]


def test_a_shipped_scenario_is_checked_by_its_name(tmp_path):
    cold_gym(tmp_path)
    result = running("check", "cold-gym")
    assert result.exit_code == 0
    assert result.stdout.startswith("cold-gym: sound")


def test_a_name_that_is_neither_is_wrong_use_with_the_nearest(tmp_path):
    cold_gym(tmp_path)
    result = running("check", "cold-gim")
    assert (result.exit_code, result.stdout) == (2, "")
    assert "did you mean cold-gym?" in result.stderr


@pytest.mark.parametrize("name", ["none.yaml", "."])
def test_a_file_that_is_not_there_is_wrong_use(tmp_path, name):
    result = running("check", tmp_path / name)
    assert result.exit_code == 2
    assert "Traceback" not in result.output


def test_hostile_text_cannot_steer_the_terminal(tmp_path):
    path = cold_gym(tmp_path, ("fault: flame-sensor.coated", 'fault: "a\\e[31m"'))
    result = running("check", path)
    assert result.exit_code == 1
    assert "\x1b" not in result.output
