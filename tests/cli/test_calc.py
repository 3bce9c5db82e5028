"""`lightoff calc`: the list, what one needs, answers, refusals, and the questions at a terminal."""

import json
import os
import re
import subprocess
import sys

import pytest
from click.testing import CliRunner

from lightoff.cli.calc import as_command
from lightoff.cli.main import STOPPED, lightoff
from lightoff.engine.service.calculations import CALCULATIONS

CLOCK = ("clock", "dial=0.5 ft3", "time=29 s", "heating-value=1000 Btu/ft3")
every = pytest.mark.parametrize("name", CALCULATIONS)


@pytest.fixture(autouse=True)
def eighty_columns(monkeypatch):
    monkeypatch.setenv("COLUMNS", "80")


def calc(*arguments):
    return CliRunner().invoke(lightoff, ["calc", *arguments], catch_exceptions=False)


def example(name):
    return [f"{key}={figure}" for key, figure in CALCULATIONS[name].example.items()]


def as_json(*arguments):
    return json.loads(calc("--json", *arguments).stdout)


# --- the list and what one needs ------------------------------------------------------


def test_alone_it_lists_every_calculation_with_its_title():
    result = calc()
    assert result.exit_code == 0
    for each in CALCULATIONS.values():
        assert each.name in result.stdout
        assert each.title in result.stdout
    assert len(result.stdout.splitlines()) <= 30
    assert {each["id"] for each in as_json()} == set(CALCULATIONS)


@every
def test_a_name_alone_says_what_it_needs(name):
    result = calc(name)
    assert result.exit_code == 0
    for asked in CALCULATIONS[name].inputs:
        assert f"\n{asked.name} " in result.stdout
    data = as_json(name)
    assert [each["id"] for each in data["inputs"]] == [a.name for a in CALCULATIONS[name].inputs]


@every
def test_the_example_that_is_shown_can_be_typed_as_it_stands(name):
    shown = " ".join(calc(name).stdout.split())
    command = shown[shown.index(f"lightoff calc {name} ") :].split()[3:]
    assert calc(name, *command).exit_code in (0, 1)


@every
def test_an_answer_has_formula_inputs_results_limits_source_and_caution(name):
    shown = calc(name, *example(name)).stdout
    calculation = CALCULATIONS[name]
    assert max(map(len, shown.splitlines())) <= 80
    for said in (calculation.title, "Formula", "Source", "Caution: ", "licensed person"):
        assert said in shown
    for asked in calculation.example:
        assert f"\n{asked} " in shown
    assert shown.count("\nLimit ") == len(calculation.limits)


# --- answers --------------------------------------------------------------------------


def test_a_clocked_meter_gives_the_input_in_both_kinds_of_units():
    assert "62069 Btu/h (18.19 kW)" in calc(*CLOCK).stdout
    assert "18.19 kW (62069 Btu/h)" in calc(*CLOCK, "--units", "si").stdout


def test_units_may_stand_apart_from_their_numbers():
    apart = calc("clock", "dial=0.5", "ft3", "time=29", "s", "heating-value=1000", "Btu/ft3")
    assert apart.stdout == calc(*CLOCK).stdout
    joined = calc("clock", "dial=0.5ft3", "time=29s", "heating-value=1000Btu/ft3")
    assert joined.stdout == apart.stdout


@pytest.mark.parametrize(
    ("plate", "code", "word"),
    [("60 kBtu/h", 0, "within"), ("50 kBtu/h", 1, "above"), ("80 kBtu/h", 1, "below")],
)
def test_a_limit_that_is_not_kept_is_said_and_is_exit_1(plate, code, word):
    result = calc(*CLOCK, f"plate={plate}")
    assert result.exit_code == code
    assert f": {word}\n" in result.stdout
    assert ("Check heating value and manifold pressure" in result.stdout) == bool(code)


def test_without_its_figure_a_limit_has_no_verdict():
    assert "no verdict without plate" in " ".join(calc(*CLOCK).stdout.split())


def test_what_was_not_given_is_said_with_where_it_comes_from():
    shown = calc("orifice", "diameter=0.04 in").stdout
    assert "not given: common practice; the rating plate" in " ".join(shown.split())


def test_json_is_in_si_units_with_verdicts():
    data = as_json(*CLOCK, "plate=50 kBtu/h")
    assert data["results"]["input"] == {
        "value": pytest.approx(18190, rel=1e-3),
        "unit": "W",
        "trade": "62069 Btu/h",
        "si": "18.19 kW",
    }
    assert data["inputs"]["dial"]["value"] == pytest.approx(0.0141584)
    assert "dial" not in data["assumed"]
    assert {"turns", "fuel"} <= set(data["assumed"])
    (limit,) = data["limits"]
    assert limit["verdict"] == "above"
    assert limit["source"] == "nfpa-54-input"
    (unknown,) = as_json(*CLOCK)["limits"]
    assert (unknown["verdict"], unknown["value"], unknown["out"]) == (None, None, None)


@every
def test_json_of_every_example_is_whole(name):
    data = as_json(name, *example(name))
    assert data["calculation"] == name
    assert all(each["value"] is not None for each in data["results"].values())


# --- refusals -------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("arguments", "complaint"),
    [
        (["clok"], "did you mean clock?"),
        (["clock", "dail=1 ft3"], "no input of clock is called 'dail'; did you mean dial?"),
        (["clock", "1 ft3"], "is no input; write it as dial=0.5 ft3"),
        (["clock", "dial=1 ft3"], "time: it is not given; give the time of the turns"),
        (["clock", "dial=1 ft3", "dial=2 ft3"], "dial is given twice"),
        (["clock", "dial=1", "time=30 s"], "dial: 1 has no unit; give it in m3, L, ft3"),
        (["clock", "dial=1 s", "time=30 s"], "dial: 1 s is a time, not a volume"),
        (["clock", "dial=nan ft3", "time=30 s"], "dial: 'nan ft3' is no amount"),
        (["clock", "dial=inf ft3", "time=30 s"], "dial: 'inf ft3' is no amount"),
        (["clock", "dial=1e999 ft3", "time=30 s"], "out of range"),
        (["clock", "dial=", "time=30 s"], "dial: '' is no amount"),
        (["co-air-free", "co=50 ppm", "o2=20.9 %"], "o2: 20.9 % cannot be"),
        (["pipe", *example("pipe"), "allowed=-1 inwc"], "allowed: -1 inwc cannot be"),
        (["room-volume", "input=1 kW", "length=0 m", "width=3 m", "height=2 m"], "length: 0 m"),
        (["excess-air", "o2=7 %", "fuel=coal"], "give natural-gas or propane"),
        (["clock", "--units", "metric"], "'metric' is not one of 'trade', 'si'"),
    ],
    ids=lambda value: " ".join(value) if isinstance(value, list) else "",
)
def test_what_cannot_be_is_one_line_that_says_how_to_mend_it(arguments, complaint):
    result = calc(*arguments)
    assert result.exit_code == 2
    assert result.stdout == ""
    assert len(result.stderr.splitlines()) == 1
    assert complaint in result.stderr


HOSTILE = (
    "\x1b[2J\x1b]0;x\x07",
    "\u202eft3",
    "\x9b31m",
    "[bold red]1[/] ft3",
    "[link=file:///etc/passwd]1 ft3[/link]",
    "1 ft3\r\n\x1b[1A",
    "1 __import__('os').system('true')",
    "1 ft3**9**9**9",
    "9" * 5000,
)


@pytest.mark.parametrize("hostile", HOSTILE, ids=range(len(HOSTILE)))
@pytest.mark.parametrize(
    "form", ["clock|dial={}|time=30 s", "clock|{}=1 ft3", "{}", "excess-air|o2=7 %|fuel={}"]
)
def test_a_hostile_text_is_refused_and_cannot_steer_the_terminal(hostile, form):
    result = calc(*form.format(hostile).split("|"))
    assert result.exit_code == 2
    assert result.stdout == ""
    assert not {"\x1b", "\x9b", "\u202e", "\x07", "\r"} & set(result.stderr)
    assert len(result.stderr) < 600


def test_markup_in_a_choice_is_shown_as_it_was_typed():
    assert "'[bold]x[/bold]'" in calc("excess-air", "o2=7 %", "fuel=[bold]x[/bold]").stderr


# --- questions at a terminal ----------------------------------------------------------


@pytest.fixture
def at_a_terminal(monkeypatch):
    """Runs the command as if somebody typed lines; CliRunner's streams are no terminal."""

    def run(*arguments, typed=()):
        lines = iter(typed)

        def typing(_prompt=""):
            line = next(lines, EOFError)
            if isinstance(line, type):
                raise line
            return line

        monkeypatch.setattr("builtins.input", typing)
        monkeypatch.setattr("lightoff.cli.calc.is_at_a_terminal", lambda: True)
        return calc(*arguments)

    return run


def test_at_a_terminal_a_name_alone_shows_what_it_needs_and_asks_for_all(at_a_terminal):
    result = at_a_terminal("co-air-free", typed=["50", "7"])
    assert result.exit_code == 0
    assert "A number alone is in ppm." in result.stdout
    assert "75.18 ppm" in result.stdout


def test_only_what_is_missing_is_asked(at_a_terminal):
    result = at_a_terminal("co-air-free", "co=50 ppm", typed=["7 %"])
    assert "75.18 ppm" in result.stdout
    assert "A number alone is in ppm." not in result.stdout


def test_nothing_is_asked_where_all_that_is_needed_is_there(at_a_terminal):
    assert "62069 Btu/h" in at_a_terminal(*CLOCK).stdout


def test_enter_takes_the_usual_figure_and_a_number_the_choice(at_a_terminal):
    result = at_a_terminal("excess-air", typed=["7", "2"])
    assert re.search(r"\nfuel +propane +which gas burns", result.stdout)
    usual = at_a_terminal("excess-air", typed=["7", ""])
    assert re.search(r"\nfuel +natural-gas +not given", usual.stdout)


def test_a_number_alone_is_in_si_units_where_they_come_first(at_a_terminal):
    result = at_a_terminal("rise", "--units", "si", typed=["20", "50", "", ""])
    assert "30 K rise (54 F rise)" in result.stdout


def test_a_wrong_answer_is_asked_again_with_what_is_wrong(at_a_terminal):
    result = at_a_terminal("co-air-free", "co=50 ppm", typed=["", "20.9", "\x1b[2Jx", "7"])
    assert result.stdout.count("Not taken: ") == 3
    assert "this needs an answer" in result.stdout
    assert "\x1b" not in result.stdout
    assert "75.18 ppm" in result.stdout


@pytest.mark.parametrize(
    ("end", "code"), [(EOFError, 0), (KeyboardInterrupt, STOPPED), ("q", 0)], ids=str
)
def test_whatever_ends_it_says_how_to_go_on_with_what_was_typed(at_a_terminal, end, code):
    result = at_a_terminal("clock", typed=["0.5 ft3", end])
    assert result.exit_code == code
    assert "To go on: lightoff calc clock dial='0.5 ft3'" in result.stdout


def test_before_anything_was_typed_there_is_nothing_to_go_on_with(at_a_terminal):
    assert "To go on" not in at_a_terminal("clock", typed=[KeyboardInterrupt]).stdout


def test_inputs_that_cannot_be_together_are_given_back_to_be_mended(at_a_terminal):
    result = at_a_terminal("igniter", typed=["120", "3", "40", ""])
    assert result.exit_code == 2
    assert "both are given" in result.stderr
    assert "mend it in: lightoff calc igniter volts='120 V' amps='3 A' ohms='40 ohm'" in (
        result.stderr
    )


def test_the_command_that_is_given_back_quotes_what_a_shell_would_read():
    command = as_command(CALCULATIONS["clock"], {"dial": "1 ft3; rm"})
    assert command == "lightoff calc clock dial='1 ft3; rm'"


def test_json_never_asks(at_a_terminal):
    result = at_a_terminal("clock", "dial=1 ft3", "--json", typed=["30"])
    assert result.exit_code == 2
    assert "time: it is not given" in result.stderr


# --- what is loaded -------------------------------------------------------------------


@pytest.mark.parametrize(
    ("arguments", "loaded"),
    [
        (("calc", "--help"), False),
        (("calc",), False),
        (("calc", *CLOCK, "--json"), False),
        (("calc", "clock", "dial=1 gallon", "time=9 s", "--json"), True),
        (("knowledge", "list", "furnaces", "--json"), False),
    ],
)
def test_pint_is_loaded_only_for_a_unit_beyond_the_table(arguments, loaded):
    code = f"""
import sys
from lightoff.cli.main import lightoff
try:
    lightoff.main({list(arguments)!r}, prog_name="lightoff")
finally:
    print("PINT", "pint" in sys.modules)
"""
    result = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, check=False, env={**os.environ}
    )
    assert result.stdout.endswith(f"PINT {loaded}\n".encode())
