"""`lightoff yearly`: the yearly visit, as a job or as a list to print."""

from __future__ import annotations

import os
from pathlib import Path
from typing import TYPE_CHECKING

import click

from lightoff.cli.options import journal_folder_option, json_option, this_furnace_option

if TYPE_CHECKING:
    from lightoff.engine.model import Knowledge


@click.command()
@this_furnace_option
@click.option(
    "--label",
    metavar="LABEL",
    help="Whose furnace it is, such as its serial number; its earlier readings are found by it.",
)
@click.option("--list", "as_list", is_flag=True, help="Show the list, to print; nothing is asked.")
@json_option
@journal_folder_option
@click.pass_context
def yearly(
    context: click.Context,
    furnace_id: str | None,
    label: str | None,
    as_list: bool,
    as_json: bool,
    folder: Path | None,
) -> None:
    """Go through the yearly visit.

    Readings within the plate, every safety tested, two whole calls. Each reading is compared
    with those of earlier jobs with the same label, and what moves towards a limit is pointed
    out. Every answer is saved at once. The rating plate, local codes and the manufacturer's
    instructions come first.
    """
    if as_json and not as_list:
        raise click.UsageError("--json needs --list")
    from lightoff.cli.names import find_furnace, load_knowledge

    label = _understood(label)
    knowledge = load_knowledge()
    if as_list:
        _show_list(knowledge, furnace_id, label or "", folder, as_json)
        return
    from lightoff.cli import visiting

    named = None if furnace_id is None else find_furnace(knowledge, furnace_id)
    context.exit(visiting.new_visit(knowledge, named, folder, label))


def _understood(label: str | None) -> str | None:
    """A label with its spaces trimmed."""
    if label is None:
        return None
    from lightoff.cli.writing_down import LONGEST_NOTE

    label = " ".join(label.split())
    if len(label) > LONGEST_NOTE:
        raise click.UsageError(f"--label is longer than {LONGEST_NOTE} characters; shorten it")
    return label


def _show_list(
    knowledge: Knowledge, furnace_id: str | None, label: str, folder: Path | None, as_json: bool
) -> None:
    from lightoff.cli import screen, visit_list
    from lightoff.cli.names import find_furnace
    from lightoff.cli.prompts import usual_folder

    furnace = find_furnace(knowledge, furnace_id or os.environ.get("LIGHTOFF_FURNACE"))
    visit = visit_list.listed(knowledge, furnace, label, folder or usual_folder())
    if as_json:
        screen.json_out(visit_list.data(visit))
    else:
        visit_list.show(visit)
