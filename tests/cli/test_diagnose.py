"""`lightoff diagnose`: from a file of findings, and at the terminal with its journal."""

import json
import os
import signal
import subprocess
import sys

import pytest
from click.testing import CliRunner

from lightoff.cli.main import lightoff
from lightoff.engine.reasoning.diagnosis import Diagnosis
from lightoff.engine.reasoning.job import Closed, Found, Repaired, Started, Told
from lightoff.engine.reasoning.journal import Journal, encode, latest, read

FURNACE = "two-pipe-condensing"
SIGNS = 4
"""Signs of danger that are asked before anything else."""


@pytest.fixture(scope="module")
def diagnosis(knowledge):
    return Diagnosis.of(knowledge, FURNACE)


@pytest.fixture(autouse=True)
def read_and_predicted_once(monkeypatch, knowledge, diagnosis):
    monkeypatch.setattr("lightoff.engine.library.load", lambda: knowledge)
    monkeypatch.setattr(Diagnosis, "of", lambda *_: diagnosis)


def run(*arguments, typed=None):
    return CliRunner().invoke(lightoff, ["diagnose", *map(str, arguments)], input=typed)


def talk(folder, *lines, resume=False):
    which = ["--resume"] if resume else ["--furnace", FURNACE]
    arguments = ["--journal-folder", folder, *which]
    return run(*arguments, typed="".join(f"{line}\n" for line in lines))


def events_in(folder):
    return read(sorted(folder.glob("job-*.jsonl"))[-1])[0]


def answers_in(folder):
    """The outcomes put down after the four signs of danger."""
    findings = [event for event in events_in(folder) if isinstance(event, Found)]
    signs, answers = findings[:SIGNS], findings[SIGNS:]
    assert {event.outcome for event in signs} == {"no"}
    return [event.outcome for event in answers]


def findings_file(tmp_path, text):
    path = tmp_path / "findings.yaml"
    path.write_text(text, encoding="utf-8")
    return path


# --- from a file ------------------------------------------------------------------


def test_json_holds_all_suspects_sorted_and_summing_to_one(tmp_path):
    path = findings_file(tmp_path, "status-light-after-call: draft\n")
    report = json.loads(run("--furnace", FURNACE, "--findings", path, "--json").stdout)
    shares = [each["probability"] for each in report["suspects"]]
    assert report["furnace"] == FURNACE
    assert report["stopped"] is None
    assert shares == sorted(shares, reverse=True)
    assert sum(shares) == pytest.approx(1.0, abs=1e-5)
    without = {each["id"] for each in report["suspects"] if not each["faults"]}
    assert without == {"no-fault", "something-else"}


def test_json_names_the_next_check_with_its_cautions(tmp_path):
    path = findings_file(tmp_path, "status-light-after-call: ignition\nigniter-glow: bright\n")
    report = json.loads(run("--furnace", FURNACE, "--findings", path, "--json").stdout)
    assert report["decision"]["kind"] == "check"
    assert {"check", "ask", "why", "minutes", "hazards", "setup"} <= report["next"].keys()
    assert [each["id"] for each in report["cautions"]] == report["next"]["hazards"]
    assert all(each["text"] for each in report["cautions"])


def test_json_has_no_next_check_once_a_repair_is_advised(tmp_path):
    path = findings_file(
        tmp_path,
        "status-light-after-call: limit\nfilter-look: plugged\nfilter-changed: long-ago\n",
    )
    report = json.loads(run("--furnace", FURNACE, "--findings", path, "--json").stdout)
    assert report["next"] is None
    assert report["decision"]["kind"] == "repair"
    assert report["decision"]["repair"] == "replace-filter"


def test_a_reading_means_what_its_outcome_means(tmp_path):
    reading = findings_file(tmp_path, "volts-at-inducer: 118 V\n")
    by_reading = run("--furnace", FURNACE, "--findings", reading, "--json").stdout
    outcome = findings_file(tmp_path, "volts-at-inducer: normal\n")
    assert by_reading == run("--furnace", FURNACE, "--findings", outcome, "--json").stdout


def test_without_json_the_screen_says_suspects_and_the_next_check(tmp_path):
    result = run(
        "--furnace",
        FURNACE,
        "--findings",
        findings_file(tmp_path, "status-light-after-call: draft\n"),
    )
    assert result.exit_code == 0
    assert "Suspects:" in result.stdout
    assert "--- Check 2" in result.stdout


def test_every_wrong_entry_is_named_with_its_line_at_once(tmp_path):
    path = findings_file(
        tmp_path,
        "status-light-after-cal: draft\n"
        "inducer-turns-on-call: 1\n"
        "volts-at-inducer: 120\n"
        "volts-at-panel: -3 V\n"
        "draft-at-the-switch: 24 V\n"
        "igniter-glow: [bright]\n"
        "status-light-after-call: purple\n"
        "filter-look: plugged\n"
        "filter-look: clean\n",
    )
    result = run("--furnace", FURNACE, "--findings", path, "--json")
    assert (result.exit_code, result.stdout) == (1, "")
    lines = [line for line in result.stderr.splitlines() if line.startswith(str(path))]
    places = [int(line.removeprefix(f"{path}:").split(":")[0]) for line in lines]
    assert places == [1, 2, 3, 4, 5, 6, 7, 9]
    assert all("; " in line for line in lines)
    assert "did you mean status-light-after-call" in lines[0]
    assert "120 V" in lines[2]


@pytest.mark.parametrize(
    "text", ["", "[]", "a: &x 1", "just words", "x: {", '"\\e[31m": bright', "a: !!python/x 1"]
)
def test_a_file_that_is_no_findings_ends_with_its_place_and_no_traceback(tmp_path, text):
    path = findings_file(tmp_path, text)
    result = run("--furnace", FURNACE, "--findings", path)
    assert result.exit_code == 1
    assert f"{path}:" in result.stderr
    assert "\x1b" not in result.stderr
    assert "Traceback" not in result.output


def test_a_missing_file_and_wrong_options_are_wrong_use(tmp_path):
    assert run("--furnace", FURNACE, "--findings", tmp_path / "none.yaml").exit_code == 2
    assert run("--json").exit_code == 2
    assert run("--resume", "--furnace", FURNACE).exit_code == 2
    assert run("--furnace", "stove", "--findings", findings_file(tmp_path, "{}")).exit_code == 2


def test_a_stop_in_a_file_of_findings_is_told_and_nothing_comes_next(tmp_path):
    path = findings_file(tmp_path, 'smell-of-gas: "yes"\nigniter-glow: bright\n')
    report = json.loads(run("--furnace", FURNACE, "--findings", path, "--json").stdout)
    assert report["stopped"]["caution"] == "smell-of-gas"
    assert report["stopped"]["why"]
    assert (report["next"], report["decision"]["kind"]) == (None, "stop")
    assert [each["id"] for each in report["cautions"]] == ["smell-of-gas"]
    shown = run("--furnace", FURNACE, "--findings", path).stdout
    assert "call the gas utility" in shown
    assert "--- Check" not in shown


def test_json_names_the_rules_that_fired_and_what_they_oblige_to(tmp_path):
    path = findings_file(tmp_path, "rollout-button: popped-out\n")
    report = json.loads(run("--furnace", FURNACE, "--findings", path, "--json").stdout)
    assert report["rules"]
    assert all(each["id"] and each["says"] for each in report["rules"])
    assert report["stopped"] or report["obligations"]


def test_a_tool_that_is_not_there_is_not_asked_for(tmp_path):
    path = findings_file(tmp_path, "status-light-after-call: ignition\nigniter-glow: dark\n")
    options = ("--furnace", FURNACE, "--findings", path, "--json")
    with_it = json.loads(run(*options).stdout)["next"]
    without = json.loads(run(*options, "--without", "meter").stdout)["next"]
    assert "meter" not in (without or {"setup": {}})["setup"]
    assert with_it != without


def test_an_unknown_tool_or_licence_is_wrong_use(tmp_path):
    path = findings_file(tmp_path, "{}")
    result = run("--findings", path, "--without", "metre")
    assert result.exit_code == 2
    assert "did you mean meter" in result.stderr
    assert run("--findings", path, "--licence", "pilot").exit_code == 2
    assert run("--resume", "--without", "meter").exit_code == 2


# --- at the terminal --------------------------------------------------------------


def test_make_safe_cannot_be_passed_without_an_answer(tmp_path):
    result = talk(tmp_path, "", "?", "dont-know", "maybe")
    assert "--- Check" not in result.stdout
    assert result.stdout.count("Look, smell and listen first") == 4
    assert not list(tmp_path.glob("job-*"))


def test_a_sign_of_danger_says_what_to_do_and_closes_the_job_as_left(tmp_path):
    result = talk(tmp_path, "1")
    assert result.exit_code == 0
    assert "call the gas utility" in result.stdout
    assert "--- Check" not in result.stdout
    closed = events_in(tmp_path)[-1]
    assert (type(closed), closed.how) == (Closed, "left")


def test_the_end_of_input_saves_and_says_how_to_go_on(tmp_path):
    result = talk(tmp_path, "n", "motor-only")
    assert result.exit_code == 0
    assert "lightoff diagnose --resume" in result.stdout
    assert type(events_in(tmp_path)[0]) is Started
    assert answers_in(tmp_path) == ["motor-only"]


def test_resume_goes_on_where_the_job_was_left(tmp_path):
    talk(tmp_path, "n", "motor-only")
    result = talk(tmp_path, "n", "?", resume=True)
    assert "Job 1" in result.stdout
    assert "5 findings" in result.stdout
    assert "--- Check 2" in result.stdout
    outcomes = [event.outcome for event in events_in(tmp_path)[1:]]
    assert outcomes == ["no"] * SIGNS + ["motor-only", None]


def test_tools_and_licence_are_kept_in_the_job(tmp_path):
    run(
        "--journal-folder",
        tmp_path,
        "--without",
        "meter",
        "--without",
        "manometer",
        "--licence",
        "none",
        typed="n\n",
    )
    start = events_in(tmp_path)[0]
    assert (start.furnace, start.lacks, start.licence) == ("", ("manometer", "meter"), "none")


def test_a_reading_that_was_told_is_there_again_on_resume(tmp_path):
    talk(tmp_path, "n", "t volts R W proving-draft 0.1")
    result = talk(tmp_path, "n", "b", resume=True)
    assert "Taken back: Volts, R to W in proving-draft: 0.1 V" in " ".join(result.stdout.split())


def test_resume_with_nothing_to_resume_says_so(tmp_path):
    result = talk(tmp_path, resume=True)
    assert result.exit_code == 1
    assert "no unfinished job" in result.stderr


def test_a_new_job_tells_of_an_unfinished_one(tmp_path):
    talk(tmp_path, "n", "motor-only")
    assert "Job 1" in talk(tmp_path, "q").stdout


def test_a_closed_job_is_not_taken_up_again(tmp_path):
    talk(tmp_path, "n", "r", "filter", "1", "u no time left")
    assert isinstance(events_in(tmp_path)[-1], Closed)
    assert talk(tmp_path, resume=True).exit_code == 1


def test_ctrl_c_saves_and_ends_with_130(tmp_path, monkeypatch):
    lines = iter(["n", "motor-only"])

    def typing(_prompt):
        try:
            return next(lines)
        except StopIteration:
            raise KeyboardInterrupt from None

    monkeypatch.setattr("builtins.input", typing)
    result = run("--furnace", FURNACE, "--journal-folder", tmp_path)
    assert result.exit_code == 130
    assert "Saved." in result.stdout
    assert answers_in(tmp_path) == ["motor-only"]


def test_a_killed_program_loses_no_finding_that_was_answered(tmp_path):
    command = [sys.executable, "-c", "from lightoff.cli.main import main; main()", "diagnose"]
    program = subprocess.Popen(
        [*command, "--furnace", FURNACE, "--journal-folder", str(tmp_path)],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        env={**os.environ, "PYTHONUNBUFFERED": "1"},
    )
    program.stdin.write(b"n\nmotor-only\n")
    program.stdin.flush()
    for line in program.stdout:
        if b"--- Check 2" in line:
            break
    program.send_signal(signal.SIGKILL)
    program.communicate()
    result = talk(tmp_path, "n", resume=True)
    assert "5 findings" in result.stdout
    assert "--- Check 2" in result.stdout


def test_a_torn_last_line_is_told_and_left_out(tmp_path):
    talk(tmp_path, "n", "motor-only", "?")
    path = latest(tmp_path)
    path.write_bytes(path.read_bytes()[:-7])
    result = talk(tmp_path, "n", resume=True)
    assert result.exit_code == 0
    assert "cut off" in result.stderr
    assert "5 findings, on" in result.stdout


def test_a_changed_journal_is_refused_with_its_line(tmp_path):
    talk(tmp_path, "n", "motor-only")
    path = latest(tmp_path)
    path.write_bytes(path.read_bytes().replace(b"motor-only", b"other-only"))
    result = talk(tmp_path, "n", resume=True)
    assert result.exit_code == 1
    assert f"{path}:{SIGNS + 2}" in result.stderr
    assert "--- Check 1" in talk(tmp_path, "n").stdout


@pytest.mark.parametrize(
    "event",
    [
        Found(time="t", check="no-such-check", outcome="open"),
        Found(time="t", check="status-light-after-call", outcome="purple"),
        Repaired(time="t", repair="no-such-repair"),
        Told(
            time="t",
            quantity="volts",
            places=("R", "MOON"),
            during="heating",
            value=24.0,
            entered="24 V",
        ),
    ],
)
def test_a_journal_that_speaks_of_unknown_things_is_refused_in_one_line(tmp_path, event):
    with Journal.create(tmp_path, Started(time="t", furnace=FURNACE, version="0")) as journal:
        journal.append(event)
    result = talk(tmp_path, "n", resume=True)
    assert result.exit_code == 1
    assert "does not know" in result.stderr
    assert "Traceback" not in result.output


def test_text_that_steers_a_terminal_is_shown_harmless(tmp_path):
    path = tmp_path / "job-0001.jsonl"
    hostile = "\x1b[2J\u202e[red]"
    events = [
        Started(time=hostile, furnace=FURNACE, version="0"),
        Found(time="t", check="status-light-after-call", outcome="draft", entered=hostile),
    ]
    path.write_bytes(b"".join(encode(number, event) for number, event in enumerate(events, 1)))
    result = talk(tmp_path, "n", "b", hostile, resume=True)
    assert result.exit_code == 0
    assert "\x1b" not in result.output
    assert "\u202e" not in result.output
    assert "\\x1b" in result.output


def test_a_folder_that_cannot_be_written_is_one_clear_line(tmp_path):
    blocked = tmp_path / "file"
    blocked.write_text("", encoding="utf-8")
    result = talk(blocked / "jobs", "n")
    assert result.exit_code == 1
    assert "cannot be" in result.stderr
    assert "Traceback" not in result.output


def test_a_full_disk_ends_in_one_line_and_keeps_what_was_saved(tmp_path, monkeypatch):
    real, written = os.write, []

    def write(handle, data):
        if written and b"finding" in data:
            raise OSError(28, "No space left on device")
        written.append(data)
        return real(handle, data)

    monkeypatch.setattr("lightoff.engine.reasoning.journal.os.write", write)
    result = talk(tmp_path, "n", "motor-only", "2")
    assert result.exit_code == 1
    assert "No space left" in result.stderr
    assert "--- Check" not in result.stdout
    assert [type(event) for event in events_in(tmp_path)] == [Started]


def test_a_second_program_in_the_same_folder_is_refused(tmp_path):
    with Journal.create(tmp_path, Started(time="t", furnace=FURNACE, version="0")):
        result = talk(tmp_path, "n")
    assert result.exit_code == 1
    assert "another program" in result.stderr


def test_lightoff_home_is_where_jobs_are_kept(tmp_path, monkeypatch):
    monkeypatch.setenv("LIGHTOFF_HOME", str(tmp_path))
    run("--furnace", FURNACE, typed="n\nmotor-only\n")
    assert latest(tmp_path / "jobs") is not None


def test_every_finding_is_on_disk_before_the_next_question_is_asked(tmp_path, monkeypatch):
    lines, seen = iter(["n", "motor-only", "?"]), []

    def typing(_prompt):
        found = list(tmp_path.glob("job-*.jsonl"))
        seen.append(len(read(found[0])[0]) if found else 0)
        try:
            return next(lines)
        except StopIteration:
            raise EOFError from None

    monkeypatch.setattr("builtins.input", typing)
    run("--furnace", FURNACE, "--journal-folder", tmp_path)
    assert seen == [0, SIGNS + 1, SIGNS + 2, SIGNS + 3]


def test_bytes_that_are_no_text_are_refused_without_a_traceback(tmp_path):
    result = CliRunner().invoke(
        lightoff,
        ["diagnose", "--furnace", FURNACE, "--journal-folder", str(tmp_path)],
        input=b"n\n\xff\xfe\x00\n2\n",
    )
    assert result.exit_code == 0
    assert "Traceback" not in result.output
    assert answers_in(tmp_path) == ["motor-only"]
