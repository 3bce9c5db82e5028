"""Where a part sits in the nets, the ways of air and gas and the sequence of a furnace.

All of it follows from the furnace's description; nothing is written down twice.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from lightoff.engine.entries.checks import ReadsEntry
from lightoff.engine.machine.sequence import energised_in
from lightoff.engine.machine.trace import Trace
from lightoff.engine.model import Furnace, Input, Wire

NETS = {"line": "line voltage", "control": "24 V"}

LEAST_AMPERES = 1e-9
"""Currents below are rounding; the smallest real one is that of the flame."""


@dataclass(frozen=True, slots=True)
class CircuitPlace:
    """Where a branch lies: between its terminals, live side first.

    `before` leads from the source to it, `after` from it to the return, each as far as
    there is one way only; `fed_by` and `feeds` are the parts where the way forks.
    """

    net: str
    branch: str
    start: str
    end: str
    fed_by: tuple[str, ...]
    before: tuple[str, ...]
    after: tuple[str, ...]
    feeds: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class WayPlace:
    """Where a part lies in a way of air or gas; `before` or `after` is "" at its ends."""

    way: str
    before: str
    after: str


class Ladder:
    """The branches of a net that carry current in a healthy call, in the way it flows.

    The first is the source; its start is the live terminal, its end the return.
    """

    def __init__(self, wires: Sequence[Wire]) -> None:
        self.source, self.wires = wires[0], wires[1:]

    def upstream(self, terminal: str) -> tuple[list[str], list[str]]:
        """Parts in one line before a terminal, from the source; those that feed the line."""
        chain: list[str] = []
        while terminal != self.source.start:
            feeding = [wire for wire in self.wires if wire.end == terminal]
            if len(feeding) != 1:
                return _names(chain[::-1]), _names(wire.part for wire in feeding)
            chain.append(feeding[0].part)
            terminal = feeding[0].start
        return _names([self.source.part, *chain[::-1]]), []

    def downstream(self, terminal: str) -> tuple[list[str], list[str]]:
        """Parts in one line behind a terminal, and those that the line feeds where it forks."""
        chain: list[str] = []
        while terminal != self.source.end:
            fed = [wire for wire in self.wires if wire.start == terminal]
            if len(fed) != 1:
                return _names(chain), _names(wire.part for wire in fed)
            chain.append(fed[0].part)
            terminal = fed[0].end
        return _names(chain), []


def _names(parts: Iterable[str]) -> list[str]:
    return list(dict.fromkeys(parts))


def ladders(healthy: Trace) -> dict[str, Ladder]:
    """Net -> its ladder, from the currents of a healthy call."""
    furnace = healthy.machine.furnace
    return {
        net: Ladder([wires[0], *filter(None, (_as_it_flows(wire, healthy) for wire in wires[1:]))])
        for net, wires in furnace.nets.items()
    }


def _as_it_flows(wire: Wire, trace: Trace) -> Wire | None:
    """The branch turned the way its highest current flows; None if it never carries any."""
    currents = [segment.electrics.amperes(wire.part, wire.branch) for segment in trace.segments]
    highest = max(currents, key=abs)
    if abs(highest) < LEAST_AMPERES:
        return None
    return wire if highest > 0.0 else Wire(wire.part, wire.branch, wire.end, wire.start)


def circuit_places(part: str, nets: Mapping[str, Ladder]) -> list[CircuitPlace]:
    """Every branch of a part that carries current in a healthy call."""
    return [
        _circuit_place(net, ladder, wire)
        for net, ladder in nets.items()
        for wire in (ladder.source, *ladder.wires)
        if wire.part == part
    ]


def _circuit_place(net: str, ladder: Ladder, wire: Wire) -> CircuitPlace:
    if wire is ladder.source:
        return CircuitPlace(net, wire.branch, wire.start, wire.end, (), (), (), ())
    before, fed_by = ladder.upstream(wire.start)
    after, feeds = ladder.downstream(wire.end)
    others = [
        tuple(name for name in names if name != wire.part)
        for names in (fed_by, before, after, feeds)
    ]
    return CircuitPlace(net, wire.branch, wire.start, wire.end, *others)


def way_places(part: str, furnace: Furnace) -> list[WayPlace]:
    """The ways of air and gas that a part lies in."""
    entry = furnace.entry
    ways = {
        "combustion air": entry.combustion_air,
        "house air": entry.house_air,
        "gas": entry.gas_train,
    }
    found = []
    for way, links in ways.items():
        if part in links:
            here = links.index(part)
            after = links[here + 1] if here + 1 < len(links) else ""
            found.append(WayPlace(way, links[here - 1] if here else "", after))
    return found


def leaks_at(part: str, furnace: Furnace) -> str:
    """The tap at which air leaks in through a part, or ""."""
    return next((tap for tap, leak in furnace.entry.leaks.items() if leak == part), "")


def pressure_lines(furnace: Furnace) -> list[tuple[str, str, str, str]]:
    """(pressure switch, its port, the tap the port feels, the hose or "none") of each port."""
    return [
        (part.id, port, str(part.values[f"{port}-tap"]), str(part.values[f"{port}-hose"]))
        for part in furnace.parts.values()
        if part.kind == "pressure-switch"
        for port in ("low", "high")
    ]


def driven_in(part: str, furnace: Furnace, nets: Mapping[str, Ladder]) -> tuple[str, ...]:
    """Steps in which the sequence energises a part: its relay, or the one in line before it."""
    before = [name for place in circuit_places(part, nets) for name in (*place.before, part)]
    relays = [name for name in before if furnace.parts[name].kind == "relay"]
    steps = {step for relay in relays for step in energised_in(furnace.sequence, relay)}
    return tuple(step for step in furnace.sequence.steps if step in steps)


def sensed_by(part: str, furnace: Furnace, nets: Mapping[str, Ladder]) -> dict[str, list[str]]:
    """Input of the board that depends on a part -> steps that ask for it."""
    return {
        reading.id: list(_asking(furnace, reading.id))
        for reading in furnace.sequence.inputs.values()
        if part in _parts_sensed(reading, furnace, nets)
    }


def _parts_sensed(reading: Input, furnace: Furnace, nets: Mapping[str, Ladder]) -> list[str]:
    if reading.volts is None:
        sensor = str(reading.microamps)
        before = [name for place in circuit_places(sensor, nets) for name in place.before]
        board = furnace.sequence.board
        return [*before[before.index(board) + 1 :], sensor] if board in before else [sensor]
    return [name for ladder in nets.values() for name in _leading_to(reading.volts[0], ladder)]


def _leading_to(terminal: str, ladder: Ladder) -> list[str]:
    known = any(terminal in (wire.start, wire.end) for wire in ladder.wires)
    return ladder.upstream(terminal)[0] if known else []


def _asking(furnace: Furnace, reading: str) -> Iterator[str]:
    for step in furnace.sequence.steps.values():
        if any(condition.name == reading for leave in step.leaves for condition in leave.when):
            yield step.id


def reads_part(reads: ReadsEntry, part: str, furnace: Furnace) -> bool:
    """Whether a check reads a part: by name, or by volts across one of its branches."""
    named = (reads.ohms, reads.amps, reads.microamps, reads.gauge, reads.sight, reads.sound)
    if any(part == name.partition("/")[0].partition(".")[0] for name in named if name):
        return True
    if reads.condition is not None and reads.condition.partition(".")[0] == part:
        return True
    return reads.volts is not None and any(
        wire.part == part and {wire.start, wire.end} == set(reads.volts) for wire in furnace.wires
    )
