"""`lightoff study`: every fault diagnosed by the program against the simulated furnace."""

from __future__ import annotations

from importlib.util import find_spec
from math import isfinite
from pathlib import Path
from typing import TYPE_CHECKING

import click

from lightoff.cli import screen
from lightoff.cli.options import json_option

if TYPE_CHECKING:
    from collections.abc import Sequence

    from lightoff.cli.study_run import Study
    from lightoff.engine.model import Furnace, Knowledge

PAGE_NEEDS = ("matplotlib", "jinja2")

file_path = click.Path(dir_okay=False, path_type=Path)


@click.command()
@click.option(
    "--furnace",
    "furnace_ids",
    metavar="ID",
    multiple=True,
    help="A type of furnace; give the option again for more. All, if left out.",
)
@click.option(
    "--fault",
    "fault_ids",
    metavar="PART.FAULT",
    multiple=True,
    help="Only what holds this fault; give the option again for more.",
)
@click.option("--pairs", is_flag=True, help="Every two faults at once as well.")
@click.option(
    "--seeds",
    metavar="N",
    type=click.IntRange(min=1),
    default=1,
    help="Diagnoses of each, with other wrong answers each time.",
)
@click.option(
    "--errors",
    metavar="SHARE",
    type=click.FloatRange(0.0, 1.0),
    default=0.0,
    help="Share of the answers that are misread, such as 0.03.",
)
@click.option("--out", metavar="FILE", type=file_path, help="Keep every outcome as a JSON line.")
@click.option("--page", metavar="FILE", type=file_path, help="Write an HTML page with plots.")
@click.option(
    "--against",
    metavar="FILE",
    type=click.Path(exists=True, dir_okay=False, path_type=Path),
    help="Show what differs from outcomes kept earlier.",
)
@click.option(
    "--workers",
    metavar="N",
    type=click.IntRange(min=1),
    help="Processes here; as many as there are cores, if left out.",
)
@click.option("--cluster", metavar="ADDRESS", help="Work on a Dask cluster, not here.")
@json_option
@click.pass_context
def study(
    context: click.Context,
    furnace_ids: Sequence[str],
    fault_ids: Sequence[str],
    pairs: bool,
    seeds: int,
    errors: float,
    out: Path | None,
    page: Path | None,
    against: Path | None,
    workers: int | None,
    cluster: str | None,
    as_json: bool,
) -> None:
    """Diagnose every fault against the simulated furnace.

    The figures say how often the advice is right, after how many checks and minutes,
    what is confused with what, and where the time goes. Means count each fault by how
    often it occurs.

    Whoever changes knowledge keeps the outcomes of before and compares:

    \b
      lightoff study --out before.jsonl
      lightoff study --out after.jsonl --against before.jsonl

    Stopped and run again with the same --out, it goes on where it was. Exit 1 if a
    diagnosis broke down, or with --against if one that was right is wrong now.
    """  # noqa: D301
    from lightoff.cli import study_out, study_places, study_run
    from lightoff.cli.names import load_knowledge
    from lightoff.engine.reasoning.study.tasks import tasks

    _check_use(seeds, errors, out, page, against, workers, cluster)
    knowledge = load_knowledge()
    furnaces = _furnaces(knowledge, furnace_ids)
    _check_faults(furnaces, fault_ids)
    asked = [task for each in furnaces for task in tasks(each, pairs, seeds, errors, fault_ids)]
    place = study_places.place_for(cluster, workers)
    done = study_run.study(furnaces, asked, place, out, against)
    if done.left:
        _say_how_to_go_on(context, done, out)
    if page:
        from lightoff.cli.study_page import write_page

        write_page(page, knowledge, done)
    study_out.show(done, as_json)
    context.exit(1 if done.failed or done.became_wrong else 0)


def _check_use(
    seeds: int,
    errors: float,
    out: Path | None,
    page: Path | None,
    against: Path | None,
    workers: int | None,
    cluster: str | None,
) -> None:
    """Refuse options that do not go together, before anything is worked out."""
    if not isfinite(errors):
        raise click.UsageError("--errors is a share from 0 to 1, such as 0.03")
    if seeds > 1 and not errors:
        raise click.UsageError("without wrong answers all seeds come out the same; give --errors")
    if workers and cluster:
        raise click.UsageError("--workers counts processes here; leave it out with --cluster")
    if page is not None and page in (out, against):
        raise click.UsageError("--page would overwrite the outcomes; give it another file")
    if page is not None:
        _require_page_libraries()


def _require_page_libraries() -> None:
    missing = [name for name in PAGE_NEEDS if find_spec(name) is None]
    if missing:
        raise click.ClickException(
            f"--page needs {' and '.join(missing)}; install with: pip install 'lightoff[study]'"
        )


def _furnaces(knowledge: Knowledge, ids: Sequence[str]) -> list[Furnace]:
    from lightoff.cli.names import find

    if not ids:
        return list(knowledge.furnaces.values())
    return [find("furnace", name, knowledge.furnaces) for name in dict.fromkeys(ids)]


def _check_faults(furnaces: Sequence[Furnace], ids: Sequence[str]) -> None:
    from lightoff.cli.names import find

    known = {fault: furnace for furnace in furnaces for fault in furnace.faults}
    for name in ids:
        find("fault", name, known)


def _say_how_to_go_on(context: click.Context, done: Study, out: Path | None) -> None:
    kept = f"; they are in {out}. Run the same command again to go on" if out else ""
    lost = "" if out else "; nothing was kept. Give --out FILE to be able to go on"
    line = f"Stopped: {done.done} of {done.done + done.left} diagnoses are done{kept}{lost}."
    screen.say(line, stderr=True)
    from lightoff.cli.main import STOPPED

    context.exit(STOPPED)
