"""Records of pocket pages read in: unharmed by the way they took, refused if changed."""

from base64 import b64encode
from textwrap import indent, wrap
from zlib import crc32

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st

from lightoff.engine.reasoning import journal
from lightoff.engine.reasoning.carried import RecordError, events_in
from lightoff.engine.reasoning.job import Closed, Found, Noted, Started
from lightoff.engine.reasoning.journal import JobError, Journal

START = Started(time="2026-01-02T03:04:05+00:00", furnace="two-pipe-condensing", version="0")
JOB = (
    START,
    Found(time="t", check="igniter-glow", outcome="dark", entered="dark"),
    Noted(time="t", about="label", text="serial 1207, <b>Mühle</b>"),
    Closed(time="t", how="left"),
)


def record(events, content=None, checksum=None):
    content = msgspec.json.encode(list(events)) if content is None else content
    block = "\n".join(wrap(b64encode(content).decode(), 64))
    checksum = f"{crc32(content):08x}" if checksum is None else checksum
    return f"10:24  Some words\n\nBEGIN RECORD\n{block}\nEND RECORD {checksum}\n"


def test_a_record_gives_its_events():
    assert events_in(record(JOB)) == JOB


@pytest.mark.parametrize(
    "on_its_way",
    [
        lambda text: text.replace("\n", "\r\n"),
        lambda text: indent(text, "> "),
        lambda text: indent(indent(text, "> "), "> "),
        lambda text: "\n".join(wrap(text, 23)),
        lambda text: f"Hello,\nhere it is.\n{text}\n-- \nwritten on the way",
        lambda text: " ".join(text.split()),
    ],
)
def test_quoting_and_other_line_ends_do_no_harm(on_its_way):
    assert events_in(on_its_way(record(JOB))) == JOB


@given(st.text(min_size=1, max_size=200), st.integers(min_value=0))
def test_a_record_in_which_something_was_put_is_as_it_was_or_refused(typed, place):
    whole = record(JOB)
    block = range(whole.index("BEGIN RECORD") + 13, whole.index("END RECORD") - 1)
    at = block[place % len(block)]
    try:
        found = events_in(whole[:at] + typed + whole[at + 1 :])
    except RecordError:
        return
    assert found == JOB


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("", "no whole record"),
        ("BEGIN RECORD\nabcd", "no whole record"),
        (record(JOB) * 2, "2 records"),
        (record(JOB, checksum="00000000"), "checksum differs"),
        (record(JOB).replace("BEGIN RECORD\n", "BEGIN RECORD\n*"), "do not belong"),
        (record(JOB[1:]), "start of a job"),
        (record(()), "start of a job"),
        (record((*JOB, START)), "two jobs"),
        (record((), content=b"{}"), "cannot be read"),
        (record((), content=b'[{"type":"started","time":1}]'), "cannot be read"),
        (record((), content=b'[{"type":"unheard-of","time":"t"}]'), "cannot be read"),
        (record((), content=b"[" * 100_000), "cannot be read"),
        (record((), content=b"\xff\xfe"), "cannot be read"),
        ("x" * 4_000_001, "far longer"),
    ],
)
def test_what_is_no_record_is_refused_with_its_reason_and_a_mend(text, why):
    with pytest.raises(RecordError, match=why) as refusal:
        events_in(text)
    assert "; " in str(refusal.value)


# --- in the folder of jobs --------------------------------------------------------


def test_a_job_brought_in_is_a_journal_like_any_other(tmp_path):
    path = Journal.bring_in(tmp_path, JOB)
    assert journal.read(path) == (JOB, "")
    assert Journal.bring_in(tmp_path, JOB[:2]).name == "job-0002.jsonl"
    with Journal.open(tmp_path / "job-0002.jsonl") as opened:
        opened.append(JOB[2])
    assert journal.read(tmp_path / "job-0002.jsonl") == (JOB[:3], "")


def test_a_full_disk_leaves_nothing_behind(tmp_path, monkeypatch):
    def full(handle, line, size):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(journal, "_write_whole", full)
    with pytest.raises(JobError, match="No space left"):
        Journal.bring_in(tmp_path, JOB)
    assert [each.name for each in tmp_path.iterdir()] == [journal.LOCK]


def test_a_text_that_is_no_unicode_is_refused_and_leaves_nothing_behind(tmp_path):
    with pytest.raises(JobError, match="Unicode"):
        Journal.bring_in(tmp_path, (START, Noted(time="t", about="note", text="\ud800")))
    assert journal.journals(tmp_path) == []
