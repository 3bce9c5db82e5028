"""Options that several commands share."""

from __future__ import annotations

from pathlib import Path

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
journal_folder_option = click.option(
    "--journal-folder",
    "folder",
    metavar="DIR",
    type=click.Path(file_okay=False, path_type=Path),
    help="Where jobs are kept, instead of LIGHTOFF_HOME or the user's data folder.",
)
si_option = click.option("--si", is_flag=True, help="Show figures in SI units.")
