"""The history of a furnace by its label: all jobs on it, and what was done more than once."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import click

from lightoff.cli import names, screen
from lightoff.cli.labels import has_label, known_labels, no_such, visits_among
from lightoff.cli.past_jobs import Damaged, Past, moment_in_words, past_jobs
from lightoff.cli.past_words import PastWords
from lightoff.cli.wording import count
from lightoff.engine.model import Knowledge
from lightoff.engine.reasoning.repeats import Repeat, repeats

MONTH = 30.44
"""Days."""


@dataclass(frozen=True, slots=True)
class History:
    """The jobs on one furnace, oldest first; what came again; journals that cannot be read."""

    label: str
    jobs: tuple[Past, ...]
    repeats: tuple[Repeat, ...]
    knowledge: Knowledge
    problems: tuple[str, ...]


def history_of(folder: Path, label: str) -> History:
    """All that is known of the furnace of a label; exit 1 in one line if nothing is."""
    every = past_jobs(folder)
    found = tuple(each for each in every if isinstance(each, Past) and has_label(each.job, label))
    if not found:
        raise click.ClickException(no_such(label, known_labels(visits_among(every))))
    knowledge = names.load_knowledge()
    again = repeats(knowledge, [each.job for each in found])
    problems = tuple(each.why for each in every if isinstance(each, Damaged))
    return History(label, found, again, knowledge, problems)


def data(history: History) -> dict[str, Any]:
    """The history for JSON."""
    return {
        "label": history.label,
        "jobs": [
            {
                "id": past.id,
                "started": past.job.started,
                "furnace": past.job.furnace,
                "purpose": past.job.purpose,
                "stands": words.stands(past.job),
                "cured_by": past.job.cured_by or None,
                "proof": past.job.proof or None,
                "parts": past.job.said("part"),
            }
            for past, words in _with_words(history)
        ],
        "repeats": [
            {"what": each.what, "times": each.times, "first": each.first, "last": each.last}
            for each in history.repeats
        ],
    }


def show(history: History) -> None:
    """Write the history."""
    screen.say(f"{history.label}: {count(len(history.jobs), 'job')}", "head")
    for past, words in _with_words(history):
        purpose = "yearly visit" if past.job.purpose == "yearly" else "no heat"
        screen.say(f"{moment_in_words(past.job.started)}  job {past.number}, {purpose}", "name")
        screen.say(screen.clean(words.stands(past.job)), indent=4, hang=2)
        for part in past.job.said("part"):
            screen.say(f"fitted: {screen.clean(part)}", indent=4, hang=2)
    for each in history.repeats:
        screen.say()
        screen.say(f"{each.what}: {count(each.times, 'time')} {_within(each)}.", "warn", hang=2)
        screen.say("Look for what brings it about before it is done once more.", "next")


def _with_words(history: History) -> Iterator[tuple[Past, PastWords]]:
    furnaces = history.knowledge.furnaces
    for past in history.jobs:
        yield past, PastWords(history.knowledge, furnaces.get(past.job.furnace))


def _within(repeat: Repeat) -> str:
    if repeat.days is None:
        return ""
    if repeat.days < 2 * MONTH:
        return f"in {count(repeat.days, 'day')}"
    return f"in {repeat.days / MONTH:.0f} months"
