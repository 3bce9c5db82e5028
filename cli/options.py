"""Options that several commands share."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import click

furnace_option = click.option(
    "--furnace", "furnace_id", metavar="ID", help="The type of furnace; not needed if there is one."
)
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
