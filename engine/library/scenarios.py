"""Scenario files -> scenarios of the furnaces that are known; every mistake with its line."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from pathlib import Path

from lightoff.engine.entries.base import Words
from lightoff.engine.entries.scenarios import HiddenEntry, LabEntry, MarksEntry, ScenarioEntry
from lightoff.engine.library.files import check_id
from lightoff.engine.library.report import Report, Spot
from lightoff.engine.library.shape import convert
from lightoff.engine.library.values import apply, read_change
from lightoff.engine.model import Fault, Furnace, HiddenFault, Knowledge, Overrides, Scenario
from lightoff.engine.strict_yaml import Document, Problem, read

MOST_FAULTS = 2
LONGEST = 24.0 * 60.0
"""Minutes that a scenario may allow at most."""


def shipped() -> Path:
    """The folder of the scenarios that come with the program."""
    from importlib.resources import files

    return Path(str(files("lightoff.scenarios")))


def scenario_files(folder: Path | None = None) -> list[Path]:
    """The scenario files of a folder, the shipped one if None, in the order of their names."""
    return sorted((folder or shipped()).glob("*.yaml"))


def read_scenario(
    path: Path, knowledge: Knowledge, name: str | None = None
) -> tuple[Scenario | None, list[Problem]]:
    """The scenario of a file, None if it has mistakes, and all its mistakes by line.

    `name` is what the file is called in mistakes, its path if None.
    """
    return scenario_of(read(path, name or str(path)), path.stem, knowledge)


def scenario_of(
    document: Document, id_: str, knowledge: Knowledge
) -> tuple[Scenario | None, list[Problem]]:
    """The scenario of what was read, which must have this id, and all its mistakes."""
    report = Report()
    for problem in document.problems:
        report.add(problem)
    spot = Spot(report, document)
    scenario = None
    if document.data is not None:
        entry = convert(document.data, ScenarioEntry, spot)
        if entry is not None:
            _check_name(entry, id_, spot)
            scenario = _Reader(entry, knowledge, spot).scenario()
    return (None if report.noted else scenario), report.problems()


def _check_name(entry: ScenarioEntry, wanted: str, spot: Spot) -> None:
    check_id(spot.at("id"), entry.id)
    if entry.id != wanted:
        what = f"the id {entry.id} is not the name of the file"
        spot.at("id").wrong(what, f"write `id: {wanted}`, or rename the file")


@dataclass(frozen=True, slots=True)
class _Reader:
    """One scenario whose shape is right, looked up in what is known."""

    entry: ScenarioEntry
    knowledge: Knowledge
    spot: Spot

    def scenario(self) -> Scenario | None:
        """None after a mistake without which nothing further can be looked up."""
        self.check_texts()
        _check_minutes(self.entry.minutes, self.spot.at("minutes"))
        _check_marks(self.entry.marks, self.spot.at("marks"))
        _check_lab(self.entry.lab, self.spot.at("lab"))
        tools = self.tools()
        furnace = self.knowledge.furnaces.get(self.entry.furnace)
        if furnace is None:
            here = self.spot.at("furnace")
            here.unknown("furnace", self.entry.furnace, self.knowledge.furnaces)
            return None
        hidden = self.hidden(furnace)
        self.check_tells(furnace)
        self.check_traps(furnace, hidden)
        return Scenario(self.entry.id, self.entry, furnace, hidden, dict(self.entry.tells), tools)

    def check_texts(self) -> None:
        """Note what has a place but says nothing."""
        for name in ("title", "setting", "complaint"):
            _check_text(getattr(self.entry, name), self.spot.at(name))
        for name in ("learn", "hints"):
            _check_lines(getattr(self.entry, name), self.spot.at(name))

    def tools(self) -> frozenset[str]:
        known = self.knowledge.tools
        if self.entry.tools is None:
            return frozenset(known)
        for index, tool in enumerate(self.entry.tools):
            if tool not in known:
                self.spot.at("tools", index).unknown("tool", tool, known)
        return frozenset(self.entry.tools)

    def hidden(self, furnace: Furnace) -> tuple[HiddenFault, ...]:
        spot = self.spot.at("faults")
        if not 1 <= len(self.entry.faults) <= MOST_FAULTS:
            spot.wrong(f"there are {len(self.entry.faults)} faults", "hide one or two")
        hidden = [
            _hidden(entry, furnace, spot.at(index))
            for index, entry in enumerate(self.entry.faults[:MOST_FAULTS])
        ]
        found = tuple(each for each in hidden if each is not None)
        _check_go_together([each.fault for each in found], spot)
        return found

    def check_tells(self, furnace: Furnace) -> None:
        checks = self.knowledge.checks[furnace.id]
        told = {id_ for id_, check in checks.items() if check.entry.reads.told}
        for name, outcome in self.entry.tells.items():
            here = self.spot.at("tells", name)
            if name not in checks:
                here.unknown("check that is told", name, told)
            elif name not in told:
                what = f"{name} is not told: the simulated furnace answers it"
                here.wrong(what, "take it out; tell history and surroundings only")
            elif outcome not in (known := [each.id for each in checks[name].outcomes]):
                here.unknown(f"outcome of {name}", outcome, known)

    def check_traps(self, furnace: Furnace, hidden: Iterable[HiddenFault]) -> None:
        guilty = {name for each in hidden for name in (each.fault.part, each.fault.repair)}
        for name, why in self.entry.traps.items():
            here = self.spot.at("traps", name)
            _check_text(why, here)
            if name in guilty:
                here.wrong(f"{name} is to blame here", "name a part or repair that is not")
            elif name not in furnace.parts and name not in self.knowledge.repairs:
                here.unknown("part or repair", name, [*furnace.parts, *self.knowledge.repairs])


def _check_text(text: str, spot: Spot) -> None:
    if not text.strip():
        spot.wrong("this text is empty", "say it in a sentence")


def _check_lines(lines: Words, spot: Spot) -> None:
    if not lines:
        spot.wrong("this list is empty", "give at least one sentence")
    for index, line in enumerate(lines):
        _check_text(line, spot.at(index))


def _check_minutes(minutes: float, spot: Spot) -> None:
    if not 0.0 < minutes <= LONGEST:
        spot.wrong("nobody works for so many minutes", f"give 1 to {LONGEST:g}")


def _check_marks(marks: MarksEntry, spot: Spot) -> None:
    weights = {name: float(getattr(marks, name)) for name in marks.__struct_fields__}
    for name, weight in weights.items():
        if not 0.0 <= weight < float("inf"):
            spot.at(name).wrong("this is no weight", "give 0 or more")
    if not any(weights.values()):
        spot.wrong("nothing counts", "give at least one weight above 0")


def _check_lab(lab: LabEntry, spot: Spot) -> None:
    """Either it is never set, or everything is said that a lab needs."""
    said = {
        "set": lab.how_to_set,
        "undo": lab.undo,
        "before": lab.before,
        "after": lab.after,
        "stands-by": lab.stands_by,
    }
    if lab.never and any(said.values()):
        spot.wrong("it is never to be set, and yet it says how", "keep `never`, or all the others")
    elif not lab.never:
        for name in (name for name, text in said.items() if not text):
            mend = f"add `{name}`, or say in `never` why it must not be set live"
            spot.wrong(f"how it is set in a lab lacks {name}", mend)


# --- hidden faults ----------------------------------------------------------------


def _hidden(entry: HiddenEntry, furnace: Furnace, spot: Spot) -> HiddenFault | None:
    fault = furnace.faults.get(entry.fault)
    if fault is None:
        spot.at("fault").unknown("fault PART.FAULT", entry.fault, furnace.faults)
        return None
    own = _severity(entry, fault, furnace, spot.at("sets"))
    share, after_calls = _shows(entry, spot.at("shows"))
    return HiddenFault(replace(fault, overrides={**fault.overrides, **own}), share, after_calls)


def _severity(entry: HiddenEntry, fault: Fault, furnace: Furnace, spot: Spot) -> Overrides:
    """What the scenario makes of the values that the fault sets."""
    part = furnace.parts[fault.part]
    own = {}
    for name, given in entry.sets.items():
        here = spot.at(name)
        if name not in fault.entry.sets:
            here.unknown(f"value that {fault.id} sets", name, fault.entry.sets)
            continue
        change = read_change(part.kind, name, given, here)
        value = None if change is None else apply(change, part.values[name], here)
        if value is not None and value == part.values[name]:
            here.wrong(f"{given} is what {name} is in a sound {part.id}", "give another degree")
        elif value is not None:
            own[part.id, name] = value
    return own


def _shows(entry: HiddenEntry, spot: Spot) -> tuple[float, int]:
    """Share of the calls in which it shows, and the calls before it does."""
    if isinstance(entry.shows, str):
        return 1.0, 0
    share, after_calls = entry.shows.share, entry.shows.after_calls
    if (share is None) == (after_calls is None):
        spot.wrong("a fault shows in a share of the calls or after some", "give one of both")
    elif share is not None and not 0.0 < share < 1.0:
        spot.at("share").wrong(f"{share:g} is no share of the calls", "give e.g. 0.4")
    elif after_calls is not None and not 1 <= after_calls <= 20:
        spot.at("after-calls").wrong("that many calls nobody waits for", "give 1 to 20")
    else:
        return share or 1.0, after_calls or 0
    return 1.0, 0


def _check_go_together(faults: list[Fault], spot: Spot) -> None:
    """Note two faults that cannot be there at once."""
    if len(faults) == 2 and not faults[0].overrides.keys().isdisjoint(faults[1].overrides):
        what = f"{faults[0].id} and {faults[1].id} cannot be there at once"
        spot.wrong(what, "they change the same value of a part: hide one of them")
