"""What entries refer to: sources, cautions, tools, set-ups, repairs."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, get_args

from lightoff.engine.entries.lists import AspectEntry, RepairEntry, SourceKind
from lightoff.engine.entries.parts import PartEntry
from lightoff.engine.library.files import Files, Item, Section
from lightoff.engine.library.report import Spot

PLAIN_SOURCES = frozenset(get_args(SourceKind)) - {"published"}
"""Sources that need no entry of their own."""


@dataclass(frozen=True, slots=True)
class References:
    """Checks names against the entries; a kind that has no file at all is not checked.

    Every entry with figures or claims names its source. Only faults may leave it out, for
    "from-memory", checks for "common-practice", and fitted parts for "invented".
    """

    files: Files
    sources_used: set[str] = field(default_factory=set)

    def source(self, name: str, spot: Spot) -> None:
        self.sources_used.add(name)
        if name not in PLAIN_SOURCES:
            _known("source", name, self.files.sources, spot)

    def repair(self, name: str, spot: Spot) -> None:
        _known("repair", name, self.files.repairs, spot)

    def cautions(self, names: list[str], spot: Spot) -> None:
        for index, name in enumerate(names):
            _known("caution", name, self.files.cautions, spot.at(index))

    def tools(self, names: list[str], spot: Spot) -> None:
        for index, name in enumerate(names):
            _known("tool", name, self.files.tools, spot.at(index))

    def setup(self, setup: Mapping[str, str], spot: Spot) -> None:
        for name, state in setup.items():
            _known("aspect of the set-up", name, self.files.aspects, spot.at(name))
            aspect = self.files.aspects.items.get(name)
            if aspect is not None and state not in aspect.entry.minutes:
                spot.at(name).unknown(f"state of {name}", state, aspect.entry.minutes)

    def note_unused_sources(self, prefix: str = "") -> None:
        """Note sources that nothing names, once all that may name them was looked at.

        Only those of files that begin with the prefix: what is laid over another folder may
        well take the place of all that came from a source there.
        """
        for id_, item in self.files.sources.items.items():
            own = item.spot.place.file.startswith(prefix) and not item.entry.calculations
            if own and id_ not in self.sources_used and id_ not in PLAIN_SOURCES:
                mend = "name it where it belongs, or take it out"
                item.spot.wrong(f"nothing comes from the source {id_}", mend)

    def check_all(self) -> None:
        """Check the entries that only refer to others, and the set-ups."""
        for caution in self.files.cautions.items.values():
            self.source(caution.entry.source, caution.spot.at("source"))
        asked = _asked_for(self.files.parts)
        for repair in self.files.repairs.items.values():
            self._repair(repair)
            _check_sections(repair, repair.entry.id in asked)
        for aspect in self.files.aspects.items.values():
            self.source(aspect.entry.source, aspect.spot.at("source"))
            _check_aspect(aspect)
            for index, danger in enumerate(aspect.entry.dangers):
                _known("caution", danger, self.files.cautions, aspect.spot.at("dangers", index))

    def _repair(self, item: Item[RepairEntry]) -> None:
        self.source(item.entry.source, item.spot.at("source"))
        self.cautions(item.entry.hazards, item.spot.at("hazards"))
        self.tools(item.entry.tools, item.spot.at("tools"))
        check_minutes(item.entry.minutes, item.spot.at("minutes"))


def check_minutes(minutes: float, spot: Spot) -> None:
    """Note minutes that no work can take."""
    if not 0.0 <= minutes < float("inf"):
        spot.wrong("these are no minutes", "give 0 or more")


def _known(what: str, name: str, section: Section[Any], spot: Spot) -> None:
    if section.files and name not in section.named:
        spot.unknown(what, name, section.named)


def _asked_for(parts: Section[PartEntry]) -> set[str]:
    """The repairs that mend some fault; the others stand in for a repair."""
    return {fault.repair for item in parts.items.values() for fault in item.entry.faults}


def _check_sections(item: Item[RepairEntry], mends: bool) -> None:
    """Note a repair that leaves a person alone half-way."""
    entry, spot = item.entry, item.spot
    if not entry.sections:
        spot.wrong("this repair says nothing to do", "give it sections such as look and restore")
    if mends and not entry.isolate:
        spot.wrong("this repair has no isolate", "say how the furnace is made safe first")
    if mends and not entry.before_it_runs:
        spot.wrong("this repair has no before-it-runs", "say what is checked before it runs again")
    if bool(entry.take_out) != bool(entry.refit):
        spot.wrong("take-out and refit go together", "give both, or neither")
    if entry.price != "none" and not entry.replaced_whole:
        mend = "say in replaced-whole what is replaced as an assembly and what as a part"
        spot.at("price").wrong("it costs parts and does not say which", mend)


def _check_aspect(item: Item[AspectEntry]) -> None:
    entry, spot = item.entry, item.spot
    if entry.start not in entry.minutes:
        spot.at("start").unknown(f"state of {entry.id}", entry.start, entry.minutes)
    for state in sorted(entry.minutes.keys() ^ entry.how.keys()):
        spot.at("how").wrong(f"{state} has minutes or how, not both", f"give both for {state}")
    for name, states in (("sets", entry.sets), ("makes", entry.makes)):
        for state in states.keys() - entry.minutes.keys():
            spot.at(name, state).unknown(f"state of {entry.id}", state, entry.minutes)
    if entry.safe and entry.safe not in entry.minutes:
        spot.at("safe").unknown(f"state of {entry.id}", entry.safe, entry.minutes)
    if bool(entry.safe) != bool(entry.dangers):
        spot.wrong("safe and dangers go together", "give both, or neither")
    for state, minutes in entry.minutes.items():
        check_minutes(minutes, spot.at("minutes", state))
