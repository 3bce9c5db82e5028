"""`lightoff demo`: a whole diagnosis without typing."""

import pytest
from click.testing import CliRunner

from lightoff.cli.demo import INSTRUCTIVE
from lightoff.cli.main import lightoff


def run(*arguments):
    return CliRunner().invoke(lightoff, ["demo", "--fast", *arguments])


def test_the_demo_shows_six_to_twelve_steps_and_ends_with_the_truth():
    result = run()
    assert result.exit_code == 0
    assert 6 <= result.output.count("--- Check ") + result.output.count("--- Repair: ") <= 12
    assert INSTRUCTIVE in result.output
    assert "invented" in result.output.splitlines()[0]


def test_the_demo_shows_readings_as_an_instrument_does():
    typed = [line for line in run().output.splitlines() if line.startswith("> ")]
    assert any(line.endswith(" inwc") for line in typed)


def test_the_demo_ends_with_repair_proof_and_truth_in_this_order():
    output = run("--fault", "igniter.open").output
    places = [
        output.index(word) for word in ("--- Repair:", "Now prove it", "Proof:", "The truth:")
    ]
    assert places == sorted(places)


def test_lines_of_the_demo_fit_eighty_columns():
    assert max(map(len, run().output.splitlines())) <= 80


@pytest.mark.parametrize("arguments", [["--fault", "flame-sensor.coatd"], ["--furnace", "stove"]])
def test_an_unknown_fault_or_furnace_is_wrong_use_in_one_line(arguments):
    result = run(*arguments)
    assert result.exit_code == 2
    assert arguments[1] in result.stderr
    assert "Traceback" not in result.output


def test_a_diagnosis_that_does_not_find_the_repair_ends_with_1(monkeypatch):
    monkeypatch.setattr("lightoff.cli.demo.MOST_STEPS", 1)
    result = run()
    assert result.exit_code == 1
    assert "was not found" in result.output
