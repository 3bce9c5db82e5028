"""A diagnosis played to its end by the program itself against something that answers."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Literal, Protocol

from lightoff.engine.model import Check
from lightoff.engine.reasoning.advice import Advice
from lightoff.engine.reasoning.belief import Belief, Finding
from lightoff.engine.reasoning.diagnosis import Diagnosis
from lightoff.engine.reasoning.interview import Stop, measured_next, person_of
from lightoff.engine.reasoning.job import (
    AnyEvent,
    Found,
    JobState,
    Repaired,
    Skipped,
    Started,
    replay,
)
from lightoff.engine.reasoning.planning.choice import Decision
from lightoff.engine.reasoning.planning.costs import minutes_of
from lightoff.engine.reasoning.table import repairs_in

Choose = Callable[[Belief, JobState], Decision]

MOST_STEPS = 200

Ending = Literal["cured", "nothing-found", "refer", "stopped", "too-long"]
"""How a diagnosis ends. "stopped": rules stopped the work; "too-long": `MOST_STEPS` reached."""


class Answering(Protocol):
    """A furnace with a person before it: it answers checks, and repairs are done on it."""

    def answer(self, check: Check) -> Finding:
        """What the person makes of a check."""

    def works_after(self, repair: str) -> bool:
        """Whether the furnace works once this repair is done besides those before."""


@dataclass(frozen=True, slots=True)
class Played:
    """One step of a diagnosis: the advice, what came of it, and the minutes it took."""

    decision: Decision
    finding: Finding | None
    minutes: float
    """Of a check without its set-up, or of the hands at a repair."""
    setup: float
    """Minutes to bring the set-up to what the check needs."""
    belief: Belief
    """What was known before the step."""


@dataclass(frozen=True, slots=True)
class Course:
    """A whole diagnosis, step by step, and how it ended."""

    steps: tuple[Played, ...]
    ended: Ending
    stopped: tuple[str, ...] = ()
    """Cautions that stopped the work."""

    @property
    def advised(self) -> tuple[str, ...]:
        """Repairs advised, in order, and then how it ended if none of them cured."""
        repairs = tuple(step.decision.repair for step in self.steps if step.decision.repair)
        return repairs if self.ended == "cured" else (*repairs, self.ended)


@dataclass(frozen=True, slots=True)
class Arrival:
    """What is known on arrival, and what is not in the bag."""

    tells: Mapping[str, str] = field(default_factory=dict)
    """Check that only a person can answer -> its outcome."""
    lacks: tuple[str, ...] = ()
    """Tools that are not there."""


UNTOLD = Arrival()


def play(
    diagnosis: Diagnosis,
    furnace: Answering,
    choose: Choose | None = None,
    arrival: Arrival = UNTOLD,
) -> Course:
    """Follow the advice until a repair cures, the rules stop, or no more is to be done.

    Another way of choosing may stand in for the program's own; rules stop it all the same.
    What only a customer could tell is not asked: nobody is there to tell more than is told
    on arrival.
    """
    events = _before(diagnosis, arrival)
    steps: list[Played] = []
    while len(steps) < MOST_STEPS:
        job = replay(events)
        advice = diagnosis.advise(job, person_of(job))
        decision = _decision(diagnosis, job, advice, choose)
        if decision is None:
            return Course(tuple(steps), "stopped", tuple(said.text for said in advice.stopped))
        steps.append(_step(diagnosis, job, advice.belief, decision, furnace))
        if decision.kind == "nothing-found" or decision.kind == "refer":
            return Course(tuple(steps), decision.kind)
        if decision.repair is not None and furnace.works_after(decision.repair):
            return Course(tuple(steps), "cured")
        events.append(_event(steps[-1]))
    return Course(tuple(steps), "too-long")


def _before(diagnosis: Diagnosis, arrival: Arrival) -> list[AnyEvent]:
    """What the journal holds before the first step."""
    furnace, told = diagnosis.furnace.id, arrival.tells
    silent = [
        check.id
        for check in diagnosis.checks.values()
        if check.entry.reads.told and check.id not in told
    ]
    return [
        Started(time="", furnace=furnace, version="", lacks=arrival.lacks),
        *(Found(time="", check=check, outcome=told[check], unasked=True) for check in told),
        *(Skipped(time="", check=check) for check in silent),
    ]


def _decision(
    diagnosis: Diagnosis, job: JobState, advice: Advice, choose: Choose | None
) -> Decision | None:
    """What is to be done next; None if the rules stop the work."""
    if choose is not None:
        return None if advice.stopped else choose(advice.belief, job)
    coming = measured_next(diagnosis, job, advice)
    return None if isinstance(coming, Stop) else coming.decision


def _step(
    diagnosis: Diagnosis, job: JobState, belief: Belief, decision: Decision, furnace: Answering
) -> Played:
    if decision.check is None:
        return Played(decision, None, _hands_on(diagnosis, decision), 0.0, belief)
    costs, table, setup = diagnosis.costs, diagnosis.table, diagnosis.setup_now(job)
    whole = minutes_of(table, costs, decision.check, setup)
    own = diagnosis.checks[decision.check].entry.minutes
    finding = furnace.answer(diagnosis.checks[decision.check])
    return Played(decision, finding, own, whole - own, belief)


def _hands_on(diagnosis: Diagnosis, decision: Decision) -> float:
    repairs = repairs_in(decision.repair) if decision.repair else ()
    return sum(diagnosis.knowledge.repairs[repair].minutes for repair in repairs)


def _event(step: Played) -> AnyEvent:
    """What the job's journal would hold of a step that did not end it."""
    if step.finding is None:
        return Repaired(time="", repair=step.decision.repair or "")
    found = step.finding
    return Found(time="", check=found.check, outcome=found.outcome, entered=found.entered)
