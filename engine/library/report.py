"""Collects the mistakes of a knowledge folder, each with its place and a mend."""

from __future__ import annotations

import difflib
from collections.abc import Collection
from dataclasses import dataclass, field
from functools import lru_cache

from lightoff.engine.model import Place
from lightoff.engine.strict_yaml import Document, Problem, YamlPath

MOST_PROBLEMS = 500
"""Mistakes listed at most."""
_LONGEST_NAME = 60
_MOST_NAMES = 500
"""Names looked through for one that is near, and their length (it takes quadratic time)."""


@dataclass(slots=True)
class Report:
    """All mistakes found so far; `noted` also counts those found again or past the limit."""

    found: dict[Problem, None] = field(default_factory=dict)
    noted: int = 0

    def add(self, problem: Problem) -> None:
        self.noted += 1
        if len(self.found) < MOST_PROBLEMS:
            self.found[problem] = None

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
        self.wrong(f"no {what} is called {name[:_LONGEST_NAME]!r}", suggestion(name, known))


def suggestion(name: str, known: Collection[str]) -> str:
    """The mend for a wrong name."""
    return _suggested(name[:_LONGEST_NAME], tuple(sorted(known)[:_MOST_NAMES]))


# What one furnace lacks and others have is found to be wrong there again and again.
@lru_cache(maxsize=2048)
def _suggested(name: str, names: tuple[str, ...]) -> str:
    near = difflib.get_close_matches(name, names, n=1)
    if near:
        return f"did you mean {near[0]}?"
    return f"known are {', '.join(names)}" if names else "none is known"
