"""`lightoff study`: every fault diagnosed, kept, resumed, compared."""

import importlib.util
import json
import os
import re
import signal
import subprocess
import sys

import pytest

from lightoff.engine.reasoning.study import work
from lightoff.engine.reasoning.study.outcome import Outcome
from tests.cli.studies import FURNACE, TWO, lines, made_up, run

# --- what it shows ----------------------------------------------------------------------


def test_the_summary_fits_80_columns_and_names_every_area(made_up_studies, furnace):
    result = run("--errors", "0.05", "--seeds", "2")
    assert result.exit_code == 0, result.stderr
    assert max(map(len, result.stdout.splitlines())) <= 80
    assert f"{2 * len(furnace.faults)} diagnoses" in result.stdout
    for part in furnace.parts.values():
        if any(fault.part == part.id for fault in furnace.faults.values()):
            assert re.search(rf"^{part.entry.area} ", result.stdout, re.MULTILINE)


def test_what_is_confused_and_where_time_goes_is_shown(made_up_studies, monkeypatch):
    wrong = lambda *known: made_up(*known, wrong=("igniter.aged",))  # noqa: E731
    monkeypatch.setattr(work, "outcome_of", wrong)
    shown = run(*TWO).stdout
    assert re.search(r"^ +1 +replace-igniter +clean-burners$", shown, re.MULTILINE)
    assert re.search(r"^check-0 +100% +2\.00 +0\.50 +2\.50$", shown, re.MULTILINE)
    assert "Measuring 6.0, set-up 1.5, repairs 20.0, verifying 15.0 min" in shown


def test_json_says_the_same_as_an_object(made_up_studies):
    result = run(*TWO, "--json")
    (of,) = json.loads(result.stdout)["furnaces"]
    assert of["furnace"] == FURNACE
    assert of["figures"]["checks"] == 3
    assert of["figures"]["diagnoses"] == 2
    assert [case["faults"] for case in of["cases"]] == [["igniter.open"], ["igniter.aged"]]
    assert json.loads(result.stdout)["against"] is None


def test_pairs_of_a_fault_are_played_when_asked_for(made_up_studies, furnace):
    of = json.loads(run("--fault", "filter.plugged", "--pairs", "--json").stdout)["furnaces"][0]
    assert len(of["cases"]) > len(furnace.faults) - 5
    assert all("filter.plugged" in case["faults"] for case in of["cases"])


def test_a_diagnosis_that_broke_down_is_told_and_ends_with_1(made_up_studies, monkeypatch):
    def broken(diagnosis, task, stamp):
        return Outcome(task=task, stamp=stamp, problem="LookupError: \x1b[31mno outcome")

    monkeypatch.setattr(work, "outcome_of", broken)
    result = run(*TWO)
    assert result.exit_code == 1
    assert "2 diagnoses broke down. The first:" in result.stderr
    assert "\x1b" not in result.output


@pytest.mark.parametrize("no_color", ["", "1"])
def test_a_bar_on_the_terminal_counts_the_diagnoses(no_color):
    pty = pytest.importorskip("pty")
    code = (
        "from lightoff.cli.study_run import _progress\n"
        "with _progress(3) as advance:\n    advance()\n    advance()\n"
    )
    ours, its = pty.openpty()
    environment = {**os.environ, "NO_COLOR": no_color, "COLUMNS": "80", "TERM": "xterm"}
    subprocess.run([sys.executable, "-c", code], stderr=its, env=environment, check=True)
    os.close(its)
    shown = os.read(ours, 65536).decode()
    os.close(ours)
    assert "Diagnoses" in shown
    assert "2/3" in shown
    assert ("\x1b[32m" in shown) == (not no_color)


# --- kept and resumed -------------------------------------------------------------------


def test_a_second_run_does_nothing_again(made_up_studies, monkeypatch, tmp_path):
    out = tmp_path / "out.jsonl"
    first = run(*TWO, "--out", out)
    monkeypatch.setattr(work, "outcome_of", None)
    second = run(*TWO, "--out", out)
    assert second.exit_code == 0
    assert second.stdout == first.stdout
    assert "2 diagnoses are there already; 0 to do" in second.stderr
    assert len(lines(out)) == 2


def test_a_killed_run_goes_on_where_its_file_was_cut_off(made_up_studies, tmp_path):
    whole, cut = tmp_path / "whole.jsonl", tmp_path / "cut.jsonl"
    run("--out", whole)
    content = whole.read_bytes()
    cut.write_bytes(content[: len(content) // 2])
    result = run("--out", cut)
    assert result.exit_code == 0
    assert "cut off" in result.stderr
    assert lines(cut) == lines(whole)


def test_a_wider_study_goes_on_with_the_file_of_a_narrower_one(made_up_studies, tmp_path):
    out = tmp_path / "out.jsonl"
    run("--fault", "igniter.open", "--out", out)
    result = run(*TWO, "--out", out)
    assert "1 diagnoses are there already; 1 to do" in result.stderr
    assert len(lines(out)) == 2
    narrow = run("--fault", "igniter.aged", "--out", out, "--json")
    assert json.loads(narrow.stdout)["furnaces"][0]["figures"]["diagnoses"] == 1


def test_ctrl_c_keeps_what_is_done_and_says_how_to_go_on(
    made_up_studies, monkeypatch, tmp_path, furnace
):
    out = tmp_path / "out.jsonl"
    before = signal.getsignal(signal.SIGINT)

    def interrupted(diagnosis, task, stamp):
        if task.faults[0] == list(furnace.faults)[4]:
            os.kill(os.getpid(), signal.SIGINT)
        return made_up(diagnosis, task, stamp)

    monkeypatch.setattr(work, "outcome_of", interrupted)
    stopped = run("--out", out)
    done = len(lines(out))
    assert stopped.exit_code == 130
    assert stopped.stdout == ""
    assert 5 <= done <= 7
    said = " ".join(stopped.stderr.split())
    assert f"{done} of {len(furnace.faults)} diagnoses are done" in said
    assert "Run the same command again to go on" in said
    assert signal.getsignal(signal.SIGINT) == before
    monkeypatch.setattr(work, "outcome_of", made_up)
    assert run("--out", out).exit_code == 0
    assert len(lines(out)) == len(furnace.faults)


def test_ctrl_c_without_a_file_says_that_nothing_was_kept(made_up_studies, monkeypatch):
    def interrupted(diagnosis, task, stamp):
        if task.faults == ("supply.voltage-low",):
            os.kill(os.getpid(), signal.SIGINT)
        return made_up(diagnosis, task, stamp)

    monkeypatch.setattr(work, "outcome_of", interrupted)
    result = run()
    assert result.exit_code == 130
    assert "Give --out FILE" in " ".join(result.stderr.split())


# --- the difference ---------------------------------------------------------------------


def test_the_difference_to_older_knowledge_is_shown(older_outcomes):
    result = run(*TWO, "--against", older_outcomes)
    assert result.exit_code == 0
    assert re.search(r"^checks +5\.00 +3\.00 +-2\.00$", result.stdout, re.MULTILINE)
    assert re.search(r"^minutes +47\.50 +42\.50 +-5\.00$", result.stdout, re.MULTILINE)
    right = result.stdout.split("Became right")[1].split("Biggest changes")[0]
    assert re.search(r"^igniter\.aged +0% to 100% +5\.0 to 3\.0 ", right, re.MULTILINE)
    assert "igniter.open" not in right
    assert max(map(len, result.stdout.splitlines())) <= 80


def test_what_became_wrong_ends_with_1_and_stands_in_the_json(older_outcomes, monkeypatch):
    wrong = lambda *known: made_up(*known, wrong=("igniter.open",))  # noqa: E731
    monkeypatch.setattr(work, "outcome_of", wrong)
    result = run(*TWO, "--against", older_outcomes, "--json")
    assert result.exit_code == 1
    (difference,) = json.loads(result.stdout)["against"]
    assert [each["faults"] for each in difference["became_wrong"]] == [["igniter.open"]]
    assert [each["faults"] for each in difference["became_right"]] == [["igniter.aged"]]
    assert (difference["before"]["checks"], difference["now"]["checks"]) == (5, 3)


def test_a_study_of_other_diagnoses_cannot_be_compared(older_outcomes):
    result = run("--fault", "filter.plugged", "--against", older_outcomes)
    assert result.exit_code == 2
    assert "none of its diagnoses is one of this study" in result.stderr


# --- wrong use --------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (["--furnace", "stove"], "no furnace is called 'stove'"),
        (["--fault", "igniter.opn"], "did you mean igniter.open"),
        (["--seeds", "3"], "give --errors"),
        (["--seeds", "0", "--errors", "0.1"], "--seeds"),
        (["--errors", "1.5"], "--errors"),
        (["--errors", "nan"], "--errors is a share"),
        (["--workers", "0"], "--workers"),
        (["--workers", "2", "--cluster", "tcp://x:1"], "leave it out with --cluster"),
        (["--against", "/no/such/file"], "/no/such/file"),
        (["--out", "/no/such/folder/out.jsonl"], "/no/such/folder"),
        (["--page", "same.jsonl", "--out", "same.jsonl"], "--page would overwrite"),
    ],
    ids=lambda each: " ".join(each) if isinstance(each, list) else "",
)
def test_wrong_use_is_one_line_and_exit_2(made_up_studies, arguments, says):
    result = run(*arguments)
    assert (result.exit_code, result.stdout) == (2, "")
    assert len(result.stderr.splitlines()) == 1
    assert says in result.stderr


def test_a_file_of_other_knowledge_is_refused_with_what_to_do(older_outcomes):
    content = older_outcomes.read_bytes()
    result = run(*TWO, "--out", older_outcomes)
    assert result.exit_code == 2
    assert "before.jsonl:1: it was made with other knowledge; give another file" in result.stderr
    assert "--against" in result.stderr
    assert older_outcomes.read_bytes() == content


@pytest.mark.parametrize("option", ["--out", "--against"])
def test_a_file_that_is_no_study_is_named_with_its_line(made_up_studies, tmp_path, option):
    path = tmp_path / "notes.txt"
    path.write_text("buy an igniter\n")
    result = run(*TWO, option, path)
    assert result.exit_code == 2
    assert "notes.txt:1: this is no line of a study" in result.stderr
    assert path.read_text() == "buy an igniter\n"


@pytest.mark.parametrize(
    ("option", "package", "extra"),
    [("--page", "matplotlib", "study"), ("--page", "jinja2", "study")],
)
def test_a_page_without_its_libraries_is_refused_before_any_work(
    made_up_studies, monkeypatch, option, package, extra
):
    found = importlib.util.find_spec
    monkeypatch.setattr(
        "lightoff.cli.study.find_spec", lambda name: None if name == package else found(name)
    )
    monkeypatch.setattr(work, "outcome_of", None)
    result = run(option, "x.html")
    assert result.exit_code == 1
    assert f"needs {package}; install with: pip install 'lightoff[{extra}]'" in result.stderr


def test_a_cluster_without_its_library_is_refused_in_one_line(monkeypatch):
    monkeypatch.setitem(sys.modules, "distributed", None)
    result = run("--cluster", "tcp://127.0.0.1:1")
    assert result.exit_code == 1
    assert "pip install 'lightoff[cluster]'" in result.stderr
