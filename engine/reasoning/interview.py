"""What comes next in a job: the order of a technician's questions, from make-safe on.

Make safe, hear the customer, identify the furnace, look all round, watch one call, then
measure what still tells suspects apart. Rules decide what may be asked; information
decides what is asked. Nothing comes after a stop.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator
from dataclasses import dataclass

from lightoff.engine.entries.checks import Phase
from lightoff.engine.model import Check, Knowledge, Rule
from lightoff.engine.reasoning.advice import Advice, Person, Said
from lightoff.engine.reasoning.belief import Belief, counted
from lightoff.engine.reasoning.diagnosis import Diagnosis
from lightoff.engine.reasoning.identify import Identification, identify
from lightoff.engine.reasoning.job import JobState
from lightoff.engine.reasoning.leads import checks_for_safety, with_leads
from lightoff.engine.reasoning.planning.choice import (
    Decision,
    decide,
    decision_for,
    look_further,
)
from lightoff.engine.reasoning.planning.separation import ec2_shares
from lightoff.engine.reasoning.planning.steady import is_less

AT_HAND = frozenset({"flashlight"})
"""Tools of the first look and of watching a call: nothing has been taken out yet."""
PAST_THE_CUSTOMER: tuple[Phase, ...] = ("first-look", "watch")
FIRST_LOOKS = 8
WATCHED = 6
"""Checks asked at most while looking round, and while watching a call."""
WORTH_ASKING = 0.06
WORTH_A_LOOK = 0.02
"""Share of the doubt (EC2 weight) that a question to the customer, or a look, must be
expected to settle (from memory: a person's patience)."""


@dataclass(frozen=True, slots=True)
class Stop:
    """The work ends here; the cautions say what to do, in this order."""

    said: tuple[Said, ...]


@dataclass(frozen=True, slots=True)
class MakeSafe:
    """Signs of danger that must be answered before anything else, by check id."""

    checks: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Identify:
    """The type of furnace is to be found out."""

    what: Identification


@dataclass(frozen=True, slots=True)
class Ask:
    """A check is to be made; `rule` is the rule that wants it, if one does."""

    decision: Decision
    phase: Phase
    rule: Rule | None = None


@dataclass(frozen=True, slots=True)
class Conclude:
    """No further check is worth its time: a repair, nothing found, or refer."""

    decision: Decision


Next = Stop | MakeSafe | Identify | Ask | Conclude


def person_of(job: JobState) -> Person:
    """Who does the job."""
    return Person(frozenset(job.lacks), job.licence)


def what_next(diagnosis: Diagnosis, job: JobState, advice: Advice) -> Next:
    """What comes next.

    A repair that is clear enough to be advised ends the looking round. While the furnace
    is not known, the diagnosis may be of any type: only what is the same for all of them
    is asked then.
    """
    course = _Course(diagnosis, job, advice)
    if advice.stopped:
        return Stop(advice.stopped)
    signs = make_safe_checks(diagnosis.knowledge, job.furnace)
    if any(sign not in counted(job.findings) for sign in signs):
        return MakeSafe(signs)
    return next(course.steps())


def measured_next(diagnosis: Diagnosis, job: JobState, advice: Advice) -> Stop | Ask | Conclude:
    """What comes next in a job of which only the findings are known: nothing after a stop."""
    if advice.stopped:
        return Stop(advice.stopped)
    return _Course(diagnosis, job, advice).narrow()


def make_safe_checks(knowledge: Knowledge, furnace: str) -> tuple[str, ...]:
    """Signs of danger that are asked before anything else, in the order of asking.

    While the furnace is not known (""), those that are asked of every type: what only one
    has is asked once it is found to be that one.
    """
    every = knowledge.checks
    own = every[furnace] if furnace else next(iter(every.values()))
    return tuple(
        check.id
        for check in own.values()
        if check.entry.phase == "make-safe" and (furnace or is_of_every_type(knowledge, check.id))
    )


def is_of_every_type(knowledge: Knowledge, check: str) -> bool:
    """Whether a check can be made on every type of furnace."""
    return all(check in checks for checks in knowledge.checks.values())


def leading_belief(diagnosis: Diagnosis, job: JobState, advice: Advice, check: str) -> Belief:
    """The belief with what rules would make of the answers to a check, for explaining it."""
    return with_leads(diagnosis, job, advice, person_of(job), [diagnosis.checks[check]])


@dataclass(frozen=True, slots=True)
class _Course:
    """A job on its way, behind make-safe."""

    diagnosis: Diagnosis
    job: JobState
    advice: Advice

    @property
    def belief(self) -> Belief:
        return self.advice.belief

    def leading(self, among: Iterable[Check]) -> Belief:
        return with_leads(self.diagnosis, self.job, self.advice, person_of(self.job), among)

    def steps(self) -> Iterator[Next]:
        """What is still to come, in order; only the first counts."""
        if self.job.call:
            yield from self.another_call()
        if self.job.purpose == "fault" and not self.job.interview_skipped:
            yield from self.customer()
        if not self.job.furnace:
            knowledge = self.diagnosis.knowledge
            furnaces = tuple(knowledge.furnaces.values())
            yield Identify(identify(furnaces, knowledge.features, self.job.seen))
        rest = self.narrow()
        if not self.job.interview_skipped and not isinstance(rest, Conclude):
            yield from self.first_look()
            yield from self.watch()
        yield rest

    def customer(self) -> Iterator[Ask]:
        """What happens, in the customer's words; then the history; then the house.

        What is expected to tell nothing is left out, but not what may stop the work.
        Once one has begun to look, only what rules want is still asked.
        """
        own = [check for check in self.of("customer") if self.is_known_of_all(check.id)]
        yield from self.wanted_by_rules(own, "customer")
        if self.has_begun_to_look:
            return
        open_now = [check for check in sorted(own, key=_customers_order) if self.is_open(check)]
        gains = self.gains(open_now)
        for check in open_now:
            if check.id in self.for_safety or not is_less(gains[check.id], WORTH_ASKING):
                yield self.asking(check.id, "customer")

    def another_call(self) -> Iterator[Ask]:
        """Where a further call for heat stalls, be it run after a repair or to see it again."""
        for check in self.stalls():
            if self.is_open(check):
                yield self.asking(check.id, "watch")

    def first_look(self) -> Iterator[Ask]:
        """All round the furnace, until little is left to be seen, or the call was watched.

        What may stop the work comes first, whatever it tells about suspects.
        """
        own = self.of("first-look")
        if self.done(own) >= FIRST_LOOKS or self.done(self.stalls()):
            return
        for check in own:
            if check.id in self.for_safety and self.is_open(check):
                yield self.asking(check.id, "first-look")
        yield from self.best_of(own, "first-look")

    def watch(self) -> Iterator[Ask]:
        """One call: where it stalls first, then what tells most about it."""
        own = self.of("watch")
        for check in self.stalls():
            if self.is_open(check):
                yield self.asking(check.id, "watch")
        if self.done(own) < WATCHED:
            yield from self.best_of(own, "watch")

    def narrow(self) -> Ask | Conclude:
        """What still tells suspects apart, with all tools, or what to do about them."""
        skipped = ("make-safe", "customer") if self.job.interview_skipped else ("make-safe",)
        among = [
            check for check in self.diagnosis.checks.values() if check.entry.phase not in skipped
        ]
        for wanted in self.wanted_by_rules(among, "narrow"):
            return wanted
        decision = decide(
            self.belief, self.diagnosis.costs, self.setup, self.left_out(), self.toolbox
        )
        return Ask(decision, "narrow") if decision.kind == "check" else Conclude(decision)

    # --- which checks -------------------------------------------------------------

    @property
    def for_safety(self) -> frozenset[str]:
        return checks_for_safety(self.diagnosis.adviser.rules)

    def of(self, phase: Phase) -> list[Check]:
        return [each for each in self.diagnosis.checks.values() if each.entry.phase == phase]

    def stalls(self) -> list[Check]:
        """The question that walks down the sequence."""
        return [check for check in self.of("watch") if check.entry.reads.stalls]

    def done(self, checks: Collection[Check]) -> int:
        """How many of these were answered, be it "don't know", or skipped."""
        closed = self.closed
        return sum(check.id in closed for check in checks)

    @property
    def has_begun_to_look(self) -> bool:
        """Whether a check past the customer's words was asked for; what was told is not."""
        past = {check.id for phase in PAST_THE_CUSTOMER for check in self.of(phase)}
        return bool(self.job.repaired) or not past.isdisjoint(
            {*self.job.checks_done, *self.job.skipped}
        )

    @property
    def closed(self) -> frozenset[str]:
        return self.belief.asked | frozenset(self.job.skipped)

    @property
    def held_back(self) -> frozenset[str]:
        return frozenset(said.text for said in self.advice.held_back)

    @property
    def toolbox(self) -> frozenset[str]:
        return frozenset(self.diagnosis.knowledge.tools) - frozenset(self.job.lacks)

    @property
    def setup(self) -> dict[str, str]:
        return dict(self.diagnosis.setup_now(self.job))

    def is_open(self, check: Check) -> bool:
        """Whether a check may be asked and has not been."""
        return (
            check.id not in self.closed
            and check.id not in self.held_back
            and self.toolbox.issuperset(check.entry.tools)
        )

    def is_known_of_all(self, check: str) -> bool:
        """Whether a check may be asked before the furnace is known."""
        return bool(self.job.furnace) or is_of_every_type(self.diagnosis.knowledge, check)

    def left_out(self, but: Collection[Check] | None = None) -> frozenset[str]:
        """Checks not to be offered: skipped, held back, and all but some."""
        never = frozenset(self.job.skipped) | self.held_back
        if but is None:
            return never
        return never | (frozenset(self.diagnosis.checks) - {check.id for check in but})

    # --- asking -------------------------------------------------------------------

    def asking(self, check: str, phase: Phase, rule: Rule | None = None) -> Ask:
        belief, costs = self.leading([self.diagnosis.checks[check]]), self.diagnosis.costs
        return Ask(decision_for(belief, costs, self.setup, check), phase, rule)

    def gains(self, checks: Collection[Check]) -> dict[str, float]:
        """Share of the doubt that each of some checks is expected to settle."""
        belief = self.leading(checks)
        return dict(zip(belief.table.checks, ec2_shares(belief).tolist(), strict=True))

    def wanted_by_rules(self, checks: Collection[Check], phase: Phase) -> Iterator[Ask]:
        """Those that rules want to be made next, the most urgent first."""
        among = {check.id: check for check in checks}
        for said in self.advice.ask:
            if said.text in among and self.is_open(among[said.text]):
                yield self.asking(said.text, phase, said.rule)

    def best_of(self, checks: Collection[Check], phase: Phase) -> Iterator[Ask]:
        """Those that rules want, then the one that tells most per minute, if it tells enough."""
        yield from self.wanted_by_rules(checks, phase)
        decision = look_further(
            self.leading(checks),
            self.diagnosis.costs,
            self.setup,
            self.left_out(but=checks),
            AT_HAND & self.toolbox,
        )
        if decision is not None and not is_less(decision.gain or 0.0, WORTH_A_LOOK):
            yield Ask(decision, phase)


def _customers_order(check: Check) -> int:
    """What happens comes first, then what the customer tells of its history."""
    if check.entry.reads.stalls and not check.entry.provokes:
        return 0
    return 1 if check.entry.reads.told else 2
