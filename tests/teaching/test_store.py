"""The file of attempts: what was committed stays, and every fault of it is one line."""

import os
import sqlite3

import pytest

from lightoff.engine.teaching.practice.acts import Answer, Checked, Ended, SetUp
from lightoff.engine.teaching.practice.store import FORMAT, Attempt, Store, StoreError

BEGUN = Attempt(0, "cold-gym", "sealed", "d1", 7, "0", "2026-01-02T03:04:05+00:00")
OFF = SetUp(time="t", minutes=1.0, aspect="power", state="off")
ON = SetUp(time="t", minutes=1.0, aspect="power", state="on")
ASKED = Checked(time="t", answer=Answer("since-when", None, ""))


@pytest.fixture
def path(tmp_path):
    return tmp_path / "new" / "attempts.db"


@pytest.fixture
def store(path):
    with Store(path) as opened:
        yield opened


def begun(store, *acts):
    attempt = store.begin(BEGUN)
    for number, act in enumerate(acts, start=1):
        store.put(attempt.id, number, act)
    return attempt


def changed(path, *statements):
    base = sqlite3.connect(path)
    with base:
        for each in statements:
            base.execute(each)
    base.close()


def one_line(error):
    return str(error.value) and "\n" not in str(error.value)


def test_an_attempt_comes_back_with_all_its_acts(path, store):
    acts = (OFF, ASKED, ON, Ended(time="t", how="mended", blamed=("a",), words="\u00e9"))
    attempt = begun(store, *acts)
    with Store(path) as again:
        assert again.attempt(attempt.id) == attempt
        assert again.acts(attempt.id) == acts


def test_marks_are_kept_with_their_attempt_only(store):
    first, second = begun(store), begun(store)
    store.close_with(first.id, "{}")
    assert [(each.id, each.summary) for each in store.attempts()] == [
        (first.id, "{}"),
        (second.id, None),
    ]


@pytest.mark.skipif(os.name != "posix", reason="modes are of POSIX")
def test_nobody_else_may_read_the_file(path, store):
    assert path.stat().st_mode & 0o077 == 0
    assert path.parent.stat().st_mode & 0o077 == 0


def test_an_attempt_that_is_not_there_is_told(store):
    with pytest.raises(StoreError, match="no attempt 9"):
        store.attempt(9)


def test_the_same_attempt_in_two_terminals_is_told_and_loses_nothing(path, store):
    attempt = begun(store, OFF)
    with Store(path) as other:
        other.put(attempt.id, 2, ON)
        with pytest.raises(StoreError, match=f"--resume {attempt.id}") as error:
            store.put(attempt.id, 2, ASKED)
        assert one_line(error)
        assert store.acts(attempt.id) == other.acts(attempt.id) == (OFF, ON)


def test_two_attempts_in_two_terminals_do_not_disturb_each_other(path, store):
    with Store(path) as other:
        one, two = begun(store, OFF), begun(other, ON)
        store.put(one.id, 2, ON)
        other.put(two.id, 2, OFF)
    assert one.id != two.id
    assert (store.acts(one.id), store.acts(two.id)) == ((OFF, ON), (ON, OFF))


def test_an_act_that_is_missing_is_noticed(path, store):
    attempt = begun(store, OFF, ON, OFF)
    changed(path, "delete from act where number = 2")
    with pytest.raises(StoreError, match="acts are missing"):
        store.acts(attempt.id)


@pytest.mark.parametrize("what", ["rubbish", "{}", '{"type": "none", "time": ""}', "[" * 300])
def test_an_act_that_cannot_be_read_is_told(path, store, what):
    attempt = begun(store, OFF)
    changed(path, f"update act set what = '{what}'")
    with pytest.raises(StoreError, match="damaged") as error:
        store.acts(attempt.id)
    assert one_line(error)


@pytest.mark.parametrize("raw", [b"rubbish" * 200, b"x", b"SQLite format 3\0" + b"\xff" * 2000])
def test_a_damaged_file_is_told_and_stays_as_it_is(tmp_path, raw):
    path = tmp_path / "attempts.db"
    path.write_bytes(raw)
    with pytest.raises(StoreError) as error:
        Store(path)
    assert one_line(error)
    assert path.read_bytes() == raw


def test_a_file_of_a_newer_format_is_told_and_stays_as_it_is(path):
    with Store(path) as store:
        begun(store, OFF)
    changed(path, f"pragma user_version = {FORMAT + 1}")
    before = path.read_bytes()
    with pytest.raises(StoreError, match="newer version"):
        Store(path)
    assert path.read_bytes() == before


def test_a_full_disk_is_told_and_earlier_acts_stay(path, store):
    attempt = begun(store, OFF)
    pages = store._base.execute("pragma page_count").fetchone()[0]
    store._base.execute(f"pragma max_page_count = {pages}")
    large = Ended(time="t", how="mended", words="w" * 100_000)
    with pytest.raises(StoreError, match="make room") as error:
        store.put(attempt.id, 2, large)
    assert one_line(error)
    with Store(path) as again:
        assert again.acts(attempt.id) == (OFF,)


def test_a_folder_that_cannot_be_made_is_told(tmp_path):
    (tmp_path / "file").write_text("")
    with pytest.raises(StoreError) as error:
        Store(tmp_path / "file" / "attempts.db")
    assert one_line(error)


def test_text_that_is_not_unicode_is_told_and_nothing_is_put(store):
    attempt = begun(store, OFF)
    with pytest.raises(StoreError, match="Unicode"):
        store.put(attempt.id, 2, Ended(time="t", how="mended", words="\ud800"))
    assert store.acts(attempt.id) == (OFF,)
