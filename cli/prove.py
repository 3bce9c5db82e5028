"""`lightoff prove`: what a repair demands to be proved, with the verdict on readings."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from lightoff.cli.options import (
    choices_option,
    furnace_option,
    journal_folder_option,
    json_option,
)

if TYPE_CHECKING:
    from lightoff.engine.model import Furnace, Knowledge
    from lightoff.engine.reasoning.belief import Finding
    from lightoff.engine.service.proving import Item


@click.command()
@furnace_option
@choices_option
@click.option(
    "--repair",
    "repairs",
    metavar="ID",
    multiple=True,
    help="The repair that was done; give the option again for a second one.",
)
@click.option(
    "--plate",
    "figures",
    metavar="NAME=FIGURE",
    multiple=True,
    help="A figure read off the furnace, such as manifold=3.5 inwc; see k in a job.",
)
@click.option(
    "--readings",
    "path",
    metavar="FILE",
    type=click.Path(exists=True, dir_okay=False, path_type=Path),
    help="What was tried, as YAML: `carbon-monoxide: 30 ppm`, one a line.",
)
@json_option
@journal_folder_option
@click.pass_context
def prove(
    context: click.Context,
    furnace_id: str | None,
    repairs: Sequence[str],
    figures: Sequence[str],
    path: Path | None,
    as_json: bool,
    folder: Path | None,
) -> None:
    """Prove a repair: readings within the plate, safeties tested.

    Without --repair it takes up the job that waits to be proved, and asks. With --repair it
    lists what that repair demands on the furnace, and with --readings it says what is good;
    exit 0 if all is proved, else 1. The rating plate, local codes and the manufacturer's
    instructions come first.
    """
    from lightoff.cli.names import find, find_furnace, load_knowledge

    knowledge = load_knowledge()
    if not repairs:
        if path is not None or figures or as_json:
            raise click.UsageError("--readings, --plate and --json need --repair ID")
        from lightoff.cli import prompts

        context.exit(prompts.resumed_job(knowledge, folder, to_prove=True))
    furnace = find_furnace(knowledge, furnace_id)
    for repair in repairs:
        find("repair", repair, knowledge.repairs)
    knowledge = _rated(knowledge, furnace, figures)
    from lightoff.engine.service.proving import demanded

    items = demanded(knowledge, furnace.id, repairs)
    tried = None if path is None else _tried(items, path)
    if as_json:
        from lightoff.cli import screen

        screen.json_out(data(furnace, repairs, items, tried))
    else:
        _show(knowledge, furnace, repairs, items, tried)
    context.exit(1 if tried is not None and not _all_good(items, tried) else 0)


def _rated(knowledge: Knowledge, furnace: Furnace, figures: Sequence[str]) -> Knowledge:
    """The knowledge with what was read off the furnace."""
    from lightoff.cli.names import find
    from lightoff.engine.library import load_rated
    from lightoff.engine.library.rated import RatingError, ratings_for, understood
    from lightoff.engine.service.proving import runs

    known = {rating.id: rating for rating in ratings_for(knowledge, furnace)}
    read = []
    for text in figures:
        name, equals, figure = text.partition("=")
        if not equals:
            raise click.UsageError(f"{text[:60]!r} is no figure; write it as manifold=3.5 inwc")
        rating = find("figure of this furnace's plate", name.strip(), known)
        try:
            read.append((rating.id, understood(furnace, rating, figure)))
        except RatingError as error:
            raise click.UsageError(f"{name.strip()}: {error}") from None
    rated = load_rated(knowledge, furnace.id, read)
    if not runs(rated.furnaces[furnace.id]):
        raise click.UsageError("a sound furnace of this type would not run with these figures")
    return rated


Tried = dict[str, "Finding"]
"""What was tried, by item."""


def _tried(items: Sequence[Item], path: Path) -> Tried:
    from lightoff.engine.reasoning.findings_file import read_findings

    checks = {item.id: item.check for item in items}
    findings, problems = read_findings(path, checks)
    if problems:
        mistakes = "\n".join(map(str, problems))
        raise click.ClickException(f"the readings have mistakes\n{mistakes}")
    by_check = {finding.check: finding for finding in findings}
    return {item.id: by_check[item.check.id] for item in items if item.check.id in by_check}


def _verdict(item: Item, tried: Tried) -> str:
    """`good`, `out`, or "" for what was not tried or is not known."""
    from lightoff.engine.reasoning.proof import outcome_of

    if item.id not in tried or tried[item.id].outcome is None:
        return ""
    return item.verdict(outcome_of(item, tried[item.id]))


def _all_good(items: Sequence[Item], tried: Tried) -> bool:
    return all(_verdict(item, tried) == "good" for item in items)


def data(
    furnace: Furnace, repairs: Sequence[str], items: Sequence[Item], tried: Tried | None
) -> dict[str, Any]:
    """The list for JSON; bands and what is expected in SI units."""
    from lightoff.cli.proof_list import item_data

    return {
        "furnace": furnace.id,
        "repairs": list(repairs),
        "proven": tried is not None and _all_good(items, tried),
        "items": [{**item_data(item), **_tried_data(item, tried or {})} for item in items],
    }


def _tried_data(item: Item, tried: Tried) -> dict[str, Any]:
    return {
        "entered": tried[item.id].entered if item.id in tried else None,
        "verdict": _verdict(item, tried) or None,
    }


def _show(
    knowledge: Knowledge,
    furnace: Furnace,
    repairs: Sequence[str],
    items: Sequence[Item],
    tried: Tried | None,
) -> None:
    from lightoff.cli import lines, screen, wording
    from lightoff.cli.proof_list import item_lines

    titles = "; ".join(knowledge.repairs[each].title for each in repairs)
    screen.say(f"To be proved on {furnace.entry.name}, after: {titles}.", "head")
    hazards = dict.fromkeys(each for item in items for each in item.check.entry.hazards)
    for hazard in hazards:
        screen.say(f"Caution: {knowledge.cautions[hazard].short}", "warn", indent=2, hang=2)
    for number, item in enumerate(items, start=1):
        verdict = "" if tried is None else _verdict(item, tried)
        style = {"good": "good", "out": "bad"}.get(verdict, "")
        lines.show(item_lines(number, item, with_how=tried is None))
        if tried is not None:
            found = tried[item.id].entered if item.id in tried else "not tried"
            screen.say(f"{found}: {verdict or 'not proved'}", style or "warn", indent=4, hang=2)
        if verdict == "out":
            screen.say(item.proof.out, indent=4, hang=2)
    minutes = wording.minutes_in_words(sum(item.check.entry.minutes for item in items))
    screen.say(knowledge.cautions["standing-note"].short, "note")
    if tried is None:
        screen.say(f"{wording.count(len(items), 'thing')}, about {minutes}.", "next")
    elif _all_good(items, tried):
        screen.say("All of it is good: proved.", "good")
    else:
        screen.say("Not proved.", "bad")
