"""The two electrical nets of one furnace."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from lightoff.engine.entries.furnaces import FurnaceEntry, WireEntry
from lightoff.engine.library.report import Spot, suggestion
from lightoff.engine.library.values import TAP
from lightoff.engine.machine.kinds import KINDS, ONE_EACH
from lightoff.engine.model import Part, Wire

SOURCES = {"line": ("supply", "source"), "control": ("transformer", "secondary")}
"""Net -> (kind, branch) that feeds it."""

_MUST_BE_WIRED = {
    ("transformer", "primary"): "line",
    ("flame-sensor", "flame"): "line",
    ("igniter", "element"): "line",
    ("motor", "winding"): "line",
    ("board", "power"): "control",
    ("gas-valve", "coil"): "control",
}
"""(kind, branch) without which a part does nothing -> its net."""

Parts = Mapping[str, Part]


@dataclass(frozen=True, slots=True)
class Nets:
    """The two nets and which terminals each has."""

    line: tuple[Wire, ...]
    control: tuple[Wire, ...]

    @property
    def terminals(self) -> tuple[frozenset[str], frozenset[str]]:
        """Terminals of the line net and of the control net."""
        return terminals(self.line), terminals(self.control)


def check_one_each(parts: Parts, spot: Spot) -> None:
    """Note every kind of which a furnace must have one part and has none or several."""
    counted = Counter(part.kind for part in parts.values())
    for kind in ONE_EACH:
        if counted[kind] != 1:
            spot.at("parts").wrong(f"{counted[kind]} parts of kind {kind}", "fit just one")


def terminals(wires: Iterable[Wire]) -> frozenset[str]:
    """The terminals between which wires lie."""
    return frozenset(end for wire in wires for end in (wire.start, wire.end))


def resolve_nets(entry: FurnaceEntry, parts: Parts, spot: Spot) -> Nets:
    """Both nets of a furnace; mistakes are noted and left out."""
    wiring = spot.at("wiring")
    before = spot.report.noted
    line = _net("line", entry.wiring.line, parts, wiring.at("line"))
    control = _net("control", entry.wiring.control, parts, wiring.at("control"))
    for shared in sorted(terminals(line) & terminals(control)):
        wiring.wrong(f"terminal {shared} stands in both nets", "give it two names")
    _note_twice(line + control, wiring)
    nets = Nets(line, control)
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
    for (kind, branch), name in _MUST_BE_WIRED.items():
        wired = {wire.part for wire in getattr(nets, name) if wire.branch == branch}
        for part in parts.values():
            if part.kind == kind and part.id not in wired:
                what = f"the {name} net has no wire for {part.id}, branch {branch}"
                spot.at(name).wrong(what, "wire it there")
