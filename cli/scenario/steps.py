"""What `lightoff scenario new` asks, question by question: each depends on the answers so far."""

from __future__ import annotations

import os
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, get_args

from lightoff.engine.entries.scenarios import Level
from lightoff.engine.library.scenarios import LONGEST, MOST_FAULTS
from lightoff.engine.teaching import draft
from lightoff.engine.teaching.draft import Answers

if TYPE_CHECKING:
    from lightoff.engine.model import Check, Fault, Furnace, Knowledge

Offers = Sequence[tuple[str, str]]
"""(answer, its words): chosen by number."""

LISTED_FAULTS = 12
USUAL_LEVEL: Level = "first-year"
AT_TIMES = "0.4"
"""Share of the calls in which a fault that comes and goes shows (from memory)."""
NO_LAB = "Not set in a live furnace: on paper and in simulation only."
COMPLAINT = "It does not heat as it should."
HINT = "Watch one whole call: where does it leave the usual way?"
SETTING = "A house. The furnace stands in the basement."
REST = "."
"""Typed where facts are told: none of the others is."""

INVENTED = "People and places are invented, never real ones."
NO_PART = ("Name no part: customers do not, and it would give the answer away.",)
LAB = ("How it is set in a lab (set, undo, before, after, stands-by) is written in the file.",)
SHOWS = (
    "always: in every call. 0.4 or 40%: in that share of the calls.",
    "after 2: after 2 calls that go well.",
)


@dataclass(frozen=True, slots=True)
class Question:
    """One question; its answer is a line of text.

    `default` is what Enter stands for, "" that nothing follows, None that an answer is
    needed. `by_words`: the answer may also be found by words of it.
    """

    name: str
    ask: str
    help: Sequence[str] = ()
    offers: Offers = ()
    default: str | None = None
    enter: str = ""
    """What Enter does, where the default does not say it."""
    nothing: str = ""
    """What a dash alone does, where Enter would take an answer and none is needed."""
    closed: bool = False
    """Only what is offered can be answered."""
    by_words: bool = False


def questions(known: Knowledge, answers: Answers) -> Iterator[Question]:
    """The questions in their order, as far as the answers allow to ask them."""
    yield Question("title", "Title, such as: Dark since the shelves were moved", (INVENTED,))
    furnaces = [(id_, each.entry.name) for id_, each in known.furnaces.items()]
    usual = os.environ.get("LIGHTOFF_FURNACE", "")
    default = usual if usual in known.furnaces else furnaces[0][0]
    yield Question("furnace", "Furnace", offers=furnaces, default=default, closed=True)
    if "furnace" not in answers:
        return
    furnace = known.furnaces[answers["furnace"]]
    for name in draft.FAULTS[:MOST_FAULTS]:
        yield from _of_fault(name, furnace, answers)
        if answers.get(name, draft.NONE) == draft.NONE:
            break
    levels = [(each, each) for each in get_args(Level)]
    yield Question("level", "Level", offers=levels, default=USUAL_LEVEL, closed=True)
    yield Question("setting", "Setting: the place, and whom one meets there", default=SETTING)
    yield Question("complaint", "The complaint, in the customer's words", NO_PART, (), COMPLAINT)
    yield from _told(known.checks[furnace.id].values())
    yield _tools(known)
    yield Question("minutes", f"Minutes allowed, 1 to {LONGEST:g}")
    yield from _lines("learn", "What is to be learned", answers, _because(furnace, answers))
    yield from _lines("hints", "Hint, from faint to plain", answers, HINT)
    yield Question("lab", "Why it must never be set in a lab furnace", LAB, (), NO_LAB)


def _of_fault(name: str, furnace: Furnace, answers: Answers) -> Iterator[Question]:
    """What is asked of one hidden fault."""
    if name == draft.FAULTS[0]:
        words = "What is wrong: words such as flame sensor, or PART.FAULT"
        yield Question(name, words, by_words=True)
    else:
        words = "A second fault, by words or PART.FAULT"
        yield Question(name, words, default=draft.NONE, by_words=True)
    fault = furnace.faults.get(answers.get(name, draft.NONE))
    if fault is None:
        return
    for value, usual in draft.degrees(furnace, fault).items():
        ask = f"How bad is it: {value} of {fault.id}, such as {usual}, or a figure with its unit"
        yield Question(f"{name}-degree.{value}", ask, default="", enter=f"the usual {usual}")
    default = AT_TIMES if fault.entry.comes_and_goes else draft.ALWAYS
    yield Question(f"{name}-shows", "When it shows", SHOWS, (), default)


def _told(checks: Iterable[Check]) -> Iterator[Question]:
    """A question for each fact that only a person can tell."""
    told = [each for each in checks if each.entry.reads.told]
    for number, check in enumerate(told, start=1):
        yield Question(
            f"{draft.TELLS}{check.id}",
            f"Fact {number} of {len(told)}: {check.entry.ask}",
            (f"Told only if asked. {REST} alone: none of the others is told.",) * (number == 1),
            [(outcome.id, outcome.text) for outcome in check.outcomes],
            default="",
            enter="not told",
            closed=True,
        )


def _tools(known: Knowledge) -> Question:
    names = [f"{number} {each}" for number, each in enumerate(known.tools, start=1)]
    return Question(
        "tools",
        "Tools in the bag, such as: 1 3 6 8, or: all but 3 5",
        ("; ".join(names),),
        default=draft.ALL,
    )


def _lines(name: str, ask: str, answers: Answers, default: str) -> Iterator[Question]:
    """One sentence is needed; more may follow, an empty line ends them."""
    yield Question(f"{name}.1", f"{ask}, a sentence", default=default)
    number = 2
    while answers.get(f"{name}.{number - 1}"):
        yield Question(f"{name}.{number}", f"{ask}, one more", default="", enter="no more")
        number += 1


def _because(furnace: Furnace, answers: Answers) -> str:
    fault = _first_fault(furnace, answers)
    return " ".join(fault.entry.because.split()) if fault else "Work along the sequence."


def _first_fault(furnace: Furnace, answers: Answers) -> Fault | None:
    return furnace.faults.get(answers.get(draft.FAULTS[0], ""))


def faults_offered(furnace: Furnace, words: str) -> Offers:
    """The faults that some words may mean, each with its area."""
    return [
        (fault.id, f"{fault.entry.name} ({furnace.parts[fault.part].entry.area}; {fault.id})")
        for fault in draft.faults_meant(furnace, words, LISTED_FAULTS)
    ]
