"""Jobs by label: which ones are about the same furnace."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from pathlib import Path

from lightoff.cli import names
from lightoff.cli.past_jobs import Damaged, Past, past_jobs, plain
from lightoff.engine.reasoning.job import JobState
from lightoff.engine.reasoning.visits import Visit


def same_label(one: str, other: str) -> bool:
    """Whether two labels mean the same furnace: case and runs of spaces aside, and not blank."""
    return bool(_plain(one)) and _plain(one) == _plain(other)


def _plain(label: str) -> str:
    return " ".join(label.split()).casefold()


def labels_of(job: JobState) -> tuple[str, ...]:
    """What a job calls its furnace, in the order of noting."""
    return job.said("label")


def has_label(job: JobState, label: str) -> bool:
    """Whether a job is about the furnace of that label."""
    return any(same_label(each, label) for each in labels_of(job))


def visits_in(folder: Path, apart_from: str = "") -> tuple[Visit, ...]:
    """Jobs of a folder that have a label, oldest first, without one of an id.

    A journal that cannot be read is left out.
    """
    return visits_among(past_jobs(folder), apart_from)


def visits_among(jobs: Iterable[Past | Damaged], apart_from: str = "") -> tuple[Visit, ...]:
    """The same of jobs that were read already."""
    read = (
        Visit(each.id, each.job)
        for each in jobs
        if isinstance(each, Past) and each.id != apart_from
    )
    return tuple(visit for visit in read if labels_of(visit.job))


def labelled(visits: Iterable[Visit], labels: Iterable[str]) -> tuple[Visit, ...]:
    """Those about the furnace that has one of some labels."""
    wanted = tuple(labels)
    return tuple(visit for visit in visits if any(has_label(visit.job, label) for label in wanted))


def known_labels(visits: Iterable[Visit]) -> tuple[str, ...]:
    """Every label once, as it was last written but for runs of spaces."""
    every = (label for visit in visits for label in labels_of(visit.job))
    last = {_plain(label): " ".join(label.split()) for label in every}
    return tuple(last.values())


def no_such(label: str, known: Sequence[str]) -> str:
    """The complaint about a label that no job has."""
    said = f"no job has the label {plain(label)[:60]!r}"
    near = names.nearest(label, known)
    if near:
        return f"{said}; did you mean {' or '.join(map(plain, near))}?"
    return f"{said}; in a job, n label TEXT gives it one, or lightoff yearly --label"
