"""`lightoff practice`: work on a simulated furnace, marked at the end."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from lightoff.cli import names, screen
from lightoff.cli.options import data_folder_option

if TYPE_CHECKING:
    from lightoff.engine.model import Knowledge, Scenario
    from lightoff.engine.teaching.practice.store import Attempt

HIGHEST_SEED = 2**31 - 1


@click.command()
@click.argument("name", metavar="[SCENARIO]", required=False)
@click.option("--resume", type=click.IntRange(min=1), help="Go on with the attempt of a number.")
@click.option(
    "--at-once", is_flag=True, help="Show a watched call at once, instead of sped up before you."
)
@click.option("--made-up", is_flag=True, help="Make a scenario up, from what you are weak in.")
@click.option("--seed", type=click.IntRange(0, HIGHEST_SEED), help="Scatter and chance, to repeat.")
@data_folder_option
@click.pass_context
def practice(
    context: click.Context,
    name: str | None,
    resume: int | None,
    at_once: bool,
    made_up: bool,
    seed: int | None,
    folder: Path | None,
) -> None:
    """Find the fault of a simulated furnace, and be marked.

    SCENARIO is a shipped one (`lightoff scenario list`), a scenario file, or a
    sealed one. Without it, the next one is chosen from what you are weak in.
    Nothing before the end says what is wrong.
    """
    from lightoff.cli.practice.begin import talk
    from lightoff.engine.teaching.practice.store import StoreError

    if (name is not None) + (resume is not None) + made_up > 1:
        what = "give one of a scenario, --resume and --made-up"
        raise click.UsageError(what, context)
    knowledge = names.load_knowledge()
    try:
        context.exit(talk(knowledge, name, resume, seed, folder, at_once, made_up))
    except StoreError as error:
        raise click.ClickException(str(error)) from None


def scenario_named(name: str, knowledge: Knowledge) -> tuple[Scenario, bytes]:
    """The scenario of a name or a file, with its text; an error names no line of a sealed one."""
    from lightoff.engine.library.scenarios import scenario_files
    from lightoff.engine.teaching.practice.sealing import FIRST_LINE, SealError, unseal

    shipped = {path.stem: path for path in scenario_files()}
    path = shipped.get(name)
    if path is None:
        path = Path(name)
        if not path.is_file():
            raise names.unknown("scenario or file", name, shipped)
    try:
        raw = path.read_bytes()
    except OSError as error:
        raise click.ClickException(f"{name} cannot be read ({error.strerror})") from None
    if not raw.startswith(FIRST_LINE.encode()):
        return _read(path.stem, raw, knowledge, f"lightoff scenario check {name}"), raw
    try:
        stem, raw = unseal(raw.decode(errors="replace"))
    except SealError as error:
        raise click.ClickException(f"{name}: {error}; ask for it anew") from None
    return _read(stem, raw, knowledge, "ask whoever sealed it"), raw


def scenario_of_attempt(attempt: Attempt, knowledge: Knowledge) -> Scenario:
    """The scenario as it was when the attempt began."""
    from lightoff.engine.teaching.practice.sealing import SealError, unseal
    from lightoff.engine.teaching.practice.store import StoreError

    try:
        stem, raw = unseal(attempt.sealed)
    except SealError as error:
        raise StoreError(f"attempt {attempt.id}: {error}; begin a new one") from None
    return _read(stem, raw, knowledge, "begin a new attempt")


def _read(stem: str, raw: bytes, knowledge: Knowledge, mend: str) -> Scenario:
    """The scenario; its mistakes are not shown, for they would tell what it hides."""
    from lightoff.engine.library.scenarios import scenario_of
    from lightoff.engine.strict_yaml import parse

    scenario, problems = scenario_of(parse(raw, stem), stem, knowledge)
    if scenario is None:
        count = len(problems)
        raise click.ClickException(
            f"the scenario {screen.clean(stem)} has {count} mistake{'s' * (count != 1)}; {mend}"
        )
    return scenario
