"""A past job in terms of what is known today: what is left out, what reads otherwise."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Literal

import msgspec

from lightoff.engine.model import Check, Furnace, Knowledge
from lightoff.engine.outcomes import outcome_index
from lightoff.engine.reasoning.answers import ReadingError, reading, reads_a_figure
from lightoff.engine.reasoning.job import (
    AnyEvent,
    Closed,
    Cured,
    Found,
    JobState,
    Proved,
    Repaired,
    Seen,
    Skipped,
    Told,
    replay,
)
from lightoff.engine.reasoning.retrace import Line, taken_back_by
from lightoff.engine.reasoning.table import repairs_in
from lightoff.engine.reasoning.tell import check_of, doors_off

Subject = Literal["furnace", "feature", "check", "outcome", "reading", "repair", "proof"]


@dataclass(frozen=True, slots=True)
class Strange:
    """Something that a journal speaks of and that is not known today; it is left out."""

    number: int
    subject: Subject
    name: str
    """For an outcome: CHECK: OUTCOME."""


@dataclass(frozen=True, slots=True)
class Reread:
    """A reading that was one outcome of its check then, and is another one today."""

    number: int
    check: str
    entered: str
    then: str
    now: str


@dataclass(frozen=True, slots=True)
class Restated:
    """A job in terms of what is known today."""

    lines: tuple[Line, ...]
    strange: tuple[Strange, ...] = ()
    reread: tuple[Reread, ...] = ()


def furnace_of(knowledge: Knowledge, job: JobState) -> Furnace | None:
    """The furnace of a job, any while it is not known; None if it is one not known today."""
    if not job.furnace:
        return next(iter(knowledge.furnaces.values()))
    return knowledge.furnaces.get(job.furnace)


def restated(knowledge: Knowledge, events: Sequence[AnyEvent]) -> Restated:
    """A job without what is not known today, and with its readings read as they are today."""
    furnace = furnace_of(knowledge, replay(events))
    if furnace is None:
        strange = Strange(1, "furnace", replay(events).furnace)
        return Restated(tuple(enumerate(events[:1], start=1)), (strange,))
    lines = tuple(enumerate(events, start=1))
    today = _Today(knowledge, furnace, events)
    said = {number: today.of(number, event) for number, event in lines}
    left_out = {number for number, each in said.items() if isinstance(each, Strange)}
    backs = {back for back, number in taken_back_by(lines).items() if number in left_out}
    return Restated(
        lines=tuple(
            (number, each.event if isinstance(each, _Otherwise) else event)
            for number, event in lines
            if number not in left_out | backs
            for each in [said[number]]
        ),
        strange=tuple(each for each in said.values() if isinstance(each, Strange)),
        reread=tuple(each.reread for each in said.values() if isinstance(each, _Otherwise)),
    )


@dataclass(frozen=True, slots=True)
class _Otherwise:
    """An event as it would be put down today."""

    event: Found
    reread: Reread


class _Today:
    """Events against what is known today of one furnace."""

    def __init__(self, knowledge: Knowledge, furnace: Furnace, events: Iterable[AnyEvent]) -> None:
        self.knowledge = knowledge
        self.furnace = furnace
        self.checks = knowledge.checks[furnace.id]
        self.off = doors_off(self.checks.values())
        self.told = {
            each.check: check
            for each in events
            if isinstance(each, Told) and (check := self.check_of(each)) is not None
        }

    def check_of(self, told: Told) -> Check | None:
        """The check that stands for a reading that was told; None if it cannot be today."""
        try:
            return check_of(self.furnace, told, self.off)
        except (ReadingError, LookupError):
            return None

    def of(self, number: int, event: AnyEvent) -> Strange | _Otherwise | None:
        """What is strange about an event, or how it would be put down today; None if as then."""
        match event:
            case Found():
                return self.finding(number, event)
            case Told() if self.check_of(event) is None:
                return Strange(number, "reading", event.check)
            case Skipped(check=check) if check not in self.checks and check not in self.told:
                return Strange(number, "check", check)
            case Repaired(repair=repair) if not self.repairs.issuperset(repairs_in(repair)):
                return Strange(number, "repair", repair)
            case Closed(how="found", repair=repair) if not self.is_known(repair):
                return Strange(number, "repair", repair)
            case Cured(repair=repair) if not self.is_known(repair):
                return Strange(number, "repair", repair)
            case Proved(proof=proof) if proof not in self.knowledge.proofs:
                return Strange(number, "proof", proof)
            case Seen(feature=feature, value=value) if not self.is_seen(feature, value):
                return Strange(number, "feature", feature)
            case _:
                return None

    @property
    def repairs(self) -> frozenset[str]:
        """Those that some fault of the furnace needs."""
        return frozenset(fault.repair for fault in self.furnace.faults.values())

    def is_known(self, repair: str) -> bool:
        """Whether a repair, or both of two, is known of any furnace."""
        return self.knowledge.repairs.keys() >= set(repairs_in(repair))

    def is_seen(self, feature: str, value: str | None) -> bool:
        known = self.knowledge.features.get(feature)
        return known is not None and (value is None or value in known.values)

    def finding(self, number: int, event: Found) -> Strange | _Otherwise | None:
        check = self.checks.get(event.check) or self.told.get(event.check)
        if check is None:
            return Strange(number, "check", event.check)
        if event.outcome is None:
            return None
        now = _outcome_today(check, event)
        if now is None:
            return Strange(number, "outcome", f"{event.check}: {event.outcome}")
        if now == event.outcome:
            return None
        reread = Reread(number, check.id, event.entered, event.outcome, now)
        return _Otherwise(msgspec.structs.replace(event, outcome=now), reread)


def _outcome_today(check: Check, event: Found) -> str | None:
    """The outcome of a reading as its figure is today; None if there is no such outcome."""
    if reads_a_figure(check):
        try:
            return check.outcomes[outcome_index(check, reading(check, event.entered))].id
        except (ReadingError, LookupError):
            pass
    return event.outcome if event.outcome in {each.id for each in check.outcomes} else None
