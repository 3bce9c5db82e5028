"""Parts and their faults: what the entries say, and as fitted in one furnace."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from lightoff.engine.entries.furnaces import FittedPart, FurnaceEntry
from lightoff.engine.entries.parts import FaultEntry, PartEntry
from lightoff.engine.library.files import Files, Item, check_id
from lightoff.engine.library.references import References
from lightoff.engine.library.report import Spot
from lightoff.engine.library.values import Change, apply, defaults, read_change, read_values
from lightoff.engine.machine.kinds import KINDS
from lightoff.engine.model import Fault, Part, Value

PROVOCATIONS = ("damp", "exhaust-fans", "heat", "tap", "wiggle", "wind")
"""What brings out a fault that comes and goes."""


@dataclass(frozen=True, slots=True)
class ReadPart:
    """A part's entry with its values and the changes of its faults in SI units.

    What is a mistake is left out; `whole` says whether nothing was.
    """

    entry: PartEntry
    spot: Spot
    values: Mapping[str, Value]
    changes: Mapping[str, Mapping[str, Change]]
    """Fault -> value -> change."""
    whole: bool


def read_parts(files: Files, references: References) -> dict[str, ReadPart]:
    """All parts whose kind is known."""
    found = {id_: _read_part(item, references) for id_, item in files.parts.items.items()}
    return {id_: part for id_, part in found.items() if part is not None}


def _read_part(item: Item[PartEntry], references: References) -> ReadPart | None:
    entry, spot = item.entry, item.spot
    references.source(entry.source, spot.at("source"))
    if entry.kind not in KINDS:
        spot.at("kind").unknown("kind of part", entry.kind, KINDS)
        return None
    before = spot.report.noted
    values = read_values(entry.kind, entry.values, spot.at("values"))
    changes = _read_faults(entry, spot, references)
    return ReadPart(entry, spot, values, changes, spot.report.noted == before)


def _read_faults(
    entry: PartEntry, spot: Spot, references: References
) -> dict[str, dict[str, Change]]:
    found: dict[str, dict[str, Change]] = {}
    for index, fault in enumerate(entry.faults):
        here = spot.at("faults", index)
        check_id(here.at("id"), fault.id)
        if fault.id in found:
            here.at("id").wrong(f"{entry.id} has two faults {fault.id}", "rename one")
        _check_fault(fault, here, references)
        found[fault.id] = _read_sets(entry.kind, fault, here.at("sets"))
    return found


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


def _read_sets(kind: str, fault: FaultEntry, spot: Spot) -> dict[str, Change]:
    if not fault.sets:
        spot.wrong("this fault changes nothing", "set a value of the part")
    read = {name: read_change(kind, name, text, spot.at(name)) for name, text in fault.sets.items()}
    return {name: change for name, change in read.items() if change is not None}


# --- as fitted --------------------------------------------------------------------


def fit_parts(
    entry: FurnaceEntry,
    spot: Spot,
    files: Files,
    read: Mapping[str, ReadPart],
    references: References,
) -> dict[str, Part] | None:
    """The parts of a furnace; None if one cannot be told for a mistake in its entry."""
    parts: dict[str, Part] = {}
    for id_, fitted in entry.parts.items():
        here = spot.at("parts", id_)
        check_id(here, id_)
        references.source(fitted.source, here.at("source"))
        name = fitted.part or id_
        if name not in files.parts.named:
            here.unknown("part", name, files.parts.named)
        if name in read:
            parts[id_] = _fit(id_, fitted, read[name], here)
    return parts if len(parts) == len(entry.parts) else None


def _fit(id_: str, fitted: FittedPart, read: ReadPart, spot: Spot) -> Part:
    kind = read.entry.kind
    own = read_values(kind, fitted.values, spot.at("values"))
    known = [fault.id for fault in read.entry.faults]
    for index, fault in enumerate(fitted.without):
        if fault not in known:
            spot.at("without", index).unknown(f"fault of {id_}", fault, known)
    given = read.entry.values.keys() | fitted.values.keys()
    usual = {name: value for name, value in defaults(kind).items() if name not in given}
    values = {**usual, **read.values, **own}
    for name, spec in KINDS[kind].values.items():
        if name not in values and name not in given:
            spot.wrong(f"{id_} has no {name}", f"give its {spec.dimension} in the part's values")
    source = fitted.source if fitted.values else read.entry.source
    return Part(id_, read.entry, values, source)


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
        if name in part.values:
            value = apply(change, part.values[name], spot.at("sets", name))
            if value is not None:
                overrides[part.id, name] = value
    if overrides and all(part.values[name] == value for (_, name), value in overrides.items()):
        spot.wrong(f"the fault leaves {part.id} as it is", "set a value that differs")
    return Fault(f"{part.id}.{fault.id}", part.id, fault, overrides)
