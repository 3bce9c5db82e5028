"""What a calculation is: its inputs, what it works out, the limits, where they come from."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field

from lightoff.engine.service.calculations.measures import Measure

Figures = Mapping[str, float]
"""Figures by name, in SI units."""


@dataclass(frozen=True, slots=True)
class Given:
    """Inputs of one calculation: figures in SI units, words, and which were only assumed."""

    figures: Figures
    words: Mapping[str, str] = field(default_factory=dict)
    assumed: frozenset[str] = frozenset()

    def __getitem__(self, name: str) -> float:
        return self.figures[name]

    def __contains__(self, name: str) -> bool:
        return name in self.figures

    def word(self, name: str) -> str:
        """The choice that was made."""
        return self.words[name]


@dataclass(frozen=True, slots=True)
class Input:
    """A figure to be given with its unit.

    `usual` is taken if it is not: a text with its unit, or worked out from the inputs before
    it; `usual_from` says where it comes from. `low` and `high` bound what can be, `whole`
    allows no part of one, and `mend` says what to do about a figure that cannot be.
    """

    name: str
    what: str
    measure: Measure
    low: str
    high: str
    usual: str | Callable[[Given], float] | None = None
    usual_from: str = ""
    optional: bool = False
    whole: bool = False
    mend: str = "measure it again"

    @property
    def is_needed(self) -> bool:
        return self.usual is None and not self.optional


@dataclass(frozen=True, slots=True)
class Choice:
    """A word to be given, one of several with what they mean; the first is usual."""

    name: str
    what: str
    choices: Mapping[str, str]

    @property
    def is_needed(self) -> bool:
        return False


@dataclass(frozen=True, slots=True)
class Result:
    """A figure that is worked out."""

    name: str
    what: str
    measure: Measure


Bound = Callable[[Given, Figures], float]


@dataclass(frozen=True, slots=True)
class Limit:
    """Between what a result or an input must lie, who says so, and what to do if it does not.

    `needs` are optional inputs without which there is no verdict.
    """

    of: str
    what: str
    source: str
    out: str
    low: Bound | None = None
    high: Bound | None = None
    needs: tuple[str, ...] = ()


def _no_notes(given: Given, figures: Figures) -> Sequence[str]:
    return ()


@dataclass(frozen=True, slots=True)
class Calculation:
    """One calculation; `name` is what a person types, `example` inputs that work.

    `work_out` gives the results by name in SI units, leaving out those for which an optional
    input is missing. It may raise ImpossibleError where inputs cannot be together. `sources`
    are ids of knowledge/sources.yaml and `hazards` of knowledge/cautions.yaml.
    """

    name: str
    title: str
    when: str
    formula: tuple[str, ...]
    inputs: tuple[Input | Choice, ...]
    results: tuple[Result, ...]
    work_out: Callable[[Given], Figures]
    sources: tuple[str, ...]
    example: Mapping[str, str]
    limits: tuple[Limit, ...] = ()
    hazards: tuple[str, ...] = ()
    notes: Callable[[Given, Figures], Sequence[str]] = _no_notes


class ImpossibleError(ValueError):
    """Inputs that cannot be; `what` is wrong with them and `mend` says how to mend it.

    `input` names the one that is wrong, "" if it is several together.
    """

    def __init__(self, what: str, mend: str, input_: str = "") -> None:
        super().__init__(f"{what}; {mend}")
        self.what = what
        self.mend = mend
        self.input = input_
