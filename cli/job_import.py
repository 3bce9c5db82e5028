"""Bringing a record of a pocket page in: the text of a file, or of standard input -> a new job."""

from __future__ import annotations

import sys
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import click

from lightoff.cli import names, screen
from lightoff.cli.past_jobs import Damaged, Past, past_jobs, plain
from lightoff.engine.reasoning.carried import RecordError, events_in
from lightoff.engine.reasoning.journal import Events, JobError, Journal, number_of
from lightoff.engine.reasoning.restate import restated

STDIN = "-"
MOST_NAMED = 3
"""Things that are not known here that are named."""


@dataclass(frozen=True, slots=True)
class Imported:
    """A job that was brought in, or that was here before."""

    path: Path
    events: Events
    is_new: bool


def imported(source: str, folder: Path) -> Imported:
    """Bring the record of a file in; click's exceptions with one line if it cannot be."""
    try:
        events = events_in(_text(source))
    except RecordError as error:
        raise click.ClickException(f"{screen.clean(source)}: {error}") from None
    _check_known(events)
    for past in past_jobs(folder):
        if not isinstance(past, Damaged) and past.events == events:
            return Imported(past.path, events, is_new=False)
    try:
        return Imported(Journal.bring_in(folder, events), events, is_new=True)
    except JobError as error:
        raise click.ClickException(str(error)) from None


def _text(source: str) -> str:
    if source == STDIN:
        return sys.stdin.read()
    try:
        return Path(source).read_text(encoding="utf-8", errors="replace")
    except OSError as error:
        raise click.ClickException(f"{source}: cannot be read ({error.strerror})") from None


def _check_known(events: Events) -> None:
    """Nothing comes in that the knowledge here cannot make sense of."""
    strange = restated(names.load_knowledge(), events).strange
    if not strange:
        return
    said = ", ".join(f"{each.subject} {plain(each.name)}" for each in strange[:MOST_NAMED])
    more = f" and {len(strange) - MOST_NAMED} more" if len(strange) > MOST_NAMED else ""
    raise click.ClickException(
        f"the record speaks of {said}{more}, not known here; "
        "give --knowledge DIR, the folder that the page was made with"
    )


def data(done: Imported) -> dict[str, Any]:
    """What was brought in, for JSON."""
    past = _past(done)
    return {"id": past.id, "events": len(done.events), "new": done.is_new}


def show(done: Imported) -> None:
    """Say which job it is now."""
    past = _past(done)
    if done.is_new:
        screen.say(f"Brought in as job {past.number}, {len(done.events)} events.", "good")
    else:
        screen.say(f"It is here already: job {past.number}.")
    screen.say(f"Look at it with: lightoff job show {past.number}", "next")


def _past(done: Imported) -> Past:
    return Past(done.path, number_of(done.path), done.events, "")
