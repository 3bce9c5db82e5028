"""`lightoff knowledge check`: every mistake of knowledge files, and what they cannot tell."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from lightoff.cli import names, screen
from lightoff.cli.options import KNOWLEDGE, json_option

if TYPE_CHECKING:
    from lightoff.engine.library import Problem
    from lightoff.engine.model import Knowledge
    from lightoff.engine.reasoning.coverage import Weakness

Data = dict[str, Any]


@click.command()
@click.argument(
    "folder",
    metavar="[DIR]",
    required=False,
    type=click.Path(exists=True, file_okay=False, path_type=Path),
)
@json_option
@click.pass_context
def check(context: click.Context, folder: Path | None, as_json: bool) -> None:
    """Check knowledge files and list their mistakes.

    With --knowledge DIR (or LIGHTOFF_KNOWLEDGE) it checks the shipped files with
    those of DIR laid over, as every command reads them. DIR alone is the same,
    unless it has files of every kind: then it is checked without the shipped
    ones. With neither, the shipped files.

    Every mistake gets a line with file and line; files of DIR that are laid over
    begin with its name. Exit 1 if there are any.
    """
    from lightoff.engine import library
    from lightoff.engine.library.overlay import is_whole

    if folder is not None and KNOWLEDGE in context.meta:
        raise click.UsageError("give DIR or --knowledge, not both")
    alone = folder is not None and is_whole(folder)
    own = None if alone else folder or names.own_folder()
    known, problems = library.check(folder) if alone and folder else library.check_over(own)
    weak = _weaknesses(known) if known is not None and not problems else []
    refused = [weakness for weakness in weak if not weakness.accepted]
    if as_json:
        data: Data = {"problems": list(map(_problem, problems))}
        if known is not None and not problems:
            data |= {"counts": _counts(known), "weaknesses": list(map(_weakness, weak))}
            data |= {"own": _own(known, own)} if own else {}
        screen.json_out(data)
    elif problems:
        _list_problems(problems, own)
    elif known is not None:
        _say_sound(known, weak, own)
    context.exit(1 if problems or refused else 0)


def _own(known: Knowledge, own: Path) -> Data:
    """What of the knowledge stands in one's own folder: new, or in place of a shipped entry."""
    from lightoff.engine import library
    from lightoff.engine.library.overlay import layers

    shipped, _ = library.check_over(None)
    before = shipped.places if shipped else {}
    prefix = layers(own)[-1].prefix
    found: dict[str, list[str]] = {"new": [], "replaced": []}
    for (kind, id_), place in known.places.items():
        if place.file.startswith(prefix) and kind != "fault":
            found["replaced" if (kind, id_) in before else "new"].append(f"{kind} {id_}")
    return found


def _weaknesses(known: Knowledge) -> list[Weakness]:
    """What the checks of each furnace cannot see or tell apart."""
    from lightoff.engine.reasoning.coverage import weaknesses
    from lightoff.engine.reasoning.prediction import predict

    return [
        weakness
        for furnace in known.furnaces.values()
        for weakness in weaknesses(
            furnace, predict(furnace, list(known.checks[furnace.id].values()))
        )
    ]


def _weakness(weakness: Weakness) -> Data:
    return {
        "furnace": weakness.furnace,
        "faults": list(weakness.faults),
        "accepted": weakness.accepted or None,
    }


def _say_sound(known: Knowledge, weak: Sequence[Weakness], own: Path | None) -> None:
    counts = ", ".join(f"{what} {count}" for what, count in _counts(known).items())
    screen.say("No mistakes in the files.", "good")
    screen.say(f"Counted: {counts}.")
    if own:
        _say_own(known, own)
    refused = [weakness for weakness in weak if not weakness.accepted]
    for weakness in weak:
        if weakness.accepted:
            screen.say(f"Accepted: {_told(weakness)} Why: {weakness.accepted}")
    if not refused:
        screen.say("Some check sees every fault; some check tells every two repairs apart.", "good")
        return
    for weakness in refused:
        click.echo(screen.clean(_told(weakness)))
    screen.say(
        "Add a check that tells, or accept it in the furnace's file with the reason "
        "(accepted-unseen, accepted-alike).",
        stderr=True,
    )


def _say_own(known: Knowledge, own: Path) -> None:
    found = _own(known, own)
    screen.say(f"With {own} laid over the shipped files:")
    for what, entries in found.items():
        if entries:
            screen.say(f"{what}: {', '.join(entries)}", indent=2, hang=2)


def _told(weakness: Weakness) -> str:
    if len(weakness.faults) == 1:
        return f"{weakness.furnace}: no check sees {weakness.faults[0]}."
    one, other = weakness.faults
    return f"{weakness.furnace}: no check tells {one} from {other}; their repairs differ."


def _list_problems(problems: Sequence[Problem], own: Path | None) -> None:
    from lightoff.engine.library.overlay import layers

    for problem in problems:
        click.echo(screen.clean(str(problem)))
    prefix = layers(own)[-1].prefix
    if prefix and not all(problem.place.file.startswith(prefix) for problem in problems):
        screen.say(
            f"Lines without {prefix} are of shipped files: something in {prefix} does not fit "
            "them.",
            stderr=True,
        )
    many = f"{len(problems)} mistakes" if len(problems) > 1 else "1 mistake"
    screen.say(f"{many}. Mend the first of each file first, then check again.", stderr=True)


def _problem(problem: Problem) -> Data:
    place = problem.place
    return {"file": place.file, "line": place.line, "what": problem.what, "mend": problem.mend}


def _counts(known: Knowledge) -> dict[str, int]:
    """How many there are of everything; those that differ by furnace summed over furnaces."""
    from lightoff.cli.knowledge import LISTED, OF_FURNACE
    from lightoff.cli.lists import LISTS

    furnaces = list(known.furnaces.values())
    return {
        what: sum(
            len(LISTS[what](known, furnace))
            for furnace in (furnaces if what in OF_FURNACE else furnaces[:1])
        )
        for what in LISTED
    }
