"""Journals of a folder: which there are, and which one a person means. Nothing is changed."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import click

from lightoff.cli import names, screen
from lightoff.engine.reasoning.job import AnyEvent, JobState, replay
from lightoff.engine.reasoning.journal import JobError, journals, number_of, read

LATEST = "latest"
LONGEST = 200
"""Characters of a text from a journal that are shown."""


@dataclass(frozen=True, slots=True)
class Past:
    """A job as its journal has it; `notice` tells of a last line that was cut off."""

    path: Path
    number: int
    events: tuple[AnyEvent, ...]
    notice: str

    @property
    def id(self) -> str:
        return self.path.stem

    @property
    def job(self) -> JobState:
        return replay(self.events)


@dataclass(frozen=True, slots=True)
class Damaged:
    """A journal that cannot be read, and why in one line."""

    path: Path
    number: int
    why: str

    @property
    def id(self) -> str:
        return self.path.stem


def past_jobs(folder: Path) -> list[Past | Damaged]:
    """All jobs of a folder, oldest first; one that cannot be read hides no other."""
    return [_opened(path) for path in _journals(folder)]


def find_past(folder: Path, name: str) -> Past:
    """The job of a name or number, or the latest one.

    Raises click's exceptions with one line: exit 1 if there is no job at all or the
    journal cannot be read, exit 2 for a name that does not exist.
    """
    found = {path.stem: path for path in _journals(folder)}
    if not found:
        raise click.ClickException(no_jobs(folder))
    wanted = list(found)[-1] if name == LATEST else journal_id(name)
    past = _opened(names.find("job", wanted, found))
    if isinstance(past, Damaged):
        raise click.ClickException(past.why)
    return past


def no_jobs(folder: Path) -> str:
    """That there are none, and how to come by one."""
    return f"there are no jobs in {folder}; start one with: lightoff diagnose"


def journal_id(name: str) -> str:
    """The id of a journal by number, by id or by the name of its file."""
    if name.isascii() and name.isdecimal() and len(name) < 10:
        return f"job-{int(name):04d}"
    return name.removesuffix(".jsonl")


def _journals(folder: Path) -> list[Path]:
    """Journals, oldest first; click's exception with one line if they cannot be listed."""
    try:
        return journals(folder)
    except JobError as error:
        raise click.ClickException(str(error)) from None


def _opened(path: Path) -> Past | Damaged:
    number = number_of(path)
    try:
        events, notice = read(path)
    except JobError as error:
        return Damaged(path, number, str(error))
    if not events:
        why = f"{path}:1: nothing of the job was written; move the file away"
        return Damaged(path, number, why)
    return Past(path, number, events, notice)


# --- texts of a journal -----------------------------------------------------------


def plain(text: str) -> str:
    """A text from a journal in one line, with nothing in it that could steer a terminal."""
    clipped = text if len(text) <= LONGEST else f"{text[:LONGEST]}..."
    return screen.clean(clipped)


def moment_in_words(time: str) -> str:
    """A time of a journal (ISO 8601) to the minute."""
    return plain(time[:16].replace("T", " "))
