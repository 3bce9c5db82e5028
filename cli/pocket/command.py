"""`lightoff pocket`: one page that runs the diagnosis of one type of furnace without a network."""

from __future__ import annotations

from pathlib import Path

import click

from lightoff.cli import screen
from lightoff.cli.options import json_option
from lightoff.cli.scenario.files import write_over, write_sheet


@click.command()
@click.argument("furnace_id", metavar="FURNACE")
@click.argument("file", metavar="FILE.html", type=click.Path(dir_okay=False, path_type=Path))
@click.option("--overwrite", is_flag=True, help="Replace FILE.html if it is there.")
@json_option
def pocket(furnace_id: str, file: Path, overwrite: bool, as_json: bool) -> None:
    """Write a page for a phone: it diagnoses without a signal.

    Put FILE.html on the phone and open it there: nothing is installed, nothing is sent. Its
    record is copied from the page and read in again with `lightoff job import`.

    \b
      lightoff pocket two-pipe-condensing furnace.html
    """  # noqa: D301
    from lightoff.cli import names
    from lightoff.cli.pocket.page import page_of
    from lightoff.cli.prompts import version
    from lightoff.engine.reasoning.diagnosis import Diagnosis

    if file.suffix.lower() not in (".html", ".htm"):
        raise click.UsageError(
            f"{file}: phones open a page by its ending; call it {file.stem}.html"
        )
    if file.exists() and not overwrite:
        raise click.UsageError(f"{file} is there already; --overwrite replaces it")
    knowledge = names.load_knowledge()
    furnace = names.find("furnace", furnace_id, knowledge.furnaces)
    page = page_of(Diagnosis.of(knowledge, furnace.id), version())
    _write(file, page, overwrite)
    size = len(page.encode())
    if as_json:
        screen.json_out({"furnace": furnace.id, "file": str(file), "bytes": size})
        return
    screen.say(f"Written: {file} ({size / 1000:.0f} kB), for {furnace.entry.name}.")
    screen.say("Put it on the phone and open it there before you go down to the furnace.", "next")


def _write(file: Path, page: str, overwrite: bool) -> None:
    """All of the page or, where it cannot be written, the file as it was."""
    if not (overwrite and file.exists()):
        write_sheet(file, page)
        return
    try:
        write_over(file, page)
    except OSError as error:
        raise click.ClickException(f"{file} cannot be written: {error.strerror}") from None
