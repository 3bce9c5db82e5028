"""A job on disk: an append-only journal of JSON lines, one per event.

Each line has a running number and a CRC-32, is written in one piece and forced to disk
before the next question is asked. A last line without its end was being written when the
machine stopped: it is dropped with a notice. Anything else that is wrong is an error that
names the line. One program at a time holds a folder of journals (flock; where the system
has none, a second one is noticed when it writes).
"""

from __future__ import annotations

import errno
import os
import re
from pathlib import Path
from typing import Self
from zlib import crc32

import msgspec

from lightoff.engine.reasoning.job import AnyEvent, JobState, Noted, Started, replay

try:
    import fcntl
except ImportError:
    fcntl = None  # type: ignore[assignment]

LOCK = "journals.lock"
NAME = re.compile(r"job-(\d{4,9})\.jsonl")

Events = tuple[AnyEvent, ...]


class JobError(Exception):
    """Something a person can mend about a journal; `str` gives it in one line."""

    def __init__(self, place: str, what: str, mend: str) -> None:
        super().__init__(f"{place}: {what}; {mend}")
        self.place = place
        self.what = what
        self.mend = mend


# --- lines ------------------------------------------------------------------------


class _Line(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    number: int
    event: msgspec.Raw
    crc32: str


_decode_line = msgspec.json.Decoder(_Line).decode
_decode_event = msgspec.json.Decoder(AnyEvent).decode


def encode(number: int, event: AnyEvent) -> bytes:
    """One line of a journal; UnicodeEncodeError for text that is no Unicode."""
    raw = msgspec.json.encode(event)
    line = _Line(number, msgspec.Raw(raw), _checksum(raw))
    return msgspec.json.encode(line) + b"\n"


def _checksum(raw: bytes) -> str:
    return f"{crc32(raw):08x}"


def decode(content: bytes, name: str) -> tuple[Events, str]:
    """Events of a journal's content, and a notice ("" if all is well).

    Raises JobError with `name` and line for a line that is not what was written.
    """
    *lines, torn = content.split(b"\n")
    events = tuple(_event(line, number, name) for number, line in enumerate(lines, start=1))
    if not torn:
        return events, ""
    place = f"{name}:{len(lines) + 1}"
    return events, f"{place}: the last line was cut off while it was written; it is left out"


def _event(line: bytes, number: int, name: str) -> AnyEvent:
    place = f"{name}:{number}"
    try:
        read = _decode_line(line)
        raw = bytes(read.event)
        if (read.number, read.crc32) != (number, _checksum(raw)):
            raise _refusal(place, "the line is not the one that was written here")
        event: AnyEvent = _decode_event(raw)
    except (msgspec.MsgspecError, ValueError, RecursionError) as error:
        raise _refusal(place, f"the line cannot be read ({error})") from error
    if isinstance(event, Started) != (number == 1):
        raise _refusal(place, "a job is started once, in its first line")
    return event


def _refusal(place: str, what: str) -> JobError:
    return JobError(place, what, "put back an unchanged copy, or move the file away")


# --- files ------------------------------------------------------------------------


def read(path: Path) -> tuple[Events, str]:
    """Events of a journal and a notice, changing nothing; JobError if it cannot be read."""
    try:
        content = path.read_bytes()
    except OSError as error:
        raise _system_error(path, "cannot be read", error) from error
    return decode(content, str(path))


def latest(folder: Path) -> Path | None:
    """The newest journal that is not closed; None if there is none."""
    for path in reversed(journals(folder)):
        events, _ = read(path)
        if events and replay(events).closed is None:
            return path
    return None


def journals(folder: Path) -> list[Path]:
    """Journals of a folder, oldest first; none if there is no such folder."""
    try:
        found = [path for path in folder.iterdir() if NAME.fullmatch(path.name)]
    except FileNotFoundError:
        return []
    except OSError as error:
        raise _system_error(folder, "cannot be listed", error) from error
    return sorted(found, key=number_of)


def number_of(path: Path) -> int:
    """Number of a journal, 0 if it is none."""
    match = NAME.fullmatch(path.name)
    return int(match[1]) if match else 0


def _system_error(path: Path, what: str, error: OSError) -> JobError:
    reason = error.strerror or type(error).__name__
    return JobError(str(path), f"{what} ({reason})", "mend that and take the job up again")


class Journal:
    """A journal open for writing; its folder is locked until it is closed."""

    def __init__(self, path: Path, lock: int, events: Events, notice: str, size: int) -> None:
        self.path = path
        self.events = events
        self.notice = notice
        self._lock = lock
        self._size = size

    @classmethod
    def create(cls, folder: Path, started: Started) -> Self:
        """A new journal in a folder, readable by its owner only, with its start written."""
        lock = _lock(folder)
        try:
            number = max(map(number_of, journals(folder)), default=0) + 1
            journal = cls(folder / f"job-{number:04d}.jsonl", lock, (), "", 0)
            journal._write(started, os.O_CREAT | os.O_EXCL)
        except BaseException:
            os.close(lock)
            raise
        return journal

    @classmethod
    def bring_in(cls, folder: Path, events: Events) -> Path:
        """A new journal with all events of a job from elsewhere, or nothing at all."""
        lock = _lock(folder)
        try:
            number = max(map(number_of, journals(folder)), default=0) + 1
            path = folder / f"job-{number:04d}.jsonl"
            content = b"".join(encode(place, each) for place, each in enumerate(events, start=1))
            _create_whole(path, content)
        except UnicodeEncodeError as error:
            raise JobError(str(folder), "a text is not Unicode", "copy the record again") from error
        except OSError as error:
            raise _system_error(folder, "cannot be written", error) from error
        finally:
            os.close(lock)
        return path

    @classmethod
    def open(cls, path: Path) -> Self:
        """An existing journal; a torn last line is cut off and told in `notice`."""
        lock = _lock(path.parent)
        try:
            events, notice = read(path)
            if not events:
                raise _refusal(f"{path}:1", "the journal is empty")
            size = _cut_torn_line(path)
        except BaseException:
            os.close(lock)
            raise
        return cls(path, lock, events, notice, size)

    @property
    def state(self) -> JobState:
        return replay(self.events)

    def append(self, event: AnyEvent) -> None:
        """Write one event to disk; on JobError nothing of the earlier events is lost.

        To a closed job only notes are added.
        """
        if self.state.closed is not None and not isinstance(event, Noted):
            raise JobError(str(self.path), "the job is closed", "start a new one")
        if isinstance(event, Started):
            raise ValueError("a job is started only once")
        self._write(event)

    def close(self) -> None:
        """Free the folder for another program."""
        if self._lock >= 0:
            os.close(self._lock)
            self._lock = -1

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def _write(self, event: AnyEvent, creating: int = 0) -> None:
        try:
            line = encode(len(self.events) + 1, event)
            _append(self.path, line, self._size, creating)
        except UnicodeEncodeError as error:
            raise JobError(str(self.path), "a text is not Unicode", "enter it again") from error
        except OSError as error:
            raise _system_error(self.path, "cannot be written", error) from error
        self.events = (*self.events, event)
        self._size += len(line)


def _append(path: Path, line: bytes, size: int, creating: int) -> None:
    """One write behind the `size` bytes that stand, forced to disk."""
    handle = os.open(path, os.O_WRONLY | os.O_APPEND | creating, 0o600)
    try:
        if os.fstat(handle).st_size != size:
            # Another program wrote, or a failed write could not be cut off: reading the
            # journal anew tells which.
            raise JobError(str(path), "the file was changed meanwhile", "take the job up again")
        _write_whole(handle, line, size)
        if creating:
            sync_folder(path.parent)
    finally:
        os.close(handle)


def _write_whole(handle: int, line: bytes, size: int) -> None:
    """All of the line on disk, or (after OSError) nothing of it in the file."""
    try:
        if os.write(handle, line) != len(line):
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
        os.fsync(handle)
    except OSError:
        os.ftruncate(handle, size)
        raise


def _create_whole(path: Path, content: bytes) -> None:
    """A new file that is seen only once all of it is on disk."""
    part = path.with_suffix(".part")
    try:
        handle = os.open(part, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600)
        try:
            _write_whole(handle, content, 0)
        finally:
            os.close(handle)
        part.replace(path)
    except OSError:
        part.unlink(missing_ok=True)
        raise
    sync_folder(path.parent)


def sync_folder(folder: Path) -> None:
    """Force the name of a new file to disk, where the system opens folders."""
    if not hasattr(os, "O_DIRECTORY"):
        return
    handle = os.open(folder, os.O_RDONLY | os.O_DIRECTORY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def _cut_torn_line(path: Path) -> int:
    """Cut off what stands behind the last end of line; the size that is left."""
    try:
        content = path.read_bytes()
        size = content.rfind(b"\n") + 1
        if size != len(content):
            os.truncate(path, size)
    except OSError as error:
        raise _system_error(path, "cannot be written", error) from error
    return size


def _lock(folder: Path) -> int:
    """A handle that holds the folder; JobError if another program holds it."""
    try:
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        handle = os.open(folder / LOCK, os.O_RDWR | os.O_CREAT, 0o600)
    except OSError as error:
        raise _system_error(folder, "cannot be written", error) from error
    try:
        if fcntl is not None:
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError as error:
        os.close(handle)
        if not isinstance(error, BlockingIOError):
            raise _system_error(folder, "cannot be locked", error) from error
        what = "another program has a job open in this folder"
        raise JobError(str(folder), what, "close it there first") from error
    return handle
