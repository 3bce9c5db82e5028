"""Reads the files of a knowledge folder into entries, checked for shape."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Generic, TypeVar

from lightoff.engine.entries.base import Entry
from lightoff.engine.entries.checks import CheckEntry
from lightoff.engine.entries.furnaces import FurnaceEntry
from lightoff.engine.entries.lists import (
    AspectEntry,
    CautionEntry,
    RepairEntry,
    SourceEntry,
    ToolEntry,
)
from lightoff.engine.entries.parts import PartEntry
from lightoff.engine.entries.proving import ProofEntry, RatingEntry
from lightoff.engine.entries.rules import RuleEntry
from lightoff.engine.library.report import Report, Spot
from lightoff.engine.library.shape import convert
from lightoff.engine.model import Place
from lightoff.engine.strict_yaml import Data, Problem, read

E = TypeVar("E", bound=Entry)

_ID = re.compile(r"[a-z0-9]+(-[a-z0-9]+)*")
_READ_ELSEWHERE = ("identify.yaml",)
"""Files of a knowledge folder that are not read here."""


@dataclass(frozen=True, slots=True)
class Layer:
    """A knowledge folder, and what its files begin with where their mistakes are told."""

    folder: Path
    prefix: str = ""

    def name(self, path: Path) -> str:
        return self.prefix + path.relative_to(self.folder).as_posix()


@dataclass(frozen=True, slots=True)
class Item(Generic[E]):
    """An entry and where it stands."""

    entry: E
    spot: Spot


@dataclass(slots=True)
class Section(Generic[E]):
    """The entries of one kind by id.

    `named` also holds the ids of entries that did not fit their shape, so that a
    mistake in an entry is not also one in everything that refers to it.
    """

    items: dict[str, Item[E]] = field(default_factory=dict)
    named: set[str] = field(default_factory=set)
    files: int = 0

    @property
    def whole(self) -> bool:
        """Whether there are files and all their entries fit their shape."""
        return self.files > 0 and self.named == set(self.items)

    def entries(self) -> dict[str, E]:
        return {id_: item.entry for id_, item in self.items.items()}

    def under(self, over: Section[E]) -> Section[E]:
        """These entries with others laid over: one of the same id takes the place of this one.

        It does so even if it does not fit its shape: then the id is only `named`.
        """
        kept = {
            id_: over.items.get(id_, item)
            for id_, item in self.items.items()
            if id_ in over.items or id_ not in over.named
        }
        return Section(kept | over.items, self.named | over.named, self.files + over.files)


@dataclass(slots=True)
class Files:
    """Everything that stands in a knowledge folder, or in several laid over each other."""

    sources: Section[SourceEntry]
    cautions: Section[CautionEntry]
    tools: Section[ToolEntry]
    aspects: Section[AspectEntry]
    repairs: Section[RepairEntry]
    parts: Section[PartEntry]
    checks: Section[CheckEntry]
    furnaces: Section[FurnaceEntry]
    rules: Section[RuleEntry]
    proofs: Section[ProofEntry]
    ratings: Section[RatingEntry]


def read_folders(layers: Sequence[Layer], report: Report) -> Files:
    """Read all files of folders, each laid over those before it; mistakes go to the report."""
    reader = _Reader([_FolderReader(layer, report) for layer in layers])
    files = Files(
        sources=reader.section("sources.yaml", SourceEntry),
        cautions=reader.section("cautions.yaml", CautionEntry),
        tools=reader.section("tools.yaml", ToolEntry),
        aspects=reader.section("setups.yaml", AspectEntry),
        repairs=reader.section("repairs/*.yaml", RepairEntry),
        parts=reader.section("parts/*.yaml", PartEntry),
        checks=reader.section("checks/*.yaml", CheckEntry),
        furnaces=reader.section("furnaces/*.yaml", FurnaceEntry),
        rules=reader.section("rules/*.yaml", RuleEntry, needed=False),
        proofs=reader.section("proving.yaml", ProofEntry, needed=False),
        ratings=reader.section("ratings.yaml", RatingEntry, needed=False),
    )
    for each in reader.folders:
        each.refuse_strays()
    return files


def read_lists(
    layers: Sequence[Layer], report: Report
) -> tuple[Section[SourceEntry], Section[CautionEntry]]:
    """Sources and cautions alone, which takes a tenth of the time that everything does."""
    reader = _Reader([_FolderReader(layer, report) for layer in layers])
    return (
        reader.section("sources.yaml", SourceEntry),
        reader.section("cautions.yaml", CautionEntry),
    )


def is_id(name: str) -> bool:
    """Whether a name is lower-case words joined by hyphens."""
    return _ID.fullmatch(name) is not None


def check_id(spot: Spot, name: str) -> None:
    """Note a name that is no id."""
    if not is_id(name):
        spot.wrong(f"{name!r} is no id", "write lower-case words joined by hyphens")


@dataclass(frozen=True, slots=True)
class _Reader:
    """Reads folders that are laid over each other."""

    folders: Sequence[_FolderReader]

    def section(self, pattern: str, kind: type[E], needed: bool = True) -> Section[E]:
        """The entries of one kind; files of it are needed in the lowest folder only."""
        lowest, *others = self.folders
        section = lowest.section(pattern, kind, needed)
        for each in others:
            section = section.under(each.section(pattern, kind, needed=False))
        return section


@dataclass(slots=True)
class _FolderReader:
    layer: Layer
    report: Report
    seen: set[Path] = field(default_factory=set)

    def section(self, pattern: str, kind: type[E], needed: bool) -> Section[E]:
        section: Section[E] = Section()
        for path in sorted(self.layer.folder.glob(pattern)):
            self.seen.add(path)
            section.files += 1
            for data, spot in self.items(path, kind):
                _add(section, data, spot, kind)
        if needed and not section.files:
            mend = f"add {pattern.replace('*', 'NAME')}"
            self.report.add(Problem(Place(pattern, 1), "there is no such file", mend))
        return section

    def items(self, path: Path, kind: type[Entry]) -> Iterator[tuple[Data, Spot]]:
        """The entries of a file: one mapping of a furnace, or a list of entries."""
        document = read(path, self.layer.name(path))
        for problem in document.problems:
            self.report.add(problem)
        spot = Spot(self.report, document)
        if document.data is None:
            return
        if kind is FurnaceEntry:
            yield document.data, spot
        elif isinstance(document.data, list):
            yield from ((data, spot.at(index)) for index, data in enumerate(document.data))
        else:
            spot.wrong("this file is not a list", "write each entry as `- id: ...`")

    def refuse_strays(self) -> None:
        """A file that nothing reads is a mistake: it may be in the wrong folder."""
        for pattern in ("*.y*ml", "*/*.y*ml"):
            for path in sorted(set(self.layer.folder.glob(pattern)) - self.seen):
                if path.relative_to(self.layer.folder).parts[0] not in _READ_ELSEWHERE:
                    place = Place(self.layer.name(path), 1)
                    mend = "give it a name and folder that is read, or take it away"
                    self.report.add(Problem(place, "nothing reads this file", mend))


def _add(section: Section[E], data: Data, spot: Spot, kind: type[E]) -> None:
    id_ = data.get("id") if isinstance(data, dict) else None
    entry = convert(data, kind, spot)
    if not isinstance(id_, str):
        return
    if id_ in section.items:
        first = section.items[id_].spot.place
        spot.at("id").wrong(f"the id {id_} is taken by {first}", "give it another id")
        return
    check_id(spot.at("id"), id_)
    section.named.add(id_)
    if entry is not None:
        section.items[id_] = Item(entry, spot)
