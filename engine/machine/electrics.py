"""Both nets of a furnace solved together: line first, then 24 V through the transformer."""

from __future__ import annotations

from dataclasses import dataclass

from lightoff.engine.machine.circuit import METER_OHMS, Solution
from lightoff.engine.machine.kinds.base import Standing
from lightoff.engine.machine.plan import Machine


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

    def _branch(self, part: str, branch: str) -> tuple[Solution, float, int]:
        in_line, index = self.machine.plan.branches[part, branch]
        if in_line:
            return self.line, self.line_volts, index
        return self.control, self.control_volts, index


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


__all__ = ["METER_OHMS", "Electrics", "solve"]
