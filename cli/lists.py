"""What `knowledge list` lists: of each kind the ids with what tells them apart."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

from lightoff.engine.model import Furnace, Knowledge

Data = dict[str, Any]


def _furnaces(known: Knowledge, furnace: Furnace) -> list[Data]:
    return [
        {
            "id": each.id,
            "name": each.entry.name,
            "parts": len(each.parts),
            "faults": len(each.faults),
            "checks": len(known.checks[each.id]),
        }
        for each in known.furnaces.values()
    ]


def _parts(known: Knowledge, furnace: Furnace) -> list[Data]:
    return [
        {"id": part.id, "name": part.entry.name, "kind": part.kind, "area": part.entry.area}
        for part in furnace.parts.values()
    ]


def _faults(known: Knowledge, furnace: Furnace) -> list[Data]:
    return [
        {
            "id": fault.id,
            "part": fault.part,
            "name": fault.entry.name,
            "area": furnace.parts[fault.part].entry.area,
            "repair": fault.repair,
            "weight": fault.entry.weight,
            "comes_and_goes": fault.entry.comes_and_goes,
        }
        for fault in furnace.faults.values()
    ]


def _steps(known: Knowledge, furnace: Furnace) -> list[Data]:
    sequence = furnace.sequence
    return [
        {
            "id": step.id,
            "does": step.entry.does,
            "light": step.entry.light or None,
            "in_good_call": step.id in sequence.path,
            "energises": sorted({*step.energise, *(relay for relay, _ in step.energise_for)}),
        }
        for step in sequence.steps.values()
    ]


def _checks(known: Knowledge, furnace: Furnace) -> list[Data]:
    return [
        {
            "id": check.id,
            "area": check.entry.area,
            "by": check.entry.by,
            "ask": check.entry.ask,
            "minutes": check.entry.minutes,
            "tools": list(check.entry.tools),
            "hazards": list(check.entry.hazards),
            "outcomes": [outcome.id for outcome in check.outcomes],
        }
        for check in known.checks[furnace.id].values()
    ]


def _rules(known: Knowledge, furnace: Furnace) -> list[Data]:
    return [
        {
            "id": rule.id,
            "says": rule.entry.says,
            "source": rule.entry.source,
            "only_on": rule.entry.only_on,
        }
        for rule in known.rules.values()
    ]


def _repairs(known: Knowledge, furnace: Furnace) -> list[Data]:
    return [
        {
            "id": repair.id,
            "title": repair.title,
            "minutes": repair.minutes,
            "price": repair.price,
            "hazards": list(repair.hazards),
        }
        for repair in known.repairs.values()
    ]


def _sources(known: Knowledge, furnace: Furnace) -> list[Data]:
    return [
        {"id": source.id, "kind": source.kind, "title": source.title, "note": source.note}
        for source in known.sources.values()
    ]


LISTS: dict[str, Callable[[Knowledge, Furnace], list[Data]]] = {
    "furnaces": _furnaces,
    "parts": _parts,
    "faults": _faults,
    "steps": _steps,
    "checks": _checks,
    "rules": _rules,
    "repairs": _repairs,
    "sources": _sources,
}

COLUMNS: dict[str, Sequence[str]] = {
    "furnaces": ("id", "name", "faults", "checks"),
    "parts": ("id", "area", "name"),
    "faults": ("id", "name"),
    "steps": ("id", "does"),
    "checks": ("id", "ask"),
    "rules": ("id", "says"),
    "repairs": ("id", "minutes", "title"),
    "sources": ("id", "kind", "title"),
}
"""What of an item the table shows."""
