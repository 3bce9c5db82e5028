"""`lightoff study`: every fault diagnosed, kept, resumed, compared, drawn."""

import importlib.util
import json
import os
import re
import signal
import subprocess
import sys
from concurrent.futures import Executor, Future
from contextlib import nullcontext
from dataclasses import replace
from html.parser import HTMLParser

import msgspec
import pytest
from click.testing import CliRunner

from lightoff.cli import study_places
from lightoff.cli.main import lightoff
from lightoff.cli.study_page import page
from lightoff.cli.study_places import Opened, Place, place_for
from lightoff.cli.study_run import Study
from lightoff.engine.reasoning.study import work
from lightoff.engine.reasoning.study.outcome import Done, Made, Outcome
from lightoff.engine.reasoning.study.records import outcomes
from lightoff.engine.reasoning.study.summary import summary_of
from lightoff.engine.reasoning.study.sums import Tally
from lightoff.engine.reasoning.study.tasks import Task

FURNACE = "two-pipe-condensing"
TWO = ("--fault", "igniter.open", "--fault", "igniter.aged")


class AtOnce(Executor):
    """Works in this process, as soon as it is asked."""

    def submit(self, function, /, *arguments):  # type: ignore[override]
        future = Future()
        future.set_result(function(*arguments))
        return future


def made_up(diagnosis, task, stamp, wrong=(), checks=3):
    """An outcome without a diagnosis; it depends on the task alone."""
    right = task.faults[0] not in wrong
    return Outcome(
        task=task,
        stamp=stamp,
        needed=("replace-igniter",),
        checks=tuple(Made(f"check-{each}", "yes", 2.0, 0.5) for each in range(checks)),
        repairs=(Done("replace-igniter" if right else "clean-burners", 20.0, 95.0),),
        ended="cured",
        right_at_first=right,
        right_in_the_end=True,
        suspect=task.faults[0],
        suspect_probability=0.93,
        suspect_right=right,
        price=110.0,
    )


@pytest.fixture
def quick(monkeypatch):
    """A study in this process, with outcomes made up."""
    opened = Opened(AtOnce(), ahead=2, piece=1)
    monkeypatch.setattr(study_places, "place_for", lambda *_: Place(lambda: nullcontext(opened)))
    monkeypatch.setattr(work, "outcome_of", made_up)
    monkeypatch.setattr(work, "_diagnosis", lambda furnace: None)


def run(*arguments):
    return CliRunner().invoke(lightoff, ["study", *map(str, arguments)])


def lines(path):
    return sorted(path.read_bytes().splitlines())


# --- what it shows ----------------------------------------------------------------


def test_the_summary_fits_80_columns_and_names_every_area(quick, furnace):
    result = run("--errors", "0.05", "--seeds", "2")
    assert result.exit_code == 0, result.stderr
    assert max(map(len, result.stdout.splitlines())) <= 80
    assert f"{2 * len(furnace.faults)} diagnoses" in result.stdout
    for part in furnace.parts.values():
        if any(fault.part == part.id for fault in furnace.faults.values()):
            assert re.search(rf"^{part.entry.area} ", result.stdout, re.MULTILINE)


def test_what_is_confused_and_where_time_goes_is_shown(quick, monkeypatch):
    wrong = lambda *known: made_up(*known, wrong=("igniter.aged",))  # noqa: E731
    monkeypatch.setattr(work, "outcome_of", wrong)
    shown = run(*TWO).stdout
    assert re.search(r"^ +1 +replace-igniter +clean-burners$", shown, re.MULTILINE)
    assert re.search(r"^check-0 +100% +2\.00 +0\.50 +2\.50$", shown, re.MULTILINE)
    assert "Measuring 6.0, set-up 1.5, repairs 20.0, verifying 15.0 min" in shown


def test_json_says_the_same_as_an_object(quick):
    result = run(*TWO, "--json")
    (of,) = json.loads(result.stdout)["furnaces"]
    assert of["furnace"] == FURNACE
    assert of["figures"]["checks"] == 3
    assert of["figures"]["diagnoses"] == 2
    assert [case["faults"] for case in of["cases"]] == [["igniter.open"], ["igniter.aged"]]
    assert json.loads(result.stdout)["against"] is None


def test_pairs_of_a_fault_are_played_when_asked_for(quick, furnace):
    of = json.loads(run("--fault", "filter.plugged", "--pairs", "--json").stdout)["furnaces"][0]
    assert len(of["cases"]) > len(furnace.faults) - 5
    assert all("filter.plugged" in case["faults"] for case in of["cases"])


def test_a_diagnosis_that_broke_down_is_told_and_ends_with_1(quick, monkeypatch):
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


# --- kept and resumed -------------------------------------------------------------


def test_a_second_run_does_nothing_again(quick, monkeypatch, tmp_path):
    out = tmp_path / "out.jsonl"
    first = run(*TWO, "--out", out)
    monkeypatch.setattr(work, "outcome_of", None)
    second = run(*TWO, "--out", out)
    assert second.exit_code == 0
    assert second.stdout == first.stdout
    assert "2 diagnoses are there already; 0 to do" in second.stderr
    assert len(lines(out)) == 2


def test_a_killed_run_goes_on_where_its_file_was_cut_off(quick, tmp_path):
    whole, cut = tmp_path / "whole.jsonl", tmp_path / "cut.jsonl"
    run("--out", whole)
    content = whole.read_bytes()
    cut.write_bytes(content[: len(content) // 2])
    result = run("--out", cut)
    assert result.exit_code == 0
    assert "cut off" in result.stderr
    assert lines(cut) == lines(whole)


def test_a_wider_study_goes_on_with_the_file_of_a_narrower_one(quick, tmp_path):
    out = tmp_path / "out.jsonl"
    run("--fault", "igniter.open", "--out", out)
    result = run(*TWO, "--out", out)
    assert "1 diagnoses are there already; 1 to do" in result.stderr
    assert len(lines(out)) == 2
    narrow = run("--fault", "igniter.aged", "--out", out, "--json")
    assert json.loads(narrow.stdout)["furnaces"][0]["figures"]["diagnoses"] == 1


def test_ctrl_c_keeps_what_is_done_and_says_how_to_go_on(quick, monkeypatch, tmp_path, furnace):
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


def test_ctrl_c_without_a_file_says_that_nothing_was_kept(quick, monkeypatch):
    def interrupted(diagnosis, task, stamp):
        if task.faults == ("supply.voltage-low",):
            os.kill(os.getpid(), signal.SIGINT)
        return made_up(diagnosis, task, stamp)

    monkeypatch.setattr(work, "outcome_of", interrupted)
    result = run()
    assert result.exit_code == 130
    assert "Give --out FILE" in " ".join(result.stderr.split())


# --- the difference ---------------------------------------------------------------


@pytest.fixture
def before(quick, monkeypatch, tmp_path):
    """A file of outcomes of older knowledge, in which igniter.aged was wrong."""
    out = tmp_path / "before.jsonl"
    old = msgspec.structs.replace(work.stamp_now(), knowledge="older", version="0.0.1")

    def earlier(diagnosis, task, stamp):
        return made_up(diagnosis, task, old, wrong=("igniter.aged",), checks=5)

    out.write_bytes(
        b"".join(
            msgspec.json.encode(earlier(None, Task(furnace=FURNACE, faults=(fault,)), None)) + b"\n"
            for fault in ("igniter.open", "igniter.aged")
        )
    )
    return out


def test_the_difference_to_older_knowledge_is_shown(before):
    result = run(*TWO, "--against", before)
    assert result.exit_code == 0
    assert re.search(r"^checks +5\.00 +3\.00 +-2\.00$", result.stdout, re.MULTILINE)
    assert re.search(r"^minutes +47\.50 +42\.50 +-5\.00$", result.stdout, re.MULTILINE)
    right = result.stdout.split("Became right")[1].split("Biggest changes")[0]
    assert re.search(r"^igniter\.aged +0% to 100% +5\.0 to 3\.0 ", right, re.MULTILINE)
    assert "igniter.open" not in right
    assert max(map(len, result.stdout.splitlines())) <= 80


def test_what_became_wrong_ends_with_1_and_stands_in_the_json(before, monkeypatch):
    wrong = lambda *known: made_up(*known, wrong=("igniter.open",))  # noqa: E731
    monkeypatch.setattr(work, "outcome_of", wrong)
    result = run(*TWO, "--against", before, "--json")
    assert result.exit_code == 1
    (difference,) = json.loads(result.stdout)["against"]
    assert [each["faults"] for each in difference["became_wrong"]] == [["igniter.open"]]
    assert [each["faults"] for each in difference["became_right"]] == [["igniter.aged"]]
    assert (difference["before"]["checks"], difference["now"]["checks"]) == (5, 3)


def test_a_study_of_other_diagnoses_cannot_be_compared(before):
    result = run("--fault", "filter.plugged", "--against", before)
    assert result.exit_code == 2
    assert "none of its diagnoses is one of this study" in result.stderr


# --- wrong use --------------------------------------------------------------------


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
def test_wrong_use_is_one_line_and_exit_2(quick, arguments, says):
    result = run(*arguments)
    assert (result.exit_code, result.stdout) == (2, "")
    assert len(result.stderr.splitlines()) == 1
    assert says in result.stderr


def test_a_file_of_other_knowledge_is_refused_with_what_to_do(before):
    content = before.read_bytes()
    result = run(*TWO, "--out", before)
    assert result.exit_code == 2
    assert "before.jsonl:1: it was made with other knowledge; give another file" in result.stderr
    assert "--against" in result.stderr
    assert before.read_bytes() == content


@pytest.mark.parametrize("option", ["--out", "--against"])
def test_a_file_that_is_no_study_is_named_with_its_line(quick, tmp_path, option):
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
    quick, monkeypatch, option, package, extra
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


# --- the page ---------------------------------------------------------------------

HOSTILE = "<script>alert('$x^2$')</script>&\"\u202e"


class Tags(HTMLParser):
    """All tags with their attributes, and all ids."""

    def __init__(self) -> None:
        super().__init__()
        self.tags: list[str] = []
        self.ids: list[str] = []
        self.urls: list[str] = []

    def handle_starttag(self, tag, attrs):
        self.tags.append(tag)
        for name, value in attrs:
            if name == "id":
                self.ids.append(value)
            if name in ("href", "src", "xlink:href"):
                self.urls.append(value)


def parsed(html):
    tags = Tags()
    tags.feed(html)
    return tags


def hostile_study(knowledge, furnace):
    """A study in which every text that comes from files is hostile."""
    entry = msgspec.structs.replace(furnace.entry, name=HOSTILE)
    known = replace(knowledge, furnaces={furnace.id: replace(furnace, entry=entry)})
    tally = Tally(furnace)
    for fault in list(furnace.faults)[:3]:
        task = Task(furnace=furnace.id, faults=(fault,))
        outcome = made_up(None, task, work.stamp_now(), wrong=(fault,))
        checks = (Made(HOSTILE, "x", 1.0),)
        tally.add(msgspec.structs.replace(outcome, checks=checks, needed=(HOSTILE,)))
    summary = summary_of(tally)
    cases = tuple(replace(case, faults=(HOSTILE,), area=HOSTILE) for case in summary.cases)
    areas = tuple(replace(area, name=HOSTILE, worst=HOSTILE) for area in summary.areas)
    return known, Study((replace(summary, cases=cases, areas=areas),), None, 3, 0)


def test_text_from_files_is_escaped_in_the_page_and_in_its_plots(knowledge, furnace):
    html = page(*hostile_study(knowledge, furnace))
    assert "script" not in parsed(html).tags
    assert "<script" not in html
    assert "\u202e" not in html
    assert html.count("&lt;script&gt;alert(") > 8
    assert "$x^2$" in html


def test_the_page_fetches_nothing_and_says_so(quick, tmp_path):
    out = tmp_path / "page.html"
    result = run("--page", out)
    assert result.exit_code == 0
    html = out.read_text()
    assert "default-src 'none'" in html
    tags = parsed(html)
    assert not {"script", "link", "img", "iframe", "object"} & set(tags.tags)
    assert all(url.startswith("#") for url in tags.urls)
    assert not re.search(r"url\((?!#)|@import", html)


def test_the_page_has_a_table_beside_every_plot_and_no_id_twice(quick, tmp_path):
    out = tmp_path / "page.html"
    run("--page", out)
    html = out.read_text()
    tags = parsed(html)
    assert tags.tags.count("svg") == tags.tags.count("details") == 2
    assert html.count('role="img"') == 2
    assert len(tags.ids) == len(set(tags.ids))
    assert 'lang="en"' in html
    assert "igniter.open" in html


def test_the_same_study_makes_the_same_page(quick, tmp_path):
    one, other = tmp_path / "one.html", tmp_path / "other.html"
    run(*TWO, "--page", one)
    run(*TWO, "--page", other)
    assert one.read_bytes() == other.read_bytes()


def test_the_page_shows_the_difference_when_asked_for(before, tmp_path):
    out = tmp_path / "page.html"
    run(*TWO, "--against", before, "--page", out)
    assert "now against before" in out.read_text()
    assert "Became right" in out.read_text()


# --- elsewhere --------------------------------------------------------------------


def test_any_number_of_processes_and_a_cluster_write_the_same_lines(tmp_path):
    from distributed import LocalCluster

    paths = {}
    for workers in (1, 2):
        paths[workers] = tmp_path / f"{workers}.jsonl"
        assert run(*TWO, "--workers", workers, "--out", paths[workers]).exit_code == 0
    paths["cluster"] = tmp_path / "cluster.jsonl"
    with LocalCluster(
        n_workers=1, threads_per_worker=2, processes=False, dashboard_address=None
    ) as cluster:
        address = cluster.scheduler_address
        result = run(*TWO, "--cluster", address, "--out", paths["cluster"])
        assert result.exit_code == 0, result.stderr
    one, *others = (lines(path) for path in paths.values())
    assert len(one) == 2
    assert all(other == one for other in others)
    assert all(outcome.right for outcome in outcomes(paths[1]))


def test_nobody_at_the_address_of_a_cluster_is_one_line(monkeypatch):
    monkeypatch.setattr(study_places, "ANSWERS_WITHIN", 1)
    code = (
        "from lightoff.cli import study_places; study_places.ANSWERS_WITHIN = 1; "
        "from lightoff.cli.main import main; main()"
    )
    command = [sys.executable, "-c", code, "study", "--cluster", "tcp://127.0.0.1:9"]
    result = subprocess.run(command, capture_output=True, text=True, check=False)
    assert result.returncode == 2
    assert len(result.stderr.splitlines()) == 1
    assert "no Dask scheduler answers at tcp://127.0.0.1:9" in result.stderr


def test_a_worker_with_other_files_is_refused():
    other = msgspec.structs.replace(work.stamp_now(), knowledge="older")
    with pytest.raises(Exception, match="install the same state of lightoff"):
        study_places.check_stamp(other)


def test_a_study_runs_here_unless_a_cluster_is_named(monkeypatch):
    monkeypatch.setattr(study_places, "on_cluster", lambda address: f"cluster {address}")
    assert isinstance(place_for(None, 2), Place)
    assert place_for("tcp://x:1", None) == "cluster tcp://x:1"
