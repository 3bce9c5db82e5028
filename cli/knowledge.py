"""`lightoff knowledge`: lists and reference pages of what is known."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any

import click

from lightoff.cli import names, screen
from lightoff.cli.knowledge_check import check
from lightoff.cli.knowledge_new import new
from lightoff.cli.knowledge_schema import schema
from lightoff.cli.options import choices_option, furnace_option, json_option, si_option

if TYPE_CHECKING:
    from lightoff.engine.model import Furnace, Knowledge

Data = dict[str, Any]

LISTED = ("furnaces", "parts", "faults", "steps", "checks", "rules", "repairs", "sources")
OF_FURNACE = ("parts", "faults", "steps", "checks")
"""What differs from furnace to furnace."""
SHOWN = ("part", "fault", "check", "repair", "step", "furnace", "source")


@click.group(context_settings={"max_content_width": 80})
def knowledge() -> None:
    """List, show, check or add to what is known of furnaces."""


# --- list ------------------------------------------------------------------------------


@knowledge.command("list")
@click.argument("what", type=click.Choice(LISTED), metavar="WHAT")
@furnace_option
@choices_option
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
@choices_option
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


# --- what has files of its own --------------------------------------------------------

knowledge.add_command(check)
knowledge.add_command(new)
knowledge.add_command(schema)
