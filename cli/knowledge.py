"""`lightoff knowledge`: lists, reference pages and the check of knowledge files."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from lightoff.cli import names, screen
from lightoff.cli.options import furnace_option, json_option, si_option

if TYPE_CHECKING:
    from lightoff.engine.library import Problem
    from lightoff.engine.model import Furnace, Knowledge
    from lightoff.engine.reasoning.coverage import Weakness

Data = dict[str, Any]

LISTED = ("furnaces", "parts", "faults", "steps", "checks", "rules", "repairs", "sources")
OF_FURNACE = ("parts", "faults", "steps", "checks")
"""What differs from furnace to furnace."""
SHOWN = ("part", "fault", "check", "repair", "step", "furnace", "source")


@click.group(context_settings={"max_content_width": 80})
def knowledge() -> None:
    """List, show or check what is known of furnaces."""


# --- list ------------------------------------------------------------------------------


@knowledge.command("list")
@click.argument("what", type=click.Choice(LISTED), metavar="WHAT")
@furnace_option
@json_option
def list_(what: str, furnace_id: str | None, as_json: bool) -> None:
    """List parts, faults, checks or other.

    WHAT is furnaces, parts, faults, steps, checks, rules, repairs or sources.
    Parts, faults, steps and checks are those of one furnace.
    """
    from lightoff.cli import lists

    known = names.load_knowledge()
    if what in OF_FURNACE or furnace_id is not None:
        furnace = names.find_furnace(known, furnace_id)
    else:
        furnace = next(iter(known.furnaces.values()))
    items = lists.LISTS[what](known, furnace)
    if as_json:
        screen.json_out(items)
        return
    if not items:
        screen.say(f"There are no {what}.", stderr=True)
        return
    columns = lists.COLUMNS[what]
    screen.table(columns, [[_cell(item[column]) for column in columns] for item in items])


def _cell(value: object) -> str:
    if isinstance(value, float | int):
        return f"{value:g}"
    return str(value)


# --- show ------------------------------------------------------------------------------


@knowledge.command()
@click.argument("kind", type=click.Choice(SHOWN), metavar="KIND")
@click.argument("name", metavar="ID")
@furnace_option
@si_option
@json_option
def show(kind: str, name: str, furnace_id: str | None, si: bool, as_json: bool) -> None:
    """Show the page of one part, fault, check or other.

    KIND is part, fault, check, repair, step, furnace or source.

    \b
      lightoff knowledge show part pressure-switch
      lightoff knowledge show fault vent-pipe.blocked
    """  # noqa: D301
    known = names.load_knowledge()
    furnace = _furnace_for(known, kind, name, furnace_id)
    data, write = _page(known, furnace, kind, name, si)
    if as_json:
        screen.json_out(data())
    else:
        write()


def _furnace_for(known: Knowledge, kind: str, name: str, furnace_id: str | None) -> Furnace:
    if kind == "furnace":
        return names.find_furnace(known, name)
    if furnace_id is None and kind in ("repair", "source"):
        return next(iter(known.furnaces.values()))
    return names.find_furnace(known, furnace_id)


Page = tuple[Callable[[], Data], Callable[[], None]]
"""How to get the data of a page, and how to write it."""


def _page(known: Knowledge, furnace: Furnace, kind: str, name: str, si: bool) -> Page:
    from lightoff.cli import pages, part_page

    if kind == "furnace":
        return (
            lambda: pages.furnace_data(known, furnace),
            lambda: pages.show_furnace(known, furnace),
        )
    if kind == "part":
        part = names.find(kind, name, furnace.parts)
        return (
            lambda: part_page.part_data(known, furnace, part),
            lambda: part_page.show_part(known, furnace, part, si),
        )
    if kind == "fault":
        fault = names.find(kind, name, furnace.faults)
        return (
            lambda: part_page.fault_data(known, furnace, fault),
            lambda: pages.show_fault(known, furnace, fault, si),
        )
    if kind == "check":
        check = names.find(kind, name, known.checks[furnace.id])
        return lambda: pages.check_data(check), lambda: pages.show_check(known, check)
    if kind == "step":
        step = names.find(kind, name, furnace.sequence.steps)
        return (
            lambda: pages.step_data(furnace, step),
            lambda: pages.show_step(known, furnace, step, si),
        )
    if kind == "repair":
        repair = names.find(kind, name, known.repairs)
        return (
            lambda: pages.repair_data(known, repair),
            lambda: pages.show_repair(known, repair),
        )
    source = names.find(kind, name, known.sources)
    return lambda: pages.source_data(known, source), lambda: pages.show_source(known, source)


# --- schema ----------------------------------------------------------------------------


@knowledge.command()
@click.argument("kind", metavar="KIND")
def schema(kind: str) -> None:
    """Write the JSON Schema of a kind of file, for an editor.

    KIND is furnace, parts, checks, rules, repairs, setups, cautions, tools,
    sources, identify or scenario. An editor that reads it completes names of
    fields and marks what has the wrong shape; `check` finds all the rest.
    """
    import json

    from lightoff.engine.library.schema import FILES, schema_of

    names.find("kind of file", kind, FILES)
    click.echo(json.dumps(schema_of(kind), indent=2))


# --- check -----------------------------------------------------------------------------


@knowledge.command()
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

    Without DIR it checks the files that come with the program.
    Every mistake gets a line with file and line; exit 1 if there are any.
    """
    from lightoff.engine import library

    known, problems = library.check(folder or library.shipped())
    weak = _weaknesses(known) if known is not None and not problems else []
    refused = [weakness for weakness in weak if not weakness.accepted]
    if as_json:
        data: Data = {"problems": list(map(_problem, problems))}
        if known is not None and not problems:
            data |= {"counts": _counts(known), "weaknesses": list(map(_weakness, weak))}
        screen.json_out(data)
    elif problems:
        _list_problems(problems)
    elif known is not None:
        _say_sound(known, weak)
    context.exit(1 if problems or refused else 0)


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


def _say_sound(known: Knowledge, weak: Sequence[Weakness]) -> None:
    counts = ", ".join(f"{what} {count}" for what, count in _counts(known).items())
    screen.say("No mistakes in the files.", "good")
    screen.say(f"Counted: {counts}.")
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


def _told(weakness: Weakness) -> str:
    if len(weakness.faults) == 1:
        return f"{weakness.furnace}: no check sees {weakness.faults[0]}."
    one, other = weakness.faults
    return f"{weakness.furnace}: no check tells {one} from {other}; their repairs differ."


def _list_problems(problems: Sequence[Problem]) -> None:
    for problem in problems:
        click.echo(screen.clean(str(problem)))
    many = f"{len(problems)} mistakes" if len(problems) > 1 else "1 mistake"
    screen.say(f"{many}. Mend the first of each file first, then check again.", stderr=True)


def _problem(problem: Problem) -> Data:
    place = problem.place
    return {"file": place.file, "line": place.line, "what": problem.what, "mend": problem.mend}


def _counts(known: Knowledge) -> dict[str, int]:
    """How many there are of everything; those that differ by furnace summed over furnaces."""
    from lightoff.cli.lists import LISTS

    furnaces = list(known.furnaces.values())
    return {
        what: sum(
            len(LISTS[what](known, furnace))
            for furnace in (furnaces if what in OF_FURNACE else furnaces[:1])
        )
        for what in LISTED
    }
