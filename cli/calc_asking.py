"""The questions of `lightoff calc` at the terminal; nothing that was typed is lost."""

from __future__ import annotations

from collections.abc import Mapping
from contextlib import suppress

import click

from lightoff.cli import screen
from lightoff.cli.calc import as_command, in_words
from lightoff.cli.main import STOPPED
from lightoff.cli.names import WrongNameError
from lightoff.cli.prompts import InputEnded, ask, prepare_input
from lightoff.cli.scenario.prompts import offer, refuse, show
from lightoff.engine.service.calculations.entry import (
    Calculation,
    Choice,
    Given,
    ImpossibleError,
    Input,
)
from lightoff.engine.service.calculations.measures import written
from lightoff.engine.service.calculations.working import given_so_far, understood, usual
from lightoff.engine.units import UnitError, split

QUIT = "q"


def asked_for(calculation: Calculation, typed: Mapping[str, str], si: bool) -> dict[str, str]:
    """What was typed, with the answers to what is missing.

    If nothing was typed, everything is asked; otherwise only what has no usual figure.
    Ctrl-C, the end of the input and q end the command, and say how to go on.
    """
    found, everything = dict(typed), not typed
    before = _understood(calculation, found)
    missing = [
        each
        for each in calculation.inputs
        if each.name not in found and (everything or each.is_needed)
    ]
    prepare_input()
    try:
        for asked in missing:
            answer = _answer(asked, before, si)
            if answer is not None:
                found[asked.name] = answer
                before = _understood(calculation, found)
    except (InputEnded, KeyboardInterrupt) as stopped:
        screen.say("")
        if found:
            # Not wrapped, so that it can be copied in one piece.
            screen.say_pieces([(f"To go on: {as_command(calculation, found)}", "note")])
        code = 0 if isinstance(stopped, InputEnded) else STOPPED
        raise click.exceptions.Exit(code) from None
    return found


def _understood(calculation: Calculation, typed: Mapping[str, str]) -> Given:
    try:
        return given_so_far(calculation, typed)
    except ImpossibleError as error:
        raise WrongNameError(in_words(error)) from None


def _answer(asked: Input | Choice, before: Given, si: bool) -> str | None:
    """A text that is an answer, or None for the usual figure or none at all."""
    _ask(asked, before, si)
    while True:
        typed = ask()
        if typed.lower() == QUIT:
            raise InputEnded
        if not typed and not asked.is_needed:
            return None
        try:
            text = _in_full(asked, typed, si)
            understood(asked, text)
            return text
        except ImpossibleError as error:
            refuse(str(error))


def _ask(asked: Input | Choice, before: Given, si: bool) -> None:
    if isinstance(asked, Choice):
        show(f"{asked.name}: {asked.what}", next(iter(asked.choices)))
        offer([(word, f"{word}{f': {what}' * bool(what)}") for word, what in asked.choices.items()])
        return
    unit = _unit(asked, si)
    alone = f"A number alone is in {unit}." if unit else "A number without a unit."
    show(f"{asked.name}: {asked.what}", _enter(asked, before, si), (alone,))


def _enter(asked: Input, before: Given, si: bool) -> str:
    """What Enter does; "" where an answer is needed."""
    if asked.is_needed:
        return ""
    value = usual(asked, before)
    if not isinstance(value, float):
        return "leave it out"
    source = f" ({asked.usual_from})" if asked.usual_from else ""
    return f"{written(value, asked.measure, si)}{source}"


def _in_full(asked: Input | Choice, typed: str, si: bool) -> str:
    """A choice by its number, a number with its unit; else what was typed."""
    if not typed:
        raise ImpossibleError("this needs an answer", f"type one, or {QUIT} to stop")
    if isinstance(asked, Choice):
        words = list(asked.choices)
        by_number = {str(number): word for number, word in enumerate(words, start=1)}
        return by_number.get(typed, typed)
    return f"{typed} {_unit(asked, si)}".strip() if _is_bare(typed) else typed


def _is_bare(typed: str) -> bool:
    """Whether it is a number without a unit."""
    with suppress(UnitError):
        return not split(typed)[1]
    return False


def _unit(asked: Input, si: bool) -> str:
    return asked.measure.si if si else asked.measure.trade
