"""The questions of `lightoff scenario new` at the terminal: shown, and what a line means."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from contextlib import suppress

from lightoff.cli import screen
from lightoff.cli.scenario.steps import Offers, Question
from lightoff.engine.teaching import draft
from lightoff.engine.teaching.draft import WrongAnswerError

NOTHING = "-"


def prepare_input() -> None:
    """Bytes that are no text become signs of a question; arrow keys edit the line."""
    if hasattr(sys.stdin, "reconfigure"):
        with suppress(OSError):
            sys.stdin.reconfigure(errors="replace")
    with suppress(ImportError):
        import readline  # noqa: F401


def meant(question: Question, offers: Offers, typed: str) -> str:
    """The answer that a typed line stands for; WrongAnswerError if there is none."""
    if not typed:
        if question.default is None:
            raise WrongAnswerError("this needs an answer")
        return question.default
    if question.nothing and typed == NOTHING:
        return ""
    if question.by_words and typed == draft.NONE and question.name != draft.FAULTS[0]:
        return typed
    if question.by_words and len(offers) == 1:
        screen.say(f"{offers[0][0]}: {offers[0][1]}", "note")
        return offers[0][0]
    if offers and typed.isascii() and typed.isdecimal():
        if not 1 <= int(typed[:9]) <= len(offers):
            raise WrongAnswerError(f"type a number from 1 to {len(offers)}")
        return offers[int(typed) - 1][0]
    if question.by_words:
        raise WrongAnswerError("type words for it first, such as: igniter")
    if question.closed and typed not in dict(offers):
        raise WrongAnswerError(f"type a number from 1 to {len(offers)}")
    return typed


def ask_in_full(question: Question) -> None:
    """A question with all that helps to answer it."""
    screen.say()
    enter = question.enter or question.default or ""
    show(question.ask, enter, question.help)
    if question.nothing:
        screen.say(f"{NOTHING}: {question.nothing}", "note", indent=2)
    offer(question.offers)


def show(asked: str, enter: str, help_: Sequence[str] = ()) -> None:
    """What is asked, what helps to answer it, and what Enter does."""
    screen.say(asked, "head")
    for line in help_:
        screen.say(line, "note", indent=2)
    if enter:
        screen.say(f"Enter: {enter}", "note", indent=2, hang=2)


def offer(offers: Offers) -> None:
    """What can be chosen by number."""
    for number, (_, words) in enumerate(offers, start=1):
        screen.say(f"{number:2} {words}", indent=2, hang=3)


def refuse(problem: str) -> None:
    """Why a line is no answer, and how to mend it."""
    screen.say(f"Not taken: {problem}.", "warn")


def looks_for_fault(question: Question, typed: str) -> bool:
    """Whether a line holds words of a fault, and neither its number nor that there is none."""
    return question.by_words and typed not in ("", draft.NONE) and not typed.isdecimal()


# --- a line that was not finished ------------------------------------------------------


def half_typed() -> str:
    """What stood in the line when it was broken off, where the terminal can say that."""
    try:
        import readline
    except ImportError:
        return ""
    return " ".join(readline.get_line_buffer().split())


def begin_line(half: str) -> None:
    """Let the next line begin with what was typed before, or show that."""
    if not half:
        return
    try:
        import readline
    except ImportError:
        screen.say(f"You had typed: {half}", "note")
        return

    def insert() -> None:
        readline.insert_text(screen.clean(half))
        readline.set_startup_hook()

    readline.set_startup_hook(insert)
