"""`lightoff run`: the timing chart says what the trace says, and so does the JSON."""

import json
from collections.abc import Callable

import pytest
from click.testing import CliRunner, Result

from lightoff.cli import names
from lightoff.cli.main import lightoff
from lightoff.cli.timing_chart import OFF, ON, PARTLY, Again, Stay, folded, rows, stays
from lightoff.engine.machine.trace import Trace
from lightoff.engine.model import Furnace, Knowledge

TraceOf = Callable[..., Trace]


@pytest.fixture(autouse=True)
def loaded(monkeypatch: pytest.MonkeyPatch, knowledge: Knowledge) -> None:
    monkeypatch.setattr(names, "load_knowledge", lambda: knowledge)
    monkeypatch.setenv("COLUMNS", "80")


def run(*arguments: str) -> Result:
    return CliRunner().invoke(lightoff, ["run", *arguments], catch_exceptions=False)


def with_faults(*faults: str) -> list[str]:
    return [word for fault in faults for word in ("--fault", fault)]


def row(output: str, label: str) -> str:
    """The marks of a row, over all bands of the chart."""
    lines = [line for line in output.splitlines() if line.startswith(label.ljust(16))]
    assert lines
    return "".join(line[16:] for line in lines)


def test_a_healthy_call_lights_everything_in_turn() -> None:
    result = run()
    assert result.exit_code == 0
    firsts = [
        row(result.stdout, label).index(ON)
        for label in ("call", "inducer", "pressure switch", "igniter", "gas valve", "blower")
    ]
    assert firsts == sorted(firsts)
    assert len(set(firsts)) == len(firsts)
    assert OFF not in row(result.stdout, "high limit")
    assert result.stdout.splitlines()[-1] == (
        "The call ran until it was satisfied; status light: normal, no trouble stored."
    )


def test_an_open_igniter_leaves_the_flame_dark_though_gas_flows() -> None:
    output = run("--fault", "igniter.open").stdout
    assert ON not in row(output, "igniter")
    assert ON not in row(output, "flame ")
    assert ON in row(output, "gas valve")
    assert "stalled in trial-for-ignition; status light: no flame" in " ".join(output.split())


def test_a_flame_that_the_board_cannot_see_burns_all_the_same() -> None:
    output = run("--fault", "flame-sensor-wire.open").stdout
    assert ON in row(output, "flame ")
    assert ON not in row(output, "flame seen")


def test_a_call_that_never_arrives_is_not_drawn() -> None:
    output = run("--fault", "thermostat-cable-w.w-open").stdout
    assert ON not in row(output, "call")
    assert "stalled in standby" in output


def test_an_igniter_that_goes_off_within_a_step_is_drawn_so(healthy: Trace) -> None:
    shown = row(run().stdout, "igniter").split("\u2502")
    trial = shown[1 + [visit.step for visit in healthy.visits()].index("trial-for-ignition")]
    assert trial == ON * 2 + PARTLY + OFF  # 4 of 6 seconds, in four cells


def test_every_screen_fits_80_columns(furnace: Furnace) -> None:
    for fault in furnace.faults:
        output = run("--fault", fault).stdout
        assert max(map(len, output.splitlines())) <= 80, fault
        assert len(output.splitlines()) < 110, fault


@pytest.mark.parametrize("columns", ["20", "40", "60", "100", "200"])
def test_the_chart_has_every_column_at_any_width(
    columns: str, monkeypatch: pytest.MonkeyPatch, healthy: Trace
) -> None:
    monkeypatch.setenv("COLUMNS", columns)
    borders = row(run("--all").stdout, "call").count("\u2502")
    assert borders >= len(healthy.visits()) + 1


def test_the_steps_are_listed_with_start_and_duration() -> None:
    listed = [line.split() for line in run().stdout.splitlines()]
    assert [
        "6",
        "igniter-warm-up",
        "0:32",
        "25",
        "s",
        "normal",
        "1.82",
        "inwc",
        "0",
        "uA",
    ] in listed


def test_si_shows_pascal() -> None:
    assert "inwc" in run().stdout
    assert "inwc" not in run("--si").stdout
    assert " Pa" in run("--si").stdout


def test_faults_combine() -> None:
    output = run("--fault", "igniter.open", "--fault", "inducer.seized").stdout
    assert "igniter.open" in output
    assert "stalled in proving-draft" in output


def test_faults_that_contradict_each_other_are_refused() -> None:
    result = run("--fault", "collector-hose.split", "--fault", "collector-hose.pulled-off")
    assert result.exit_code == 2
    assert "cannot be there at once" in result.stderr


def test_the_same_fault_given_twice_is_one_fault() -> None:
    result = run("--json", "--fault", "igniter.open", "--fault", "igniter.open")
    assert json.loads(result.stdout)["faults"] == ["igniter.open"]


# --- folding -------------------------------------------------------------------------


def test_rounds_that_repeat_are_drawn_once_and_all_are_there_if_asked(trace_of: TraceOf) -> None:
    trace = trace_of("pressure-switch.failed-open")
    columns = folded(stays(trace))
    again = [column for column in columns if isinstance(column, Again)]
    assert [(each.first, each.last, each.times) for each in again] == [(3, 5, 3)]
    assert "3-5 3x again" in run("--fault", "pressure-switch.failed-open").stdout
    every = run("--all", "--fault", "pressure-switch.failed-open").stdout
    assert "again" not in every
    assert every.count("draft-rest") == [visit.step for visit in trace.visits()].count("draft-rest")


def test_folding_loses_no_step(any_trace: Trace) -> None:
    unfolded: list[str] = []
    numbered = stays(any_trace)
    for column in folded(numbered):
        if isinstance(column, Stay):
            unfolded.append(column.visit.step)
        else:
            steps = [stay.visit.step for stay in numbered[column.first - 1 : column.last]]
            unfolded += steps * column.times
    assert unfolded == [visit.step for visit in any_trace.visits()]


# --- JSON ----------------------------------------------------------------------------


def test_json_is_the_trace(trace_of: TraceOf) -> None:
    trace = trace_of("vent-pipe.blocked")
    data = json.loads(run("--json", "--fault", "vent-pipe.blocked").stdout)
    assert (data["furnace"], data["faults"]) == ("two-pipe-condensing", ["vent-pipe.blocked"])
    assert (data["stalls_in"], data["light"]) == ("proving-draft", "draft")
    assert [visit["step"] for visit in data["visits"]] == [v.step for v in trace.visits()]
    assert len(data["segments"]) == len(trace.segments)
    for told, segment in zip(data["segments"], trace.segments, strict=True):
        assert told["start"] == pytest.approx(segment.start, rel=1e-5)
        assert told["step"] == segment.step
        assert told["inputs"] == dict(segment.inputs)
        assert set(told["relays"]) == segment.standing.energised
        assert set(told["turning"]) == segment.standing.turning


def test_json_names_the_unit_of_every_quantity() -> None:
    segment = json.loads(run("--json").stdout)["segments"][-1]
    assert segment["quantities"]
    assert {name.rpartition("_")[2] for name in segment["quantities"]} == {"Pa", "K", "m", "A"}


def test_json_contacts_are_those_current_could_pass() -> None:
    data = json.loads(run("--json", "--fault", "pressure-switch.failed-open").stdout)
    assert not any(segment["contacts"]["pressure-switch"] for segment in data["segments"])
    assert all(segment["contacts"]["fuse"] for segment in data["segments"])


def test_chart_and_json_agree_on_what_turns(healthy: Trace) -> None:
    data = json.loads(run("--json").stdout)
    inducer = next(each for each in rows(healthy.machine) if each.label == "inducer")
    for told, segment in zip(data["segments"], healthy.segments, strict=True):
        assert ("inducer" in told["turning"]) == inducer.is_on(segment)
