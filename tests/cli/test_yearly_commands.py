"""`lightoff yearly` and `lightoff job drift`: labels, lists, wrong use, hostile input."""

import json

import pytest
from click.testing import CliRunner

from lightoff.cli.labels import visits_in
from lightoff.cli.main import lightoff
from lightoff.engine.reasoning.diagnosis import Diagnosis
from lightoff.engine.reasoning.job import Noted, Rated, replay
from lightoff.engine.reasoning.journal import encode, read
from tests.cli.past_visits import BEFORE, LABEL, past
from tests.cli.talk import FURNACE

HOSTILE = "\x1b[31mred\u202e\nforged line\x07[bold]"


@pytest.fixture(autouse=True)
def read_and_predicted_once(monkeypatch, knowledge, diagnosis):
    monkeypatch.setattr("lightoff.engine.library.load", lambda: knowledge)
    monkeypatch.setattr(Diagnosis, "of", lambda *_: diagnosis)


@pytest.fixture
def folder(tmp_path):
    """A folder of jobs in which two visits are."""
    for number, events in enumerate(BEFORE, start=1):
        put_down(tmp_path, number, events)
    return tmp_path


def put_down(folder, number, events):
    lines = (encode(line, event) for line, event in enumerate(events, start=1))
    (folder / f"job-{number:04d}.jsonl").write_bytes(b"".join(lines))


def run(*arguments, lines=()):
    typed_in = "".join(f"{line}\n" for line in lines)
    return CliRunner().invoke(lightoff, [*map(str, arguments)], input=typed_in)


def in_folder(folder, *arguments, lines=()):
    return run("yearly", "--journal-folder", folder, *arguments, lines=lines)


def events_of(folder, number):
    return read(folder / f"job-{number:04d}.jsonl")[0]


def test_the_label_is_asked_for_and_on_disk_before_the_first_question(folder):
    result = in_folder(folder, "--furnace", FURNACE, lines=["serial 1207"])
    assert result.exit_code == 0
    assert "2 earlier jobs with this label, the last of 2025-11-26." in result.stdout
    start, label = events_of(folder, 3)
    assert (start.purpose, start.furnace) == ("yearly", FURNACE)
    assert (label.about, label.text) == ("label", "serial 1207")
    assert "Saved." in result.stdout


def test_what_was_last_read_off_the_furnace_is_so_in_the_next_visit(folder):
    plate = Rated(time=BEFORE[1][0].time, rating="input", entered="60 kBtu/h")
    put_down(folder, 3, (*BEFORE[1][:2], plate, *BEFORE[1][2:]))
    other = past("2026-02-01", "3.0 uA", furnace="standing-pilot")
    put_down(folder, 4, (*other[:2], plate, *other[2:]))
    result = in_folder(folder, "--furnace", FURNACE, "--label", LABEL, lines=["n", "q"])
    assert "input 60 kBtu/h" in result.stdout
    assert replay(events_of(folder, 5)).ratings == (("input", "60 kBtu/h"),)
    result = in_folder(folder, "--furnace", FURNACE, "--label", "another", lines=["n", "q"])
    assert replay(events_of(folder, 6)).ratings == ()


def test_a_label_that_is_nearly_known_is_asked_for_again(folder):
    result = in_folder(folder, "--furnace", FURNACE, lines=["serial 1270", "serial 1207", "q"])
    assert "Spelt much like it: serial 1207." in result.stdout
    assert events_of(folder, 3)[1].text == "serial 1207"
    result = in_folder(folder, "--furnace", FURNACE, lines=["serial 1271", "", "q"])
    assert events_of(folder, 4)[1].text == "serial 1271"


def test_a_label_given_that_is_nearly_known_is_pointed_out(folder):
    result = in_folder(folder, "--furnace", FURNACE, "--label", "serial 1270", lines=["n", "q"])
    assert "No earlier job has this label." in result.stdout
    assert "Spelt much like it: serial 1207." in result.stdout


def test_leaving_at_the_label_begins_nothing(folder):
    assert in_folder(folder, "--furnace", FURNACE, lines=["q"]).exit_code == 0
    assert len(list(folder.glob("job-*"))) == 2


def test_a_label_may_be_left_blank(folder):
    in_folder(folder, "--furnace", FURNACE, lines=["", "n", "q"])
    assert not any(isinstance(each, Noted) for each in events_of(folder, 3))


def test_the_furnace_of_the_last_time_is_taken_on_request(folder):
    in_folder(folder, "--label", LABEL, lines=["y", "n", "q"])
    assert replay(events_of(folder, 3)).furnace == FURNACE


def test_ctrl_c_saves_and_the_visit_can_be_taken_up_again(folder, monkeypatch):
    lines = iter(["n", "6.8"])

    def typing(_prompt):
        try:
            return next(lines)
        except StopIteration:
            raise KeyboardInterrupt from None

    monkeypatch.setattr("builtins.input", typing)
    result = in_folder(folder, "--furnace", FURNACE, "--label", LABEL)
    assert result.exit_code == 130
    assert "Saved." in result.stdout
    assert [each.entered for each in replay(events_of(folder, 3)).proofs] == ["6.8"]
    monkeypatch.undo()
    resumed = run("diagnose", "--journal-folder", folder, "--resume", lines=["n", "q"])
    assert "Manifold pressure" in resumed.stdout


def test_the_list_is_printed_without_a_job(folder):
    result = in_folder(folder, "--list", "--furnace", FURNACE, "--label", LABEL)
    assert result.exit_code == 0
    assert "Bring: Manometer" in result.stdout
    assert "Earlier: 3.1 uA (2025-11-26), 3.9 uA (2024-11-25)" in result.stdout
    assert max(map(len, result.stdout.splitlines())) <= 80
    assert len(list(folder.glob("job-*"))) == 2


def test_the_list_as_json_holds_order_limits_tools_and_minutes(folder):
    result = in_folder(folder, "--list", "--furnace", FURNACE, "--label", LABEL, "--json")
    found = json.loads(result.stdout)
    ids = [each["id"] for each in found["items"]]
    assert ids.index("inlet-pressure") < ids.index("manifold-pressure") < ids.index("two-calls")
    assert found["minutes"] == sum(each["minutes"] for each in found["items"])
    assert {"manometer", "combustion-analyzer"} & set(found["tools"])
    flame = found["items"][ids.index("flame-current")]
    assert (flame["low"], flame["high"]) == (8e-7, 8e-6)
    assert [each["day"] for each in flame["readings"]] == ["2024-11-25", "2025-11-26"]
    assert flame["drift"]["per_year"] == pytest.approx(-8e-7, rel=0.01)


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (["--json"], "--json needs --list"),
        (["--furnace", "nonsense"], "no furnace is called"),
        (["--list", "--furnace", "nonsense"], "no furnace is called"),
        (["--label", "a" * 501], "longer than 500"),
    ],
)
def test_wrong_use_is_told_in_one_line(folder, arguments, says):
    result = in_folder(folder, *arguments)
    assert result.exit_code == 2
    assert says in result.stderr
    assert len(result.stderr.splitlines()) == 1


@pytest.mark.parametrize(
    ("line", "stands"),
    [
        ("u the tenant has to leave", "yearly visit ended, not all of it good"),
        ("x the hood spills", "shut down and tagged"),
    ],
)
def test_past_visits_say_how_they_ended_and_name_no_suspect(folder, line, stands):
    in_folder(folder, "--furnace", FURNACE, "--label", LABEL, lines=["n", line])
    jobs = json.loads(run("job", "list", "--journal-folder", folder, "--json").stdout)
    assert [each["stands"] for each in jobs] == ["yearly visit done"] * 2 + [stands]
    assert [each["leading"] for each in jobs] == [None] * 3
    shown = run("job", "show", "3", "--journal-folder", folder)
    assert line[2:] in shown.stdout
    replayed = run("job", "replay", "3", "--journal-folder", folder)
    assert replayed.exit_code == 0
    assert "Leading" not in replayed.stdout


def drift(folder, *arguments):
    return run("job", "drift", *arguments, "--journal-folder", folder)


def test_job_drift_shows_every_reading_and_what_moves(folder):
    result = drift(folder, "SERIAL   1207")
    assert result.exit_code == 0
    for word in ("2024-11-25", "2025-11-26", "3.9 uA", "3.1 uA", "0.8 to 8 uA"):
        assert word in result.stdout
    assert "Flame current: falling" in result.stdout
    assert max(map(len, result.stdout.splitlines())) <= 80


def test_job_drift_as_json(folder):
    found = json.loads(drift(folder, LABEL, "--json").stdout)
    assert (found["furnace"], len(found["visits"])) == (FURNACE, 2)
    (flame,) = found["quantities"]
    assert [each["value"] for each in flame["readings"]] == [3.9e-6, 3.1e-6]
    assert flame["drift"]["clear"]
    assert flame["drift"]["matters"]
    assert flame["drift"]["limit"] == 8e-7


def test_job_drift_of_a_label_that_no_job_has_names_the_nearest(folder):
    result = drift(folder, "serial 1270")
    assert result.exit_code == 1
    assert "did you mean serial 1207?" in result.stderr
    assert result.stdout == ""


def test_job_drift_leaves_out_another_type_and_tells_of_damage(folder):
    put_down(folder, 3, past("2023-01-01", "3 uA", furnace="metal-vent-induced"))
    put_down(folder, 4, past("2026-01-01", "2.6 uA"))
    (folder / "job-0005.jsonl").write_text("damage\n")
    result = drift(folder, LABEL)
    assert result.exit_code == 0
    assert "job-0003 is on another type of furnace" in result.stderr
    assert "job-0005" in result.stderr
    assert "2023" not in result.stdout


@pytest.mark.parametrize("name", [HOSTILE, "[link=x]y[/]", "'; rm -rf /", "\u202eabc", "a" * 5000])
def test_a_hostile_label_reaches_no_terminal_as_it_is(tmp_path, name):
    put_down(tmp_path, 1, past("2025-11-26", "3.1 uA", name))
    for result in (
        drift(tmp_path, name),
        drift(tmp_path, name[:3] + "?"),
        in_folder(tmp_path, "--list", "--furnace", FURNACE, "--label", name[:500]),
        in_folder(tmp_path, "--furnace", FURNACE, lines=[name[:400], "", "n", "q"]),
    ):
        assert result.exit_code in (0, 1)
        said = result.stdout + result.stderr
        assert not {"\x1b", "\u202e", "\x07"} & set(said)
        assert not any(line.startswith("forged line") for line in said.splitlines())


def test_hostile_journals_break_no_visit(tmp_path):
    put_down(tmp_path, 1, past("99999-99-99", "3.1 uA"))
    put_down(tmp_path, 2, past("2025-11-26", HOSTILE))
    put_down(tmp_path, 3, past("2025-11-26", "1e308 uA"))
    put_down(tmp_path, 4, past("2025-11-26", "3.1 uA", furnace="nonsense"))
    assert len(visits_in(tmp_path)) == 4
    lines = [LABEL, "", "n", "q"]
    assert in_folder(tmp_path, "--furnace", FURNACE, lines=lines).exit_code == 0
    assert drift(tmp_path, LABEL).exit_code == 0
