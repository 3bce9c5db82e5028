"""`lightoff job drift`: all readings on one furnace by visit, and what moves."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import click

from lightoff.cli import names, screen
from lightoff.cli.drift_words import day_in_words, drift_in_words, in_words, limits_in_words
from lightoff.cli.labels import known_labels, labelled, no_such, visits_among
from lightoff.cli.past_jobs import Damaged, past_jobs, plain
from lightoff.cli.wording import count
from lightoff.engine.library import load_rated
from lightoff.engine.model import Furnace, Knowledge
from lightoff.engine.reasoning.visits import Course, Visit, courses_of, day_of, last_read
from lightoff.engine.service.proving import yearly

ABREAST = 4
"""Visits side by side on a screen."""
RIGHT_THEN = "*"
"""Behind a reading before which something was put right."""


@dataclass(frozen=True, slots=True)
class Drifts:
    """The readings on the furnace of a label; `elsewhere` are jobs on another type of furnace."""

    label: str
    furnace: Furnace
    visits: tuple[Visit, ...]
    courses: tuple[Course, ...]
    elsewhere: tuple[Visit, ...]
    problems: tuple[str, ...]


def drifts(folder: Path, label: str) -> Drifts:
    """What was read on the furnace of a label; click's exceptions if there is none."""
    jobs = past_jobs(folder)
    every = visits_among(jobs)
    visits = tuple(each for each in labelled(every, [label]) if each.job.furnace)
    if not visits:
        raise click.ClickException(no_such(label, known_labels(every)))
    knowledge = names.load_knowledge()
    latest = visits[-1].job.furnace
    if latest not in knowledge.furnaces:
        raise click.ClickException(f"the furnace {plain(latest)} is not known today")
    rated = rated_as_last(knowledge, knowledge.furnaces[latest], visits)
    furnace = rated.furnaces[latest]
    own = tuple(each for each in visits if each.job.furnace == latest)
    return Drifts(
        label=" ".join(label.split()),
        furnace=furnace,
        visits=own,
        courses=courses_of(yearly(rated, latest), furnace, own),
        elsewhere=tuple(each for each in visits if each.job.furnace != latest),
        problems=tuple(each.why for each in jobs if isinstance(each, Damaged)),
    )


def rated_as_last(knowledge: Knowledge, furnace: Furnace, visits: Sequence[Visit]) -> Knowledge:
    """The knowledge with what was last read off the rating plate of a furnace."""
    return load_rated(knowledge, furnace.id, last_read(furnace.id, visits))


# --- for JSON ---------------------------------------------------------------------


def data(found: Drifts) -> dict[str, Any]:
    """The readings for JSON, in SI units."""
    return {
        "label": found.label,
        "furnace": found.furnace.id,
        "visits": [
            {"job": each.id, "started": each.job.started, "purpose": each.job.purpose}
            for each in found.visits
        ],
        "quantities": [
            {
                "id": course.item.id,
                "title": course.item.proof.title,
                "check": course.item.check.id,
                "dimension": course.item.check.dimension,
                "low": course.item.limits[0],
                "high": course.item.limits[1],
                **course_data(course),
            }
            for course in found.courses
        ],
    }


def course_data(course: Course | None) -> dict[str, Any]:
    """The readings of one thing for JSON, in SI units."""
    if course is None:
        return {"readings": [], "drift": None}
    return {
        "readings": [
            {
                "job": each.visit,
                "day": each.day.isoformat(),
                "value": each.value,
                "entered": each.entered,
                "anew": each.anew,
            }
            for each in course.readings
        ],
        "drift": _drift_data(course),
    }


def _drift_data(course: Course) -> dict[str, Any] | None:
    moves = course.drift
    if moves is None:
        return None
    return {
        "per_year": moves.per_year,
        "since_first": moves.since_first,
        "since_previous": moves.since_previous,
        "clear": moves.is_clear,
        "matters": course.matters,
        "limit": moves.limit,
        "years": moves.years,
        "meaning": course.meaning or None,
    }


# --- on a screen ------------------------------------------------------------------


def show(found: Drifts) -> None:
    """Write the readings, a few visits side by side, and then what moves."""
    visits = count(len(found.visits), "visit")
    screen.say(f"{plain(found.label)}: {found.furnace.entry.name}, {visits}.", "head")
    for few in _abreast(found):
        screen.say()
        screen.table(("", *map(_day, few), "Good"), [_row(each, few) for each in found.courses])
    if any(each.anew for course in found.courses for each in course.readings):
        screen.say(f"{RIGHT_THEN} put right in this visit: readings begin anew.", "note")
    screen.say()
    matter = [each for each in found.courses if each.matters]
    for course in matter:
        screen.say(f"{course.item.proof.title}: {drift_in_words(course)}.", "warn", hang=2)
        if course.meaning:
            screen.say(course.meaning, indent=4)
    screen.say(_last_word(found, matter), "next")


def _last_word(found: Drifts, matter: Sequence[Course]) -> str:
    if matter:
        return f"At the next visit look at {'these' if len(matter) > 1 else 'this'} first."
    if any(each.drift for each in found.courses):
        return "Nothing moves clearly."
    return "Too few visits yet, or too close in time, to say what moves."


def _abreast(found: Drifts) -> Iterator[tuple[Visit, ...]]:
    """Visits in which anything was read, so many at once as fit beside each other."""
    read = {each.visit for course in found.courses for each in course.readings}
    visits = tuple(each for each in found.visits if each.id in read)
    for start in range(0, len(visits), ABREAST):
        yield visits[start : start + ABREAST]


def _day(visit: Visit) -> str:
    day = day_of(visit.job)
    return day_in_words(day) if day else ""


def _row(course: Course, visits: Sequence[Visit]) -> tuple[str, ...]:
    read = {each.visit: in_words(course, each) + RIGHT_THEN * each.anew for each in course.readings}
    figures = (read.get(visit.id, "") for visit in visits)
    return (course.item.proof.title, *figures, limits_in_words(course))
