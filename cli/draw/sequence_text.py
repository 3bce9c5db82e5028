"""The sequence graph on a terminal."""

from __future__ import annotations

from collections.abc import Iterator

from lightoff.cli import screen
from lightoff.cli.draw.flow import LOCKOUT, Flow, Place, all_but, in_words

DOWN, ON = "\u2502", "\u2192"
SIGN = len(LOCKOUT) + 1
"""Columns of the word before a way out."""


def show(flow: Flow, passed: frozenset[str], stalls_in: str) -> None:
    """Write the graph; steps that a call `passed` are marked, and the one it stalls in."""
    screen.say("The healthy path", "head")
    for number, place in enumerate(flow.path, start=1):
        _show(place, f"{number:>2} ", _mark(place, passed, stalls_in), number < len(flow.path))
    screen.say()
    screen.say("Beside it", "head")
    for place in flow.beside:
        _show(place, "   ", _mark(place, passed, stalls_in), False)
    if flow.common:
        screen.say()
        screen.say("Ways out that several steps share", "head")
        for line in shared(flow):
            screen.say(line, indent=3, hang=2)


def shared(flow: Flow) -> Iterator[str]:
    """A line for each way out that steps share."""
    every = [place.step.id for place in flow.places]
    for each in flow.common:
        steps = all_but(each.steps, [step for step in every if step != each.leave.to])
        yield f"{in_words(each.leave)} {ON} {each.leave.to}, from {steps}"


def mark(step: str, passed: frozenset[str], stalls_in: str) -> str:
    """The words that tell what a call does with a step."""
    return "the call stalls here" if step == stalls_in else "passed" if step in passed else ""


def _mark(place: Place, passed: frozenset[str], stalls_in: str) -> str:
    return mark(place.step.id, passed, stalls_in)


def _show(place: Place, head: str, marked: str, goes_on: bool) -> None:
    line = f"{DOWN} " if goes_on else "  "
    behind = f"  < {marked}" if marked else ""
    style = "bad" if "stalls" in marked else "good"
    screen.say(screen.text((head, "note"), (place.step.id, "name"), (behind, style)))
    for remark in place.remarks:
        screen.say(screen.text((f"   {line}", "note"), (remark, "note")), hang=5)
    for way in place.ways:
        told = f"   {line}{way.kind:<{SIGN}}{way.words} {ON} "
        screen.say(screen.text(told, (way.leave.to, "name")), hang=5 + SIGN)
