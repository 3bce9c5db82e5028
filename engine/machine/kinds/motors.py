"""Kinds of motors, each with its fan wheel."""

from __future__ import annotations

from collections.abc import Mapping
from typing import ClassVar

from lightoff.engine.machine.kinds.base import (
    LOOKS,
    OPEN_CIRCUIT,
    Across,
    MotorKind,
    Standing,
    ValueSpec,
    figure,
    number,
    one_of,
    siemens,
)
from lightoff.engine.model import Value

STOPPED = ("seized", "blocked")
"""How a shaft is that no voltage turns."""

_WHEEL: Mapping[str, ValueSpec] = {
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
"""What any motor with a fan wheel has."""


class Motor(MotorKind):
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
        **_WHEEL,
    }
    branches: ClassVar[tuple[str, ...]] = ("winding", "leak")
    shows = {"turns": "fraction"}
    moves = True
    wired_in = {"winding": ("line",)}

    def ohms(self, values: Mapping[str, Value], branch: str) -> float:
        return number(values, "leak" if branch == "leak" else "resistance")

    def conductance(
        self, part: str, values: Mapping[str, Value], branch: str, standing: Standing
    ) -> float:
        if branch == "leak" or number(values, "resistance") == OPEN_CIRCUIT:
            return siemens(self.ohms(values, branch))
        return siemens(number(values, "running" if part in standing.turning else "locked"))

    def speed(self, values: Mapping[str, Value], across: Across) -> float:
        if values["shaft"] in STOPPED or values["resistance"] == "open":
            return 0.0
        turns = across("winding") >= number(values, "starts-at")
        return number(values, "speed") if turns else 0.0


class TwoSpeedMotor(Motor):
    """A motor with a tap for low speed: `low-winding` turns it slower than `winding`."""

    name = "two-speed-motor"
    about = "A motor with its fan wheel and a tap for a lower speed."
    values = {
        **Motor.values,
        "low-resistance": figure("resistance", None, "open"),
        "low-speed": figure("fraction"),
    }
    branches: ClassVar[tuple[str, ...]] = ("winding", "low-winding", "leak")
    wired_in = {"winding": ("line",), "low-winding": ("line",)}

    def ohms(self, values: Mapping[str, Value], branch: str) -> float:
        if branch == "low-winding":
            return number(values, "low-resistance")
        return super().ohms(values, branch)

    def conductance(
        self, part: str, values: Mapping[str, Value], branch: str, standing: Standing
    ) -> float:
        if branch != "low-winding":
            return super().conductance(part, values, branch, standing)
        if self.ohms(values, branch) == OPEN_CIRCUIT:
            return 0.0
        return siemens(number(values, "running" if part in standing.turning else "locked"))

    def speed(self, values: Mapping[str, Value], across: Across) -> float:
        if (high := super().speed(values, across)) > 0.0:
            return high
        if values["shaft"] in STOPPED or values["low-resistance"] == "open":
            return 0.0
        turns = across("low-winding") >= number(values, "starts-at")
        return number(values, "speed") * number(values, "low-speed") if turns else 0.0


class CommandedMotor(MotorKind):
    """An electronically commutated motor: line voltage feeds it, 24 volts tell it how fast.

    The module takes its power at `power`, always; `high-command` and `low-command` are the
    inputs of its control. `fed-resistance` is what the circuit sees of it while it turns.
    It holds its `airflow` against whatever resists, as far as its full speed goes.
    """

    name = "commanded-motor"
    about = "An electronically commutated motor, told by 24-volt commands how fast to turn."
    values = {
        "fed-resistance": figure("resistance"),
        "idle-resistance": figure("resistance"),
        "command-resistance": figure("resistance"),
        "starts-at": figure("voltage"),
        "commanded-at": figure("voltage"),
        "low-speed": figure("fraction"),
        "airflow": figure("volume-flow"),
        "module": one_of("works", "dead"),
        **_WHEEL,
    }
    branches: ClassVar[tuple[str, ...]] = ("power", "high-command", "low-command", "leak")
    shows = {"turns": "fraction"}
    moves = True
    wired_in = {"power": ("line",), "low-command": ("control",)}

    def ohms(self, values: Mapping[str, Value], branch: str) -> float:
        if branch == "leak":
            return number(values, "leak")
        return number(values, "idle-resistance" if branch == "power" else "command-resistance")

    def conductance(
        self, part: str, values: Mapping[str, Value], branch: str, standing: Standing
    ) -> float:
        if branch == "power" and part in standing.turning:
            return siemens(number(values, "fed-resistance"))
        return siemens(self.ohms(values, branch))

    def speed(self, values: Mapping[str, Value], across: Across) -> float:
        if values["shaft"] in STOPPED or values["module"] == "dead":
            return 0.0
        if across("power") < number(values, "starts-at"):
            return 0.0
        commanded = number(values, "commanded-at")
        if across("high-command") >= commanded:
            return number(values, "speed")
        if across("low-command") >= commanded:
            return number(values, "speed") * number(values, "low-speed")
        return 0.0

    def pressure(self, values: Mapping[str, Value], speed: float, resistance: float) -> float:
        wanted: float = resistance * (number(values, "airflow") * speed) ** 2
        return min(wanted, number(values, "shutoff-pressure"))
