"""The yearly visit of a furnace as a list: in what order, what is good, what to bring along."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any

from lightoff.cli import lines, screen
from lightoff.cli.danger import STANDING_NOTE
from lightoff.cli.drift_pages import course_data, rated_as_last
from lightoff.cli.drift_words import EARLIER, day_in_words, drift_in_words, in_words
from lightoff.cli.labels import labelled, visits_in
from lightoff.cli.lines import Line, Lines
from lightoff.cli.past_jobs import plain
from lightoff.cli.proof_list import item_data, item_lines
from lightoff.cli.wording import count, minutes_in_words
from lightoff.engine.model import Furnace, Knowledge
from lightoff.engine.reasoning.visits import Course, courses_of
from lightoff.engine.service.proving import Item, yearly


@dataclass(frozen=True, slots=True)
class Listed:
    """The visit to a furnace; `courses` are earlier readings by item, if its label is known."""

    knowledge: Knowledge
    furnace: Furnace
    label: str
    items: tuple[Item, ...]
    courses: dict[str, Course]

    @property
    def tools(self) -> tuple[str, ...]:
        """Ids of all tools, each once, in the order of first use."""
        return tuple(dict.fromkeys(tool for item in self.items for tool in item.check.entry.tools))

    @property
    def hazards(self) -> tuple[str, ...]:
        """Ids of all cautions, each once, in the order of first need."""
        return tuple(
            dict.fromkeys(each for item in self.items for each in item.check.entry.hazards)
        )

    @property
    def minutes(self) -> float:
        return sum(item.check.entry.minutes for item in self.items)


def listed(knowledge: Knowledge, furnace: Furnace, label: str, folder: Path) -> Listed:
    """The visit to a furnace, with what was read off it and on it under its label."""
    visits = labelled(visits_in(folder), [label]) if label else ()
    known = rated_as_last(knowledge, furnace, visits)
    items = yearly(known, furnace.id)
    courses = courses_of(items, known.furnaces[furnace.id], visits)
    by_item = {course.item.id: course for course in courses}
    return Listed(known, known.furnaces[furnace.id], label, items, by_item)


def data(visit: Listed) -> dict[str, Any]:
    """The list for JSON; limits and readings in SI units."""
    return {
        "furnace": visit.furnace.id,
        "label": visit.label or None,
        "minutes": visit.minutes,
        "tools": visit.tools,
        "hazards": visit.hazards,
        "items": [
            {
                **item_data(item),
                **course_data(visit.courses.get(item.id)),
            }
            for item in visit.items
        ],
    }


def show(visit: Listed) -> None:
    """Write the list, with room to write what is found."""
    known = visit.knowledge
    label = f", {plain(visit.label)}" if visit.label else ""
    screen.say(f"Yearly visit: {visit.furnace.entry.name}{label}.", "head")
    screen.say(known.cautions[STANDING_NOTE].short, "note")
    for hazard in visit.hazards:
        screen.say(f"Caution: {known.cautions[hazard].short}", "warn", indent=2, hang=2)
    tools = "; ".join(known.tools[tool].name for tool in visit.tools)
    screen.say(f"Bring: {tools}.", hang=2)
    for number, item in enumerate(visit.items, start=1):
        lines.show([*item_lines(number, item), *_room(item, visit.courses.get(item.id))])
    about = f"about {minutes_in_words(visit.minutes)}"
    screen.say(f"{count(len(visit.items), 'thing')}, {about} without set-up.", "next")


def _room(item: Item, course: Course | None) -> Lines:
    """What was read before, what is put back afterwards, and room for what is found."""
    after = item.check.entry.opens
    return [
        *([Line(f"Earlier: {_earlier(course)}.", indent=4, hang=2)] if course else []),
        *([Line(f"Afterwards: {after}.", indent=4, hang=2)] if after else []),
        Line("Found: ____________", indent=4),
    ]


def _earlier(course: Course) -> str:
    read = ", ".join(
        f"{in_words(course, each)} ({day_in_words(each.day)})"
        for each in reversed(course.readings[-EARLIER:])
    )
    moves = drift_in_words(course)
    return f"{read}: {moves}" if moves else read
