"""Attempts on disk: one SQLite file, each act committed before the next can be done.

What a scenario hides is kept sealed in it (see sealing.py). Every error is one line that
says what to do; acts that were committed stay whatever happens after them.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Self

import msgspec

from lightoff.engine.teaching.practice.acts import AnyAct

NAME = "attempts.db"
FORMAT = 1
WAIT_SECONDS = 5.0
HEAD_BYTES = 100

_TABLES = """
create table if not exists attempt (
  id integer primary key, scenario text not null, sealed text not null, digest text not null,
  seed integer not null, version text not null, began text not null, summary text
) strict;
create table if not exists act (
  attempt integer not null references attempt (id), number integer not null,
  what text not null, primary key (attempt, number)
) strict;
"""


class StoreError(Exception):
    """Something a person can mend about the file of attempts; `str` gives it in one line."""


@dataclass(frozen=True, slots=True)
class Attempt:
    """An attempt as it is kept; `summary` is JSON once it was closed and marked."""

    id: int
    scenario: str
    sealed: str
    digest: str
    seed: int
    version: str
    began: str
    summary: str | None = None


class Store:
    """The attempts of one person."""

    def __init__(self, path: Path) -> None:
        self.path = path
        with self._told():
            path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
            # Nobody else may read what a person got wrong.
            path.touch(mode=0o600, exist_ok=True)
            # SQLite takes a file shorter than its head for a new one, and writes over it.
            if 0 < path.stat().st_size < HEAD_BYTES:
                raise self._damaged("it is cut off")
            self._base = sqlite3.connect(path, timeout=WAIT_SECONDS, isolation_level=None)
            self._base.execute("pragma synchronous = full")
            self._base.execute("pragma foreign_keys = on")
            found = self._base.execute("pragma user_version").fetchone()[0]
            if found not in (0, FORMAT):
                raise StoreError(f"{path}: a newer version wrote this file; use that one")
            if found == 0:
                self._base.executescript(_TABLES + f"pragma user_version = {FORMAT};")

    def begin(self, attempt: Attempt) -> Attempt:
        """A new attempt, with the number that it is given."""
        with self._told():
            number = self._base.execute(
                "insert into attempt (scenario, sealed, digest, seed, version, began)"
                " values (?, ?, ?, ?, ?, ?) returning id",
                (
                    attempt.scenario,
                    attempt.sealed,
                    attempt.digest,
                    attempt.seed,
                    attempt.version,
                    attempt.began,
                ),
            ).fetchone()[0]
        return replace(attempt, id=number)

    def put(self, attempt: int, number: int, act: AnyAct) -> None:
        """Commit an act; StoreError if that number is there already."""
        try:
            what = msgspec.json.encode(act).decode()
        except UnicodeEncodeError:
            raise StoreError("a text is not Unicode; enter it again with --resume") from None
        with self._told():
            try:
                self._base.execute("insert into act values (?, ?, ?)", (attempt, number, what))
            except sqlite3.IntegrityError:
                raise StoreError(
                    f"attempt {attempt} was gone on with in another terminal; "
                    f"take it up again: lightoff practice --resume {attempt}"
                ) from None

    def close_with(self, attempt: int, summary: str) -> None:
        """Keep the marks of an attempt that was closed."""
        with self._told():
            self._base.execute("update attempt set summary = ? where id = ?", (summary, attempt))

    def attempts(self) -> list[Attempt]:
        """All of them, oldest first."""
        return self._rows("select * from attempt order by id")

    def attempt(self, number: int) -> Attempt:
        """StoreError if there is none of that number."""
        found = self._rows("select * from attempt where id = ?", number)
        if not found:
            raise StoreError(f"there is no attempt {number}; see: lightoff progress")
        return found[0]

    def acts(self, attempt: int) -> tuple[AnyAct, ...]:
        """The acts of an attempt in order."""
        with self._told():
            rows = self._base.execute(
                "select number, what from act where attempt = ? order by number", (attempt,)
            ).fetchall()
        if [number for number, _ in rows] != list(range(1, len(rows) + 1)):
            raise self._damaged("acts are missing")
        try:
            return tuple(msgspec.json.decode(what, type=AnyAct) for _, what in rows)
        except msgspec.MsgspecError as error:
            raise self._damaged(str(error)) from None

    def close(self) -> None:
        with suppress(sqlite3.Error):
            self._base.close()

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def _rows(self, query: str, *values: int) -> list[Attempt]:
        with self._told():
            return [Attempt(*row) for row in self._base.execute(query, values).fetchall()]

    def _damaged(self, what: str) -> StoreError:
        return StoreError(
            f"{self.path}: the file is damaged ({what}); move it away and put back a copy"
        )

    @contextmanager
    def _told(self) -> Iterator[None]:
        """Errors of the file in one line each."""
        try:
            yield
        except sqlite3.OperationalError as error:
            mend = next((mend for sign, mend in MENDS.items() if sign in str(error)), OTHERWISE)
            raise StoreError(f"{self.path}: {error}; {mend}") from None
        except sqlite3.DatabaseError as error:
            raise self._damaged(str(error)) from None
        except OSError as error:
            raise StoreError(f"{self.path}: {error.strerror or error}; {OTHERWISE}") from None


OTHERWISE = "nothing that was done before is lost"
MENDS = {
    "locked": "another program is writing; try again",
    "full": "make room on the disk and go on: nothing that was done before is lost",
    "no such column": "the file is damaged; move it away and put back a copy",
}
"""What an error says -> how to mend it."""
