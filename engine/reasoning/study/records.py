"""Outcomes of a study on disk: JSON lines that are only ever added to.

A last line without its end was being written when the machine stopped: it is cut off with
a notice. Anything else that is wrong is an error that names the line.
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path
from typing import Self

import msgspec

from lightoff.engine.reasoning.study.outcome import Outcome, Stamp

try:
    import fcntl
except ImportError:
    fcntl = None  # type: ignore[assignment]

BEGINS = b'{"task":'
"""How every line begins."""

_decode = msgspec.json.Decoder(Outcome).decode


class StudyError(Exception):
    """Something a person can mend about a file of outcomes; `str` gives it in one line."""

    def __init__(self, place: str, what: str, mend: str) -> None:
        super().__init__(f"{place}: {what}; {mend}")


def outcomes(path: Path) -> Iterator[Outcome]:
    """Outcomes of a file, line by line, without a torn last one; StudyError for a bad line."""
    with path.open("rb") as file:
        for number, line in enumerate(file, start=1):
            if line.endswith(b"\n"):
                yield _outcome(line, f"{path}:{number}")
            elif not _is_torn(line):
                raise _refusal(f"{path}:{number}", "it does not end as a line of a study does")


def _outcome(line: bytes, place: str) -> Outcome:
    try:
        return _decode(line)
    except (msgspec.MsgspecError, ValueError, RecursionError) as error:
        raise _refusal(place, f"this is no line of a study ({error})") from error


def _is_torn(line: bytes) -> bool:
    """Whether a line without its end began as a line of a study."""
    return line.startswith(BEGINS) or BEGINS.startswith(line)


def _refusal(place: str, what: str) -> StudyError:
    return StudyError(place, what, "name a file that `lightoff study --out` wrote")


def size_of_whole_lines(path: Path) -> int:
    """Bytes up to the last end of line."""
    size, whole = 0, 0
    with path.open("rb") as file:
        for line in file:
            size += len(line)
            whole = size if line.endswith(b"\n") else whole
    return whole


class StudyFile:
    """A file of outcomes open for adding; locked until it is closed, where the system can."""

    def __init__(self, path: Path, handle: int, notice: str) -> None:
        self.path = path
        self.notice = notice
        """What was cut off, "" if nothing."""
        self._handle = handle

    @classmethod
    def open(cls, path: Path, stamp: Stamp) -> Self:
        """A new file, or one with outcomes that were worked out with the same `stamp`.

        StudyError if it holds others or is no file of outcomes; nothing is changed then.
        """
        handle = os.open(path, os.O_RDWR | os.O_CREAT | os.O_APPEND, 0o644)
        try:
            _lock(handle, path)
            _check_stamps(path, stamp)
            notice = _cut_torn_line(handle, path)
        except BaseException:
            os.close(handle)
            raise
        return cls(path, handle, notice)

    def earlier(self) -> Iterator[Outcome]:
        """The outcomes that stand in it."""
        return outcomes(self.path)

    def add(self, outcome: Outcome) -> None:
        """Write one outcome as a line; OSError if not all of it could be written."""
        line = msgspec.json.encode(outcome) + b"\n"
        while line:
            line = line[os.write(self._handle, line) :]

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        os.close(self._handle)


def _check_stamps(path: Path, stamp: Stamp) -> None:
    for number, outcome in enumerate(outcomes(path), start=1):
        if outcome.stamp != stamp:
            what = f"it was made with {_other(outcome.stamp, stamp)}"
            mend = "give another file to --out, and this one to --against to see the difference"
            raise StudyError(f"{path}:{number}", what, mend)


def _other(made: Stamp, now: Stamp) -> str:
    """What a stamp differs in."""
    if made.knowledge != now.knowledge:
        return "other knowledge"
    return f"another state of the program (version {made.version})"


def _cut_torn_line(handle: int, path: Path) -> str:
    size = size_of_whole_lines(path)
    if size == os.fstat(handle).st_size:
        return ""
    os.ftruncate(handle, size)
    return f"{path}: the last line was cut off while it was written; it is done again"


def _lock(handle: int, path: Path) -> None:
    try:
        if fcntl is not None:
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        what = "another study is writing to this file"
        raise StudyError(str(path), what, "let it end, or give another file to --out") from None
