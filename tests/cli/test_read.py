"""`lightoff read`: the meter between two points of a simulated furnace."""

import json

import pytest
from click.testing import CliRunner, Result

from lightoff.cli import names
from lightoff.cli.main import lightoff
from lightoff.engine.model import Knowledge


@pytest.fixture(autouse=True)
def loaded(monkeypatch: pytest.MonkeyPatch, knowledge: Knowledge) -> None:
    monkeypatch.setattr(names, "load_knowledge", lambda: knowledge)
    monkeypatch.setenv("COLUMNS", "80")


def read(*arguments: str) -> Result:
    return CliRunner().invoke(lightoff, ["read", *arguments], catch_exceptions=False)


def volts(*arguments: str) -> float:
    value = json.loads(read("--json", *arguments).stdout)["volts"]
    assert isinstance(value, float)
    return value


def test_an_open_switch_reads_the_source_and_a_closed_one_nothing() -> None:
    across = ("--step", "proving-draft", "ROLL-OUT", "PS-OUT")
    assert 20 < volts("--fault", "pressure-switch.failed-open", *across) < 30
    assert volts("--step", "heating", "ROLL-OUT", "PS-OUT") < 0.5


def test_a_reading_has_its_unit_and_place() -> None:
    result = read("--step", "heating", "R", "C")
    assert result.exit_code == 0
    place, _, figure = result.stdout.strip().partition(": ")
    assert place == "R to C in heating"
    assert figure.endswith(" V")


def test_two_taps_read_a_pressure_with_its_sign() -> None:
    taps = ("--step", "pre-purge", "COLLECTOR", "ROOM")
    assert "inwc" in read(*taps).stdout
    assert " Pa" in read("--si", *taps).stdout
    data = json.loads(read("--json", *taps).stdout)
    assert data["pascal"] < 0
    assert "volts" not in data
    turned = json.loads(read("--json", "--step", "pre-purge", "ROOM", "COLLECTOR").stdout)
    assert turned["pascal"] == -data["pascal"]


def test_json_has_all_of_the_reading() -> None:
    data = json.loads(read("--json", "--step", "heating", "R", "C").stdout)
    assert data.pop("volts") == pytest.approx(25, abs=3)
    assert data.pop("shown").endswith(" V")
    assert data == {
        "furnace": "two-pipe-condensing",
        "faults": [],
        "step": "heating",
        "from": "R",
        "to": "C",
        "reached": True,
        "stalls_in": "satisfied",
    }


def test_a_step_that_is_never_reached_is_said_so_with_exit_1() -> None:
    blocked = ("--fault", "vent-pipe.blocked", "--step", "heating", "R", "C")
    result = read(*blocked)
    assert result.exit_code == 1
    assert result.stdout == "heating is never reached: the call stalls in proving-draft.\n"
    in_json = read("--json", *blocked)
    assert in_json.exit_code == 1
    data = json.loads(in_json.stdout)
    assert (data["reached"], data["volts"], data["shown"]) == (False, None, None)


def test_terminals_may_be_written_in_small_letters() -> None:
    assert volts("--step", "heating", "r", "c") == volts("--step", "heating", "R", "C")


@pytest.mark.parametrize(
    ("points", "complaint"),
    [
        (("R", "COLLECTOR"), "a terminal and a tap"),
        (("R", "QQ"), "no terminal or tap is called 'QQ'"),
        (("R", "L1"), "not in one net"),
    ],
)
def test_points_that_cannot_be_read_are_refused(points: tuple[str, str], complaint: str) -> None:
    result = read("--step", "heating", *points)
    assert result.exit_code == 2
    assert complaint in result.stderr
