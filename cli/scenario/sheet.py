"""The sheets of a scenario: the apprentice's handout and the instructor's key, and as Markdown.

What a sheet says is put together once; Markdown and HTML (scenario_html.py) only draw it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import accumulate
from typing import TYPE_CHECKING, Literal

from lightoff.cli import screen
from lightoff.cli.scenario.page import path_rows
from lightoff.cli.wording import repair_title

if TYPE_CHECKING:
    from lightoff.engine.entries.scenarios import HiddenEntry
    from lightoff.engine.model import HiddenFault, Knowledge, Scenario
    from lightoff.engine.teaching.check import Checked

MARKS = frozenset("\\`*_[]<>|~&#")
"""Signs that mean something in Markdown wherever they stand."""
AT_THE_START = frozenset("+-=")
LINES_TO_WRITE_ON = 8
PATH_COLUMNS = ("step", "answer", "minutes", "minutes so far")


@dataclass(frozen=True, slots=True)
class Section:
    """Texts under a heading, drawn as paragraphs, a list or numbered; or a table, or empty lines.

    It is left out if it has neither texts nor rows nor lines.
    """

    heading: str
    texts: Sequence[str] = ()
    drawn: Literal["paragraphs", "list", "numbered"] = "paragraphs"
    columns: Sequence[str] = ()
    rows: Sequence[Sequence[str]] = ()
    """Cells of a table; from the third column on they are figures."""
    lines: int = 0
    """To write on."""

    @property
    def is_there(self) -> bool:
        return bool(self.texts or self.rows or self.lines)


@dataclass(frozen=True, slots=True)
class Sheet:
    """A sheet: its title and its sections, every text as it stands in the file."""

    title: str
    sections: Sequence[Section]


def handout(known: Knowledge, scenario: Scenario) -> Sheet:
    """What the apprentice gets; nothing in it depends on the hidden faults."""
    entry, checks = scenario.entry, known.checks[scenario.furnace.id]
    told = [
        f"{checks[id_].entry.ask} {_answer(known, scenario, id_, outcome)}"
        for id_, outcome in scenario.tells.items()
    ]
    cautions = [known.cautions["standing-note"].short]
    cautions += [each.short for id_, each in known.cautions.items() if id_ != "standing-note"]
    return _sheet(
        entry.title,
        Section("", [entry.setting, scenario.furnace.entry.name, f"{entry.minutes:g} minutes"]),
        Section("What the customer says", [entry.complaint]),
        Section("What is known on asking", told, "list"),
        Section("In the bag", [known.tools[each].name for each in sorted(scenario.tools)], "list"),
        Section("Cautions", cautions, "list"),
        Section("What was checked, found and done", lines=LINES_TO_WRITE_ON),
        Section("", ["People and places are invented."]),
    )


def key(known: Knowledge, checked: Checked) -> Sheet:
    """What the instructor keeps: the answer, the program's own path, the traps and the lab."""
    scenario = checked.scenario
    entry, lab = scenario.entry, scenario.entry.lab
    repairs = [repair_title(known, each) for each in sorted(scenario.repairs)]
    path = f"Path of the program, {checked.minutes:.0f} of {entry.minutes:g} min"
    weights = {name: getattr(entry.marks, name) for name in entry.marks.__struct_fields__}
    traps = [f"{name}: {why}" for name, why in entry.traps.items()]
    return _sheet(
        f"Key: {entry.title}",
        Section("Not fit for marking", checked.refused, "list"),
        Section("What is wrong", [*map(_hidden, scenario.hidden, entry.faults)], "list"),
        Section("What mends it", repairs, "list"),
        Section("Cautions that stop the work, which is right here", checked.stopped, "list"),
        Section(path, columns=PATH_COLUMNS, rows=_path(checked)),
        Section("Traps", traps, "list"),
        Section("Hints, from faint to plain", entry.hints, "numbered"),
        Section("To be learned", entry.learn, "list"),
        Section(
            "Weights of the marks", [f"{name} {each:g}" for name, each in weights.items()], "list"
        ),
        Section("Lab: never set it live", [lab.never] if lab.never else []),
        Section("Lab: check before", lab.before, "list"),
        Section("Lab: set", lab.how_to_set, "numbered"),
        Section("Lab: undo", lab.undo, "numbered"),
        Section("Lab: check after", lab.after, "list"),
        Section("Lab: stands by", [lab.stands_by] if lab.stands_by else []),
        Section("Cautions", [known.cautions["standing-note"].short]),
    )


def _sheet(title: str, *sections: Section) -> Sheet:
    return Sheet(title, [each for each in sections if each.is_there])


def _path(checked: Checked) -> list[list[str]]:
    """Step, answer, minutes, and minutes from the first word on."""
    rows = path_rows(checked)
    so_far = accumulate(minutes for minutes, _, _ in rows)
    return [
        [step, answer, f"{minutes:.1f}", f"{total:.1f}"]
        for (minutes, step, answer), total in zip(rows, so_far, strict=True)
    ]


def _answer(known: Knowledge, scenario: Scenario, check: str, outcome: str) -> str:
    outcomes = known.checks[scenario.furnace.id][check].outcomes
    return next(each.text for each in outcomes if each.id == outcome)


def _hidden(hidden: HiddenFault, entry: HiddenEntry) -> str:
    """The fault, with what the scenario makes of its degree and when it shows."""
    sets = "".join(f", {name} {given}" for name, given in entry.sets.items())
    if hidden.after_calls:
        shows = f", shows after {hidden.after_calls} calls that go well"
    else:
        shows = "" if hidden.share == 1.0 else f", shows in {hidden.share:.0%} of the calls"
    return hidden.fault.id + sets + shows


# --- Markdown --------------------------------------------------------------------------


def markdown(sheet: Sheet) -> str:
    """The sheet as Markdown."""
    lines = [line for each in sheet.sections for line in _section(each)]
    return "\n".join([f"# {plain(sheet.title)}", "", *lines])


def _section(section: Section) -> Iterator[str]:
    if section.heading:
        yield from (f"## {plain(section.heading)}", "")
    for number, text in enumerate(section.texts, start=1):
        bullet = {"paragraphs": "", "list": "- ", "numbered": f"{number}. "}[section.drawn]
        yield bullet + plain(text)
        if not bullet:
            yield ""
    if section.texts and section.drawn != "paragraphs":
        yield ""
    if section.rows:
        yield _row(section.columns)
        yield _row(["---", "---", *["---:"] * (len(section.columns) - 2)], escaped=True)
        yield from (_row(each) for each in section.rows)
        yield ""
    for _ in range(section.lines):
        yield from ("." * 60, "")


def _row(cells: Sequence[str], escaped: bool = False) -> str:
    return f"| {' | '.join(cells if escaped else map(plain, cells))} |"


def plain(text: str) -> str:
    """The text on one line, in which nothing is markup and no sign steers a terminal."""
    line = screen.clean(" ".join(text.split()))
    escaped = "".join(f"\\{sign}" if sign in MARKS else sign for sign in line)
    number = line[: len(line) - len(line.lstrip("0123456789"))]
    if number and line[len(number) :].startswith((". ", ") ")):
        return f"{number}\\{escaped[len(number) :]}"
    return f"\\{escaped}" if escaped[:1] in AT_THE_START else escaped
