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
from lightoff.engine.library import options, overlay
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


def stamp_now() -> Stamp:
    """What outcomes are worked out with here."""
    return _stamp(*_set_here())


_Settings = tuple[Path | None, str]
"""The folder laid over the shipped knowledge, and the choices of options."""


def _set_here() -> _Settings:
    return overlay.chosen(), ",".join(f"{k}={v}" for k, v in sorted(options.chosen().items()))


@cache
def _stamp(own: Path | None, choices: str) -> Stamp:
    program = Path(str(files("lightoff.engine")))
    return Stamp(
        version=version("lightoff"),
        program=digest(program, program.rglob("*.py")),
        knowledge=digest(library.shipped(), library.shipped().rglob("*.yaml"))
        + (f"+{digest(own, own.rglob('*.yaml'))}" if own else "")
        + (f"+{choices}" if choices else ""),
    )


def digest(folder: Path, found: Iterable[Path]) -> str:
    """A short digest of files, by their names within a folder and what stands in them."""
    whole = sha256()
    for path in sorted(found):
        content = path.read_bytes()
        whole.update(f"{path.relative_to(folder).as_posix()} {len(content)}\n".encode())
        whole.update(content)
    return whole.hexdigest()[:DIGITS]


def _diagnosis(furnace: str) -> Diagnosis:
    return _diagnosis_with(furnace, _set_here())


@cache
def _diagnosis_with(furnace: str, settings: _Settings) -> Diagnosis:
    return Diagnosis.of(_knowledge(settings), furnace)


@cache
def _knowledge(settings: _Settings) -> Knowledge:
    return library.load()
