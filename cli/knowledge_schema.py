"""`lightoff knowledge schema`: the JSON Schema of the files, for editors."""

from __future__ import annotations

from pathlib import Path

import click

from lightoff.cli import names, screen


@click.command()
@click.argument("kind", metavar="[KIND]", required=False)
@click.option(
    "--all",
    "folder",
    metavar="DIR",
    type=click.Path(file_okay=False, path_type=Path),
    help="Write those of all kinds into this folder, as KIND.json.",
)
def schema(kind: str | None, folder: Path | None) -> None:
    """Write the JSON Schema of a kind of file, for an editor.

    KIND is furnace, parts, checks, rules, repairs, setups, cautions, tools,
    sources, identify or scenario. An editor that reads it completes names of
    fields and marks what has the wrong shape; `check` finds all the rest.
    """
    from lightoff.engine.library.schema import FILES, text_of

    if (kind is None) == (folder is None):
        raise click.UsageError("name a kind of file, or give --all DIR")
    if kind is not None:
        names.find("kind of file", kind, FILES)
        click.echo(text_of(kind), nl=False)
    if folder is not None:
        written = write_all(folder)
        screen.say(f"Written: {written} schemas in {folder}.")


def write_all(folder: Path) -> int:
    """Write the schemas into a folder, over those of before; NotWrittenError, or how many."""
    from lightoff.cli.scenario.files import NotWrittenError, write_over
    from lightoff.engine.library.schema import FILES, text_of

    try:
        folder.mkdir(parents=True, exist_ok=True)
        for kind in FILES:
            write_over(folder / f"{kind}.json", text_of(kind))
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise NotWrittenError(f"{folder} cannot be written to: {reason}") from None
    return len(FILES)
