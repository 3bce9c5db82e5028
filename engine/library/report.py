"""Collects the mistakes of a knowledge folder, each with its place and a mend."""

from __future__ import annotations

import difflib
from collections.abc import Collection
from dataclasses import dataclass, field

from lightoff.engine.model import Place
from lightoff.engine.strict_yaml import Document, Problem, YamlPath


@dataclass(slots=True)
class Report:
    """All mistakes found so far; the same mistake is kept once."""

    found: dict[Problem, None] = field(default_factory=dict)

    def add(self, problem: Problem) -> None:
        self.found[problem] = None

    def __len__(self) -> int:
        return len(self.found)

    def problems(self) -> list[Problem]:
        """In the order of files and lines."""
        return sorted(self.found, key=lambda p: (p.place.file, p.place.line, p.place.column))


@dataclass(frozen=True, slots=True)
class Spot:
    """A value in a document; mistakes about it go to the report."""

    report: Report
    document: Document
    path: YamlPath = ()

    def at(self, *more: str | int) -> Spot:
        """A value further inside."""
        return Spot(self.report, self.document, (*self.path, *more))

    @property
    def place(self) -> Place:
        return self.document.place(self.path)

    def wrong(self, what: str, mend: str) -> None:
        """Note a mistake here."""
        self.report.add(Problem(self.place, what, mend))

    def unknown(self, what: str, name: str, known: Collection[str]) -> None:
        """Note that nothing is called `name`, with the nearest name that exists."""
        self.wrong(f"no {what} is called {name!r}", suggestion(name, known))


def suggestion(name: str, known: Collection[str]) -> str:
    """The mend for a wrong name."""
    near = difflib.get_close_matches(name, known, n=1)
    if near:
        return f"did you mean {near[0]}?"
    return f"known are {', '.join(sorted(known))}" if known else "none is known"
