"""What comes of one diagnosis played against the simulated furnace, as a record.

The same task has the same outcome, whenever and wherever it is worked out.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from typing import Literal

import msgspec

from lightoff.engine.model import Fault
from lightoff.engine.reasoning.diagnosis import Diagnosis
from lightoff.engine.reasoning.misreading import MISREAD, MisreadFurnace
from lightoff.engine.reasoning.planning.costs import PRICE_MINUTES, REFER_MINUTES, VERIFY_MINUTES
from lightoff.engine.reasoning.play import Choose, Course, Ending, Played, play
from lightoff.engine.reasoning.study.tasks import Task
from lightoff.engine.reasoning.suspects import suspects_of
from lightoff.engine.reasoning.table import repairs_in


class Stamp(msgspec.Struct, frozen=True, kw_only=True):
    """What an outcome was worked out with."""

    version: str
    program: str
    """Digest of the program's own files."""
    knowledge: str
    """Digest of the files of knowledge."""


class Made(msgspec.Struct, frozen=True, omit_defaults=True):
    """A check that was made: what came of it, its minutes and those of its set-up."""

    check: str
    outcome: str | None
    minutes: float
    setup: float = 0.0
    misread: bool = False


class Done(msgspec.Struct, frozen=True):
    """A repair that was done ("a+b": two at once): minutes of the hands, and its price.

    The price is in minutes as the advice counts it: hands, part and verifying call.
    """

    repair: str
    minutes: float
    price: float


class Outcome(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """What came of a task; one line of JSON."""

    task: Task
    stamp: Stamp
    needed: tuple[str, ...] = ()
    """The repairs that the hidden faults need."""
    checks: tuple[Made, ...] = ()
    repairs: tuple[Done, ...] = ()
    ended: Ending | Literal["failed"] = "failed"
    """How it ended; "failed": the diagnosis broke down, `problem` says how."""
    stopped: tuple[str, ...] = ()
    right_at_first: bool = False
    """Whether all that was advised first was needed, or rules rightly stopped the work."""
    right_in_the_end: bool = False
    """Whether it was mended, or rightly stopped by rules: the furnace is to stay off, or
    the answers were all read right."""
    suspect: str = ""
    """The first suspect when a repair was advised first, or the work ended without."""
    suspect_probability: float = 0.0
    suspect_right: bool = False
    """Whether what that suspect needs is what was needed."""
    price: float = 0.0
    """All of it in minutes as the advice counts it, with hazards and parts.

    A job that did not cure is referred, and what it needed is paid for all the same.
    """
    problem: str = ""

    @property
    def minutes(self) -> float:
        """Minutes by the clock: checks with their set-up, repairs and verifying calls."""
        return self.measuring + self.setting_up + self.repairing + self.verifying

    @property
    def measuring(self) -> float:
        return sum(each.minutes for each in self.checks)

    @property
    def setting_up(self) -> float:
        return sum(each.setup for each in self.checks)

    @property
    def repairing(self) -> float:
        return sum(each.minutes for each in self.repairs)

    @property
    def verifying(self) -> float:
        """One call watched after each repair, and where nothing was found."""
        return VERIFY_MINUTES * (len(self.repairs) + (self.ended == "nothing-found"))

    @property
    def right(self) -> bool:
        """Whether it was right in the end, with no repair in vain on the way."""
        done = (each for repair in self.repairs for each in repairs_in(repair.repair))
        return self.right_in_the_end and set(self.needed).issuperset(done)

    @property
    def advised_first(self) -> str:
        """The first repair advised, or how it ended without one."""
        return self.repairs[0].repair if self.repairs else self.ended


def outcome_of(
    diagnosis: Diagnosis, task: Task, stamp: Stamp, choose: Choose | None = None
) -> Outcome:
    """Play a task; KeyError if the furnace of the diagnosis lacks one of the faults.

    A diagnosis that breaks down is an outcome too: a study of many thousands goes on.
    """
    faults = [diagnosis.furnace.faults[fault] for fault in task.faults]
    needed = _needed(faults)
    furnace = MisreadFurnace(diagnosis.furnace, faults, task.errors, task.seed)
    try:
        course = play(diagnosis, furnace, choose)
    except Exception as error:
        problem = f"{type(error).__name__}: {error}"
        return Outcome(task=task, stamp=stamp, needed=needed, problem=problem)
    return _told(diagnosis, task, stamp, needed, course)


def _needed(faults: Sequence[Fault]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(fault.repair for fault in faults))


def _told(
    diagnosis: Diagnosis, task: Task, stamp: Stamp, needed: tuple[str, ...], course: Course
) -> Outcome:
    """The record of a course of steps."""
    checks = tuple(_made(step) for step in course.steps if step.finding is not None)
    repairs = tuple(_done(diagnosis, step) for step in course.steps if step.decision.repair)
    done = {each for repair in repairs for each in repairs_in(repair.repair)}
    first = set(repairs_in(repairs[0].repair)) if repairs else set()
    read_right = not any(check.misread for check in checks)
    belongs_off = diagnosis.knowledge.stays_off(needed)
    well_stopped = course.ended == "stopped" and (read_right or belongs_off)
    suspect = _first_suspect(course)
    return Outcome(
        task=task,
        stamp=stamp,
        needed=needed,
        checks=checks,
        repairs=repairs,
        ended=course.ended,
        stopped=course.stopped,
        right_at_first=first <= set(needed) if first else well_stopped,
        right_in_the_end=course.ended == "cured" or well_stopped,
        suspect=suspect[0],
        suspect_probability=suspect[1],
        suspect_right=set(suspect[2]) == set(needed),
        price=_price(diagnosis, course, checks, repairs, set(needed) - done),
    )


def _made(step: Played) -> Made:
    assert step.finding is not None
    misread = step.finding.entered == MISREAD
    return Made(step.finding.check, step.finding.outcome, step.minutes, step.setup, misread)


def _done(diagnosis: Diagnosis, step: Played) -> Done:
    repair = step.decision.repair or ""
    return Done(repair, step.minutes, repair_price(diagnosis, repairs_in(repair)))


def repair_price(diagnosis: Diagnosis, repairs: Collection[str]) -> float:
    """Price of repairs done together, in minutes: one call proves them all."""
    entries = [diagnosis.knowledge.repairs[repair] for repair in repairs]
    hands_and_parts = sum(entry.minutes + PRICE_MINUTES[entry.price] for entry in entries)
    return hands_and_parts + VERIFY_MINUTES * bool(entries)


def _first_suspect(course: Course) -> tuple[str, float, tuple[str, ...]]:
    """Name, probability and repairs of the suspect that led when checking first ended."""
    step = next((each for each in course.steps if each.decision.check is None), None)
    if step is None:
        return "", 0.0, ()
    suspect = suspects_of(step.belief)[0]
    return suspect.id, suspect.probability, repairs_in(suspect.repair)


def _price(
    diagnosis: Diagnosis,
    course: Course,
    checks: Sequence[Made],
    repairs: Sequence[Done],
    not_done: Collection[str],
) -> float:
    costs, table = diagnosis.costs, diagnosis.table
    hazards = sum(float(costs.hazard_minutes[table.checks.index(each.check)]) for each in checks)
    measured = sum(each.minutes + each.setup for each in checks) + hazards
    price = measured + sum(each.price for each in repairs)
    if course.ended == "cured":
        return price
    return price + REFER_MINUTES + repair_price(diagnosis, not_done)
