"""What is shown before the first question, and when work stops."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from lightoff.cli.danger import Caution
from lightoff.cli.lines import Line, Lines, numbered, sign_lines

if TYPE_CHECKING:
    from lightoff.engine.model import Furnace

LOOK_FIRST = "Look, smell and listen first. Then type the number of what you find, or n for none."


def make_safe_lines(notes: Iterable[str], signs: Iterable[str]) -> Lines:
    """What comes first on every job, and the signs to stop work at."""
    return [
        Line("Make safe first.", "head"),
        *(Line(f"- {note}", indent=2, hang=2) for note in notes),
        Line("Is there any of these?", "next"),
        *sign_lines(signs),
        Line("Type its number, or n if you looked and there is none (q leaves)."),
    ]


def furnace_lines(furnaces: Iterable[Furnace]) -> Lines:
    """Types of furnace by number, with what tells them from others at a glance."""
    lines: Lines = [Line(), Line("Which furnace is it?", "next")]
    for number, furnace in enumerate(furnaces, start=1):
        lines.append(Line(f"{number}  {furnace.entry.name}", "name", indent=2, hang=3))
        lines.append(Line("; ".join(furnace.entry.seen), indent=5))
    return [*lines, Line("Type its number.")]


def stop_lines(stop: Iterable[Caution]) -> Lines:
    """What to do about a danger, in order; the work ends here."""
    lines: Lines = []
    for caution in stop:
        lines += [Line(), Line(caution.title, "bad"), *numbered(caution.lines)]
    return [*lines, Line(), Line("No diagnosis until this is settled. The job is closed as left.")]
