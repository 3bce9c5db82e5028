"""Kinds that supply or use electrical power."""

from __future__ import annotations

from collections.abc import Mapping
from typing import ClassVar

from lightoff.engine.machine.kinds.base import (
    LOOKS,
    OPEN_CIRCUIT,
    Kind,
    Standing,
    figure,
    number,
    one_of,
    siemens,
)
from lightoff.engine.model import Value

BOND = 0.05
"""Resistance of the bond between neutral and earth in ohms (common practice)."""


class Supply(Kind):
    """The house supply: a source, and the bond that ties one side of it to earth."""

    name = "supply"
    about = "The house supply at the furnace."
    values = {
        "volts": figure("voltage"),
        "source-resistance": figure("resistance"),
        "bond": one_of("neutral", "line", "none"),
    }
    branches: ClassVar[tuple[str, ...]] = ("source", "neutral-bond", "line-bond")
    role = "supply"

    def ohms(self, values: Mapping[str, Value], branch: str) -> float:
        if branch == "source":
            return number(values, "source-resistance")
        return BOND if branch == f"{values['bond']}-bond" else OPEN_CIRCUIT


class Transformer(Kind):
    """Feeds the control net with a share of its primary voltage."""

    name = "transformer"
    about = "The control transformer."
    values = {
        "primary-resistance": figure("resistance", None, "open"),
        "primary-load": figure("resistance"),
        "secondary-resistance": figure("resistance", None, "open"),
        "ratio": figure("fraction"),
        "looks": LOOKS,
    }
    branches: ClassVar[tuple[str, ...]] = ("primary", "secondary")
    role = "transformer"
    wired_in = {"primary": ("line",)}

    def ohms(self, values: Mapping[str, Value], branch: str) -> float:
        return number(values, f"{branch}-resistance")

    def conductance(
        self, part: str, values: Mapping[str, Value], branch: str, standing: Standing
    ) -> float:
        if branch == "primary" and number(values, "primary-resistance") != OPEN_CIRCUIT:
            return siemens(number(values, "primary-load"))
        return siemens(self.ohms(values, branch))


class Board(Kind):
    """The control board: its own draw, its inputs, its flame-sensing source."""

    name = "board"
    about = "The control board that runs the sequence."
    values = {
        "draws": figure("resistance"),
        "input-resistance": figure("resistance"),
        "sense-resistance": figure("resistance"),
        "logic": one_of("works", "dead"),
        "flame-circuit": one_of("works", "dead"),
        "leak": figure("resistance", OPEN_CIRCUIT, "none"),
        "looks": LOOKS,
    }
    branches: ClassVar[tuple[str, ...]] = (
        "power",
        "call-input",
        "second-call-input",
        "limit-input",
        "pressure-input",
        "second-pressure-input",
        "sense",
        "leak",
    )
    role = "board"
    wired_in = {"power": ("control",)}

    def ohms(self, values: Mapping[str, Value], branch: str) -> float:
        if branch == "power":
            return number(values, "draws")
        if branch == "sense":
            dead = values["flame-circuit"] == "dead"
            return OPEN_CIRCUIT if dead else number(values, "sense-resistance")
        return number(values, "leak" if branch == "leak" else "input-resistance")
