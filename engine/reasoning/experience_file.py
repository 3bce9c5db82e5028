"""A file of experience, as shops exchange it: by furnace its closed jobs, by fault the jobs.

    two-pipe-condensing:
      jobs: 3
      faults:
        igniter.open: 2
        flame-sensor.coated: 1

It comes from anybody, so everything in it is checked, and every mistake told by line.
"""

from __future__ import annotations

import difflib
from collections.abc import Iterable
from dataclasses import dataclass, field
from pathlib import Path

from lightoff.engine import strict_yaml
from lightoff.engine.model import Furnace, Knowledge
from lightoff.engine.reasoning.experience import Counts, Shared
from lightoff.engine.strict_yaml import Document, Problem, YamlPath

MOST_JOBS = 100_000
"""Closed jobs that one file may speak of for one furnace."""
SLACK = 0.001
"""What figures may be out by where they must agree."""
LONGEST_QUOTED = 60

HEAD = """\
# Experience for lightoff: how often each fault was the cause, in closed jobs, by type of
# furnace. Counts only: no names, places, dates or findings. A count is not whole where the
# repair did not tell which of several faults it was.
# To count it with one's own jobs: lightoff experience import FILE
"""

WHOLE = "write a furnace, and below it `jobs: 3` and `faults:` with `fault: jobs`"


@dataclass(frozen=True, slots=True)
class Reading:
    """What a file says: what is right of it, mistakes, and names that are not known."""

    shared: Shared
    problems: tuple[Problem, ...]
    unknown: tuple[Problem, ...]


def read_experience(path: Path, knowledge: Knowledge, name: str | None = None) -> Reading:
    """Read a file; `name` is what it is called in problems. Never raises for its contents."""
    return understood(strict_yaml.read(path, name or str(path)), knowledge)


def understood(document: Document, knowledge: Knowledge) -> Reading:
    """What a document says of the furnaces that are known."""
    reader = _Reader(document, knowledge, list(document.problems))
    if document.data is not None:
        reader.whole()
    shared = Shared(dict(sorted(reader.jobs.items())), dict(sorted(reader.counts.items())))
    return Reading(shared, _by_line(reader.problems), _by_line(reader.unknown))


def _by_line(problems: Iterable[Problem]) -> tuple[Problem, ...]:
    return tuple(sorted(problems, key=lambda problem: problem.place.line))


@dataclass(slots=True)
class _Reader:
    document: Document
    knowledge: Knowledge
    problems: list[Problem]
    unknown: list[Problem] = field(default_factory=list)
    jobs: dict[str, int] = field(default_factory=dict)
    counts: dict[str, Counts] = field(default_factory=dict)

    def whole(self) -> None:
        data = self.document.data
        if not isinstance(data, dict) or not data:
            self.note((), "the file holds no counts by furnace", WHOLE)
            return
        for name, entry in data.items():
            furnace = self.knowledge.furnaces.get(name)
            if furnace is None:
                self.not_known((name,), "furnace", name, self.knowledge.furnaces)
            else:
                self.furnace(furnace, entry)

    def furnace(self, furnace: Furnace, entry: object) -> None:
        path = (furnace.id,)
        if not isinstance(entry, dict) or entry.keys() != {"jobs", "faults"}:
            self.note(path, f"{furnace.id} must have jobs and faults, nothing else", WHOLE)
            return
        jobs, faults = entry["jobs"], entry["faults"]
        if not isinstance(jobs, int) or isinstance(jobs, bool) or not 1 <= jobs <= MOST_JOBS:
            self.note(
                (*path, "jobs"), "jobs is no whole number", f"write one from 1 to {MOST_JOBS}"
            )
        elif not isinstance(faults, dict) or not faults:
            self.note((*path, "faults"), "faults holds no counts", "write `fault: jobs` below it")
        else:
            self.faults(furnace, jobs, faults)

    def faults(self, furnace: Furnace, jobs: int, faults: dict[str, object]) -> None:
        counts: dict[str, float] = {}
        total = 0.0
        for name, value in faults.items():
            count = self.count((furnace.id, "faults", name), jobs, value)
            total += count
            if name not in furnace.faults:
                path = (furnace.id, "faults", name)
                self.not_known(path, "fault", name, furnace.faults, f" on {furnace.id}")
            elif count:
                counts[name] = count
        if total < jobs - SLACK:
            what = f"{jobs} jobs, but the counts of the faults make only {total:g}"
            self.note((furnace.id, "jobs"), what, "each job has at least one fault: count again")
        self.jobs[furnace.id], self.counts[furnace.id] = jobs, dict(sorted(counts.items()))

    def count(self, path: YamlPath, jobs: int, value: object) -> float:
        """A count; 0 with a note if it is none."""
        number = isinstance(value, int | float) and not isinstance(value, bool)
        if number and 0.0 < value <= jobs + SLACK:  # type: ignore[operator]
            return float(value)  # type: ignore[arg-type]
        what = f"{_quoted(path[-1])} has no count of jobs"
        self.note(path, what, f"write a number above 0, at most the {jobs} jobs")
        return 0.0

    def not_known(
        self, path: YamlPath, what: str, name: str, known: Iterable[str], where: str = ""
    ) -> None:
        near = difflib.get_close_matches(name, known, n=3)
        listed = f"see `lightoff knowledge list {what}s`"
        mend = f"did you mean {' or '.join(near)}?" if near else listed
        message = f"there is no {what} {_quoted(name)}{where}"
        self.unknown.append(Problem(self.document.place(path), message, mend))

    def note(self, path: YamlPath, what: str, mend: str) -> None:
        self.problems.append(Problem(self.document.place(path), what, mend))


def _quoted(name: object) -> str:
    return str(name)[:LONGEST_QUOTED]


def written(shared: Shared) -> str:
    """The text of a file with these counts; reading it gives them again exactly."""
    lines = [HEAD]
    for furnace, counts in sorted(shared.counts.items()):
        lines.append(f"{furnace}:\n  jobs: {shared.jobs[furnace]}\n  faults:\n")
        lines.extend(f"    {fault}: {_figure(jobs)}\n" for fault, jobs in sorted(counts.items()))
    return "".join(lines)


def _figure(jobs: float) -> str:
    return str(int(jobs)) if jobs.is_integer() else repr(jobs)
