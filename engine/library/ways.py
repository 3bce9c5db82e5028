"""The ways of air and gas of one furnace, and what hangs on their taps."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping

from lightoff.engine.entries.furnaces import FurnaceEntry
from lightoff.engine.library.report import Spot
from lightoff.engine.library.values import NAMES_HOSE, NAMES_TAP, TAP
from lightoff.engine.library.wiring import Nets, Parts
from lightoff.engine.machine.kinds import KINDS
from lightoff.engine.machine.kinds.base import MotorKind
from lightoff.engine.machine.plan import drives_air
from lightoff.engine.model import ROOM, Fault

_MOTORS = tuple(kind.name for kind in KINDS.values() if isinstance(kind, MotorKind))
_VALVES = tuple(kind.name for kind in KINDS.values() if kind.role == "gas-valve")

_MAY_STAND = {
    "combustion-air": (
        "passage",
        "heat-exchanger",
        "drain",
        *_MOTORS,
        "draft-hood",
        "vent-damper",
        "chimney",
    ),
    "house-air": ("passage", *_MOTORS),
    "gas-train": ("gas-supply", "gas-cock", *_VALVES, "burners"),
}
"""Way -> kinds that may stand in it."""

_GAS_TRAIN = ("gas-supply", "gas-cock", "TAP", "gas-valve", "TAP", "burners")


def ways(entry: FurnaceEntry) -> dict[str, list[str]]:
    """The ways of a furnace by the key they have in its file."""
    return {
        "combustion-air": entry.combustion_air,
        "house-air": entry.house_air,
        "gas-train": entry.gas_train,
    }


def is_tap(link: str) -> bool:
    """Whether a link of a way is a tap, not a part."""
    return TAP.fullmatch(link) is not None


def check_ways(entry: FurnaceEntry, parts: Parts, spot: Spot) -> frozenset[str]:
    """Check the ways of air and gas; return the taps along them, with the room."""
    before = spot.report.noted
    for name, way in ways(entry).items():
        for index, link in enumerate(way):
            if not is_tap(link):
                _check_link(name, link, parts, spot.at(name, index))
    links = Counter(link for way in ways(entry).values() for link in way)
    for link, times in links.items():
        if times > 1 or link == ROOM:
            spot.wrong(f"{link} cannot stand here {times} times", "give each tap a name of its own")
    if spot.report.noted == before:
        _check_fan(entry.combustion_air, parts, spot.at("combustion-air"))
        _check_fan(entry.house_air, parts, spot.at("house-air"))
        _check_gas_train(entry.gas_train, parts, spot.at("gas-train"))
        _check_leaks(entry, parts, spot.at("leaks"))
    return frozenset(link for link in links if is_tap(link)) | {ROOM}


def _check_link(way: str, name: str, parts: Parts, spot: Spot) -> None:
    part = parts.get(name)
    if part is None:
        spot.unknown("part of this furnace", name, parts)
    elif part.kind not in _MAY_STAND[way]:
        mend = f"it takes {', '.join(_MAY_STAND[way])}"
        spot.wrong(f"a {part.kind} cannot stand in the {way}", mend)


def _check_fan(way: list[str], parts: Parts, spot: Spot) -> None:
    """A way of air has one fan, or a draft hood, and a passage before and after it.

    A chimney may be the last behind either, and is behind a draft hood.
    """
    kinds = [parts[link].kind for link in way if not is_tap(link)]
    drivers = [kind for kind in kinds if drives_air(kind)]
    if len(drivers) != 1:
        spot.wrong(f"this way has {len(drivers)} motors", "put one motor in it, or a draft hood")
        return
    hood = drivers[0] == "draft-hood"
    if kinds[0] != "passage" or kinds[-1] not in (("chimney",) if hood else ("passage", "chimney")):
        ends = "a chimney" if hood else "one"
        what = f"this way does not begin with a passage and end with {ends}"
        spot.wrong(what, "add the duct or pipe there")


def _check_gas_train(way: list[str], parts: Parts, spot: Spot) -> None:
    kinds = tuple("TAP" if is_tap(link) else KINDS[parts[link].kind].role for link in way)
    if kinds != _GAS_TRAIN:
        spot.wrong("the gas train is out of order", f"it goes {', '.join(_GAS_TRAIN)}")


def _check_leaks(entry: FurnaceEntry, parts: Parts, spot: Spot) -> None:
    """Air leaks in where there is suction: at a tap before the inducer."""
    way = entry.combustion_air
    fan = next((n for n in way if not is_tap(n) and parts[n].kind in _MOTORS), "fan")
    before = way[: way.index(fan)] if fan in way else way
    taps = [link for link in before if is_tap(link)]
    for tap, name in entry.leaks.items():
        if tap not in taps:
            spot.at(tap).unknown(f"tap before the {fan}", tap, taps)
        if name not in parts:
            spot.at(tap).unknown("part of this furnace", name, parts)
        elif parts[name].kind != "opening":
            spot.at(tap).wrong(f"{name} is a {parts[name].kind}", "name a part of kind opening")


def check_ports(
    parts: Parts, faults: Mapping[str, Fault], taps: frozenset[str], spot: Spot
) -> frozenset[str]:
    """Check what pressure switches are tapped to; return the hoses in use."""
    hoses = {part.id for part in parts.values() if part.kind == "hose"}
    used: set[str] = set()
    for part, value, name in _named(parts, faults):
        kind = parts[part].kind
        if (kind, value) in NAMES_TAP and name not in taps:
            spot.at("parts", part).unknown(f"tap for {value}", name, taps)
        if (kind, value) in NAMES_HOSE and name != "none":
            used.add(name)
            if name not in hoses:
                spot.at("parts", part).unknown(f"hose for {value}", name, hoses)
    return frozenset(used)


def _named(parts: Parts, faults: Mapping[str, Fault]) -> Iterator[tuple[str, str, str]]:
    """(part, value, word) of all values, healthy and under each fault."""
    for part in parts.values():
        yield from ((part.id, value, str(word)) for value, word in part.values.items())
    for fault in faults.values():
        yield from ((part, value, str(word)) for (part, value), word in fault.overrides.items())


def check_all_used(
    entry: FurnaceEntry, parts: Parts, nets: Nets, hoses: frozenset[str], spot: Spot
) -> None:
    """Note every part that stands in no net, no way of air or gas and at no hose."""
    used = {wire.part for wire in nets.wires} | hoses | set(entry.leaks.values())
    used.update(*ways(entry).values())
    for part in parts.values():
        if part.id not in used:
            mend = "wire it, put it in a way of air or gas, or take it out"
            spot.at("parts", part.id).wrong(f"{part.id} is connected to nothing", mend)
