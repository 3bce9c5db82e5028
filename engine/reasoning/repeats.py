"""What was done more than once on one furnace: the same repair, or work on the same part."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date

from lightoff.engine.model import Knowledge
from lightoff.engine.reasoning.job import JobState
from lightoff.engine.reasoning.table import repairs_in


@dataclass(frozen=True, slots=True)
class Repeat:
    """Something that was done in several jobs, with the times of the first and the last."""

    what: str
    times: int
    first: str
    last: str

    @property
    def days(self) -> int | None:
        """Days from the first to the last; None where the times cannot be read."""
        try:
            return (date.fromisoformat(self.last[:10]) - date.fromisoformat(self.first[:10])).days
        except ValueError:
            return None


def repeats(knowledge: Knowledge, jobs: Sequence[JobState]) -> tuple[Repeat, ...]:
    """What came again, oldest job first: a repair; or a part, mended in different ways.

    Only what cured counts: a repair that did not help says nothing of its part.
    """
    repairs: dict[str, list[str]] = {}
    parts: dict[str, dict[str, list[str]]] = {}
    for job in jobs:
        for repair in repairs_in(job.cured_by) if job.cured_by else ():
            repairs.setdefault(repair, []).append(job.started)
            for part in _parts_of(knowledge, job.furnace, repair):
                parts.setdefault(part, {}).setdefault(repair, []).append(job.started)
    titles = {id_: each.title for id_, each in knowledge.repairs.items()}
    again = [_repeat(titles.get(id_, id_), times) for id_, times in repairs.items()]
    again += [
        _repeat(part, sorted(time for times in ways.values() for time in times))
        for part, ways in parts.items()
        if len(ways) > 1
    ]
    return tuple(each for each in again if each.times > 1)


def _repeat(what: str, times: Sequence[str]) -> Repeat:
    return Repeat(what, len(times), times[0], times[-1])


def _parts_of(knowledge: Knowledge, furnace: str, repair: str) -> Iterator[str]:
    """Names of the parts that a repair mends on a furnace: none if it is not known today."""
    model = knowledge.furnaces.get(furnace)
    if model is not None:
        mended = (fault.part for fault in model.faults.values() if fault.repair == repair)
        yield from dict.fromkeys(model.parts[part].entry.name for part in mended)
