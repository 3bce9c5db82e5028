"""`lightoff job report`, `note` and `history`, as a person calls them."""

import json

import pytest
from click.testing import CliRunner

from lightoff.cli.main import lightoff
from lightoff.engine.reasoning.job import Noted, Started
from lightoff.engine.reasoning.journal import Journal, read
from tests.cli.report.jobs import CURED, PROVED, at, closed, noted

MENDED = closed("found", repair="replace-igniter", proof="proven")
LABEL = noted("label", "serial 1207")


@pytest.fixture
def run(tmp_path):
    def called(*words):
        words = [str(word) for word in words]
        return CliRunner().invoke(
            lightoff, ["job", *words, "--journal-folder", str(tmp_path / "jobs")]
        )

    return called


@pytest.fixture
def journal(tmp_path):
    return Journal.bring_in(tmp_path / "jobs", (*PROVED, LABEL, MENDED))


def test_without_a_file_the_report_is_markdown_on_the_screen(run, journal):
    done = run("report")
    assert done.exit_code == 0
    assert done.stdout.startswith("# Work on your furnace\n")
    assert "\n# Job 1\n" in done.stdout


@pytest.mark.parametrize(
    ("page", "title"), [("customer", "Work on your furnace"), ("shop", "Job 1")]
)
def test_one_page_alone_can_be_had(run, journal, page, title):
    pages = json.loads(run("report", "1", "--page", page, "--json").stdout)["pages"]
    assert [each["title"] for each in pages] == [title]


@pytest.mark.parametrize(
    ("ending", "begins"), [(".md", b"# "), (".html", b"<!DOC"), (".pdf", b"%PDF")]
)
def test_the_ending_of_the_file_says_its_format(run, journal, tmp_path, ending, begins):
    file = tmp_path / f"report{ending}"
    done = run("report", "--out", file)
    assert (done.exit_code, done.stdout) == (0, "")
    assert file.read_bytes().startswith(begins)


def test_a_file_that_is_there_is_kept_unless_told_otherwise(run, journal, tmp_path):
    file = tmp_path / "report.md"
    file.write_text("mine", encoding="utf-8")
    done = run("report", "--out", file)
    assert done.exit_code == 2
    assert "--overwrite" in done.stderr
    assert file.read_text(encoding="utf-8") == "mine"
    assert run("report", "--out", file, "--overwrite").exit_code == 0
    assert file.read_text(encoding="utf-8") != "mine"


@pytest.mark.parametrize("name", ["report.doc", "report", "no/such/folder/report.md"])
def test_a_place_that_cannot_be_is_one_line(run, journal, tmp_path, name):
    done = run("report", "--out", tmp_path / name)
    assert done.exit_code in (1, 2)
    assert done.stderr.count("\n") == 1
    assert not (tmp_path / name).exists()


def test_a_full_disk_leaves_the_report_that_was_there(run, journal, tmp_path, monkeypatch):
    file = tmp_path / "report.md"
    file.write_text("before", encoding="utf-8")

    def full(handle, rest):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("os.write", full)
    done = run("report", "--out", file, "--overwrite")
    monkeypatch.undo()
    assert (done.exit_code, "No space left" in done.stderr) == (1, True)
    assert file.read_text(encoding="utf-8") == "before"
    assert list(tmp_path.glob(".new-*")) == []


# --- notes ------------------------------------------------------------------------


def test_a_note_is_added_to_a_closed_job_and_stands_in_the_report(run, journal):
    assert run("note", "1", "part", "igniter,", "120 V").exit_code == 0
    last = read(journal)[0][-1]
    assert (type(last), last.about, last.text) == (Noted, "part", "igniter, 120 V")
    assert "igniter, 120 V" in run("report").stdout


@pytest.mark.parametrize(
    "words",
    [
        ("1", "colour", "red"),
        ("1", "note", "  "),
        ("1", "note", "x" * 501),
        ("1", "note"),
        ("9", "note", "x"),
    ],
)
def test_a_note_that_cannot_be_changes_nothing(run, journal, words):
    before = journal.read_bytes()
    done = run("note", *words)
    assert done.exit_code != 0
    assert "Traceback" not in done.stderr
    assert journal.read_bytes() == before


# --- history ----------------------------------------------------------------------


def test_a_furnace_has_its_jobs_in_order_and_what_came_again(run, tmp_path):
    for year in ("2024", "2025", "2026"):
        start = Started(
            time=f"{year}-03-01T09:00:00+00:00", furnace="two-pipe-condensing", version="0"
        )
        Journal.bring_in(tmp_path / "jobs", (start, *CURED[1:], LABEL, MENDED))
    other = Started(time=at(0), furnace="standing-pilot", version="0")
    Journal.bring_in(tmp_path / "jobs", (other, noted("label", "another")))
    shown = run("history", "SERIAL   1207").stdout
    assert "3 jobs" in shown
    assert "Replace the igniter: 3 times in 24 months" in " ".join(shown.split())
    data = json.loads(run("history", "serial 1207", "--json").stdout)
    assert [each["started"][:4] for each in data["jobs"]] == ["2024", "2025", "2026"]
    assert data["repeats"][0]["times"] == 3


def test_a_label_that_no_job_has_is_told_with_the_nearest(run, journal):
    done = run("history", "serial 1208")
    assert done.exit_code == 1
    assert "serial 1207" in done.stderr


def test_a_hostile_label_is_plain_text_on_the_screen(run, tmp_path):
    hostile = noted("label", "\x1b[31m[bold]x[/] \u202e")
    Journal.bring_in(tmp_path / "jobs", (*CURED, hostile, MENDED))
    shown = run("history", hostile.text).stdout + run("report").stdout
    assert "[bold]x" in shown
    assert not {"\x1b", "\u202e"} & set(shown)
