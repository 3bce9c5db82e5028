"""A note written down in a past job, from the command line."""

from __future__ import annotations

from pathlib import Path

import click

from lightoff.cli import names, screen
from lightoff.cli.prompts import now
from lightoff.cli.writing_down import ABOUT, LONGEST_NOTE
from lightoff.engine.reasoning.job import Noted, NoteKind
from lightoff.engine.reasoning.journal import JobError, Journal


def write_down(path: Path, about: str, text: str) -> None:
    """Append a note to a journal; click's exceptions in one line if it cannot be."""
    kinds: dict[str, NoteKind] = {each: each for each in ABOUT}
    kind = names.find("kind of note", about, kinds)
    text = " ".join(text.split())
    if not text:
        raise click.UsageError("there is nothing to write down; give a TEXT")
    if len(text) > LONGEST_NOTE:
        raise click.UsageError(f"a note has at most {LONGEST_NOTE} characters; write two")
    try:
        with Journal.open(path) as journal:
            journal.append(Noted(time=now(), about=kind, text=text))
    except JobError as error:
        raise click.ClickException(str(error)) from None
    screen.say(f"Written down in {path.stem}.", "good")
