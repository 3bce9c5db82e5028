"""What a study found out: on the screen, as JSON, as a page."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import msgspec

from lightoff.cli import screen
from lightoff.cli.study_run import Study
from lightoff.engine.reasoning.study.difference import Change, Difference
from lightoff.engine.reasoning.study.summary import Area, Figures, OfCase, Said, Summary

DEAREST = 10
CONFUSED = 15
CHANGES = 15
"""Rows shown of checks, of what is confused, of what changed."""

Rows = list[tuple[str, ...]]


def show(done: Study, as_json: bool) -> None:
    """Write all of it to stdout, and what broke down to stderr."""
    if as_json:
        screen.json_out(data(done))
    else:
        for summary in done.summaries:
            _show_summary(summary)
        for difference in done.differences or ():
            _show_difference(difference)
    if done.failed:
        broke = f"{in_words(done.failed)} broke down. The first: {done.problem}"
        screen.say(broke, "bad", stderr=True)


def data(done: Study) -> dict[str, Any]:
    """The same as an object."""
    return {
        "furnaces": msgspec.to_builtins(done.summaries),
        "against": msgspec.to_builtins(done.differences),
        "failed": done.failed,
        "problem": done.problem or None,
    }


# --- the summary ------------------------------------------------------------------


def _show_summary(summary: Summary) -> None:
    screen.say(summary.furnace, "head")
    screen.say(in_short(summary.figures))
    if not summary.figures.diagnoses:
        return
    screen.say()
    screen.table(AREA_COLUMNS, area_rows(summary))
    _section(
        "Repairs advised first where others were needed",
        CONFUSED_COLUMNS,
        confused_rows(summary),
        CONFUSED,
    )
    screen.say()
    screen.say("Where the minutes of a mean diagnosis go", "head")
    screen.say(time_in_words(summary.figures))
    screen.table(TIME_COLUMNS, time_rows(summary)[:DEAREST])
    said = [said_row(each) for each in summary.said]
    _section(SAID_TITLE, SAID_COLUMNS, said, len(said))


def _section(title: str, columns: Sequence[str], rows: Rows, most: int) -> None:
    """A table under its title, with a word about rows that are left out; nothing if empty."""
    screen.say()
    screen.say(title, "head")
    if not rows:
        screen.say("None.")
        return
    screen.table(columns, rows[:most])
    if rows[most:]:
        screen.say(f"and {len(rows[most:])} more; --json has all", "note")


def in_short(figures: Figures) -> str:
    """The main figures in a sentence."""
    if not figures.diagnoses:
        return "Nothing was diagnosed."
    stopped = f", {share(figures.stopped)} stopped for safety" * bool(figures.stopped)
    first = f" ({share(figures.right_at_first)} at first advice{stopped})"
    return (
        f"{in_words(figures.diagnoses)}, each fault counted by how often it occurs: right "
        f"{share(figures.right)}{first}, {figures.checks:.1f} checks, {figures.minutes:.1f} min, "
        f"and {figures.price:.0f} min with parts, hazards and what a miss costs."
    )


def in_words(diagnoses: int) -> str:
    """So many diagnoses."""
    return "1 diagnosis" if diagnoses == 1 else f"{diagnoses} diagnoses"


AREA_COLUMNS = ("Area", "Faults", "Right", "Checks", "Minutes", "Worst fault")


def area_rows(summary: Summary) -> Rows:
    """One row for each area, and one for all."""
    rows = [
        (
            area.name,
            *_figure_cells(area.faults, area.figures),
            _worst(area),
        )
        for area in summary.areas
    ]
    return [*rows, ("all", *_figure_cells(len(summary.cases), summary.figures), "")]


def _worst(area: Area) -> str:
    right = f"right {share(area.worst_right)}, " * (area.worst_right < 1.0)
    return f"{area.worst}, {right}{area.worst_minutes:.0f} min"


def _figure_cells(faults: int, figures: Figures) -> tuple[str, ...]:
    return (
        f"{faults:6}",
        f"{share(figures.right):>5}",
        f"{figures.checks:6.1f}",
        f"{figures.minutes:7.1f}",
    )


CONFUSED_TITLE = "Repairs advised first where others were needed"
CONFUSED_COLUMNS = ("Times", "Needed", "Advised first")


def confused_rows(summary: Summary) -> Rows:
    """What was needed and what was advised instead, the commonest first."""
    return [(f"{each.times:5}", each.needed, each.advised) for each in summary.confused]


def time_in_words(mean: Figures) -> str:
    """The four heads under which the minutes fall."""
    return (
        f"Measuring {mean.measuring:.1f}, set-up {mean.setting_up:.1f}, "
        f"repairs {mean.repairing:.1f}, verifying {mean.verifying:.1f} min. The dearest checks:"
    )


TIME_COLUMNS = ("Check", "Made in", "Minutes", "Set-up", "Together")


def time_rows(summary: Summary) -> Rows:
    """What each check takes of a mean diagnosis, the dearest first."""
    return [
        (
            each.check,
            f"{share(each.times):>7}",
            f"{each.minutes:7.2f}",
            f"{each.setup:6.2f}",
            f"{each.all_minutes:8.2f}",
        )
        for each in summary.checks
    ]


CASE_COLUMNS = ("Fault", "Area", "Right", "Checks", "Minutes", "Price")


def case_row(case: OfCase) -> tuple[str, ...]:
    """The figures of one fault or pair."""
    figures = case.figures
    return (
        " + ".join(case.faults),
        case.area,
        share(figures.right),
        f"{figures.checks:.1f}",
        f"{figures.minutes:.1f}",
        f"{figures.price:.1f}",
    )


SAID_TITLE = "How sure the first suspect was when checking ended, and how often it was right"
SAID_COLUMNS = ("First suspect", "Diagnoses", "Right")


def said_row(said: Said) -> tuple[str, ...]:
    """How often the first suspect was right at one degree of sureness."""
    between = f"{100 * said.low:.0f} to {100 * said.high:.0f}%"
    return (between, f"{said.diagnoses:9}", f"{share(said.right):>5}")


def share(part: float) -> str:
    """A share in percent; neither all nor none is claimed by rounding."""
    if 0.0 < part < 0.001:
        return "<0.1%"
    if 0.999 < part < 1.0 - 1e-12:
        return ">99.9%"
    return f"{100 * part:.4g}%" if part >= 0.9995 or not part else f"{100 * part:.1f}%"


# --- the difference ---------------------------------------------------------------


def _show_difference(difference: Difference) -> None:
    before, now = difference.before, difference.now
    screen.say()
    screen.say(f"{difference.furnace}: now against before", "head")
    compared = in_words(difference.compared)
    screen.say(f"{compared} are in both." if difference.compared else "No diagnosis is in both.")
    if not difference.compared:
        return
    screen.table(MEANS_COLUMNS, mean_rows(before, now))
    for title, some in changes(difference):
        _section(title, CHANGE_COLUMNS, [change_row(each) for each in some], CHANGES)


def changes(difference: Difference) -> tuple[tuple[str, Sequence[Change]], ...]:
    """What changed, under its titles."""
    return (
        ("Became wrong", difference.became_wrong),
        ("Became right", difference.became_right),
        ("Biggest changes", difference.changed),
    )


MEANS_COLUMNS = ("Mean", "Before", "Now", "Difference")


def mean_rows(before: Figures, now: Figures) -> Rows:
    """Means of before and of now with their difference."""
    return [
        _mean_row("right, %", 100 * before.right, 100 * now.right),
        _mean_row("checks", before.checks, now.checks),
        _mean_row("minutes", before.minutes, now.minutes),
        _mean_row("price, min", before.price, now.price),
    ]


def _mean_row(name: str, before: float, now: float) -> tuple[str, ...]:
    return name, f"{before:7.2f}", f"{now:7.2f}", f"{signed(now - before):>10}"


CHANGE_COLUMNS = ("Fault", "Right", "Checks", "Minutes")


def change_row(change: Change) -> tuple[str, ...]:
    """One fault or pair: what was and what is, and the difference in minutes."""
    before, now = change.before, change.now
    return (
        change.name,
        _from_to(share(before.right), share(now.right)),
        _from_to(f"{before.checks:.1f}", f"{now.checks:.1f}"),
        f"{_from_to(f'{before.minutes:.1f}', f'{now.minutes:.1f}')} ({signed(change.minutes)})",
    )


def _from_to(before: str, now: str) -> str:
    return now if before == now else f"{before} to {now}"


def signed(figure: float) -> str:
    """A difference with its sign, 0 if it is too small to show."""
    rounded = round(figure, 2)
    return f"{rounded:+.2f}" if rounded else "0"
