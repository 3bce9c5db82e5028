"""Options that several commands share."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import click

furnace_option = click.option(
    "--furnace",
    "furnace_id",
    metavar="ID",
    envvar="LIGHTOFF_FURNACE",
    help="The type of furnace; else LIGHTOFF_FURNACE, or the only one there is.",
)
this_furnace_option = click.option(
    "--furnace", "furnace_id", metavar="ID", help="The type of furnace that is before you."
)
"""Of a real furnace: never taken from the environment, where another one may be left over."""
faults_option = click.option(
    "--fault",
    "fault_ids",
    metavar="PART.FAULT",
    multiple=True,
    help="A fault it has; give the option again for more.",
)
json_option = click.option("--json", "as_json", is_flag=True, help="Write JSON, in SI units.")


def folder_option(name: str, kept: str) -> Callable[[Any], Any]:
    """The option that says where something is kept."""
    return click.option(
        name,
        "folder",
        metavar="DIR",
        type=click.Path(file_okay=False, path_type=Path),
        help=f"Where {kept} are kept, instead of LIGHTOFF_HOME or the user's data folder.",
    )


journal_folder_option = folder_option("--journal-folder", "jobs")
data_folder_option = folder_option("--data-folder", "attempts")
si_option = click.option("--si", is_flag=True, help="Show figures in SI units.")


# --- options of a furnace -------------------------------------------------------------


@contextmanager
def environment(name: str, value: str) -> Iterator[None]:
    """A variable of the environment is so meanwhile, in worker processes as well."""
    before = os.environ.get(name)
    os.environ[name] = value
    try:
        yield
    finally:
        if before is None:
            del os.environ[name]
        else:
            os.environ[name] = before


def _choose(context: click.Context, parameter: click.Parameter, texts: tuple[str, ...]) -> None:
    from lightoff.engine.library import options

    if texts:
        context.with_resource(environment(options.ENVIRONMENT, ",".join(texts)))
    try:
        options.chosen()
    except ValueError as error:
        raise click.UsageError(str(error)) from None


choices_option = click.option(
    "--option",
    metavar="OPTION=CHOICE",
    multiple=True,
    callback=_choose,
    expose_value=False,
    help="Gas, altitude and such where not the usual; see `knowledge show furnace`.",
)
"""For what looks at a type of furnace; a job is about a furnace that has its own file."""


# --- knowledge of one's own -----------------------------------------------------------


def _lay_over(context: click.Context, parameter: click.Parameter, folder: Path | None) -> None:
    if folder is not None:
        from lightoff.engine.library.overlay import ENVIRONMENT

        context.with_resource(environment(ENVIRONMENT, str(folder.absolute())))
        context.meta[KNOWLEDGE] = folder


KNOWLEDGE = "lightoff.knowledge"
"""Where the context of a command keeps the folder that was given to the option."""

knowledge_option = click.option(
    "--knowledge",
    metavar="DIR",
    type=click.Path(exists=True, file_okay=False, path_type=Path),
    callback=_lay_over,
    expose_value=False,
    help="Knowledge of your own, laid over the shipped one; else LIGHTOFF_KNOWLEDGE.",
)


def with_knowledge(command: click.Command) -> click.Command:
    """The command, it and all commands in it with the option of a folder of one's own."""
    if isinstance(command, click.Group):
        for each in command.commands.values():
            with_knowledge(each)
    elif not any("--knowledge" in each.opts for each in command.params):
        knowledge_option(command)
    return command
