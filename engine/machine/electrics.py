"""Both nets of a furnace solved together: line first, then 24 V through the transformer.

`Powered` says what the solved nets do to the parts that hang on them.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from lightoff.engine.machine.circuit import Solution
from lightoff.engine.machine.kinds.base import Standing
from lightoff.engine.machine.plan import Machine
from lightoff.engine.model import Input


@dataclass(frozen=True, slots=True)
class Electrics:
    """Both nets solved, with the source voltages that scale them."""

    machine: Machine
    line: Solution
    line_volts: float
    control: Solution
    control_volts: float

    def volts(self, a: str, b: str) -> float:
        """What a meter reads from `b` to `a`; 0 between nets, which share no loop.

        Raises KeyError for a terminal that neither net has.
        """
        plan = self.machine.plan
        for terminal in (a, b):
            if terminal not in plan.line_terminals and terminal not in plan.control_terminals:
                raise KeyError(terminal)
        if a in plan.line_terminals and b in plan.line_terminals:
            return self.line.volts(a, b, self.line_volts)
        if a in plan.control_terminals and b in plan.control_terminals:
            return self.control.volts(a, b, self.control_volts)
        return 0.0

    def across(self, part: str, branch: str) -> float:
        """Voltage across a branch with no meter on it, as the branch itself sees it."""
        solution, emf, index = self._branch(part, branch)
        start, end = solution.net.branches[index]
        return (solution.potential(start) - solution.potential(end)) * emf

    def amperes(self, part: str, branch: str) -> float:
        """Current through a branch, from its start to its end."""
        solution, emf, index = self._branch(part, branch)
        return solution.current(index, emf)

    def flame_current(self, sensor: str) -> float:
        """The rectified part of the current through the flame, in amperes DC."""
        share = self.machine.number(sensor, "rectified")
        return abs(self.amperes(sensor, "flame")) * share

    def board_reading(self, reading: Input) -> float:
        """What the board reads at one of its inputs, in volts or amperes."""
        if reading.microamps is not None:
            return self.flame_current(reading.microamps)
        assert reading.volts is not None
        return abs(self.volts(*reading.volts))

    def _branch(self, part: str, branch: str) -> tuple[Solution, float, int]:
        in_line, index = self.machine.plan.branches[part, branch]
        if in_line:
            return self.line, self.line_volts, index
        return self.control, self.control_volts, index


@dataclass(frozen=True, slots=True)
class Powered:
    """What solved nets make of the loads, and what the board reads of them."""

    electrics: Electrics
    turning: frozenset[str]
    """Motors with voltage enough to turn, and a shaft that can."""
    overloaded: tuple[str, ...]
    """Breakers and fuses that carry more than they hold."""
    valve_open: bool
    igniter_watts: float
    inputs: Mapping[str, bool]
    """What the board takes for true; a dead board takes nothing."""


def powered(machine: Machine, standing: Standing) -> Powered:
    """Solve both nets in one standing of the furnace and see to the loads."""
    electrics = solve(machine, standing)
    igniter = machine.plan.roles["igniter"]
    return Powered(
        electrics=electrics,
        turning=frozenset(motor for motor in machine.plan.motors if _can_turn(electrics, motor)),
        overloaded=tuple(
            part
            for part, amperes in machine.trip_currents.items()
            if abs(electrics.amperes(part, "contacts")) > amperes
        ),
        valve_open=_valve_open(electrics, machine.plan.roles["gas-valve"]),
        igniter_watts=abs(
            electrics.across(igniter, "element") * electrics.amperes(igniter, "element")
        ),
        inputs=_inputs(electrics),
    )


def _can_turn(electrics: Electrics, motor: str) -> bool:
    values = electrics.machine.values[motor]
    if values["shaft"] in ("seized", "blocked") or values["resistance"] == "open":
        return False
    return abs(electrics.across(motor, "winding")) >= electrics.machine.number(motor, "starts-at")


def _valve_open(electrics: Electrics, valve: str) -> bool:
    values = electrics.machine.values[valve]
    if values["switch"] == "off" or values["seat"] == "stuck-shut":
        return False
    if values["resistance"] == "open":
        return False
    return abs(electrics.across(valve, "coil")) >= electrics.machine.number(valve, "opens-at")


def _inputs(electrics: Electrics) -> dict[str, bool]:
    sequence = electrics.machine.furnace.sequence
    if electrics.machine.word(sequence.board, "logic") == "dead":
        return dict.fromkeys(sequence.inputs, False)
    return {
        name: electrics.board_reading(reading) > reading.above
        for name, reading in sequence.inputs.items()
    }


def solve(machine: Machine, standing: Standing) -> Electrics:
    """Both nets in one standing of the furnace."""
    plan = machine.plan
    line = plan.line.solve(machine.line_conductances(standing))
    line_volts = machine.number(plan.roles["supply"], "volts")
    transformer = plan.roles["transformer"]
    _, primary = plan.branches[transformer, "primary"]
    start, end = plan.line.branches[primary]
    primary_volts = (line.potential(start) - line.potential(end)) * line_volts
    ratio = machine.number(transformer, "ratio")
    wound = machine.values[transformer]["primary-resistance"] != "open"
    control = plan.control.solve(machine.control_conductances(standing))
    return Electrics(machine, line, line_volts, control, primary_volts * ratio * wound)
