"""A furnace laid out for computing: its nets, its ways of air and gas, its watches.

A `Plan` belongs to the furnace and is shared by all its faults; a `Machine` is a plan
with the values of the parts under given overrides.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cached_property

from lightoff.engine.machine.circuit import Net
from lightoff.engine.machine.kinds import KINDS, ONE_EACH
from lightoff.engine.machine.kinds.base import Standing, Threshold
from lightoff.engine.model import Furnace, Overrides, Value, Wire

MOVING_KINDS = frozenset(
    {
        "relay",
        "thermostat",
        "overcurrent",
        "temperature-switch",
        "pressure-switch",
        "motor",
        "flame-sensor",
    }
)
"""Kinds whose conductance depends on what the furnace is doing."""


@dataclass(frozen=True, slots=True)
class Way:
    """A way of air: parts before the leak, between leak and fan, and after the fan.

    `taps` gives for each tap how many of `before` lie upstream of it, or None if it
    lies behind the fan.
    """

    before: tuple[str, ...]
    leaking: tuple[str, ...]
    between: tuple[str, ...]
    fan: str
    after: tuple[str, ...]
    taps: Mapping[str, int | None]


class Plan:
    """What of a furnace does not depend on its faults."""

    def __init__(self, furnace: Furnace) -> None:
        self.furnace = furnace
        self.line = _net(furnace.line, "supply", furnace)
        self.control = _net(furnace.control, "transformer", furnace)
        entry = furnace.entry
        self.combustion = self._way(entry.combustion_air, entry.leaks)
        self.house_air = self._way(entry.house_air, {})
        self.line_terminals = frozenset(_terminals(furnace.line))
        self.control_terminals = frozenset(_terminals(furnace.control))
        self.motors = tuple(part.id for part in furnace.parts.values() if part.kind == "motor")
        self.branches = {
            (wire.part, wire.branch): (in_line, index)
            for in_line, wires in ((True, furnace.line), (False, furnace.control))
            for index, wire in enumerate(wires)
        }
        """(part, branch) -> (in the line net, index in its net)."""

    def only(self, kind: str) -> str:
        """Id of the one part of a kind; LookupError if there is none or several."""
        found = [part.id for part in self.furnace.parts.values() if part.kind == kind]
        if len(found) != 1:
            raise LookupError(f"{self.furnace.id} has {len(found)} parts of kind {kind}")
        return found[0]

    def first_branch(self, part: str) -> str:
        """The branch meant where a part is named without one."""
        return next(branch for name, branch in self.branches if name == part)

    @cached_property
    def roles(self) -> Mapping[str, str]:
        """Kind -> part, for the kinds of which a furnace has just one."""
        return {kind: self.only(kind) for kind in ONE_EACH}

    def _way(self, chain: list[str], leaks: Mapping[str, str]) -> Way:
        before: list[str] = []
        between: list[str] = []
        after: list[str] = []
        taps: dict[str, int | None] = {}
        leaking: list[str] = []
        fan = ""
        filling = before
        for name in chain:
            if name.isupper():
                taps[name] = None if fan else len(before)
                if name in leaks:
                    leaking.append(leaks[name])
                    filling = between
            elif self.furnace.parts[name].kind == "motor":
                fan, filling = name, after
            else:
                filling.append(name)
        return Way(tuple(before), tuple(leaking), tuple(between), fan, tuple(after), taps)


def _net(wires: tuple[Wire, ...], source_kind: str, furnace: Furnace) -> Net:
    source = next(
        index
        for index, wire in enumerate(wires)
        if furnace.parts[wire.part].kind == source_kind and wire.branch in ("source", "secondary")
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

    def _branches(self, wires: tuple[Wire, ...]) -> tuple[list[float], list[_Moving]]:
        """Conductances at rest, and the branches whose conductance can change."""
        at_rest: list[float] = []
        moving: list[_Moving] = []
        for index, wire in enumerate(wires):
            kind, values = KINDS[self.furnace.parts[wire.part].kind], self.values[wire.part]
            if kind.name in MOVING_KINDS:
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
