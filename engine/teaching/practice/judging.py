"""Each act of an attempt against the best that could be done with what was known then.

Regret is what the act is expected to cost more than the best one, in minutes, at the
belief of a technician who knows the same (E[cost of any way of playing] = V* + E[sum of
regret]): luck is not judged, and ties are accepted.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from lightoff.engine.model import Scenario
from lightoff.engine.reasoning.advice import Advice
from lightoff.engine.reasoning.belief import Belief
from lightoff.engine.reasoning.diagnosis import Diagnosis
from lightoff.engine.reasoning.interview import (
    Conclude,
    Next,
    Stop,
    measured_next,
    person_of,
    what_next,
)
from lightoff.engine.reasoning.job import JobState, replay
from lightoff.engine.reasoning.planning.choice import (
    Assessment,
    Decision,
    assess,
    candidates,
    ranked_by_rate,
)
from lightoff.engine.reasoning.planning.costs import (
    REFER_MINUTES,
    WRONG_REPAIR_MINUTES,
    Indices,
    Setup,
    price_of_repair,
)
from lightoff.engine.reasoning.planning.lookahead import look_ahead, priced, priced_repair
from lightoff.engine.reasoning.planning.repairing import repair_probabilities
from lightoff.engine.reasoning.table import repairs_in
from lightoff.engine.reasoning.tell import equipped
from lightoff.engine.teaching.practice.acts import (
    AnyAct,
    Checked,
    Ended,
    Measured,
    Mended,
    Watched,
)
from lightoff.engine.teaching.practice.as_job import job_events, with_silence
from lightoff.engine.teaching.practice.bench import Bench

TIE = 1.0
"""Minutes of regret that count as none: nobody feels them (from memory)."""
NEXT_TO_NOTHING = 0.003
"""Share of the doubt below which a check could tell nothing worth its while (from memory)."""
LEADING = 3
"""Suspected repairs named after each step."""

Useless = Literal["", "misfit", "asked-before", "nothing-new", "all-known"]
"""Why a check could tell nothing new; "" if it could."""


@dataclass(frozen=True, slots=True)
class Judged:
    """One act as it is judged. Minutes; `best` is what would have been done instead."""

    act: AnyAct
    regret: float = 0.0
    value: float = 0.0
    """V*: what the best way on was expected to cost."""
    best: Decision | None = None
    """None if it would have stopped the work, and where nothing is judged."""
    useless: Useless = ""
    advised: bool = False
    """It is what the program would have done."""
    suspects: tuple[tuple[str, float], ...] = ()
    """Likeliest repairs before the act, with their probability."""


def judge(bench: Bench) -> Iterator[Judged]:
    """Each act of an attempt in order, judged; set-up, hints and unsafe acts without regret."""
    setup = bench.before(0).standing.setup
    for number, act in enumerate(bench.acts):
        before = bench.before(number)
        if isinstance(act, Checked | Measured | Mended | Watched | Ended):
            yield _judge(before, act, setup)
            setup = before.after(act).standing.setup
        else:
            yield Judged(act)


def _judge(before: Bench, act: AnyAct, setup: Setup) -> Judged:
    if before.is_mended:
        return Judged(act)
    here = Here.of(before, setup)
    judged = here.judge(act)
    regret = 0.0 if judged.advised or judged.regret < TIE else judged.regret
    leading = list(repair_probabilities(here.advice.belief).items())[:LEADING]
    return Judged(
        act, regret, here.value, here.best, judged.useless, judged.advised, tuple(leading)
    )


def job_of(scenario: Scenario, diagnosis: Diagnosis, acts: tuple[AnyAct, ...]) -> JobState:
    """The job that the acts amount to, as far as what was found goes."""
    told = [check.id for check in diagnosis.checks.values() if check.entry.reads.told]
    events = job_events(scenario, acts, diagnosis.knowledge.tools)
    return replay(with_silence(events, told))


@dataclass(frozen=True, slots=True)
class Here:
    """Where an attempt stands: what is known, and what the ways on are expected to cost."""

    scenario: Scenario
    diagnosis: Diagnosis
    job: JobState
    advice: Advice
    figures: Assessment
    ranked: Indices
    value: float
    coming: tuple[Next, ...]
    """What the program would do, in an interview or in narrowing down."""

    @classmethod
    def of(cls, bench: Bench, setup: Setup) -> Here:
        """`setup` is that from which the act began, with the set-up acts made for it."""
        job = job_of(bench.scenario, bench.diagnosis, bench.acts)
        diagnosis = equipped(bench.diagnosis, job)
        advice = diagnosis.advise(job, person_of(job))
        figures = assess(advice.belief, diagnosis.costs, setup)
        left_out = {*job.skipped, *(said.text for said in advice.held_back)}
        toolbox = frozenset(diagnosis.knowledge.tools) - frozenset(job.lacks)
        open_ = candidates(advice.belief, diagnosis.costs, figures, left_out, toolbox)
        ranked = ranked_by_rate(figures, open_)
        ways = look_ahead(figures.problem, ranked)
        value = min([ways.stop, *ways.checks.values()])
        coming = (
            what_next(diagnosis, job, advice),
            measured_next(diagnosis, job, advice),
        )
        return cls(bench.scenario, diagnosis, job, advice, figures, ranked, value, coming)

    @property
    def best(self) -> Decision | None:
        """What the program would have done; None if it would have stopped the work."""
        last = self.coming[-1]
        return None if isinstance(last, Stop) else getattr(last, "decision", None)

    def judge(self, act: AnyAct) -> Judged:
        match act:
            case Checked(answer=answer, misfit=misfit):
                return self._check(act, answer.check, misfit)
            case Measured():
                return self._measured(act)
            case Watched():
                return self._watched(act)
            case Mended(repair=repair):
                return self._mended(act, repair)
            case Ended():
                return self._ended(act)
            case _:
                return Judged(act)

    def _check(self, act: Checked, check: str, misfit: str) -> Judged:
        if misfit:
            return Judged(act, act.minutes, useless="misfit")
        entry = self.diagnosis.checks[check].entry
        again = check in self.advice.belief.asked
        if entry.reads.told:
            return Judged(
                act, act.minutes if again else 0.0, useless="asked-before" if again else ""
            )
        if self._is_coming(check) or entry.phase == "make-safe":
            return Judged(act, advised=True)
        useless = self._useless(self.advice.belief, check)
        index = self.advice.belief.table.checks.index(check)
        if useless:
            return Judged(act, act.minutes, useless=useless)
        price = priced(self.figures.problem, self.ranked, [index]).checks[index]
        return Judged(act, max(0.0, price - self.value))

    def _measured(self, act: Measured) -> Judged:
        """A reading that no check takes has no price: it counts with its minutes."""
        useless: Useless = "misfit" if act.misfit else ""
        return Judged(act, act.minutes, useless=useless)

    def _watched(self, act: Watched) -> Judged:
        """The first call after arrival or a repair is always watched."""
        asked = self.advice.belief.asked
        again = any(answer.check in asked for answer in act.answers)
        hidden = self.diagnosis.works_now(self.job, self.advice) is not None
        return Judged(act, act.minutes if again and not hidden else 0.0, advised=not again)

    def _mended(self, act: Mended, repair: str) -> Judged:
        concluded = (each.decision.repair for each in self.coming if isinstance(each, Conclude))
        if any(repair in repairs_in(each) for each in concluded if each is not None):
            return Judged(act, advised=True)
        if self.advice.stopped:
            return Judged(act, REFER_MINUTES)
        price = priced_repair(self.figures.problem, self.ranked, repair)
        if price is None:
            hopeless = price_of_repair(self.diagnosis.costs, repair) + WRONG_REPAIR_MINUTES
            return Judged(act, hopeless)
        return Judged(act, max(0.0, price - self.value))

    def _ended(self, act: Ended) -> Judged:
        stopped = bool(self.advice.stopped)
        if act.how in ("made-safe", "given-up") and stopped:
            return Judged(act, advised=True)
        kinds = {"given-up": "refer", "made-safe": "refer", "nothing-wrong": "nothing-found"}
        if self.best is not None and kinds.get(act.how) == self.best.kind:
            return Judged(act, advised=True)
        left = REFER_MINUTES + (WRONG_REPAIR_MINUTES if act.how == "mended" else 0.0)
        return Judged(act, left)

    def _is_coming(self, check: str) -> bool:
        decisions = (getattr(each, "decision", None) for each in self.coming)
        wanted = {each.check for each in decisions if each is not None}
        return check in wanted or check in {said.text for said in self.advice.ask}

    def _useless(self, belief: Belief, check: str) -> Useless:
        if check in belief.asked:
            return "asked-before"
        gain = float(self.figures.gains[belief.table.checks.index(check)])
        if gain >= NEXT_TO_NOTHING:
            return ""
        return "all-known" if self.best is not None and self.best.repair else "nothing-new"
