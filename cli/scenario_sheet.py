"""The sheets of a scenario in Markdown: the apprentice's handout and the instructor's key."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING

from lightoff.cli import screen
from lightoff.cli.scenario_page import path_in_words
from lightoff.cli.wording import repair_title

if TYPE_CHECKING:
    from lightoff.engine.entries.scenarios import HiddenEntry
    from lightoff.engine.model import HiddenFault, Knowledge, Scenario
    from lightoff.engine.teaching.check import Checked

MARKS = frozenset("\\`*_[]<>|~&#")
"""Signs that mean something in Markdown wherever they stand."""
AT_THE_START = frozenset("+-=")


def handout(known: Knowledge, scenario: Scenario) -> str:
    """What the apprentice gets; nothing in it depends on the hidden faults."""
    entry, checks = scenario.entry, known.checks[scenario.furnace.id]
    told = [
        f"{checks[id_].entry.ask} {_answer(known, scenario, id_, outcome)}"
        for id_, outcome in scenario.tells.items()
    ]
    cautions = [known.cautions["standing-note"].short]
    cautions += [each.short for id_, each in known.cautions.items() if id_ != "standing-note"]
    return _page(
        entry.title,
        _section("", [entry.setting, scenario.furnace.entry.name, f"{entry.minutes:g} minutes"]),
        _section("What the customer says", [entry.complaint]),
        _section("What is known on asking", told, "- "),
        _section("In the bag", [known.tools[each].name for each in sorted(scenario.tools)], "- "),
        _section("Cautions", cautions, "- "),
        _section("What was checked, found and done", ["." * 60] * 8),
        _section("", ["People and places are invented."]),
    )


def key(known: Knowledge, checked: Checked) -> str:
    """What the instructor keeps: the answer, the program's own path, the traps and the lab."""
    scenario = checked.scenario
    entry, lab = scenario.entry, scenario.entry.lab
    repairs = [repair_title(known, each) for each in sorted(scenario.repairs)]
    path = [f"{words}: {minutes:.1f} min" for minutes, words in path_in_words(checked)]
    weights = {name: getattr(entry.marks, name) for name in entry.marks.__struct_fields__}
    return _page(
        f"Key: {entry.title}",
        _section("Not fit for marking", checked.refused, "- "),
        _section("What is wrong", [*map(_hidden, scenario.hidden, entry.faults)], "- "),
        _section("What mends it", repairs, "- "),
        _section("Cautions that stop the work, which is right here", checked.stopped, "- "),
        _section(
            f"Path of the program, {checked.minutes:.0f} of {entry.minutes:g} min", path, "- "
        ),
        _section("Traps", [f"{name}: {why}" for name, why in entry.traps.items()], "- "),
        _section("Hints, from faint to plain", entry.hints, "1."),
        _section("To be learned", entry.learn, "- "),
        _section(
            "Weights of the marks", [f"{name} {each:g}" for name, each in weights.items()], "- "
        ),
        _section("Lab: never set it live", [lab.never] if lab.never else []),
        _section("Lab: check before", lab.before, "- "),
        _section("Lab: set", lab.how_to_set, "1."),
        _section("Lab: undo", lab.undo, "1."),
        _section("Lab: check after", lab.after, "- "),
        _section("Lab: stands by", [lab.stands_by] if lab.stands_by else []),
        _section("Cautions", [known.cautions["standing-note"].short]),
    )


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


def _page(title: str, *sections: Iterator[str]) -> str:
    return "\n".join([f"# {plain(title)}", "", *(line for each in sections for line in each)])


def _section(heading: str, paragraphs: Iterable[str], bullet: str = "") -> Iterator[str]:
    """A heading with its paragraphs or its list; nothing at all without paragraphs.

    The bullet "1." numbers the list.
    """
    lines = [
        (f"{number}. " if bullet == "1." else bullet) + plain(each)
        for number, each in enumerate(paragraphs, start=1)
    ]
    if lines and heading:
        yield from (f"## {plain(heading)}", "")
    for line in lines:
        yield line
        if not bullet:
            yield ""
    if lines and bullet:
        yield ""


def plain(text: str) -> str:
    """The text on one line, in which nothing is markup and no sign steers a terminal."""
    line = screen.clean(" ".join(text.split()))
    escaped = "".join(f"\\{sign}" if sign in MARKS else sign for sign in line)
    number = line[: len(line) - len(line.lstrip("0123456789"))]
    if number and line[len(number) :].startswith((". ", ") ")):
        return f"{number}\\{escaped[len(number) :]}"
    return f"\\{escaped}" if escaped[:1] in AT_THE_START else escaped
