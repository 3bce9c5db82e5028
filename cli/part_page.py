"""The reference page of a part: what is known of it, and what follows from the furnace."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from lightoff.cli import names, screen, whereabouts
from lightoff.cli.whereabouts import NETS, CircuitPlace
from lightoff.engine.machine.kinds import KINDS
from lightoff.engine.machine.trace import SATISFIED
from lightoff.engine.model import Fault, Furnace, Knowledge, Part, Value
from lightoff.engine.units import show

Data = dict[str, Any]


# --- data ----------------------------------------------------------------------------


def part_data(knowledge: Knowledge, furnace: Furnace, part: Part) -> Data:
    """Everything of a part, for JSON and for the screen; figures in SI units."""
    nets = whereabouts.ladders(names.simulated(furnace, ()))
    entry = part.entry
    return {
        "id": part.id,
        "furnace": furnace.id,
        "kind": part.kind,
        "name": entry.name,
        "area": entry.area,
        "does": entry.does,
        "senses": entry.senses,
        "acts": entry.acts,
        "sits": entry.sits,
        "labels": list(entry.labels.usual),
        "mistaken_for": entry.labels.mistaken_for,
        "values": _values(furnace, part),
        "source": part.source,
        "circuit": [_circuit(place) for place in whereabouts.circuit_places(part.id, nets)],
        "ways": _ways(furnace, part),
        "energised_in": list(whereabouts.driven_in(part.id, furnace, nets)),
        "sensed_as": whereabouts.sensed_by(part.id, furnace, nets),
        "faults": [
            fault_data(knowledge, furnace, fault)
            for fault in furnace.faults.values()
            if fault.part == part.id
        ],
        "checks": [
            check.id
            for check in knowledge.checks[furnace.id].values()
            if whereabouts.reads_part(check.entry.reads, part.id, furnace)
        ],
    }


def _values(furnace: Furnace, part: Part) -> Mapping[str, Value]:
    """The values that are given for the part, not those that mean nothing unusual."""
    given = part.entry.values.keys() | furnace.entry.parts[part.id].values.keys()
    return {name: value for name, value in part.values.items() if name in given}


def _circuit(place: CircuitPlace) -> Data:
    return {
        "net": place.net,
        "branch": place.branch,
        "from": place.start,
        "to": place.end,
        "fed_by": list(place.fed_by),
        "before": list(place.before),
        "after": list(place.after),
        "feeds": list(place.feeds),
    }


def _ways(furnace: Furnace, part: Part) -> list[str]:
    """Its places in the ways of air and gas, in words."""
    return [
        *map(_way, whereabouts.way_places(part.id, furnace)),
        *_leak(furnace, part),
        *_ports(furnace, part),
    ]


def _way(place: whereabouts.WayPlace) -> str:
    after = f"after {place.before}" if place.before else "first"
    before = f"before {place.after}" if place.after else "last"
    return f"{place.way}: {after}, {before}"


def _leak(furnace: Furnace, part: Part) -> list[str]:
    tap = whereabouts.leaks_at(part.id, furnace)
    return [f"air leaks in through it at {tap}"] if tap else []


def _ports(furnace: Furnace, part: Part) -> list[str]:
    """What a pressure switch feels, or what a hose joins."""
    lines = whereabouts.pressure_lines(furnace)
    felt = [
        f"{port} port feels {tap}" + (f" through {hose}" if hose != "none" else "")
        for switch, port, tap, hose in lines
        if switch == part.id
    ]
    joined = [
        f"joins {tap} to the {port} port of {switch}"
        for switch, port, tap, hose in lines
        if hose == part.id
    ]
    return felt + joined


def fault_data(knowledge: Knowledge, furnace: Furnace, fault: Fault) -> Data:
    """A fault, what it changes (SI units), and where a call with it stalls."""
    entry = fault.entry
    return {
        "id": fault.id,
        "furnace": furnace.id,
        "part": fault.part,
        "name": entry.name,
        "because": entry.because,
        "changes": {f"{part}.{name}": value for (part, name), value in fault.overrides.items()},
        "stalls_in": names.simulated(furnace, (fault,)).stalls_in(),
        "comes_and_goes": entry.comes_and_goes,
        "shows_when": list(entry.shows_when),
        "weight": entry.weight,
        "repair": fault.repair,
        "repair_title": knowledge.repairs[fault.repair].title,
        "source": entry.source,
    }


# --- the screen ----------------------------------------------------------------------


def show_part(knowledge: Knowledge, furnace: Furnace, part: Part, si: bool) -> None:
    """Write the page of a part."""
    data = part_data(knowledge, furnace, part)
    screen.say(screen.text((data["name"], "head"), f"  ({part.id})"))
    screen.say()
    screen.field("Kind", f"{part.kind}: {KINDS[part.kind].about}")
    for name in ("does", "senses", "acts", "sits"):
        screen.field(name.capitalize(), data[name])
    screen.field("Diagrams", "labelled " + ", ".join(data["labels"]))
    screen.field("Taken for", data["mistaken_for"])
    screen.say()
    screen.field("Values", *_values_in_words(part, data["values"], si))
    screen.field("Circuit", *map(_circuit_in_words, data["circuit"]))
    screen.field("Air, gas", *data["ways"])
    screen.field("Energised", *filter(None, [", ".join(data["energised_in"])]))
    for reading, steps in data["sensed_as"].items():
        screen.field("Board", f"sees it as {reading}; asks in {', '.join(steps)}")
    _show_faults(data["faults"])
    screen.field("Checks", *filter(None, [", ".join(data["checks"])]))
    _next_step(data["faults"])


def _values_in_words(part: Part, values: Mapping[str, Value], si: bool) -> list[str]:
    if not values:
        return []
    shown = [f"{name} {value_in_words(part, name, si)}" for name in values]
    return ["; ".join(shown), f"(source: {part.source})"]


def value_in_words(part: Part, name: str, si: bool, value: Value | None = None) -> str:
    """A value of a part with its unit; the part's own if no other is given."""
    value = part.values[name] if value is None else value
    if isinstance(value, str):
        return value
    return show(value, KINDS[part.kind].values[name].dimension, si)


def _circuit_in_words(place: Data) -> str:
    branch = f"{place['branch']}, " if place["branch"] not in ("contacts", "path") else ""
    words = f"{NETS[place['net']]}: {branch}{place['from']} to {place['to']}"
    if place["before"]:
        words += f"; before it {', '.join(place['before'])}"
    if place["fed_by"]:
        words += f"; fed by {' and '.join(place['fed_by'])}"
    if place["after"]:
        words += f"; after it {', '.join(place['after'])}"
    if place["feeds"]:
        words += f"; {'then ' if place['after'] else ''}feeds {' and '.join(place['feeds'])}"
    return words


def _show_faults(faults: list[Data]) -> None:
    for number, fault in enumerate(faults):
        screen.say()
        name = fault["id"].partition(".")[2]
        head = screen.text((name, "name"), f"  {fault['name']}")
        screen.field("" if number else "Faults", head)
        screen.field("", fault["because"], stall_in_words(fault["stalls_in"]))
        screen.field("", f"Repair: {fault['repair_title']} ({fault['repair']})")
    screen.say()


def stall_in_words(step: str) -> str:
    """Where a call stalls, as a sentence."""
    return "The call still runs through." if step == SATISFIED else f"The call stalls in {step}."


def _next_step(faults: list[Data]) -> None:
    if faults:
        screen.say()
        screen.say(f"See one at work: lightoff run --fault {faults[0]['id']}", "next")


__all__ = ["fault_data", "part_data", "show_part", "stall_in_words", "value_in_words"]
