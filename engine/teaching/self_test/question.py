"""A question with its choices, and how one is made."""

from __future__ import annotations

import random
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property

from lightoff.engine.model import Check, Fault, Furnace, Knowledge
from lightoff.engine.reasoning.prediction import Traces

MOST_CHOICES = 4


@dataclass(frozen=True, slots=True)
class Question:
    """One question; `right` is the number of the right choice, from 0."""

    kind: str
    ask: str
    choices: tuple[str, ...]
    right: int
    why: str
    read_on: str = ""
    """Id of the part that is asked about; "" if none is."""


@dataclass(frozen=True)
class Source:
    """What questions are made from, with the chance that decides which."""

    knowledge: Knowledge
    furnace: Furnace
    chance: random.Random

    @cached_property
    def traces(self) -> Traces:
        return Traces(self.furnace)

    @property
    def checks(self) -> Sequence[Check]:
        return list(self.knowledge.checks[self.furnace.id].values())

    @cached_property
    def lasting_faults(self) -> Sequence[Fault]:
        """Faults that show in every call: of the others no one answer is right."""
        return [each for each in self.furnace.faults.values() if not each.entry.comes_and_goes]

    def fault_named(self, fault: Fault) -> str:
        """A fault with its part, in words."""
        return f"{self.furnace.parts[fault.part].entry.name}: {fault.entry.name}"

    def put(
        self, kind: str, ask: str, right: str, wrong: Iterable[str], why: str, read_on: str = ""
    ) -> Question | None:
        """A question with choices in an order by chance; None without two that differ."""
        others = [each for each in dict.fromkeys(wrong) if each != right]
        choices = [right, *self.chance.sample(others, min(MOST_CHOICES - 1, len(others)))]
        if len(choices) < 2:
            return None
        self.chance.shuffle(choices)
        return Question(kind, ask, tuple(choices), choices.index(right), why, read_on)


Maker = Callable[[Source], Question | None]
"""Makes a question by chance; None if it came to nothing this time."""
