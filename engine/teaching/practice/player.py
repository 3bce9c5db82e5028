"""The program, or another way of choosing, at work on a practice furnace."""

from __future__ import annotations

from collections.abc import Callable

from lightoff.engine.model import Scenario
from lightoff.engine.reasoning.belief import Belief
from lightoff.engine.reasoning.diagnosis import Diagnosis
from lightoff.engine.reasoning.interview import Stop, measured_next, person_of
from lightoff.engine.reasoning.job import JobState
from lightoff.engine.reasoning.planning.choice import Decision
from lightoff.engine.reasoning.table import repairs_in
from lightoff.engine.teaching.practice.acts import (
    Answer,
    Checked,
    Ended,
    Ending,
    Mended,
)
from lightoff.engine.teaching.practice.bench import Bench, RefusedError
from lightoff.engine.teaching.practice.judging import job_of

Choose = Callable[[Belief, JobState], Decision]
MOST_ACTS = 400
TIME = ""


def attempt(
    scenario: Scenario, diagnosis: Diagnosis, seed: int, choose: Choose | None = None
) -> Bench:
    """An attempt by the program itself; `choose` stands in for what it would do next.

    It hears all that is told first, brings the set-up about by hand for every check,
    watches a call after each repair, and closes.
    """
    bench = Bench.of(scenario, diagnosis, seed)
    for check in diagnosis.checks.values():
        if check.entry.reads.told and check.id in scenario.tells:
            bench = bench.after(bench.check(check, TIME))
    while len(bench.acts) < MOST_ACTS:
        job = job_of(scenario, diagnosis, bench.acts)
        advice = diagnosis.advise(job, person_of(job))
        coming = measured_next(diagnosis, job, advice)
        if isinstance(coming, Stop):
            return bench.after(Ended(time=TIME, how="made-safe"))
        decision = choose(advice.belief, job) if choose else coming.decision
        if decision.check is not None:
            bench = _checked(bench, decision.check)
        elif decision.repair is None:
            return bench.after(_given_up(decision, bench))
        else:
            bench = _mended(bench, decision.repair)
            if bench.is_mended:
                return bench.after(Ended(time=TIME, how="mended", blamed=_blamed(bench)))
    return bench.after(Ended(time=TIME, how="given-up"))


def _given_up(decision: Decision, bench: Bench) -> Ended:
    how: Ending = "nothing-wrong" if decision.kind == "nothing-found" else "given-up"
    return Ended(time=TIME, how=how, blamed=_blamed(bench))


def _blamed(bench: Bench) -> tuple[str, ...]:
    return tuple(act.repair for act in bench.acts if isinstance(act, Mended))


def _checked(bench: Bench, check: str) -> Bench:
    """The check, with what its set-up takes by hand before it."""
    found = bench.diagnosis.checks[check]
    bench = _set_up(bench, dict(found.setup))
    try:
        return bench.after(bench.check(found, TIME))
    except RefusedError:
        return bench.after(Checked(time=TIME, answer=Answer(check, None, "")))


def _set_up(bench: Bench, setup: dict[str, str]) -> Bench:
    for aspect, state in setup.items():
        by_hand = bench.diagnosis.knowledge.aspects[aspect].by_hand
        if by_hand and bench.standing.setup[aspect] != state:
            bench = bench.after(bench.set_up(aspect, state, TIME))
    return bench


def _mended(bench: Bench, repair: str) -> Bench:
    """Each of the repairs with everything safe, then everything back and a call watched."""
    aspects = bench.diagnosis.knowledge.aspects
    safe = {name: each.safe for name, each in aspects.items() if each.safe}
    for each in repairs_in(repair):
        bench = _set_up(bench, safe)
        bench = bench.after(bench.mend(each, TIME))
    bench = _set_up(bench, {name: each.start for name, each in aspects.items() if each.by_hand})
    return bench.after(bench.watch(TIME))
