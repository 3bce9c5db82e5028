"""The nets of a furnace solved together: line first, then 24 V through the transformer.

`Powered` says what the solved nets do to the parts that hang on them.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping
from dataclasses import dataclass

from lightoff.engine.machine.circuit import Solution
from lightoff.engine.machine.kinds import KINDS
from lightoff.engine.machine.kinds.base import SHUT, Across, Opened, Standing, ValveKind
from lightoff.engine.machine.plan import Machine
from lightoff.engine.model import Input


@dataclass(frozen=True, slots=True)
class Electrics:
    """The nets solved, with the source voltages that scale them.

    The source of the millivolt net lags behind its flame, so its solution is kept for one
    volt at the source.
    """

    machine: Machine
    line: Solution
    line_volts: float
    control: Solution
    control_volts: float
    millivolt: Solution | None = None

    def volts(self, a: str, b: str, emf: float = 1.0) -> float:
        """What a meter reads from `b` to `a`; 0 between nets, which share no loop.

        `emf` is what a thermocouple gives at the time, in volts. Raises KeyError for a
        terminal that no net has.
        """
        plan = self.machine.plan
        for terminal in (a, b):
            if not any(
                terminal in net
                for net in (
                    plan.line_terminals,
                    plan.control_terminals,
                    plan.millivolt_terminals,
                )
            ):
                raise KeyError(terminal)
        if a in plan.line_terminals and b in plan.line_terminals:
            return self.line.volts(a, b, self.line_volts)
        if a in plan.control_terminals and b in plan.control_terminals:
            return self.control.volts(a, b, self.control_volts)
        if self.millivolt is not None and {a, b} <= plan.millivolt_terminals:
            return self.millivolt.volts(a, b, emf)
        return 0.0

    def across(self, part: str, branch: str) -> float:
        """Voltage across a branch with no meter on it, as the branch itself sees it.

        0 for a branch that is in no net.
        """
        if (part, branch) not in self.machine.plan.branches:
            return 0.0
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
        """What a control reads at one of its inputs, in volts or amperes."""
        if reading.microamps is not None:
            return self.flame_current(reading.microamps)
        assert reading.volts is not None
        return abs(self.volts(*reading.volts))

    def _branch(self, part: str, branch: str) -> tuple[Solution, float, int]:
        net, index = self.machine.plan.branches[part, branch]
        if net == "line":
            return self.line, self.line_volts, index
        if net == "control":
            return self.control, self.control_volts, index
        assert self.millivolt is not None
        return self.millivolt, 1.0, index


@dataclass(frozen=True, slots=True)
class Powered:
    """What solved nets make of the loads, and what the controls read of them."""

    electrics: Electrics
    speeds: Mapping[str, float]
    """Motors that turn -> their speed as a share of full."""
    overloaded: tuple[str, ...]
    """Breakers and fuses that carry more than they hold."""
    gas: Opened
    igniter_watts: float
    sparks: bool
    damper_driven: bool
    inputs: dict[str, bool]
    """What the controls take for true; a dead one takes nothing."""

    @property
    def turning(self) -> frozenset[str]:
        """Motors that turn."""
        return frozenset(self.speeds)


def powered(machine: Machine, standing: Standing) -> Powered:
    """Solve the nets in one standing of the furnace and see to the loads."""
    electrics = solve(machine, standing)
    igniter = machine.plan.roles.get("igniter")
    return Powered(
        electrics=electrics,
        speeds=_speeds(electrics),
        overloaded=tuple(
            part
            for part, amperes in machine.trip_currents.items()
            if abs(electrics.amperes(part, "contacts")) > amperes
        ),
        gas=_gas(electrics, standing),
        igniter_watts=0.0
        if igniter is None
        else abs(electrics.across(igniter, "element") * electrics.amperes(igniter, "element")),
        sparks=_sparks(electrics, standing),
        damper_driven=_damper_driven(electrics),
        inputs=_inputs(electrics),
    )


def _across(electrics: Electrics, part: str) -> Across:
    return lambda branch: abs(electrics.across(part, branch))


def _speeds(electrics: Electrics) -> dict[str, float]:
    machine = electrics.machine
    found = {
        motor: kind.speed(machine.values[motor], _across(electrics, motor))
        for motor, kind in machine.plan.motors.items()
    }
    return {motor: speed for motor, speed in found.items() if speed > 0.0}


def _gas(electrics: Electrics, standing: Standing) -> Opened:
    machine = electrics.machine
    valve = machine.plan.roles["gas-valve"]
    kind, values = machine.plan.valve, machine.values[valve]
    assert isinstance(kind, ValveKind)
    opened = kind.opened(values, _across(electrics, valve), standing.positions.get(valve, True))
    return opened if opened.pilot or opened.stage else SHUT


def _sparks(electrics: Electrics, standing: Standing) -> bool:
    machine, electrode = electrics.machine, electrics.machine.plan.spark
    if electrode is None or machine.word(electrode, "gap") != "right":
        return False
    relay = machine.word(electrode, "fired-by")
    kind = KINDS[machine.furnace.parts[relay].kind]
    if not kind.conductance(relay, machine.values[relay], "contacts", standing):
        return False
    if standing.flame and machine.plan.roles.get("flame-sensor") == electrode:
        # Thousands of volts jump through a flame as through air: it takes no spark away.
        electrics = solve(machine, dataclasses.replace(standing, flame=0.0))
    return abs(electrics.across(electrode, "gap")) >= machine.number(electrode, "sparks-at")


def _damper_driven(electrics: Electrics) -> bool:
    machine, damper = electrics.machine, electrics.machine.plan.roles.get("vent-damper")
    if damper is None or machine.values[damper]["motor-resistance"] == "open":
        return False
    return abs(electrics.across(damper, "motor")) >= machine.number(damper, "opens-with")


def _inputs(electrics: Electrics) -> dict[str, bool]:
    machine = electrics.machine
    return {
        name: not (reading.by and machine.word(reading.by, "logic") == "dead")
        and electrics.board_reading(reading) > reading.above
        for name, reading in machine.furnace.sequence.inputs.items()
        if reading.lit is None
    }


def solve(machine: Machine, standing: Standing) -> Electrics:
    """The nets in one standing of the furnace."""
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
    millivolt = (
        None
        if plan.millivolt is None
        else plan.millivolt.solve(machine.millivolt_conductances(standing))
    )
    return Electrics(machine, line, line_volts, control, primary_volts * ratio * wound, millivolt)
