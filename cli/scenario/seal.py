"""`lightoff scenario seal`: a scenario to hand out that cannot be read by eye."""

from __future__ import annotations

from pathlib import Path

import click

from lightoff.cli import names, screen


@click.command()
@click.argument("name", metavar="NAME")
@click.argument("file", metavar="[FILE]", required=False, type=click.Path(path_type=Path))
def seal(name: str, file: Path | None) -> None:
    """Write a scenario so that it cannot be read by eye, to hand it out.

    NAME is a scenario file or a shipped one; FILE is NAME.sealed if left out. An
    apprentice practises it with `lightoff practice FILE`. The seal keeps the
    answer from being seen by opening the file and shows a change. It is no
    secret: whoever has this program and knows how can take it off.
    """
    from lightoff.cli.practice.command import scenario_named
    from lightoff.cli.scenario.files import write_sheet
    from lightoff.engine.teaching.practice import sealing

    scenario, raw = scenario_named(name, names.load_knowledge())
    file = file or Path(f"{scenario.id}{sealing.SUFFIX}")
    write_sheet(file, sealing.seal(scenario.id, raw))
    screen.say(f"Written: {file}. To work on it: lightoff practice {file}")
