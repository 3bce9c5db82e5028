"""One diagnosis: what happened in it, and where it stands then."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Literal

import msgspec

from lightoff.engine.reasoning.belief import Finding

Closing = Literal["found", "left", "nothing"]


class Event(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Something that happened in a job, at `time` (ISO 8601, given by the caller)."""

    time: str


class Started(Event, frozen=True, kw_only=True, tag="started"):
    """The job began, on a type of furnace, with a version of the program."""

    furnace: str
    version: str


class Found(Event, frozen=True, kw_only=True, tag="finding"):
    """A check was answered; `outcome` is None for "don't know"."""

    check: str
    outcome: str | None
    entered: str = ""


class Skipped(Event, frozen=True, kw_only=True, tag="skipped"):
    """A check will not be done."""

    check: str


class Repaired(Event, frozen=True, kw_only=True, tag="repaired"):
    """A repair was done and the furnace still fails."""

    repair: str


class Undone(Event, frozen=True, kw_only=True, tag="undone"):
    """The last finding, skip or repair that still stood was taken back."""


class Closed(Event, frozen=True, kw_only=True, tag="closed"):
    """The job ended: fault found and mended, left as it is, or nothing found."""

    how: Closing
    repair: str = ""
    """The repair that cured, for "found"."""


AnyEvent = Started | Found | Skipped | Repaired | Undone | Closed


@dataclass(frozen=True, slots=True)
class JobState:
    """Where a job stands."""

    furnace: str
    started: str
    version: str
    findings: tuple[Finding, ...] = ()
    skipped: tuple[str, ...] = ()
    repaired: tuple[str, ...] = ()
    checks_done: tuple[str, ...] = ()
    """Checks since arrival or the last repair, in order: they give the set-up now."""
    closed: Closing | None = None
    cured_by: str = ""


def replay(events: Iterable[AnyEvent]) -> JobState:
    """Where a job stands after its events; ValueError if they do not begin with `Started`.

    `Undone` takes back the last finding, skip or repair exactly; with nothing to take back
    it changes nothing.
    """
    standing = _standing(events)
    if not standing or not isinstance(standing[0], Started):
        raise ValueError("a job begins with a `started` event")
    state = JobState(standing[0].furnace, standing[0].time, standing[0].version)
    for event in standing[1:]:
        state = _after(state, event)
    return state


def _standing(events: Iterable[AnyEvent]) -> list[AnyEvent]:
    """The events without those that were taken back, and without the taking back."""
    standing: list[AnyEvent] = []
    for event in events:
        if not isinstance(event, Undone):
            standing.append(event)
        elif standing and isinstance(standing[-1], Found | Skipped | Repaired):
            standing.pop()
    return standing


def _after(state: JobState, event: AnyEvent) -> JobState:
    match event:
        case Found(check=check, outcome=outcome, entered=entered):
            finding = Finding(check, outcome, entered)
            return replace(
                state,
                findings=(*state.findings, finding),
                checks_done=(*state.checks_done, check),
            )
        case Skipped(check=check):
            return replace(state, skipped=(*state.skipped, check))
        case Repaired(repair=repair):
            return replace(state, repaired=(*state.repaired, repair), checks_done=())
        case Closed(how=how, repair=repair):
            return replace(state, closed=how, cured_by=repair)
        case _:
            raise ValueError("a job is started only once")
