"""`lightoff scenario`: the scenarios there are, and whether one holds."""

from __future__ import annotations

from functools import cache, partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from lightoff.cli import names, screen
from lightoff.cli.options import json_option

if TYPE_CHECKING:
    from lightoff.engine.model import Knowledge, Scenario
    from lightoff.engine.strict_yaml import Problem

Data = dict[str, Any]

COLUMNS = ("id", "level", "minutes", "title")


@click.group(context_settings={"max_content_width": 80})
def scenario() -> None:
    """List scenarios for apprentices, check one, or write its sheets."""


# --- list ------------------------------------------------------------------------------


@scenario.command("list")
@json_option
@click.pass_context
def list_(context: click.Context, as_json: bool) -> None:
    """List the scenarios that come with the program, easy ones first.

    Nothing in it says what is wrong with the furnace.
    """
    found, problems = _shipped(names.load_knowledge())
    if as_json:
        screen.json_out([_listed(each) for each in found])
    elif found:
        rows = [_listed(each) for each in found]
        screen.table(COLUMNS, [[_cell(row[column]) for column in COLUMNS] for row in rows])
    elif not problems:
        screen.say("There are no scenarios.", stderr=True)
    for problem in problems:
        click.echo(screen.clean(str(problem)), err=True)
    context.exit(1 if problems else 0)


def _shipped(known: Knowledge) -> tuple[list[Scenario], list[Problem]]:
    """The shipped scenarios by level and id, and the mistakes in their files."""
    from lightoff.engine.library import scenarios

    read = [scenarios.read_scenario(path, known, path.name) for path in scenarios.scenario_files()]
    found = [each for each, _ in read if each is not None]
    return sorted(found, key=_by_level), [problem for _, some in read for problem in some]


def _by_level(scenario: Scenario) -> tuple[int, str]:
    from typing import get_args

    from lightoff.engine.entries.scenarios import Level

    return get_args(Level).index(scenario.entry.level), scenario.id


def _listed(scenario: Scenario) -> Data:
    entry = scenario.entry
    return {
        "id": scenario.id,
        "title": entry.title,
        "level": entry.level,
        "furnace": scenario.furnace.id,
        "minutes": entry.minutes,
    }


def _cell(value: object) -> str:
    return f"{value:g}" if isinstance(value, float | int) else str(value)


# --- check -----------------------------------------------------------------------------


@scenario.command()
@click.argument(
    "files",
    metavar="[FILE]...",
    nargs=-1,
    type=click.Path(exists=True, dir_okay=False, path_type=Path),
)
@json_option
@click.pass_context
def check(context: click.Context, files: tuple[Path, ...], as_json: bool) -> None:
    """Check that scenarios fail as told and can be solved and marked.

    Without FILE it checks those that come with the program. The program plays
    the apprentice, with the tools in the bag, while every hidden fault shows.
    Exit 1 if a file has mistakes or a scenario is refused. It tells the answer:
    this is for instructors.
    """
    from lightoff.cli import scenario_page
    from lightoff.engine.library import scenarios
    from lightoff.engine.reasoning.diagnosis import Diagnosis
    from lightoff.engine.teaching.check import check_scenario

    known = names.load_knowledge()
    diagnosis = cache(partial(Diagnosis.of, known))
    results: list[Data] = []
    sound = True
    for path in files or scenarios.scenario_files():
        name = str(path) if files else path.name
        found, problems = scenarios.read_scenario(path, known, name)
        checked = None if found is None else check_scenario(found, diagnosis(found.furnace.id))
        sound = sound and checked is not None and checked.is_sound
        if as_json:
            results.append(scenario_page.checked_data(name, checked, problems))
        else:
            scenario_page.show_checked(name, checked, problems)
    if as_json:
        screen.json_out(results)
    context.exit(0 if sound else 1)


# --- sheet -----------------------------------------------------------------------------


@scenario.command()
@click.argument("given", metavar="FILE", type=click.Path(dir_okay=False, path_type=Path))
@click.option("--key", "with_key", is_flag=True, help="The instructor's key instead.")
@click.pass_context
def sheet(context: click.Context, given: Path, with_key: bool) -> None:
    """Write the apprentice's handout of a scenario, in Markdown.

    FILE may also be the name of a scenario that comes with the program.
    Nothing in the handout says what is wrong; the key says all of it. Exit 1 if
    the file has mistakes, or if the key is of a scenario that is refused.
    """
    from lightoff.cli import scenario_sheet
    from lightoff.engine.library import scenarios
    from lightoff.engine.reasoning.diagnosis import Diagnosis
    from lightoff.engine.teaching.check import check_scenario

    known = names.load_knowledge()
    found, problems = scenarios.read_scenario(_file(given), known, given.name)
    for problem in problems:
        click.echo(screen.clean(str(problem)), err=True)
    if found is None:
        context.exit(1)
    if not with_key:
        click.echo(scenario_sheet.handout(known, found), nl=False)
        return
    checked = check_scenario(found, Diagnosis.of(known, found.furnace.id))
    click.echo(scenario_sheet.key(known, checked), nl=False)
    context.exit(0 if checked.is_sound else 1)


def _file(given: Path) -> Path:
    """A file as given, or that of a shipped scenario; WrongNameError if it is neither."""
    from lightoff.engine.library import scenarios

    if given.exists():
        return given
    return names.find(
        "scenario or file", str(given), {p.stem: p for p in scenarios.scenario_files()}
    )
