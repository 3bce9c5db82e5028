"""Kinds that supply or use electrical power."""

from __future__ import annotations

from collections.abc import Mapping

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
    branches = ("source", "neutral-bond", "line-bond")

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
    branches = ("primary", "secondary")

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
    branches = ("power", "call-input", "limit-input", "pressure-input", "sense", "leak")

    def ohms(self, values: Mapping[str, Value], branch: str) -> float:
        if branch == "power":
            return number(values, "draws")
        if branch == "sense":
            dead = values["flame-circuit"] == "dead"
            return OPEN_CIRCUIT if dead else number(values, "sense-resistance")
        return number(values, "leak" if branch == "leak" else "input-resistance")


class Motor(Kind):
    """A motor with its fan wheel: `winding` in the circuit, a fan curve in the air.

    `resistance` is what the meter reads; `running` and `locked` are what the circuit
    sees while it turns or stands.
    """

    name = "motor"
    about = "A motor with its fan wheel."
    values = {
        "resistance": figure("resistance", None, "open"),
        "running": figure("resistance"),
        "locked": figure("resistance"),
        "starts-at": figure("voltage"),
        "shaft": one_of("free", "seized", "dragging", "blocked"),
        "wheel": one_of("fast", "loose"),
        "speed": figure("fraction", 1.0),
        "leak": figure("resistance", OPEN_CIRCUIT, "none"),
        "shutoff-pressure": figure("pressure"),
        "curve": figure("flow-resistance"),
        "capacitor": one_of("good", "weak", "not-fitted"),
        "noise": one_of("quiet", "grinding", "rattling", "humming"),
        "looks": LOOKS,
    }
    branches = ("winding", "leak")
    shows = {"turns": "fraction"}

    def ohms(self, values: Mapping[str, Value], branch: str) -> float:
        return number(values, "leak" if branch == "leak" else "resistance")

    def conductance(
        self, part: str, values: Mapping[str, Value], branch: str, standing: Standing
    ) -> float:
        if branch == "leak" or number(values, "resistance") == OPEN_CIRCUIT:
            return siemens(self.ohms(values, branch))
        return siemens(number(values, "running" if part in standing.turning else "locked"))


class Igniter(Kind):
    """A hot-surface igniter: heats by its power, loses by radiation and convection."""

    name = "igniter"
    about = "A hot-surface igniter."
    values = {
        "resistance": figure("resistance", None, "open"),
        "hot-share": figure("fraction"),
        "surface": figure("area"),
        "emissivity": figure("fraction"),
        "lag": figure("time"),
        "lights-at": figure("temperature"),
        "position": one_of("in-place", "out-of-place"),
        "looks": LOOKS,
    }
    branches = ("element",)
    shows = {"glow": "temperature"}

    def ohms(self, values: Mapping[str, Value], branch: str) -> float:
        return number(values, "resistance")

    def conductance(
        self, part: str, values: Mapping[str, Value], branch: str, standing: Standing
    ) -> float:
        return siemens(number(values, "resistance") * number(values, "hot-share"))


class GasValve(Kind):
    """The combination gas valve: a coil, a hand switch, a seat and a regulator."""

    name = "gas-valve"
    about = "A combination gas valve with regulator."
    values = {
        "resistance": figure("resistance", None, "open"),
        "opens-at": figure("voltage"),
        "switch": one_of("on", "off"),
        "seat": one_of("works", "stuck-shut"),
        "leaks-by": figure("fraction", 0.0),
        "regulator": figure("pressure"),
        "flow-resistance": figure("flow-resistance"),
        "looks": LOOKS,
    }
    branches = ("coil",)
    shows = {"click": "fraction"}

    def ohms(self, values: Mapping[str, Value], branch: str) -> float:
        return number(values, "resistance")


class FlameSensor(Kind):
    """A flame rod: the flame passes a rectified current from its tip to the burner."""

    name = "flame-sensor"
    about = "A flame rod, read by rectification."
    values = {
        "coating": figure("resistance"),
        "flame-resistance": figure("resistance"),
        "rectified": figure("fraction"),
        "insulator-leak": figure("resistance", OPEN_CIRCUIT, "none"),
        "in-flame": figure("fraction", 1.0),
        "looks": LOOKS,
    }
    branches = ("coating", "flame", "insulator")

    def ohms(self, values: Mapping[str, Value], branch: str) -> float:
        if branch == "coating":
            return number(values, "coating")
        return number(values, "insulator-leak") if branch == "insulator" else OPEN_CIRCUIT

    def conductance(
        self, part: str, values: Mapping[str, Value], branch: str, standing: Standing
    ) -> float:
        if branch != "flame":
            return siemens(self.ohms(values, branch))
        share = standing.flame * number(values, "in-flame")
        return share / number(values, "flame-resistance")
