"""Wiring and the ways of air and gas of one furnace."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from lightoff.engine.library.report import Spot, suggestion
from lightoff.engine.library.values import NAMES_HOSE, NAMES_TAP, TAP
from lightoff.engine.machine.kinds import KINDS
from lightoff.engine.model import ROOM, FurnaceEntry, Part, Wire, WireEntry

SOURCES = {"line": ("supply", "source"), "control": ("transformer", "secondary")}
"""Net -> (kind, branch) that feeds it."""

_CHAINS = {
    "combustion-air": ("passage", "heat-exchanger", "drain", "motor"),
    "house-air": ("passage", "motor"),
    "gas-train": ("gas-supply", "gas-cock", "gas-valve", "burners"),
}
"""Chain -> kinds that may stand in it."""

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


def terminals(wires: Iterable[Wire]) -> frozenset[str]:
    """The terminals between which wires lie."""
    return frozenset(end for wire in wires for end in (wire.start, wire.end))


def resolve_nets(entry: FurnaceEntry, parts: Parts, spot: Spot) -> Nets:
    """Both nets of a furnace; mistakes are noted and left out."""
    wiring = spot.at("wiring")
    line = _net("line", entry.wiring.line, parts, wiring.at("line"))
    control = _net("control", entry.wiring.control, parts, wiring.at("control"))
    for shared in sorted(terminals(line) & terminals(control)):
        wiring.wrong(f"terminal {shared} stands in both nets", "give it two names")
    _note_twice(line + control, wiring)
    return Nets(line, control)


def split_branch(text: str) -> tuple[str, str]:
    """(part, branch) of "PART/BRANCH" or of "PART", whose branch is ""."""
    part, _, branch = text.partition("/")
    return part, branch


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


def check_chains(entry: FurnaceEntry, parts: Parts, spot: Spot) -> frozenset[str]:
    """Check the ways of air and gas; return the taps along them, with the room."""
    chains = _chains(entry)
    for name, chain in chains.items():
        for index, link in enumerate(chain):
            if not TAP.fullmatch(link):
                _check_link(name, link, parts, spot.at(name, index))
    links = Counter(link for chain in chains.values() for link in chain)
    for link, times in links.items():
        if times > 1:
            spot.wrong(f"{link} stands {times} times in the ways of air and gas", "keep one")
    taps = frozenset(link for link in links if TAP.fullmatch(link)) | {ROOM}
    _check_leaks(entry, parts, taps, spot.at("leaks"))
    return taps


def _chains(entry: FurnaceEntry) -> dict[str, list[str]]:
    return {
        "combustion-air": entry.combustion_air,
        "house-air": entry.house_air,
        "gas-train": entry.gas_train,
    }


def _check_link(chain: str, name: str, parts: Parts, spot: Spot) -> None:
    part = parts.get(name)
    if part is None:
        spot.unknown("part of this furnace", name, parts)
    elif part.kind not in _CHAINS[chain]:
        mend = f"it takes {', '.join(_CHAINS[chain])}"
        spot.wrong(f"a {part.kind} cannot stand in the {chain}", mend)


def _check_leaks(entry: FurnaceEntry, parts: Parts, taps: frozenset[str], spot: Spot) -> None:
    for tap, name in entry.leaks.items():
        if tap not in taps - {ROOM}:
            spot.at(tap).unknown("tap", tap, taps - {ROOM})
        part = parts.get(name)
        if part is None:
            spot.at(tap).unknown("part of this furnace", name, parts)
        elif part.kind != "opening":
            spot.at(tap).wrong(f"{name} is a {part.kind}", "name a part of kind opening")


def check_ports(parts: Parts, taps: frozenset[str], spot: Spot) -> frozenset[str]:
    """Check what pressure switches are tapped to; return the hoses in use."""
    hoses = {part.id for part in parts.values() if part.kind == "hose"}
    used: set[str] = set()
    for part in parts.values():
        for value in sorted(part.values):
            named = str(part.values[value])
            if (part.kind, value) in NAMES_TAP and named not in taps:
                spot.at("parts", part.id).unknown(f"tap for {value}", named, taps)
            if (part.kind, value) in NAMES_HOSE and named != "none":
                used.add(named)
                if named not in hoses:
                    spot.at("parts", part.id).unknown(f"hose for {value}", named, hoses)
    return frozenset(used)


def check_all_used(
    entry: FurnaceEntry, parts: Parts, nets: Nets, hoses: frozenset[str], spot: Spot
) -> None:
    """Note every part that stands in no net, no way of air or gas and at no hose."""
    used = {wire.part for wire in nets.line + nets.control} | hoses | set(entry.leaks.values())
    used.update(*_chains(entry).values())
    for part in parts.values():
        if part.id not in used:
            mend = "wire it, put it in a way of air or gas, or take it out"
            spot.at("parts", part.id).wrong(f"{part.id} is connected to nothing", mend)
