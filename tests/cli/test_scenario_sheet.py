"""`lightoff scenario sheet`: the handout leaks nothing, the key tells everything."""

import pytest
from click.testing import CliRunner

from lightoff.cli import names
from lightoff.cli.main import lightoff
from lightoff.cli.scenario_sheet import plain
from tests.scenario_text import cold_gym


@pytest.fixture(autouse=True)
def loaded(monkeypatch, knowledge):
    monkeypatch.setattr(names, "load_knowledge", lambda: knowledge)


def sheet(*arguments):
    command = ["scenario", "sheet", *map(str, arguments)]
    return CliRunner().invoke(lightoff, command, catch_exceptions=False)


def test_the_handout_is_the_same_whatever_is_wrong(tmp_path):
    one = sheet(cold_gym(tmp_path))
    other = sheet(cold_gym(tmp_path, ("flame-sensor.coated", "igniter.open")))
    assert one.exit_code == other.exit_code == 0
    assert one.stdout == other.stdout
    assert "There is fire for a moment" in one.stdout


def test_the_key_names_fault_and_path(tmp_path):
    result = sheet(cold_gym(tmp_path), "--key")
    assert "flame-sensor.coated" in result.stdout
    assert "Path of the program" in result.stdout


def test_a_file_with_mistakes_gives_its_line_and_no_sheet(tmp_path):
    result = sheet(cold_gym(tmp_path, ("minutes: 90", "minutes: 0")))
    assert (result.exit_code, result.stdout) == (1, "")
    assert "cold-gym.yaml:" in result.stderr


def test_text_of_a_scenario_is_no_markup(tmp_path):
    hostile = "title: '<script>x</script> [a](b) **c**'"
    result = sheet(cold_gym(tmp_path, ("title: No heat in the gym", hostile)))
    assert result.stdout.startswith("# \\<script\\>x\\</script\\> \\[a\\](b) \\*\\*c\\*\\*")


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("1. no list", "1\\. no list"),
        ("- no list", "\\- no list"),
        ("2 volts", "2 volts"),
        ("2.0 min", "2.0 min"),
    ],
)
def test_a_line_does_not_begin_a_list(text, shown):
    assert plain(text) == shown


def test_a_shipped_scenario_is_found_by_its_name():
    assert sheet("bakery-flat").stdout.startswith("# It hums and never lights")


def test_a_name_that_is_neither_file_nor_scenario_is_told_with_the_nearest():
    result = sheet("bakery-flet")
    assert result.exit_code == 2
    assert "bakery-flat" in result.stderr


def test_the_key_tells_the_degree_of_a_fault():
    assert "vent-pipe.blocked, resistance x25" in sheet("boat-house", "--key").stdout


def test_hints_are_numbered():
    assert "\n2. A motor runs" in sheet("bakery-flat", "--key").stdout
