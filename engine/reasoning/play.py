"""A diagnosis played to its end by the program itself against something that answers."""

from __future__ import annotations

from collections.abc import Callable, Collection
from dataclasses import dataclass, replace

from lightoff.engine.model import Check
from lightoff.engine.reasoning.belief import Belief, Finding
from lightoff.engine.reasoning.choice import Decision
from lightoff.engine.reasoning.costs import minutes_of
from lightoff.engine.reasoning.diagnosis import Diagnosis
from lightoff.engine.reasoning.job import JobState

Answer = Callable[[Check], Finding]
Choose = Callable[[Belief, JobState], Decision]

MOST_STEPS = 200


@dataclass(frozen=True, slots=True)
class Played:
    """One step of a diagnosis: the advice, what came of it, and the minutes it took."""

    decision: Decision
    finding: Finding | None
    minutes: float
    belief: Belief
    """What was known before the step."""


def play(
    diagnosis: Diagnosis,
    answer: Answer,
    cured_by: Callable[[str], bool],
    choose: Choose | None = None,
    toolbox: Collection[str] | None = None,
) -> list[Played]:
    """Follow the advice until a repair cures or the advice is to do nothing more.

    `cured_by` says whether a repair cures the furnace that answers. Another way of
    choosing may stand in for the program's own.
    """
    state = JobState(diagnosis.furnace.id, "", "")
    steps: list[Played] = []
    while len(steps) < MOST_STEPS:
        belief = diagnosis.belief(state)
        decision = choose(belief, state) if choose else diagnosis.decide(belief, state, toolbox)
        if decision.kind == "check":
            step = _check(diagnosis, state, belief, decision, answer)
        else:
            step = Played(decision, None, _repair_minutes(diagnosis, decision), belief)
        steps.append(step)
        if decision.kind in ("nothing-found", "refer"):
            break
        if decision.repair is not None and cured_by(decision.repair):
            break
        state = _after(state, step)
    return steps


def _check(
    diagnosis: Diagnosis, state: JobState, belief: Belief, decision: Decision, answer: Answer
) -> Played:
    assert decision.check is not None
    setup = diagnosis.setup_now(state)
    minutes = minutes_of(diagnosis.table, diagnosis.costs, decision.check, setup)
    return Played(decision, answer(diagnosis.checks[decision.check]), minutes, belief)


def _repair_minutes(diagnosis: Diagnosis, decision: Decision) -> float:
    if decision.repair is None:
        return 0.0
    return diagnosis.knowledge.repairs[decision.repair].minutes


def _after(state: JobState, step: Played) -> JobState:
    if step.finding is None:
        assert step.decision.repair is not None
        return replace(state, repaired=(*state.repaired, step.decision.repair), checks_done=())
    return replace(
        state,
        findings=(*state.findings, step.finding),
        checks_done=(*state.checks_done, step.finding.check),
    )


def repair_reached(steps: list[Played]) -> str:
    """The first repair advised, or what was advised instead of one."""
    for step in steps:
        if step.decision.kind != "check":
            return step.decision.repair or step.decision.kind
    return ""
