"""What `lightoff scenario check` shows of one scenario."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

import click

from lightoff.cli import screen

if TYPE_CHECKING:
    from lightoff.engine.strict_yaml import Problem
    from lightoff.engine.teaching.check import Checked, Step
    from lightoff.engine.teaching.difficulty import Difficulty

Data = dict[str, Any]

ENDINGS = {
    "cured": "mended and proven",
    "stopped": "the rules stop the work, which is right here",
    "nothing-found": "nothing found",
    "refer": "given up",
    "too-long": "no end",
}


# --- data ------------------------------------------------------------------------------


def checked_data(name: str, checked: Checked | None, problems: Sequence[Problem]) -> Data:
    """The JSON of one file."""
    told = [
        {"file": each.place.file, "line": each.place.line, "what": each.what, "mend": each.mend}
        for each in problems
    ]
    if checked is None:
        return {"file": name, "sound": False, "problems": told}
    return {
        "file": name,
        "id": checked.scenario.id,
        "sound": checked.is_sound,
        "problems": told,
        "refused": list(checked.refused),
        "notes": list(checked.notes),
        "ended": checked.ended,
        "stopped": list(checked.stopped),
        "minutes": checked.minutes,
        "path": [_step_data(step) for step in checked.path],
        "alike": [
            {"faults": list(each.faults), "repair": each.repair, "after": list(each.after)}
            for each in checked.alike
        ],
        "traps": [
            {"repair": each.repair, "probability": each.probability} for each in checked.traps
        ],
        "difficulty": _difficulty_data(checked.difficulty),
    }


def _step_data(step: Step) -> Data:
    return {"kind": step.kind, "id": step.id, "outcome": step.outcome, "minutes": step.minutes}


def _difficulty_data(found: Difficulty | None) -> Data | None:
    if found is None:
        return None
    return {
        "figure": found.figure,
        "expected": found.expected,
        "searched": found.searched,
        "surprise": found.surprise,
        "rank": found.rank,
        "wrong-half-way": found.wrong_half_way,
        "unchosen": found.unchosen,
        "leverage": found.leverage,
    }


# --- words -----------------------------------------------------------------------------


def show_checked(name: str, checked: Checked | None, problems: Sequence[Problem]) -> None:
    """The page of one file: mistakes, or verdict, path, traps and difficulty."""
    if checked is None:
        for problem in problems:
            click.echo(screen.clean(str(problem)))
        return
    verdict = ("sound", "good") if checked.is_sound else ("REFUSED", "bad")
    # One line however long the path is: a path broken in two cannot be opened or searched for.
    screen.say_pieces([(name, "head"), (": ", ""), verdict])
    for sentence in checked.refused:
        screen.say(screen.text(("Refused: ", "bad"), sentence), indent=2, hang=2)
    for sentence in checked.notes:
        screen.say(screen.text(("Note: ", "warn"), sentence), indent=2, hang=2)
    _show_path(checked)
    for trap in checked.traps:
        screen.say(f"Trap: {trap.repair} led with {trap.probability:.0%}", indent=2, hang=2)
    _show_difficulty(checked.difficulty)
    screen.say()


def _show_path(checked: Checked) -> None:
    """The program's own path, a step on a line."""
    if checked.ended is None:
        return
    allowed = checked.scenario.entry.minutes
    screen.say(f"Path of the program: {checked.minutes:.0f} of {allowed:g} min", indent=2)
    for minutes, words in path_in_words(checked):
        screen.say(f"{minutes:5.1f} min  {words}", indent=4, hang=11)
    by = f" ({', '.join(checked.stopped)})" if checked.stopped else ""
    screen.say(f"End: {ENDINGS[checked.ended]}{by}", indent=4, hang=11)


def path_in_words(checked: Checked) -> list[tuple[float, str]]:
    """The program's own path from the first word on: minutes, and what is done in them."""
    return [
        (minutes, f"{step}: {answer}" if answer else step)
        for minutes, step, answer in path_rows(checked)
    ]


def path_rows(checked: Checked) -> list[tuple[float, str, str]]:
    """The program's own path: minutes, what is done in them, and the answer to a check."""
    before = (
        (checked.talking, "hears what is told", ""),
        (checked.waiting, "runs calls until it shows", ""),
    )
    steps = [(step.minutes, *_in_words(step)) for step in checked.path]
    return [*(each for each in before if each[0]), *steps]


def _in_words(step: Step) -> tuple[str, str]:
    if step.kind == "check":
        return step.id, step.outcome
    return (f"repair: {step.id}" if step.kind == "repair" else ENDINGS[step.kind]), ""


def _show_difficulty(found: Difficulty | None) -> None:
    if found is None:
        return
    screen.say(
        f"Difficulty {found.figure:.1f}: checks {found.searched:.0f} min (expected "
        f"{found.expected:.0f}); the truth is no. {found.rank} at the start, "
        f"{found.surprise:.1f} bit; wrong repairs hold {found.wrong_half_way:.0%} half way. "
        f"Taking the checks as they come costs {found.unchosen:.0f} min.",
        indent=2,
        hang=2,
    )
