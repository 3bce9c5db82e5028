import errno
import os
import subprocess
import sys
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lightoff.engine.reasoning import journal as journal_file
from lightoff.engine.reasoning.job import Closed, Found, Repaired, Skipped, Started, Undone
from lightoff.engine.reasoning.journal import JobError, Journal, decode, encode, latest, read

TIME = "2024-01-09T07:30:00+01:00"
START = Started(time=TIME, furnace="f", version="0.1.0")
EVENTS = (
    START,
    Found(time=TIME, check="volts", outcome="open", entered="24,3 V"),
    Skipped(time=TIME, check="ohms"),
    Repaired(time=TIME, repair="replace-igniter"),
    Undone(time=TIME),
    Found(time=TIME, check="glow", outcome=None, entered="weiß nicht"),
)
CLOSED = Closed(time=TIME, how="found", repair="replace-igniter")
CONTENT = b"".join(encode(number, event) for number, event in enumerate(EVENTS, 1))


def create(folder: Path) -> Journal:
    return Journal.create(folder, Started(time=TIME, furnace="f", version="0.1.0"))


def written(folder: Path, events=EVENTS[1:]) -> Path:
    with create(folder) as journal:
        for event in events:
            journal.append(event)
    return journal.path


# --- lines ------------------------------------------------------------------------


def test_what_was_written_is_read_again():
    assert decode(CONTENT, "j") == (EVENTS, "")


@given(st.integers(0, len(CONTENT)))
def test_a_journal_torn_anywhere_keeps_every_whole_line(size):
    torn = CONTENT[:size]
    events, notice = decode(torn, "j")
    whole = torn.count(b"\n")
    assert events == EVENTS[:whole]
    assert bool(notice) == (not torn.endswith(b"\n") and size > 0)
    assert not notice or notice.startswith(f"j:{whole + 1}: ")


@given(st.integers(0, len(CONTENT) - 2), st.integers(1, 255))
def test_one_changed_byte_is_an_error_that_names_its_line(place, change):
    bad = bytearray(CONTENT)
    bad[place] ^= change
    line = CONTENT[:place].count(b"\n") + 1
    with pytest.raises(JobError) as caught:
        decode(bytes(bad), "j")
    assert caught.value.place == f"j:{line}"
    assert caught.value.mend
    assert "\n" not in str(caught.value)


@pytest.mark.parametrize(
    ("lines", "bad"),
    [
        ([1, 3, 4], 2),
        ([1, 2, 2], 3),
        ([2, 3], 1),
    ],
)
def test_lines_left_out_or_doubled_are_an_error(lines, bad):
    content = b"".join(CONTENT.splitlines(keepends=True)[line - 1] for line in lines)
    with pytest.raises(JobError, match=f"^j:{bad}: "):
        decode(content, "j")


@pytest.mark.parametrize(
    "content",
    [
        encode(1, EVENTS[1]),
        encode(1, START) + encode(2, START),
    ],
)
def test_a_start_is_the_first_event_and_only_that(content):
    with pytest.raises(JobError, match="started once"):
        decode(content, "j")


@pytest.mark.parametrize(
    "line", [b"", b"\xff\xfe", b"[" * 100_000, b"{}", b'{"number":1e999}', b"null", b"\0" * 40]
)
def test_a_line_that_is_no_event_is_refused(line):
    with pytest.raises(JobError, match=r"^j:2: "):
        decode(encode(1, START) + line + b"\n", "j")


# --- files ------------------------------------------------------------------------


def test_a_job_is_taken_up_again_where_it_was_left(tmp_path):
    path = written(tmp_path)
    with Journal.open(path) as journal:
        assert (journal.events, journal.notice) == (EVENTS, "")
        journal.append(CLOSED)
        assert journal.state.closed == "found"
    assert read(path)[0] == (*EVENTS, CLOSED)


def test_every_event_is_on_disk_before_append_returns(tmp_path, monkeypatch):
    synced = []
    monkeypatch.setattr(os, "fsync", lambda handle: synced.append(os.fstat(handle).st_size))
    with create(tmp_path) as journal:
        journal.append(EVENTS[1])
        assert synced[-1] == journal.path.stat().st_size
        assert read(journal.path)[0] == EVENTS[:2]


def test_a_journal_can_be_read_by_its_owner_only(tmp_path):
    path = written(tmp_path / "new" / "jobs")
    assert path.stat().st_mode & 0o777 == 0o600
    assert path.parent.stat().st_mode & 0o077 == 0


def test_each_job_has_a_file_of_its_own(tmp_path):
    paths = [written(tmp_path), written(tmp_path)]
    assert [path.name for path in paths] == ["job-0001.jsonl", "job-0002.jsonl"]


def test_a_file_that_is_there_already_is_never_taken_for_a_new_job(tmp_path, monkeypatch):
    (tmp_path / "job-0001.jsonl").touch()
    monkeypatch.setattr(journal_file, "journals", lambda folder: [])
    with pytest.raises(JobError, match="File exists"):
        create(tmp_path)


def test_a_torn_last_line_is_cut_off_and_the_job_goes_on(tmp_path):
    path = written(tmp_path)
    with path.open("ab") as file:
        file.write(encode(len(EVENTS) + 1, CLOSED)[:-9])
    with Journal.open(path) as journal:
        assert f"{path}:{len(EVENTS) + 1}: " in journal.notice
        journal.append(CLOSED)
    assert read(path) == ((*EVENTS, CLOSED), "")


def test_reading_a_torn_journal_changes_nothing_of_it(tmp_path):
    path = written(tmp_path)
    path.write_bytes(path.read_bytes()[:-5])
    before = path.read_bytes()
    assert read(path)[0] == EVENTS[:-1]
    assert path.read_bytes() == before


def test_an_empty_journal_cannot_be_taken_up(tmp_path):
    path = tmp_path / "job-0001.jsonl"
    path.touch()
    with pytest.raises(JobError, match="empty"):
        Journal.open(path)
    written(tmp_path)  # the lock is free again


def test_a_missing_journal_is_a_clear_error(tmp_path):
    with pytest.raises(JobError, match=r"job-0009\.jsonl: cannot be read \(No such file"):
        Journal.open(tmp_path / "job-0009.jsonl")


def test_a_closed_job_takes_no_more_events(tmp_path):
    with create(tmp_path) as journal:
        journal.append(CLOSED)
        with pytest.raises(JobError, match="closed"):
            journal.append(EVENTS[1])


def test_a_job_is_started_only_once(tmp_path):
    with create(tmp_path) as journal, pytest.raises(ValueError, match="once"):
        journal.append(START)


def half_written(handle: int, line: bytes, write=os.write) -> int:
    return write(handle, line[: len(line) // 2])


def no_space(*_: object) -> int:
    raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))


@pytest.mark.parametrize(("call", "broken"), [
    ("write", no_space), ("write", half_written), ("fsync", no_space),
])  # fmt: skip
def test_a_full_disk_loses_nothing_and_the_event_can_be_written_later(
    tmp_path, monkeypatch, call, broken
):
    with create(tmp_path) as journal:
        journal.append(EVENTS[1])
        with monkeypatch.context() as patch:
            patch.setattr(os, call, broken)
            with pytest.raises(JobError, match=r"cannot be written \(No space left"):
                journal.append(EVENTS[2])
        assert journal.events == EVENTS[:2]
        assert read(journal.path) == (EVENTS[:2], "")
        journal.append(EVENTS[2])
    assert read(journal.path) == (EVENTS[:3], "")


def test_a_failed_write_that_cannot_be_cut_off_is_mended_when_taken_up_again(tmp_path, monkeypatch):
    with create(tmp_path) as journal:
        with monkeypatch.context() as patch:
            patch.setattr(os, "write", half_written)
            patch.setattr(os, "ftruncate", no_space)
            with pytest.raises(JobError, match="cannot be written"):
                journal.append(EVENTS[1])
        with pytest.raises(JobError, match="take the job up again"):
            journal.append(EVENTS[1])
    with Journal.open(journal.path) as again:
        assert again.notice
        again.append(EVENTS[1])
    assert read(journal.path) == (EVENTS[:2], "")


def test_a_full_disk_at_the_start_is_a_clear_error_and_frees_the_folder(tmp_path, monkeypatch):
    with monkeypatch.context() as patch:
        patch.setattr(os, "write", no_space)
        with pytest.raises(JobError, match="No space left"):
            create(tmp_path)
    assert latest(tmp_path) is None
    assert latest(tmp_path) is None
    path = written(tmp_path)
    assert latest(tmp_path) == path


def test_text_that_is_no_unicode_is_a_clear_error_and_nothing_is_written(tmp_path):
    with create(tmp_path) as journal:
        with pytest.raises(JobError, match="Unicode"):
            journal.append(Found(time=TIME, check="p", outcome="a", entered="\udcff"))
        assert read(journal.path) == ((START,), "")


def test_a_folder_that_is_a_file_is_a_clear_error(tmp_path):
    (tmp_path / "jobs").touch()
    with pytest.raises(JobError, match="jobs"):
        create(tmp_path / "jobs")
    with pytest.raises(JobError, match="cannot be listed"):
        latest(tmp_path / "jobs")


# --- two programs -----------------------------------------------------------------


def test_a_folder_is_held_by_one_program_at_a_time(tmp_path):
    with create(tmp_path) as journal:
        for other in (lambda: create(tmp_path), lambda: Journal.open(journal.path)):
            with pytest.raises(JobError, match="another program"):
                other()
    Journal.open(journal.path).close()


def test_another_process_is_refused_too(tmp_path):
    program = (
        "import sys; from pathlib import Path; from lightoff.engine.reasoning.journal import *\n"
        "try: Journal.open(Path(sys.argv[1]))\n"
        "except JobError as error: print(error)"
    )
    with create(tmp_path) as journal:
        ran = subprocess.run(
            [sys.executable, "-c", program, str(journal.path)], capture_output=True, text=True
        )
    assert "another program has a job open" in ran.stdout


def test_without_locks_a_second_writer_is_noticed(tmp_path, monkeypatch):
    monkeypatch.setattr(journal_file, "fcntl", None)
    with create(tmp_path) as one, Journal.open(one.path) as other:
        other.append(EVENTS[1])
        with pytest.raises(JobError, match="changed meanwhile"):
            one.append(EVENTS[2])
    assert read(one.path) == (EVENTS[:2], "")


# --- the latest job ---------------------------------------------------------------


def test_the_latest_job_is_the_newest_that_is_not_closed(tmp_path):
    assert latest(tmp_path / "nowhere") is None
    first = written(tmp_path)
    second = written(tmp_path)
    written(tmp_path, [CLOSED])
    assert latest(tmp_path) == second
    with Journal.open(second) as journal:
        journal.append(CLOSED)
    assert latest(tmp_path) == first


def test_files_that_are_no_journals_are_left_alone(tmp_path):
    (tmp_path / "notes.txt").write_text("call back on Friday")
    (tmp_path / "job-0001.jsonl.bak").write_bytes(b"x\n")
    assert latest(tmp_path) is None
