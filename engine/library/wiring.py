"""The two electrical nets of one furnace."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from lightoff.engine.entries.furnaces import FurnaceEntry, WireEntry
from lightoff.engine.library.report import Spot, suggestion
from lightoff.engine.library.values import TAP
from lightoff.engine.machine.kinds import KINDS, NEEDED, ROLES
from lightoff.engine.model import Part, Wire

SOURCES = {
    "line": ("supply", "source"),
    "control": ("transformer", "secondary"),
    "millivolt": ("thermocouple", "source"),
}
"""Net -> (kind, branch) that feeds it."""

Parts = Mapping[str, Part]


@dataclass(frozen=True, slots=True)
class Nets:
    """The nets and which terminals each has."""

    line: tuple[Wire, ...]
    control: tuple[Wire, ...]
    millivolt: tuple[Wire, ...]

    @property
    def named(self) -> dict[str, tuple[Wire, ...]]:
        """Net -> its wires."""
        return {"line": self.line, "control": self.control, "millivolt": self.millivolt}

    @property
    def wires(self) -> tuple[Wire, ...]:
        """The wires of all nets."""
        return self.line + self.control + self.millivolt

    @property
    def terminals(self) -> tuple[frozenset[str], ...]:
        """Terminals of each net."""
        return tuple(terminals(wires) for wires in self.named.values())


def check_one_each(parts: Parts, spot: Spot) -> None:
    """Note every role that no part has though one must, or that several have."""
    counted = Counter(KINDS[part.kind].role for part in parts.values())
    for role in ROLES:
        if counted[role] > 1 or (role in NEEDED and not counted[role]):
            kinds = [kind.name for kind in KINDS.values() if kind.role == role]
            named = " or ".join(kinds)
            spot.at("parts").wrong(f"{counted[role]} parts of kind {named}", "fit just one")


def terminals(wires: Iterable[Wire]) -> frozenset[str]:
    """The terminals between which wires lie."""
    return frozenset(end for wire in wires for end in (wire.start, wire.end))


def resolve_nets(entry: FurnaceEntry, parts: Parts, spot: Spot) -> Nets:
    """Both nets of a furnace; mistakes are noted and left out."""
    wiring = spot.at("wiring")
    before = spot.report.noted
    line = _net("line", entry.wiring.line, parts, wiring.at("line"))
    control = _net("control", entry.wiring.control, parts, wiring.at("control"))
    millivolt = (
        _net("millivolt", entry.wiring.millivolt, parts, wiring.at("millivolt"))
        if entry.wiring.millivolt
        else ()
    )
    nets = Nets(line, control, millivolt)
    standing = Counter(terminal for net in nets.terminals for terminal in net)
    for shared in sorted(terminal for terminal, times in standing.items() if times > 1):
        wiring.wrong(f"terminal {shared} stands in both nets", "give it two names")
    _note_twice(nets.wires, wiring)
    if spot.report.noted == before:
        _check_wired(nets, parts, wiring)
    return nets


def branch_of(kind: str, branch: str) -> str:
    """The branch meant; LookupError saying what is wrong if the kind has no such one."""
    branches = KINDS[kind].branches
    if not branches:
        raise LookupError(f"a {kind} is in no circuit")
    if branch in branches:
        return branch
    if branch or len(branches) > 1:
        named = f"no branch {branch}" if branch else "several branches"
        raise LookupError(f"a {kind} has {named}: {', '.join(branches)}")
    return branches[0]


def _net(name: str, entries: list[WireEntry], parts: Parts, spot: Spot) -> tuple[Wire, ...]:
    found = [_wire(entry, parts, spot.at(index)) for index, entry in enumerate(entries)]
    wires = tuple(wire for wire in found if wire is not None)
    if len(wires) < len(found):
        return wires
    kind, branch = SOURCES[name]
    sources = [w for w in wires if (parts[w.part].kind, w.branch) == (kind, branch)]
    if len(sources) != 1:
        what = f"the {name} net has {len(sources)} sources"
        spot.wrong(what, f"wire one {kind}, branch {branch}, in it")
    ends = Counter(end for wire in wires for end in (wire.start, wire.end))
    for index, wire in enumerate(wires):
        for end in (wire.start, wire.end):
            if ends[end] == 1:
                mend = suggestion(end, ends.keys() - {end})
                spot.at(index).wrong(f"nothing else is wired to terminal {end}", mend)
    return wires


def _wire(entry: WireEntry, parts: Parts, spot: Spot) -> Wire | None:
    part = parts.get(entry.part)
    if part is None:
        spot.at("part").unknown("part of this furnace", entry.part, parts)
        return None
    start, end = entry.between
    for terminal in entry.between:
        if not TAP.fullmatch(terminal):
            spot.at("between").wrong(f"{terminal!r} is no terminal", "write it in upper case")
    if start == end:
        spot.at("between").wrong("both ends are the same terminal", "give two terminals")
    try:
        return Wire(part.id, branch_of(part.kind, entry.branch), start, end)
    except LookupError as error:
        spot.wrong(str(error.args[0]), "name one of its branches")
        return None


def _note_twice(wires: tuple[Wire, ...], spot: Spot) -> None:
    counted = Counter((wire.part, wire.branch) for wire in wires)
    for (part, branch), times in counted.items():
        if times > 1:
            spot.wrong(f"{part}, branch {branch}, is wired {times} times", "wire it once")


def _check_wired(nets: Nets, parts: Parts, spot: Spot) -> None:
    """Note every branch that must lie in a net for the part to do anything, and does not."""
    relays = [part.id for part in parts.values() if part.kind == "relay"]
    for part in parts.values():
        fired_by = str(part.values.get("fired-by", ""))
        if fired_by and fired_by not in relays:
            spot.unknown(f"relay that fires {part.id}", fired_by, relays)
        for branch, allowed in KINDS[part.kind].wired_in.items():
            wired = any(
                (wire.part, wire.branch) == (part.id, branch)
                for name in allowed
                for wire in nets.named[name]
            )
            if not wired:
                name = allowed[0]
                what = f"the {name} net has no wire for {part.id}, branch {branch}"
                spot.at(name).wrong(what, "wire it there")
