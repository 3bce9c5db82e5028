"""`lightoff progress`: what was practised, how marks moved, what is weak; handing in."""

from __future__ import annotations

from pathlib import Path
from statistics import fmean
from typing import TYPE_CHECKING

import click

from lightoff.cli import screen
from lightoff.cli.options import data_folder_option, json_option

if TYPE_CHECKING:
    from lightoff.engine.teaching.practice.progress import Closed
    from lightoff.engine.teaching.practice.store import Attempt, Store

COLUMNS = ("no.", "begun", "scenario", "level", "marks", "safe", "min")
LAST_SHOWN = 15


@click.group(invoke_without_command=True)
@json_option
@data_folder_option
@click.pass_context
def progress(context: click.Context, as_json: bool, folder: Path | None) -> None:
    """Show what you practised, how your marks moved, and what is weak."""
    context.obj = folder
    if context.invoked_subcommand is None:
        _guarded(folder, lambda store: _show(store, as_json))


@progress.command()
@click.argument("number", type=click.IntRange(min=1))
@click.argument("file", type=click.Path(dir_okay=False, path_type=Path))
@click.option("--as", "who", metavar="NAME", help="Your name; that of the file if left out.")
@data_folder_option
@click.pass_context
def export(
    context: click.Context, number: int, file: Path, who: str | None, folder: Path | None
) -> None:
    """Write the attempt NUMBER to FILE, to hand in. Only a closed one is marked."""
    folder = folder or context.obj
    _guarded(folder, lambda store: _export(store, number, file, who))


def _guarded(folder: Path | None, work: object) -> None:
    """Do something with the store; its errors in one line."""
    from lightoff.cli.practice.begin import attempts_file
    from lightoff.engine.teaching.practice.store import Store, StoreError

    assert callable(work)
    try:
        with Store(attempts_file(folder)) as store:
            work(store)
    except StoreError as error:
        raise click.ClickException(str(error)) from None


def _closed(store: Store) -> tuple[list[Attempt], list[Closed]]:
    from lightoff.engine.teaching.practice.progress import closed_of
    from lightoff.engine.teaching.practice.store import StoreError

    attempts = store.attempts()
    try:
        return attempts, closed_of(attempts)
    except ValueError as error:
        raise StoreError(f"{store.path}: the file is damaged ({error})") from None


def _show(store: Store, as_json: bool) -> None:
    attempts, closed = _closed(store)
    if as_json:
        screen.json_out(_data(attempts, closed))
    elif not attempts:
        screen.say("Nothing was practised yet. Begin with: lightoff practice")
    else:
        _show_attempts(attempts, closed)
        _show_areas(closed)
        screen.say("Next: lightoff practice")


def _data(attempts: list[Attempt], closed: list[Closed]) -> dict[str, object]:
    import msgspec

    from lightoff.engine.teaching.practice.progress import by_area, level_of, weak_areas

    return {
        "open": [
            {"number": each.id, "scenario": each.scenario, "begun": each.began}
            for each in attempts
            if each.summary is None
        ],
        "closed": [
            {"number": each.attempt.id, "begun": each.attempt.began}
            | msgspec.to_builtins(each.summary)
            for each in closed
        ],
        "areas": by_area(closed),
        "weak": weak_areas(closed),
        "level": level_of(closed),
    }


def _show_attempts(attempts: list[Attempt], closed: list[Closed]) -> None:
    rows = [
        (
            str(each.attempt.id),
            each.attempt.began[:10],
            each.summary.scenario,
            each.summary.level,
            f"{each.summary.total:.0f}",
            "yes" if each.summary.safe else "NO",
            f"{each.summary.minutes:.0f}",
        )
        for each in closed[-LAST_SHOWN:]
    ]
    if rows:
        screen.table(COLUMNS, rows)
    for each in attempts:
        if each.summary is None:
            screen.say(
                f"Attempt {each.id} ({each.scenario}) is not closed: "
                f"lightoff practice --resume {each.id}",
                "note",
            )


def _show_areas(closed: list[Closed]) -> None:
    from lightoff.engine.teaching.practice.progress import (
        LAST,
        by_area,
        level_of,
        weak_areas,
    )

    if not closed:
        return
    if len(closed) >= 2 * LAST:
        first, last = closed[:LAST], closed[-LAST:]
        was, now = fmean(each.earned for each in first), fmean(each.earned for each in last)
        screen.say(f"First {LAST}: {was:.0f} of 100. Last {LAST}: {now:.0f} of 100.")
    weak = weak_areas(closed)
    marks = by_area(closed)
    for area in weak:
        screen.say(f"Weak: {area}, {fmean(marks[area][-LAST:]):.0f} of 100.", "warn")
    if not weak:
        screen.say("No area you practised is weak.")
    screen.say(f"Your level now: {level_of(closed)}. Unsafe work counts as 0.")


def _export(store: Store, number: int, file: Path, who: str | None) -> None:
    from lightoff.cli.scenario.files import write_sheet
    from lightoff.engine.teaching.practice import handed_in
    from lightoff.engine.teaching.practice.store import StoreError
    from lightoff.engine.teaching.practice.summary import read_summary

    attempt = store.attempt(number)
    if attempt.summary is None:
        raise StoreError(f"attempt {number} is not closed: lightoff practice --resume {number}")
    content = handed_in.encode(
        who or file.stem, attempt, read_summary(attempt.summary), store.acts(number)
    )
    write_sheet(file, content.decode())
    screen.say(f"Written: {file}. Hand it in as it is: a change shows.")
