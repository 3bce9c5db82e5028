"""What a person typed -> inputs -> results with the verdict on their limits."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from lightoff.engine.service.calculations.entry import (
    Bound,
    Calculation,
    Choice,
    Figures,
    Given,
    ImpossibleError,
    Input,
    Limit,
)
from lightoff.engine.service.calculations.measures import read
from lightoff.engine.units import UnitError

ROUNDING = 1e-9
"""Relative difference under which a figure counts as equal to its limit."""


@dataclass(frozen=True, slots=True)
class Verdict:
    """How a figure stands to a limit: `within`, `below`, `above`, or `unknown`.

    It is unknown where an optional input is missing. `value` is 0 then, and a bound is None
    where there is none.
    """

    limit: Limit
    word: str
    value: float = 0.0
    low: float | None = None
    high: float | None = None


@dataclass(frozen=True, slots=True)
class Answer:
    """Inputs, results in SI units, notes and verdicts."""

    given: Given
    figures: Figures
    notes: tuple[str, ...]
    verdicts: tuple[Verdict, ...]

    @property
    def is_out(self) -> bool:
        """Whether a figure lies beyond a limit."""
        return any(verdict.word in ("below", "above") for verdict in self.verdicts)


def understood(asked: Input | Choice, text: str) -> float | str:
    """What a typed text means for an input; ImpossibleError if it cannot be that."""
    if isinstance(asked, Choice):
        return _chosen(asked, text)
    try:
        value = read(text, asked.measure.dimension)
    except UnitError as error:
        raise ImpossibleError(error.what, error.mend, asked.name) from None
    low, high = (read(bound, asked.measure.dimension) for bound in (asked.low, asked.high))
    if not low <= value <= high:
        what = f"{text} cannot be: it lies between {asked.low} and {asked.high}"
        raise ImpossibleError(what, asked.mend, asked.name)
    if asked.whole and not value.is_integer():
        raise ImpossibleError(f"{text} is no whole number", asked.mend, asked.name)
    return value


def _chosen(asked: Choice, text: str) -> str:
    if text not in asked.choices:
        raise ImpossibleError(
            f"{text[:40]!r} is none of its choices",
            f"give {' or '.join(asked.choices)}",
            asked.name,
        )
    return text


def given(calculation: Calculation, typed: Mapping[str, str]) -> Given:
    """All inputs, the usual taken for those that were not typed; ImpossibleError.

    Every name that was typed must be that of an input.
    """
    for asked in calculation.inputs:
        if asked.is_needed and asked.name not in typed:
            raise ImpossibleError("it is not given", f"give the {asked.what}", asked.name)
    return given_so_far(calculation, typed)


def given_so_far(calculation: Calculation, typed: Mapping[str, str]) -> Given:
    """The same while inputs that are needed may still be missing."""
    figures: dict[str, float] = {}
    words: dict[str, str] = {}
    assumed: set[str] = set()
    for asked in calculation.inputs:
        if asked.name in typed:
            value: float | str | None = understood(asked, typed[asked.name])
        else:
            value = usual(asked, Given(figures, words))
            assumed.update((asked.name,) if value is not None else ())
        if isinstance(value, str):
            words[asked.name] = value
        elif value is not None:
            figures[asked.name] = value
    return Given(figures, words, frozenset(assumed))


def usual(asked: Input | Choice, before: Given) -> float | str | None:
    """What is taken for an input that is not given, None where there is no usual figure.

    `before` are the inputs before it.
    """
    if isinstance(asked, Choice):
        return next(iter(asked.choices))
    if asked.usual is None:
        return None
    if isinstance(asked.usual, str):
        return read(asked.usual, asked.measure.dimension)
    return asked.usual(before)


def worked_out(calculation: Calculation, inputs: Given) -> Answer:
    """The results, and how they stand to the limits; ImpossibleError if they cannot be."""
    figures = calculation.work_out(inputs)
    if not all(map(math.isfinite, figures.values())):
        raise ImpossibleError("with these inputs it has no end", "measure them again")
    verdicts = tuple(_verdict(limit, inputs, figures) for limit in calculation.limits)
    return Answer(inputs, figures, tuple(calculation.notes(inputs, figures)), verdicts)


def answer(calculation: Calculation, typed: Mapping[str, str]) -> Answer:
    """The same from what was typed."""
    return worked_out(calculation, given(calculation, typed))


def _verdict(limit: Limit, inputs: Given, figures: Figures) -> Verdict:
    both = {**inputs.figures, **figures}
    if not both.keys() >= {limit.of, *limit.needs}:
        return Verdict(limit, "unknown")

    def at(bound: Bound | None) -> float | None:
        return None if bound is None else bound(inputs, figures)

    value, low, high = both[limit.of], at(limit.low), at(limit.high)
    slack = ROUNDING * abs(value)
    word = "within"
    if low is not None and value < low - slack:
        word = "below"
    elif high is not None and value > high + slack:
        word = "above"
    return Verdict(limit, word, value, low, high)
