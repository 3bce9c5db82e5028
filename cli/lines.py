"""Lines on a screen, and those that several screens share."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from lightoff.cli import screen
from lightoff.cli.danger import Caution

HEADS = {
    "isolate": "Isolate",
    "take-out": "Take out",
    "look": "Look",
    "refit": "Refit",
    "restore": "Restore",
    "before-it-runs": "Before it is left to run",
}
"""How the sections of a repair are headed."""


@dataclass(frozen=True, slots=True)
class Line:
    """A paragraph: its words, its style, columns in, and how much more further lines go in."""

    words: str = ""
    style: str = ""
    indent: int = 0
    hang: int = 0


Lines = list[Line]


def show(lines: Iterable[Line]) -> None:
    """Write lines to the screen."""
    for line in lines:
        screen.say(line.words, line.style, indent=line.indent, hang=line.hang)


def caution_lines(cautions: Iterable[Caution]) -> Lines:
    """Cautions, in full with their title or in one line."""
    lines: Lines = []
    for caution in cautions:
        if caution.title:
            lines.append(Line(f"Caution: {caution.title}", "warn", indent=2))
            lines += [Line(f"- {words}", indent=4, hang=2) for words in caution.lines]
        else:
            lines += [Line(f"Caution: {words}", "warn", 2, 2) for words in caution.lines]
    return lines


def numbered(steps: Iterable[str], start: int = 1) -> Lines:
    """Things to do, in order."""
    return [
        Line(f"{number}. {words}", indent=2, hang=len(f"{number}. "))
        for number, words in enumerate(steps, start=start)
    ]


def section_lines(sections: Iterable[tuple[str, Sequence[str]]]) -> Lines:
    """The sections of a repair under their heads, their lines numbered through."""
    lines: Lines = []
    done = 0
    for name, steps in sections:
        lines += [Line(HEADS[name], "head"), *numbered(steps, start=done + 1)]
        done += len(steps)
    return lines


def sign_lines(signs: Iterable[str]) -> Lines:
    """Signs of danger by number."""
    return [
        Line(f"{number}  {sign}", indent=4, hang=3) for number, sign in enumerate(signs, start=1)
    ]
