"""`lightoff self-test` at the terminal."""

import json

import pytest
from click.testing import CliRunner

from lightoff.cli import names
from lightoff.cli.main import lightoff


@pytest.fixture(autouse=True)
def loaded(monkeypatch, knowledge):
    monkeypatch.setattr(names, "load_knowledge", lambda: knowledge)
    monkeypatch.setenv("COLUMNS", "80")


@pytest.fixture
def running(monkeypatch):
    def run(*arguments, typed=()):
        lines = iter(typed)

        def typing(_prompt=""):
            try:
                return next(lines)
            except StopIteration:
                raise EOFError from None

        monkeypatch.setattr("builtins.input", typing)
        return CliRunner().invoke(lightoff, ["self-test", "--seed", "3", *arguments])

    return run


def answers(running, *arguments):
    asked = json.loads(running("--json", *arguments).stdout)
    return [str(each["right"] + 1) for each in asked]


def test_all_right_is_all_right(running):
    right = answers(running, "--number", "5")
    told = running("--number", "5", typed=right).stdout
    assert "5 of 5 right." in told
    assert "Weak in" not in told


def test_a_wrong_answer_is_explained_and_says_what_to_read(running):
    told = running("--number", "1", "--kind", "label", typed=["?"]).stdout
    assert "It is " in told
    assert "0 of 1 right." in told
    assert "lightoff knowledge show part" in told


def test_what_is_no_answer_is_asked_again_and_does_not_count(running):
    (right,) = answers(running, "--number", "1")
    told = running("--number", "1", typed=["", "9", "igniter", right]).stdout
    assert told.count("Type 1 to") == 3
    assert "1 of 1 right." in told


@pytest.mark.parametrize("last", [["q"], []])
def test_stopping_counts_what_was_done(running, last):
    right = answers(running, "--number", "3")
    result = running("--number", "3", typed=[right[0], *last])
    assert result.exit_code == 0
    assert "1 of 1 right." in result.stdout


def test_the_answers_of_a_sheet_stand_behind_the_page(running):
    front, behind = running("--number", "4", "--print").stdout.split("\f")
    assert "Answers" not in front
    assert behind.count("\n4. ") == 1


def test_an_unknown_kind_is_one_line_with_near_names(running):
    result = running("--kind", "lable")
    assert result.exit_code == 2
    assert "label" in result.output
    assert result.output.count("\n") == 1
