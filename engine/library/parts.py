"""Parts and their faults: what the entries say, and as fitted in one furnace."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from lightoff.engine.library.files import Files, Item, check_id
from lightoff.engine.library.references import References
from lightoff.engine.library.report import Spot
from lightoff.engine.library.values import Change, apply, defaults, read_change, read_values
from lightoff.engine.machine.kinds import KINDS
from lightoff.engine.model import (
    Fault,
    FaultEntry,
    FittedPart,
    FurnaceEntry,
    Part,
    PartEntry,
    Value,
)

PROVOCATIONS = ("damp", "heat", "tap", "wiggle", "wind")
"""What brings out a fault that comes and goes."""


@dataclass(frozen=True, slots=True)
class ReadPart:
    """A part's entry with its values and the changes of its faults in SI units."""

    entry: PartEntry
    spot: Spot
    values: Mapping[str, Value]
    changes: Mapping[str, Mapping[str, Change]]
    """Fault -> value -> change."""


def read_parts(files: Files, references: References) -> dict[str, ReadPart]:
    """All parts that are without mistakes in their values and faults."""
    found = {id_: _read_part(item, references) for id_, item in files.parts.items.items()}
    return {id_: part for id_, part in found.items() if part is not None}


def _read_part(item: Item[PartEntry], references: References) -> ReadPart | None:
    entry, spot = item.entry, item.spot
    references.source(entry.source, spot.at("source"))
    if entry.kind not in KINDS:
        spot.at("kind").unknown("kind of part", entry.kind, KINDS)
        return None
    values = read_values(entry.kind, entry.values, spot.at("values"))
    changes = _read_faults(entry, spot, references)
    if values is None or changes is None:
        return None
    return ReadPart(entry, spot, values, changes)


def _read_faults(
    entry: PartEntry, spot: Spot, references: References
) -> dict[str, dict[str, Change]] | None:
    found: dict[str, dict[str, Change] | None] = {}
    for index, fault in enumerate(entry.faults):
        here = spot.at("faults", index)
        check_id(here.at("id"), fault.id)
        if fault.id in found:
            here.at("id").wrong(f"{entry.id} has two faults {fault.id}", "rename one")
        _check_fault(fault, here, references)
        found[fault.id] = _read_sets(entry.kind, fault, here.at("sets"))
    changes = {id_: sets for id_, sets in found.items() if sets is not None}
    return changes if len(changes) == len(found) else None


def _check_fault(fault: FaultEntry, spot: Spot, references: References) -> None:
    references.source(fault.source, spot.at("source"))
    references.repair(fault.repair, spot.at("repair"))
    if not 0.0 < fault.weight < float("inf"):
        spot.at("weight").wrong("a weight must be above 0", "1 is an ordinary fault")
    for index, name in enumerate(fault.shows_when):
        if name not in PROVOCATIONS:
            spot.at("shows-when", index).unknown("provocation", name, PROVOCATIONS)
    if fault.shows_when and not fault.comes_and_goes:
        spot.at("shows-when").wrong("this fault is always present", "add `comes-and-goes: true`")


def _read_sets(kind: str, fault: FaultEntry, spot: Spot) -> dict[str, Change] | None:
    if not fault.sets:
        spot.wrong("this fault changes nothing", "set a value of the part")
        return None
    read = {name: read_change(kind, name, text, spot.at(name)) for name, text in fault.sets.items()}
    changes = {name: change for name, change in read.items() if change is not None}
    return changes if len(changes) == len(read) else None


# --- as fitted --------------------------------------------------------------------


def fit_parts(
    entry: FurnaceEntry,
    spot: Spot,
    files: Files,
    read: Mapping[str, ReadPart],
    references: References,
) -> dict[str, Part] | None:
    """The parts of a furnace; None if the entry of one has a mistake."""
    parts: dict[str, Part] = {}
    whole = True
    for id_, fitted in entry.parts.items():
        here = spot.at("parts", id_)
        check_id(here, id_)
        references.source(fitted.source, here.at("source"))
        name = fitted.part or id_
        if name not in files.parts.named:
            here.unknown("part", name, files.parts.named)
        part = _fit(id_, fitted, read[name], here) if name in read else None
        if part is None:
            whole = False
        else:
            parts[id_] = part
    return parts if whole else None


def _fit(id_: str, fitted: FittedPart, read: ReadPart, spot: Spot) -> Part | None:
    kind = read.entry.kind
    own = read_values(kind, fitted.values, spot.at("values"))
    known = [fault.id for fault in read.entry.faults]
    for index, fault in enumerate(fitted.without):
        if fault not in known:
            spot.at("without", index).unknown(f"fault of {id_}", fault, known)
    if own is None:
        return None
    values = {**defaults(kind), **read.values, **own}
    missing = [name for name in KINDS[kind].values if name not in values]
    for name in missing:
        dimension = KINDS[kind].values[name].dimension
        spot.wrong(f"{id_} has no {name}", f"give its {dimension} in the part's values")
    source = fitted.source if fitted.values else read.entry.source
    return None if missing else Part(id_, read.entry, values, source)


def fit_faults(
    entry: FurnaceEntry, parts: Mapping[str, Part], read: Mapping[str, ReadPart]
) -> dict[str, Fault]:
    """The faults a furnace can have, by PART.FAULT."""
    faults = {}
    for part in parts.values():
        for index, fault in enumerate(part.entry.faults):
            if fault.id not in entry.parts[part.id].without:
                known = read[part.entry.id]
                changes = known.changes[fault.id]
                spot = known.spot.at("faults", index)
                faults[f"{part.id}.{fault.id}"] = _fault(part, fault, changes, spot)
    return faults


def _fault(part: Part, fault: FaultEntry, changes: Mapping[str, Change], spot: Spot) -> Fault:
    overrides = {}
    for name, change in changes.items():
        value = apply(change, part.values[name], spot.at("sets", name))
        if value is not None:
            overrides[part.id, name] = value
    if overrides and all(part.values[name] == value for (_, name), value in overrides.items()):
        spot.wrong(f"the fault leaves {part.id} as it is", "set a value that differs")
    return Fault(f"{part.id}.{fault.id}", part.id, fault, overrides)
