"""`lightoff job import` and `lightoff pocket`, as a person calls them."""

import json

import pytest
from click.testing import CliRunner

from lightoff.cli.main import lightoff
from lightoff.engine.reasoning.job import Found, Noted, Repaired, Started
from lightoff.engine.reasoning.journal import journals, read
from tests.reasoning.test_carried import JOB, record

UNKNOWN = Started(time="t", furnace="steam-boiler", version="0")


@pytest.fixture
def run(tmp_path):
    def called(*words, text=None):
        words = [str(word) for word in words]
        if words[0] == "job":
            words += ["--journal-folder", str(tmp_path / "jobs")]
        return CliRunner().invoke(lightoff, words, input=text)

    return called


def jobs(tmp_path):
    return journals(tmp_path / "jobs")


def test_a_record_becomes_a_job_that_can_be_shown(run, tmp_path):
    (tmp_path / "record.txt").write_text(record(JOB), encoding="utf-8")
    done = run("job", "import", tmp_path / "record.txt")
    assert (done.exit_code, done.stdout.splitlines()[0]) == (0, "Brought in as job 1, 4 events.")
    assert read(jobs(tmp_path)[0])[0] == JOB
    assert "serial 1207" in run("job", "show", "1").stdout


def test_a_record_is_read_from_standard_input(run):
    done = run("job", "import", "-", "--json", text=record(JOB))
    assert json.loads(done.stdout) == {"id": "job-0001", "events": 4, "new": True}


def test_a_record_that_is_here_already_is_not_doubled(run, tmp_path):
    run("job", "import", "-", text=record(JOB))
    done = run("job", "import", "-", text=record(JOB))
    assert "here already: job 1" in done.stdout
    assert len(jobs(tmp_path)) == 1


@pytest.mark.parametrize(
    ("events", "named"),
    [
        ((UNKNOWN,), "steam-boiler"),
        ((JOB[0], Found(time="t", check="magic", outcome="yes")), "check magic"),
        ((JOB[0], Found(time="t", check="igniter-glow", outcome="purple")), "purple"),
        ((JOB[0], Repaired(time="t", repair="prayer")), "repair prayer"),
    ],
)
def test_what_is_not_known_here_does_not_come_in(run, tmp_path, events, named):
    done = run("job", "import", "-", text=record(events))
    assert done.exit_code == 1
    assert named in done.stderr
    assert "--knowledge" in done.stderr
    assert jobs(tmp_path) == []


def test_a_hostile_note_reaches_the_terminal_as_plain_text(run):
    note = Noted(time="t", about="note", text="\x1b[31m[bold]red[/] \u202e\x07")
    run("job", "import", "-", text=record((JOB[0], note)))
    shown = run("job", "show", "1").stdout
    assert "[bold]red[/]" in shown
    assert not {"\x1b", "\u202e", "\x07"} & set(shown)


def test_a_damaged_record_and_a_missing_file_are_one_line_each(run, tmp_path):
    for words in (["-"], [tmp_path / "none.txt"], [tmp_path]):
        done = run("job", "import", *words, text="BEGIN RECORD\n???\nEND RECORD 00000000")
        assert done.exit_code == 1
        assert done.stderr.count("\n") == 1
    assert jobs(tmp_path) == []


def test_a_page_is_written_and_not_over_another(run, tmp_path):
    file = tmp_path / "furnace.html"
    done = run("pocket", "standing-pilot", file, "--json")
    assert json.loads(done.stdout)["bytes"] == file.stat().st_size
    again = run("pocket", "standing-pilot", file)
    assert (again.exit_code, "--overwrite" in again.stderr) == (2, True)
    file.write_text("another page", encoding="utf-8")
    assert run("pocket", "standing-pilot", file, "--overwrite").exit_code == 0
    assert file.read_text(encoding="utf-8").startswith("<!DOCTYPE html>")


@pytest.mark.parametrize(
    "words",
    [["steam-boiler", "a.html"], ["standing-pilot", "a.txt"], ["standing-pilot", "a/b.html"]],
)
def test_a_page_that_cannot_be_is_refused_in_one_line(run, tmp_path, words):
    done = run("pocket", words[0], tmp_path / words[1])
    assert done.exit_code == 2
    assert done.stderr.count("\n") == 1
    assert list(tmp_path.iterdir()) == []
