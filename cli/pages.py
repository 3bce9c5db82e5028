"""The pages of `knowledge show` other than that of a part, and their data."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

import msgspec

from lightoff.cli import lines, screen
from lightoff.cli.part_page import fault_data, stall_in_words, value_in_words
from lightoff.engine.entries.base import Entry
from lightoff.engine.entries.checks import ReadsEntry
from lightoff.engine.entries.furnaces import OptionEntry
from lightoff.engine.entries.lists import RepairEntry, SourceEntry
from lightoff.engine.machine.sequence import SPENT
from lightoff.engine.model import Check, Fault, Furnace, Knowledge, Leave, Outcome, Step
from lightoff.engine.units import show

Data = dict[str, Any]


def entry_data(entry: Entry) -> Data:
    """An entry as it stands in the files, with underscores for hyphens in its keys."""
    return {name.replace("-", "_"): value for name, value in msgspec.to_builtins(entry).items()}


# --- fault -----------------------------------------------------------------------------


def show_fault(knowledge: Knowledge, furnace: Furnace, fault: Fault, si: bool) -> None:
    """Write the page of a fault."""
    data = fault_data(knowledge, furnace, fault)
    screen.say(screen.text((data["name"], "head"), f"  ({fault.id})"))
    screen.say()
    screen.field("Part", f"{furnace.parts[fault.part].entry.name} ({fault.part})")
    screen.field("About", data["because"])
    screen.field("Changes", *_changes(furnace, fault, si))
    screen.field("Does", stall_in_words(data["stalls_in"]))
    if fault.entry.comes_and_goes:
        when = ", ".join(fault.entry.shows_when) or "no known cause"
        screen.field("Comes", f"and goes; brought out by {when}")
    screen.field("Repair", f"{data['repair_title']} ({fault.repair})")
    screen.field("How often", f"weight {fault.entry.weight:g} (source: {data['source']})")
    screen.say()
    screen.say(f"See it at work: lightoff run --fault {fault.id}", "next")


def _changes(furnace: Furnace, fault: Fault, si: bool) -> Iterator[str]:
    for (part, name), value in fault.overrides.items():
        fitted = furnace.parts[part]
        good = value_in_words(fitted, name, si)
        yield f"{name} of {part}: {value_in_words(fitted, name, si, value)} instead of {good}"


# --- check -----------------------------------------------------------------------------


def check_data(check: Check) -> Data:
    """A check as it stands in the files, with the words of its outcomes."""
    data = entry_data(check.entry)
    data["outcomes"] = [{"id": each.id, "text": each.text} for each in check.outcomes]
    return data


def show_check(knowledge: Knowledge, check: Check) -> None:
    """Write the page of a check."""
    entry = check.entry
    screen.say(screen.text((check.id, "head"), f"  (by {entry.by}, about {entry.minutes:g} min)"))
    screen.say()
    screen.field("Ask", entry.ask)
    screen.field("How", *entry.how, bullet="- ")
    screen.field("Reads", reads_in_words(entry.reads))
    screen.field("Outcomes", *map(_outcome, check.outcomes), bullet="- ")
    tools = [knowledge.tools[tool].name for tool in entry.tools]
    screen.field("Tools", *filter(None, [", ".join(tools)]))
    screen.field("Set-up", *_setup(knowledge, check), bullet="- ")
    _show_cautions(knowledge, entry.hazards)
    screen.field("Source", entry.source)


def reads_in_words(reads: ReadsEntry) -> str:
    """What a check reads, where and when."""
    given = {name: value for name, value in entry_data(reads).items() if value}
    during = given.pop("during", None)
    trial = given.pop("with", {})
    what = ", ".join(
        f"{name} {_words(value)}" if value is not True else name for name, value in given.items()
    )
    when = f" in {during}" if during else ""
    changed = "".join(f", with {name} {value}" for name, value in trial.items())
    return f"{what}{when}{changed}"


def _words(value: object) -> str:
    return " to ".join(value) if isinstance(value, list | tuple) else str(value)


def _outcome(outcome: Outcome) -> Any:  # noqa: ANN401
    says = outcome.text.removeprefix(f"{outcome.id.replace('-', ' ')}: ")
    return screen.text((outcome.id, "name"), f": {says}")


def _setup(knowledge: Knowledge, check: Check) -> Iterator[str]:
    for aspect, state in check.setup.items():
        yield f"{aspect} {state}: {knowledge.aspects[aspect].how[state]}"


def _show_cautions(knowledge: Knowledge, hazards: list[str]) -> None:
    screen.field("Caution", *(knowledge.cautions[hazard].short for hazard in hazards))


# --- repair ----------------------------------------------------------------------------


def repair_data(knowledge: Knowledge, repair: RepairEntry) -> Data:
    """A repair with the faults that need it, as PART.FAULT of the parts as known."""
    return {**entry_data(repair), "faults": _needing(knowledge, repair)}


def show_repair(knowledge: Knowledge, repair: RepairEntry) -> None:
    """Write the page of a repair."""
    price = {"none": "no parts"}.get(repair.price, f"{repair.price} price of parts")
    head = f"  ({repair.id}, about {repair.minutes:g} min, {price})"
    screen.say(screen.text((repair.title, "head"), head))
    screen.say()
    _show_cautions(knowledge, repair.hazards)
    tools = [knowledge.tools[tool].name for tool in repair.tools]
    screen.field("Tools", *filter(None, ["; ".join(tools)]))
    screen.field("Replaced", *filter(None, [repair.replaced_whole]))
    lines.show(lines.section_lines(repair.sections))
    screen.say()
    screen.field("Mends", *filter(None, [", ".join(_needing(knowledge, repair))]))
    screen.field("Source", repair.source)


def _needing(knowledge: Knowledge, repair: RepairEntry) -> list[str]:
    return [
        f"{part.id}.{fault.id}"
        for part in knowledge.parts.values()
        for fault in part.faults
        if fault.repair == repair.id
    ]


# --- step ------------------------------------------------------------------------------


def step_data(furnace: Furnace, step: Step) -> Data:
    """A step with its ways out in order, interrupts first; times in seconds."""
    data = {"id": step.id, "furnace": furnace.id, **entry_data(step.entry)}
    data["leaves"] = [
        {
            "to": leave.to,
            "when": [_condition(condition.name, condition.expected) for condition in leave.when],
            "after_s": leave.after,
        }
        for leave in step.leaves
    ]
    return {**data, "entered_from": _entered_from(furnace, step)}


def _condition(name: str, expected: bool) -> str:
    return name if expected else f"not {name}"


def _entered_from(furnace: Furnace, step: Step) -> list[str]:
    steps = furnace.sequence.steps.values()
    return [each.id for each in steps if any(leave.to == step.id for leave in each.leaves)]


def show_step(knowledge: Knowledge, furnace: Furnace, step: Step, si: bool) -> None:
    """Write the page of a step."""
    entry, path = step.entry, furnace.sequence.path
    place = f"step {path.index(step.id) + 1} of a good call" if step.id in path else "off the path"
    screen.say(screen.text((step.id, "head"), f"  ({place})"))
    screen.say()
    screen.field("Does", entry.does)
    timed = [f"{relay} for {show(time, 'time', si)}" for relay, time in step.energise_for]
    screen.field("Energises", ", ".join([*entry.energise, *timed]) or "nothing")
    screen.field("Light", entry.light or "as before")
    limits = furnace.sequence.counters
    screen.field("Counts", *(f"{name}, at most {limits[name]}" for name in entry.counts))
    screen.field("Leaves", *(_leave(leave, si) for leave in step.leaves), bullet="- ")
    screen.field("Comes from", *filter(None, [", ".join(_entered_from(furnace, step))]))
    checks = knowledge.checks[furnace.id].values()
    read_here = [check.id for check in checks if step.id in _steps_of(check.entry.reads)]
    screen.field("Checks", *filter(None, [", ".join(read_here)]))


def _steps_of(reads: ReadsEntry) -> tuple[str | None, str | None]:
    return reads.during, reads.seconds


def _leave(leave: Leave, si: bool) -> str:
    conditions = [
        _condition(each.name.replace(SPENT, " are spent"), each.expected) for each in leave.when
    ]
    when = f" when {' and '.join(conditions)}" if conditions else ""
    after = f" after {show(leave.after, 'time', si)}" if leave.after else ""
    return f"to {leave.to}{when}{after}"


# --- furnace ---------------------------------------------------------------------------


def furnace_data(knowledge: Knowledge, furnace: Furnace) -> Data:
    """A furnace: what it is, its ids; its plate and site as they stand in the file."""
    entry = furnace.entry
    return {
        "id": furnace.id,
        "name": entry.name,
        "about": entry.about,
        "seen": list(entry.seen),
        "gas": entry.gas,
        "plate": dict(entry.plate),
        "site": dict(entry.site),
        "options": {name: _choices(option) for name, option in entry.options.items()},
        "path": list(furnace.sequence.path),
        "parts": list(furnace.parts),
        "faults": list(furnace.faults),
        "checks": list(knowledge.checks[furnace.id]),
        "source": entry.source,
    }


def show_furnace(knowledge: Knowledge, furnace: Furnace) -> None:
    """Write the page of a furnace."""
    entry = furnace.entry
    screen.say(screen.text((entry.name, "head"), f"  ({furnace.id})"))
    screen.say()
    screen.field("About", entry.about)
    screen.field("To see", *entry.seen, bullet="- ")
    screen.field("Fuel", entry.gas.replace("-", " "))
    screen.field(
        "Plate", *(f"{name} {figure}" for name, figure in entry.plate.items()), bullet="- "
    )
    options = (f"{name}: {', '.join(_choices(each))}" for name, each in entry.options.items())
    screen.field("Options", *options, bullet="- ")
    screen.field("Good call", ", ".join(furnace.sequence.path))
    for area, parts in _by_area(furnace).items():
        screen.field(area.capitalize(), ", ".join(parts))
    counts = f"{len(furnace.parts)} parts, {len(furnace.faults)} faults"
    screen.field("Known", f"{counts}, {len(knowledge.checks[furnace.id])} checks")
    screen.field("Source", entry.source)
    screen.say()
    screen.say("The rating plate of a real furnace comes before these figures.")
    screen.say(f"See it run: lightoff run --furnace {furnace.id}", "next")


def _choices(option: OptionEntry) -> list[str]:
    return list(option.choices) or ["any figure, such as 3000 ft"]


def _by_area(furnace: Furnace) -> Mapping[str, list[str]]:
    areas: dict[str, list[str]] = {}
    for part in furnace.parts.values():
        areas.setdefault(part.entry.area, []).append(part.id)
    return areas


# --- source ----------------------------------------------------------------------------


def source_data(knowledge: Knowledge, source: SourceEntry) -> Data:
    """A source with the ids of what leans on it, by kind."""
    return {**entry_data(source), "used_by": _used_by(knowledge, source.id)}


def show_source(knowledge: Knowledge, source: SourceEntry) -> None:
    """Write the page of a source."""
    screen.say(
        screen.text((source.title, "head"), f"  ({source.id}, {source.kind.replace('-', ' ')})")
    )
    screen.say()
    screen.field("Note", *filter(None, [source.note]))
    for kind, ids in _used_by(knowledge, source.id).items():
        few = ", ".join(ids[:6])
        screen.field(kind.capitalize(), f"{few} and {len(ids) - 6} more" if len(ids) > 6 else few)


def _used_by(knowledge: Knowledge, source: str) -> Mapping[str, list[str]]:
    faults = {
        f"{part.id}.{fault.id}": fault.source
        for part in knowledge.parts.values()
        for fault in part.faults
    }
    checks = {
        check.id: check.entry.source
        for of_furnace in knowledge.checks.values()
        for check in of_furnace.values()
    }
    users = {
        "furnaces": {id_: furnace.entry.source for id_, furnace in knowledge.furnaces.items()},
        "parts": {id_: part.source for id_, part in knowledge.parts.items()},
        "faults": faults,
        "checks": checks,
        "repairs": {id_: repair.source for id_, repair in knowledge.repairs.items()},
        "cautions": {id_: caution.source for id_, caution in knowledge.cautions.items()},
    }
    used = {kind: [id_ for id_, its in ids.items() if its == source] for kind, ids in users.items()}
    return {kind: ids for kind, ids in used.items() if ids}
