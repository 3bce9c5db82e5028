"""The yearly visit at the terminal: whose furnace it is, then a job that goes through the list."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from lightoff.cli import screen
from lightoff.cli.drift_words import day_in_words
from lightoff.cli.labels import known_labels, labelled, visits_in
from lightoff.cli.names import nearest
from lightoff.cli.past_jobs import plain
from lightoff.cli.prompts import Conversation, ask, begun, now
from lightoff.cli.wording import count
from lightoff.cli.writing_down import LONGEST_NOTE
from lightoff.engine.reasoning.advice import Person
from lightoff.engine.reasoning.job import AnyEvent, Identified, Noted, Rated
from lightoff.engine.reasoning.visits import Visit, day_of, last_read

if TYPE_CHECKING:
    from lightoff.engine.model import Furnace, Knowledge

WHOSE = (
    "Whose furnace is it? Type its label, such as its serial number: next year its readings "
    "are found again by that. Enter alone leaves it out, q leaves."
)
LIKE = "No earlier job has this label. Spelt much like it: {}."
STILL = "Type y if you know that it still is. Enter alone finds it out, once all is made safe."
PLATE = "Read off it before: {}. k and a figure changes it."
TOO_LONG = f"Keep a label under {LONGEST_NOTE} characters."


def new_visit(
    knowledge: Knowledge, furnace: Furnace | None, folder: Path | None, label: str | None
) -> int:
    """A yearly visit from the beginning; the exit code. What is not given is asked."""
    talk = Conversation(knowledge, folder)
    return talk.guarded(lambda talk: _visit(talk, furnace, label))


def _visit(talk: Conversation, furnace: Furnace | None, given: str | None) -> None:
    talk.tell_of_unfinished()
    visits = visits_in(talk.folder)
    label = _asked(visits) if given is None else given
    if label is None:
        return
    events: tuple[AnyEvent, ...] = (begun(furnace, Person(), "yearly"),)
    if label:
        events += (Noted(time=now(), about="label", text=label),)
        near = "" if given is None or labelled(visits, [label]) else _near(visits, label)
        screen.say(LIKE.format(near) if near else _earlier(visits, label), "note")
        if given is None:
            # What was typed at the prompt is on disk before anything else is asked.
            talk.put_down(events)
    if furnace is None and (furnace := _as_last_time(talk, visits, label)) is not None:
        events += _put_down(talk, (Identified(time=now(), furnace=furnace.id),))
    if furnace is not None and label:
        events += _put_down(talk, _plate_as_last_time(furnace, labelled(visits, [label])))
    talk.start(furnace, events)


def _put_down(talk: Conversation, events: tuple[AnyEvent, ...]) -> tuple[AnyEvent, ...]:
    """The same events, on disk if the job has a journal already."""
    if talk.journal is not None:
        talk.put_down(events)
    return events


def _plate_as_last_time(furnace: Furnace, visits: tuple[Visit, ...]) -> tuple[AnyEvent, ...]:
    """What was last read off the furnace itself: it stays so until somebody reads otherwise."""
    figures = last_read(furnace.id, visits)
    if figures:
        said = ", ".join(f"{name.replace('-', ' ')} {figure}" for name, figure in figures)
        screen.say(PLATE.format(plain(said)), "note", hang=2)
    return tuple(Rated(time=now(), rating=name, entered=figure) for name, figure in figures)


def _as_last_time(talk: Conversation, visits: tuple[Visit, ...], label: str) -> Furnace | None:
    """The furnace of the last job with the label, if it is that one; None to find it out."""
    ids = [each.job.furnace for each in labelled(visits, [label]) if each.job.furnace]
    last = talk.knowledge.furnaces.get(ids[-1]) if ids else None
    if last is None or len(talk.knowledge.furnaces) == 1:
        return None
    screen.say(f"Last time it was: {last.entry.name}.")
    for seen in last.entry.seen:
        screen.say(f"- {seen}", indent=2, hang=2)
    screen.say(STILL, "next")
    return last if ask().lower() in ("y", "yes") else None


def _asked(visits: tuple[Visit, ...]) -> str | None:
    """The label as typed, "" for none; None if the person leaves.

    One that is spelt much like a known one is asked for again: a slip would lose the readings.
    """
    screen.say(WHOSE, "next")
    label = _typed()
    while label and not labelled(visits, [label]) and (near := _near(visits, label)):
        screen.say(LIKE.format(near), "warn")
        screen.say("Type it again, or Enter alone to keep it as it is, q leaves.", "next")
        another = _typed()
        if another == "":
            break
        label = another
    return label


def _typed() -> str | None:
    """A line as a label; None if the person leaves."""
    while len(line := ask()) > LONGEST_NOTE:
        screen.say(TOO_LONG, "warn")
    return None if line.lower() == "q" else line


def _near(visits: tuple[Visit, ...], label: str) -> str:
    """Labels spelt much like one, "" if there are none."""
    return "; ".join(map(plain, nearest(label, known_labels(visits))))


def _earlier(visits: tuple[Visit, ...], label: str) -> str:
    """How many jobs have this label."""
    known = labelled(visits, [label])
    if not known:
        return "No earlier job has this label."
    day = day_of(known[-1].job)
    last = f", the last of {day_in_words(day)}" if day else ""
    return f"{count(len(known), 'earlier job')} with this label{last}."
