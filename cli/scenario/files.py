"""Files of a scenario: never one that is there already, and never half of one."""

from __future__ import annotations

import os
from contextlib import suppress
from pathlib import Path
from tempfile import mkstemp

import click


def write_new(path: Path, content: str | bytes) -> None:
    """A file that was not there, with all of the content on disk; OSError, and then no file."""
    handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o666)
    try:
        with os.fdopen(handle, "wb") as stream:
            _fill(stream.fileno(), content)
    except BaseException:
        with suppress(OSError):
            path.unlink()
        raise


def write_over(path: Path, content: str | bytes) -> None:
    """The file with all of the content, or (after OSError) as it was before."""
    handle, name = mkstemp(dir=path.parent, prefix=".new-")
    new = Path(name)
    try:
        with os.fdopen(handle, "wb") as stream:
            _fill(stream.fileno(), content)
        if path.exists():
            new.chmod(path.stat().st_mode & 0o777)
        new.replace(path)
    except BaseException:
        with suppress(OSError):
            new.unlink()
        raise


def _fill(handle: int, content: str | bytes) -> None:
    rest = content.encode() if isinstance(content, str) else content
    while rest:
        rest = rest[os.write(handle, rest) :]
    os.fsync(handle)


class NotWrittenError(click.ClickException):
    """A file that cannot be written; the message says all there is to say."""

    exit_code = 2


def write_sheet(path: Path, text: str) -> None:
    """A sheet in a new file; NotWrittenError if that cannot be."""
    try:
        write_new(path, text)
    except FileExistsError:
        raise NotWrittenError(
            f"{path} is there already; give another name, or take it away first"
        ) from None
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise NotWrittenError(f"{path} cannot be written: {reason}") from None
