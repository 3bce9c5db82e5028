"""Working tasks of a study out, in whatever process or on whatever machine it is asked for."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from functools import cache
from hashlib import sha256
from importlib.metadata import version
from importlib.resources import files
from pathlib import Path
from threading import Lock

from lightoff.engine import library
from lightoff.engine.model import Knowledge
from lightoff.engine.reasoning.diagnosis import Diagnosis
from lightoff.engine.reasoning.study.outcome import Outcome, Stamp, outcome_of
from lightoff.engine.reasoning.study.tasks import Task

DIGITS = 12
"""Hexadecimal digits of a digest: enough that two states of the files never share one."""

_one_at_a_time = Lock()
"""The rule engine of a diagnosis plays one job at a time, whatever threads a worker has."""


def work(tasks: Sequence[Task]) -> list[Outcome]:
    """Outcomes of tasks against the knowledge that comes with the program here."""
    with _one_at_a_time:
        return [outcome_of(_diagnosis(task.furnace), task, stamp_now()) for task in tasks]


@cache
def stamp_now() -> Stamp:
    """What outcomes are worked out with here."""
    program = Path(str(files("lightoff.engine")))
    return Stamp(
        version=version("lightoff"),
        program=digest(program, program.rglob("*.py")),
        knowledge=digest(library.shipped(), library.shipped().rglob("*.yaml")),
    )


def digest(folder: Path, found: Iterable[Path]) -> str:
    """A short digest of files, by their names within a folder and what stands in them."""
    whole = sha256()
    for path in sorted(found):
        content = path.read_bytes()
        whole.update(f"{path.relative_to(folder).as_posix()} {len(content)}\n".encode())
        whole.update(content)
    return whole.hexdigest()[:DIGITS]


@cache
def _knowledge() -> Knowledge:
    return library.load()


@cache
def _diagnosis(furnace: str) -> Diagnosis:
    return Diagnosis.of(_knowledge(), furnace)
