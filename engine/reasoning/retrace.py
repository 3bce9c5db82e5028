"""A past job walked through again, against what is advised today.

A journal holds what happened, not what was advised: so today's advice is compared with
what was asked and done then.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

from lightoff.engine.reasoning.diagnosis import Diagnosis
from lightoff.engine.reasoning.identify import LookFor
from lightoff.engine.reasoning.interview import (
    Ask,
    Conclude,
    Identify,
    MakeSafe,
    Next,
    Stop,
    make_safe_checks,
    person_of,
    what_next,
)
from lightoff.engine.reasoning.job import (
    AnyEvent,
    Closed,
    Found,
    Identified,
    JobState,
    Repaired,
    Seen,
    Skipped,
    Undoable,
    Undone,
    replay,
)
from lightoff.engine.reasoning.planning.choice import look_further

Line = tuple[int, AnyEvent]
"""An event with its number in the journal, from 1."""


# --- what happened ----------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Moment:
    """One event of a job, with where the job stood before it and after."""

    number: int
    event: AnyEvent
    before: JobState
    after: JobState
    taken_back: int = 0
    """For taking back: the number of the event taken back, 0 if there was none."""


def moments(lines: Sequence[Line]) -> tuple[Moment, ...]:
    """The events of a job in order; ValueError if they do not begin with `Started`."""
    backs = taken_back_by(lines)
    found = []
    before = replay(event for _, event in lines[:1])
    for last, (number, event) in enumerate(lines, start=1):
        after = replay(event for _, event in lines[:last])
        found.append(Moment(number, event, before, after, backs.get(number, 0)))
        before = after
    return tuple(found)


def taken_back_by(lines: Iterable[Line]) -> dict[int, int]:
    """Number of each taking back -> number of the event that it took back."""
    standing: list[int] = []
    backs = {}
    for number, event in lines:
        if isinstance(event, Undoable):
            standing.append(number)
        elif isinstance(event, Undone) and standing:
            backs[number] = standing.pop()
    return backs


# --- what is advised today --------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Compared:
    """What was asked or done at a point of a job, and what comes at that point today."""

    number: int
    event: AnyEvent
    coming: Next
    same: bool


def compared(
    diagnosis_of: Callable[[JobState], Diagnosis], lines: Sequence[Line]
) -> tuple[Compared, ...]:
    """Each event of a restated job that followed from advice, against the advice of today.

    What a person volunteered, took back or left followed from none.
    """
    found = []
    for moment in moments(lines):
        if _follows_advice(moment.event):
            diagnosis, job = diagnosis_of(moment.before), moment.before
            coming = next_today(diagnosis, job)
            same = _is_it(coming, moment.event) or _is_aside(diagnosis, job, coming, moment.event)
            found.append(Compared(moment.number, moment.event, coming, same))
    return tuple(found)


def next_today(diagnosis: Diagnosis, job: JobState) -> Next:
    """What comes next in a job as it stands."""
    return what_next(diagnosis, job, diagnosis.advise(job, person_of(job)))


def _follows_advice(event: AnyEvent) -> bool:
    match event:
        case Found(unasked=unasked):
            return not unasked
        case Closed(how=how, stopped=stopped):
            return how not in ("left", "serviced") or bool(stopped)
        case _:
            return isinstance(event, Skipped | Repaired | Seen | Identified)


def _is_it(coming: Next, event: AnyEvent) -> bool:
    """Whether an event is an answer to what comes."""
    match coming, event:
        case (Stop(), Closed(stopped=stopped)):
            return bool(stopped)
        case (MakeSafe(checks=checks), Found(check=check)):
            return check in checks
        case (Identify(what=LookFor(feature=feature)), Seen()):
            return feature.id == event.feature
        case (Identify(), Identified()):
            return not isinstance(coming.what, LookFor)
        case (Ask(decision=decision), Found(check=check) | Skipped(check=check)):
            return decision.check == check
        case (Conclude(decision=decision), Repaired(repair=repair)):
            return decision.repair == repair
        case (Conclude(decision=decision), Closed(how="found", repair=repair)):
            return decision.repair == repair
        case (Conclude(decision=decision), Closed(how="nothing")):
            return decision.kind == "nothing-found"
        case _:
            return False


def _is_aside(diagnosis: Diagnosis, job: JobState, coming: Next, event: AnyEvent) -> bool:
    """Whether an event was asked anew on taking up the job, or in looking further."""
    if not isinstance(event, Found | Skipped):
        return False
    if event.check in make_safe_checks(diagnosis.knowledge, job.furnace):
        return True
    if not isinstance(coming, Conclude):
        return False
    advice = diagnosis.advise(job, person_of(job))
    further = look_further(
        advice.belief,
        diagnosis.costs,
        diagnosis.setup_now(job),
        {*job.skipped, *(said.text for said in advice.held_back)},
        set(diagnosis.knowledge.tools) - set(job.lacks),
    )
    return further is not None and further.check == event.check
