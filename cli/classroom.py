"""`lightoff class`: a table of the attempts that were handed in."""

from __future__ import annotations

import csv
import io
from pathlib import Path
from typing import TYPE_CHECKING

import click

from lightoff.cli import names, screen

if TYPE_CHECKING:
    from lightoff.engine.model import Knowledge
    from lightoff.engine.teaching.practice.progress import Closed

COLUMNS = ("who", "weak in", "attempts", "mean", "last", "unsafe")
NOTE = "Marks of 100; unsafe work counts as 0."
MOST = 8


@click.command("class")
@click.argument(
    "folders",
    metavar="FOLDER...",
    nargs=-1,
    required=True,
    type=click.Path(exists=True, file_okay=False, path_type=Path),
)
@click.option("--csv", "as_csv", is_flag=True, help="Write a table for a spreadsheet.")
@click.option("--html", "as_html", is_flag=True, help="Write one page to print.")
@click.pass_context
def class_(context: click.Context, folders: tuple[Path, ...], as_csv: bool, as_html: bool) -> None:
    """Show how a class gets on.

    Who is where, which checks it wastes, which faults it confuses.

    Reads every attempt (*.attempt) in the folders and below. What is damaged is
    named and left out; exit 1 then.
    """
    if as_csv and as_html:
        raise click.UsageError("give --csv or --html, not both", context)
    knowledge = names.load_knowledge()
    people, faults, changed = _read(folders)
    for said in (*faults, *changed):
        click.echo(screen.clean(said), err=True)
    if not people:
        raise click.ClickException("no attempt was found; they end in .attempt")
    if as_csv:
        print(_csv(people), end="")
    elif as_html:
        print(_html(knowledge, people), end="")
    else:
        _show(knowledge, people)
    context.exit(1 if faults else 0)


def _read(
    folders: tuple[Path, ...],
) -> tuple[dict[str, list[Closed]], list[str], list[str]]:
    """Who -> attempts, oldest first; what is wrong with files; scenarios changed since.

    A copy counts once.
    """
    from lightoff.engine.library.scenarios import scenario_files
    from lightoff.engine.teaching.practice import handed_in, sealing
    from lightoff.engine.teaching.practice.progress import Closed
    from lightoff.engine.teaching.practice.store import Attempt

    now = {path.stem: sealing.digest_of(path.read_bytes()) for path in scenario_files()}
    people: dict[str, dict[tuple[str, str], Closed]] = {}
    faults, changed = [], []
    for path in sorted({p for folder in folders for p in folder.rglob(f"*{handed_in.SUFFIX}")}):
        try:
            found = handed_in.read(path)
        except handed_in.HandedInError as error:
            faults.append(str(error))
            continue
        if now.get(found.scenario, found.digest) != found.digest:
            changed.append(f"{path}: {found.scenario} was changed since; the marks are of then")
        attempt = Attempt(0, found.scenario, "", found.digest, 0, found.version, found.began, None)
        own = people.setdefault(found.who, {})
        own[found.scenario, found.began] = Closed(attempt, found.summary)
    return (
        {
            who: sorted(own.values(), key=lambda each: each.attempt.began)
            for who, own in sorted(people.items())
        },
        faults,
        changed,
    )


def _rows(people: dict[str, list[Closed]]) -> list[tuple[str, ...]]:
    from lightoff.engine.teaching.practice.progress import standing_of

    rows: list[tuple[str, ...]] = []
    for who, closed in people.items():
        each = standing_of(who, closed)
        rows.append(
            (
                each.who,
                ", ".join(each.weak) or "nothing",
                str(each.attempts),
                f"{each.mean:.0f}",
                f"{each.last:.0f}",
                str(each.unsafe),
            )
        )
    return rows


def _findings(knowledge: Knowledge, people: dict[str, list[Closed]]) -> list[tuple[str, list[str]]]:
    """Heads with lines: checks that were wasted, faults that were confused."""
    from lightoff.engine.teaching.practice.progress import confused, wasted_checks

    closed = [each for own in people.values() for each in own]
    asks = {id_: c.entry.ask for checks in knowledge.checks.values() for id_, c in checks.items()}

    def titled(repair: str) -> str:
        return knowledge.repairs[repair].title if repair in knowledge.repairs else repair

    wasted = [f"{n} times: {asks.get(check, check)}" for check, n in wasted_checks(closed).items()]
    mistaken = [
        f"{n} times: {titled(blamed)}, where it was: {titled(needed)}"
        for (needed, blamed), n in confused(closed).items()
    ]
    return [
        ("Checks that could tell nothing new", wasted[:MOST] or ["None."]),
        ("Blamed instead of what it was", mistaken[:MOST] or ["Nothing."]),
    ]


def _show(knowledge: Knowledge, people: dict[str, list[Closed]]) -> None:
    screen.table(COLUMNS, _rows(people))
    for head, lines in _findings(knowledge, people):
        screen.say(head, "head")
        for line in lines:
            screen.say(line, indent=2, hang=2)
    screen.say(NOTE, "note")


def _csv(people: dict[str, list[Closed]]) -> str:
    """One line per attempt. A text that a spreadsheet would run is made plain text."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    head = ("who", "begun", "scenario", "level", "marks", "safe", "minutes", "allowed", "hints")
    writer.writerow((*head, "needed", "blamed"))
    for who, closed in people.items():
        for each in closed:
            found = each.summary
            cells = (
                who,
                each.attempt.began,
                found.scenario,
                found.level,
                f"{found.total:g}",
                "yes" if found.safe else "no",
                f"{found.minutes:g}",
                f"{found.allowed:g}",
                str(found.hints),
                " ".join(found.needed),
                " ".join(found.blamed),
            )
            writer.writerow([_harmless(cell) for cell in cells])
    return out.getvalue()


def _harmless(cell: str) -> str:
    return f"'{cell}" if cell.lstrip()[:1] in ("=", "+", "-", "@") else cell


def _html(knowledge: Knowledge, people: dict[str, list[Closed]]) -> str:
    """One page that needs nothing else; every text is escaped."""
    from lightoff.cli.scenario.html import page
    from lightoff.cli.scenario.sheet import Section, Sheet

    found = [Section(head, lines, "list") for head, lines in _findings(knowledge, people)]
    table = Section("", columns=COLUMNS, rows=_rows(people))
    return page(Sheet("A class at practice", [table, *found, Section("", [NOTE])]))
