"""A furnace laid out for computing: its nets, its ways of air and gas, its watches.

A `Plan` belongs to the furnace and is shared by all its faults; a `Machine` is a plan
with the values of the parts under given overrides.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from lightoff.engine.machine.circuit import Net
from lightoff.engine.machine.kinds import KINDS
from lightoff.engine.machine.kinds.base import MotorKind, Standing, Threshold
from lightoff.engine.model import Furnace, Overrides, Value, Wire


@dataclass(frozen=True, slots=True)
class Way:
    """A way of air: parts before the leak, between leak and fan, and after the fan.

    A draft hood stands where a fan would: `fan` is what drives the air or lets it in.
    `taps` gives for each tap before it how many of `before` lie upstream, and for each
    tap behind it how many of `after` do.
    """

    before: tuple[str, ...]
    leaking: tuple[str, ...]
    between: tuple[str, ...]
    fan: str
    after: tuple[str, ...]
    taps: Mapping[str, int]
    taps_after: Mapping[str, int]


class Plan:
    """What of a furnace does not depend on its faults."""

    def __init__(self, furnace: Furnace) -> None:
        self.furnace = furnace
        self.line = _net(furnace.line, "supply", furnace)
        self.control = _net(furnace.control, "transformer", furnace)
        self.millivolt = (
            _net(furnace.millivolt, "thermocouple", furnace) if furnace.millivolt else None
        )
        entry = furnace.entry
        self.combustion = self._way(entry.combustion_air, entry.leaks)
        self.house_air = self._way(entry.house_air, {})
        self.line_terminals = frozenset(_terminals(furnace.line))
        self.control_terminals = frozenset(_terminals(furnace.control))
        self.millivolt_terminals = frozenset(_terminals(furnace.millivolt))
        self.motors = {
            part.id: kind
            for part in furnace.parts.values()
            if isinstance(kind := KINDS[part.kind], MotorKind)
        }
        self.branches = {
            (wire.part, wire.branch): (net, index)
            for net, wires in furnace.nets.items()
            for index, wire in enumerate(wires)
        }
        """(part, branch) -> (its net, index in its net)."""
        self.roles = {
            role: part.id for part in furnace.parts.values() if (role := KINDS[part.kind].role)
        }
        """Role -> the part that has it."""
        self.spark = self._wired("gap")
        """The electrode that sparks, if there is one."""
        self.flame_sensor = self._wired("flame")
        """The part whose flame current a control reads, if there is one."""
        self.valve = KINDS[furnace.parts[self.roles["gas-valve"]].kind]

    def _wired(self, branch: str) -> str | None:
        """The part that has a branch of this name in a net."""
        return next((part for part, name in self.branches if name == branch), None)

    def first_branch(self, part: str) -> str:
        """The branch meant where a part is named without one."""
        return next(branch for name, branch in self.branches if name == part)

    def _way(self, chain: list[str], leaks: Mapping[str, str]) -> Way:
        before: list[str] = []
        between: list[str] = []
        after: list[str] = []
        taps: dict[str, int] = {}
        taps_after: dict[str, int] = {}
        leaking: list[str] = []
        fan = ""
        filling = before
        for name in chain:
            if name.isupper() and fan:
                taps_after[name] = len(after)
            elif name.isupper():
                taps[name] = len(before)
                if name in leaks:
                    leaking.append(leaks[name])
                    filling = between
            elif drives_air(self.furnace.parts[name].kind):
                fan, filling = name, after
            else:
                filling.append(name)
        return Way(
            tuple(before), tuple(leaking), tuple(between), fan, tuple(after), taps, taps_after
        )


def drives_air(kind: str) -> bool:
    """Whether a part of a kind is where a way of air is driven: a fan, or a draft hood."""
    return isinstance(KINDS[kind], MotorKind) or KINDS[kind].role == "draft-hood"


def _net(wires: tuple[Wire, ...], source_kind: str, furnace: Furnace) -> Net:
    source = next(
        index
        for index, wire in enumerate(wires)
        if KINDS[furnace.parts[wire.part].kind].role == source_kind
        and wire.branch in ("source", "secondary")
    )
    return Net([(wire.start, wire.end) for wire in wires], source)


def _terminals(wires: tuple[Wire, ...]) -> list[str]:
    return [terminal for wire in wires for terminal in (wire.start, wire.end)]


_Moving = tuple[
    int,
    Callable[[str, Mapping[str, Value], str, Standing], float],
    str,
    Mapping[str, Value],
    str,
]
"""(index in the net, how to find its conductance, part, its values, branch)."""


class Machine:
    """A furnace under given overrides: none for a healthy one."""

    def __init__(self, plan: Plan, overrides: Overrides | None = None) -> None:
        self.plan = plan
        self.furnace = plan.furnace
        self.values = _overridden(plan.furnace, overrides or {})
        self.thresholds: dict[str, Threshold] = {}
        self.trip_currents: dict[str, float] = {}
        for part in self.furnace.parts.values():
            kind = KINDS[part.kind]
            if (threshold := kind.threshold(part.id, self.values[part.id])) is not None:
                self.thresholds[part.id] = threshold
            if (amperes := kind.trip_current(self.values[part.id])) is not None:
                self.trip_currents[part.id] = amperes
        self._line = self._branches(self.furnace.line)
        self._control = self._branches(self.furnace.control)
        self._millivolt = self._branches(self.furnace.millivolt)

    def number(self, part: str, name: str) -> float:
        """A figure of a part in SI units."""
        value = self.values[part][name]
        if isinstance(value, str):
            raise TypeError(f"{part}.{name} is the word {value}")
        return value

    def word(self, part: str, name: str) -> str:
        """A word among a part's values."""
        return str(self.values[part][name])

    def line_conductances(self, standing: Standing) -> tuple[float, ...]:
        """Conductance of each branch of the line net, in siemens."""
        return _conductances(self._line, standing)

    def control_conductances(self, standing: Standing) -> tuple[float, ...]:
        """Conductance of each branch of the 24 V net, in siemens."""
        return _conductances(self._control, standing)

    def millivolt_conductances(self, standing: Standing) -> tuple[float, ...]:
        """Conductance of each branch of the millivolt net, in siemens."""
        return _conductances(self._millivolt, standing)

    def _branches(self, wires: tuple[Wire, ...]) -> tuple[list[float], list[_Moving]]:
        """Conductances at rest, and the branches whose conductance can change."""
        at_rest: list[float] = []
        moving: list[_Moving] = []
        for index, wire in enumerate(wires):
            kind, values = KINDS[self.furnace.parts[wire.part].kind], self.values[wire.part]
            if kind.moves:
                moving.append((index, kind.conductance, wire.part, values, wire.branch))
                at_rest.append(0.0)
            else:
                at_rest.append(kind.conductance(wire.part, values, wire.branch, Standing()))
        return at_rest, moving


def _conductances(
    branches: tuple[list[float], list[_Moving]], standing: Standing
) -> tuple[float, ...]:
    at_rest, moving = branches
    conductances = at_rest.copy()
    for index, conductance, part, values, branch in moving:
        conductances[index] = conductance(part, values, branch, standing)
    return tuple(conductances)


def _overridden(furnace: Furnace, overrides: Overrides) -> dict[str, Mapping[str, Value]]:
    values = {part.id: part.values for part in furnace.parts.values()}
    for (part, name), value in overrides.items():
        values[part] = {**values[part], name: value}
    return values
