"""`lightoff scenario`: the scenarios there are, and whether one holds."""

from __future__ import annotations

from functools import cache, partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from lightoff.cli import names, screen
from lightoff.cli.options import json_option
from lightoff.cli.scenario.seal import seal

if TYPE_CHECKING:
    from lightoff.engine.model import Knowledge, Scenario
    from lightoff.engine.strict_yaml import Problem

Data = dict[str, Any]

COLUMNS = ("id", "level", "minutes", "title")


@click.group(context_settings={"max_content_width": 80})
def scenario() -> None:
    """List, write, check and hand out scenarios."""


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


# --- new -------------------------------------------------------------------------------


@scenario.command()
@click.argument("file", metavar="[FILE]", required=False, type=click.Path(path_type=Path))
@click.pass_context
def new(context: click.Context, file: Path | None) -> None:
    """Write a new scenario, question by question, and check it.

    Each answer is kept in FILE.draft at once; after Ctrl-C the same command goes
    on from there. A file that is there already is written over only if you say so.
    """
    from lightoff.cli.scenario.new import write_anew

    context.exit(write_anew(names.load_knowledge(), file))


# --- check -----------------------------------------------------------------------------


@scenario.command()
@click.argument(
    "files", metavar="[FILE]...", nargs=-1, type=click.Path(dir_okay=False, path_type=Path)
)
@json_option
@click.pass_context
def check(context: click.Context, files: tuple[Path, ...], as_json: bool) -> None:
    """Check that scenarios fail as told and can be solved and marked.

    FILE may also be the name of a scenario that comes with the program; without
    FILE all of those are checked. The program plays
    the apprentice, with the tools in the bag, while every hidden fault shows.
    Exit 1 if a file has mistakes or a scenario is refused. It tells the answer:
    this is for instructors.
    """
    from lightoff.cli.scenario import page as scenario_page
    from lightoff.engine.library import scenarios
    from lightoff.engine.reasoning.diagnosis import Diagnosis
    from lightoff.engine.teaching.check import check_scenario

    known = names.load_knowledge()
    diagnosis = cache(partial(Diagnosis.of, known))
    results: list[Data] = []
    sound = True
    given = [(str(each), _file(each)) for each in files]
    for name, path in given or [(each.name, each) for each in scenarios.scenario_files()]:
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
@click.option("--html", "as_html", is_flag=True, help="One HTML page to print, not Markdown.")
@click.option(
    "-o",
    "--output",
    metavar="NEW",
    type=click.Path(path_type=Path),
    help="Write to a new file, not to the screen.",
)
@click.pass_context
def sheet(
    context: click.Context, given: Path, with_key: bool, as_html: bool, output: Path | None
) -> None:
    """Write the apprentice's handout of a scenario, in Markdown or HTML.

    FILE may also be the name of a scenario that comes with the program.
    Nothing in the handout says what is wrong; the key says all of it. Exit 1 if
    the file has mistakes, or if the key is of a scenario that is refused.
    """
    from lightoff.cli.scenario import files as scenario_files
    from lightoff.cli.scenario import html as scenario_html
    from lightoff.cli.scenario import sheet as scenario_sheet
    from lightoff.engine.library import scenarios
    from lightoff.engine.reasoning.diagnosis import Diagnosis
    from lightoff.engine.teaching.check import check_scenario

    known = names.load_knowledge()
    found, problems = scenarios.read_scenario(_file(given), known, given.name)
    for problem in problems:
        click.echo(screen.clean(str(problem)), err=True)
    if found is None:
        context.exit(1)
    sound = True
    if with_key:
        checked = check_scenario(found, Diagnosis.of(known, found.furnace.id))
        written, sound = scenario_sheet.key(known, checked), checked.is_sound
    else:
        written = scenario_sheet.handout(known, found)
    text = scenario_html.page(written) if as_html else scenario_sheet.markdown(written)
    if output is None:
        click.echo(text, nl=False)
    else:
        scenario_files.write_sheet(output, text)
    context.exit(0 if sound else 1)


def _file(given: Path) -> Path:
    """A file as given, or that of a shipped scenario; WrongNameError if it is neither."""
    from lightoff.engine.library import scenarios

    if given.exists():
        return given
    return names.find(
        "scenario or file", str(given), {p.stem: p for p in scenarios.scenario_files()}
    )


scenario.add_command(seal)
