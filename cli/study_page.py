"""The page of a study: self-contained HTML with plots, to read, to print, to hand on."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from importlib.resources import files
from pathlib import Path

from jinja2 import Environment, StrictUndefined
from markupsafe import Markup

from lightoff.cli import study_out, study_plots
from lightoff.cli.screen import clean
from lightoff.cli.study_out import Rows
from lightoff.cli.study_run import Study
from lightoff.engine.model import Knowledge
from lightoff.engine.reasoning.study.difference import Difference
from lightoff.engine.reasoning.study.summary import OfCase, Summary
from lightoff.engine.reasoning.study.work import stamp_now

MOST_BARS = 120
MOST_CONFUSED = 25
MOST_CHECKS = 20
MOST_ROWS = 1000


@dataclass(frozen=True, slots=True)
class Table:
    """A table with a title; the first column and those named in `words` hold no figures."""

    title: str
    columns: Sequence[str]
    rows: Rows
    words: Sequence[str] = ()
    more: int = 0
    """Rows left out."""


@dataclass(frozen=True, slots=True)
class Plot:
    """A plot with the same data as a table."""

    title: str
    svg: Markup
    table: Table


@dataclass(frozen=True, slots=True)
class Part:
    """What is said of one furnace."""

    title: str
    in_short: str
    tables: Sequence[Table]
    plots: Sequence[Plot]


def write_page(path: Path, knowledge: Knowledge, done: Study) -> None:
    """Write the page of a study; OSError if the file cannot be written."""
    path.write_text(page(knowledge, done), encoding="utf-8")


def page(knowledge: Knowledge, done: Study) -> str:
    """The page as HTML; every text is escaped, and nothing is fetched from elsewhere."""
    template = (files("lightoff.cli") / "study_page.html").read_text(encoding="utf-8")
    environment = Environment(
        autoescape=True, undefined=StrictUndefined, finalize=_visible, trim_blocks=True
    )
    names = {id_: furnace.entry.name for id_, furnace in knowledge.furnaces.items()}
    parts = [
        *(_part(summary, names[summary.furnace]) for summary in done.summaries),
        *(_against(each, names[each.furnace]) for each in done.differences or ()),
    ]
    return environment.from_string(template).render(
        parts=parts, names=[names[each.furnace] for each in done.summaries], made_with=_made_with()
    )


def _visible(cell: object) -> object:
    """Text with what could turn its direction or hide in it made visible."""
    return clean(cell) if type(cell) is str else cell


def _made_with() -> str:
    stamp = stamp_now()
    return (
        f"Made with lightoff {stamp.version} (program {stamp.program}, "
        f"knowledge {stamp.knowledge})."
    )


def _part(summary: Summary, name: str) -> Part:
    said = [study_out.said_row(each) for each in summary.said]
    tables = [
        Table(
            "By area of the furnace",
            study_out.AREA_COLUMNS,
            study_out.area_rows(summary),
            study_out.AREA_COLUMNS[-1:],
        ),
        Table(study_out.SAID_TITLE, study_out.SAID_COLUMNS, said),
    ]
    in_short = f"{study_out.in_short(summary.figures)} {study_out.time_in_words(summary.figures)}"
    plots = list(_plots(summary)) if summary.cases else []
    return Part(name, in_short, tables if summary.cases else [], plots)


def _plots(summary: Summary) -> Iterator[Plot]:
    cases = sorted(summary.cases, key=lambda case: -case.figures.minutes)
    yield _fault_plot(summary.furnace, cases)
    if summary.confused:
        yield _confusion_plot(summary)
    yield _check_plot(summary)


def _fault_plot(furnace: str, cases: Sequence[OfCase]) -> Plot:
    bars = cases[:MOST_BARS]
    title = _counted("Checks and minutes per fault, the longest first", bars, cases)
    columns, rows = study_out.CASE_COLUMNS, [study_out.case_row(case) for case in cases]
    svg = study_plots.fault_plot(bars, f"{furnace}-faults", title)
    return Plot(title, Markup(svg), _first(columns, rows, columns[1:2]))


def _confusion_plot(summary: Summary) -> Plot:
    shown = summary.confused[:MOST_CONFUSED]
    title = _counted(study_out.CONFUSED_TITLE, shown, summary.confused)
    columns, rows = study_out.CONFUSED_COLUMNS, study_out.confused_rows(summary)
    svg = study_plots.confusion_plot(shown, f"{summary.furnace}-confused", title)
    return Plot(title, Markup(svg), _first(columns, rows, columns[1:]))


def _check_plot(summary: Summary) -> Plot:
    shown = summary.checks[:MOST_CHECKS]
    title = _counted("Where the time of measuring goes", shown, summary.checks)
    svg = study_plots.check_plot(shown, f"{summary.furnace}-checks", title)
    table = _first(study_out.TIME_COLUMNS, study_out.time_rows(summary))
    return Plot(title, Markup(svg), table)


def _counted(title: str, shown: Sequence[object], there: Sequence[object]) -> str:
    """The title, with how many are shown if not all are."""
    return title if len(shown) == len(there) else f"{title} ({len(shown)} of {len(there)})"


def _first(columns: Sequence[str], rows: Rows, words: Sequence[str] = ()) -> Table:
    """The table beside a plot, cut off where a page would become too long to open."""
    return Table("", columns, rows[:MOST_ROWS], words, len(rows[MOST_ROWS:]))


def _against(difference: Difference, name: str) -> Part:
    compared = f"{study_out.in_words(difference.compared)} are in both."
    if not difference.compared:
        return Part(f"{name}: now against before", "No diagnosis is in both.", [], [])
    means = study_out.mean_rows(difference.before, difference.now)
    changes = [
        Table(title, study_out.CHANGE_COLUMNS, [study_out.change_row(each) for each in some])
        for title, some in study_out.changes(difference)
        if some
    ]
    tables = [Table("Means", study_out.MEANS_COLUMNS, means), *changes]
    return Part(f"{name}: now against before", compared, tables, [])
