"""Where the conversation of a job stands, and what it shows there."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from lightoff.cli import proof_views, views, wording
from lightoff.cli.danger import STOP_WORK, signs_in_words, what_to_do
from lightoff.cli.labels import labelled, labels_of
from lightoff.cli.setup import setup_to_put_back
from lightoff.engine.entries.checks import Phase
from lightoff.engine.model import Knowledge, Rule
from lightoff.engine.reasoning.advice import Advice
from lightoff.engine.reasoning.belief import Belief
from lightoff.engine.reasoning.diagnosis import Diagnosis
from lightoff.engine.reasoning.identify import Identification
from lightoff.engine.reasoning.interview import (
    Ask,
    Conclude,
    Identify,
    MakeSafe,
    Stop,
    make_safe_checks,
    person_of,
    what_next,
)
from lightoff.engine.reasoning.job import (
    AnyEvent,
    Closed,
    Closing,
    Identified,
    JobState,
    Noted,
    Started,
    Told,
    replay,
)
from lightoff.engine.reasoning.open_list import open_items
from lightoff.engine.reasoning.planning.choice import Decision
from lightoff.engine.reasoning.planning.repairing import repair_probabilities
from lightoff.engine.reasoning.table import repairs_in
from lightoff.engine.reasoning.tell import equipped
from lightoff.engine.reasoning.visits import Course, Visit, course_of, courses_of
from lightoff.engine.service.proving import Item, demanded, open_in, yearly

Events = tuple[AnyEvent, ...]
Ratings = tuple[tuple[str, str], ...]
"""What was read off a furnace: rating and figure."""


class Diagnoses:
    """The diagnosis of each type of furnace, made when it is first needed and kept."""

    def __init__(
        self,
        knowledge: Knowledge,
        make: Callable[[str], Diagnosis],
        make_rated: Callable[[str, Ratings], Diagnosis] | None = None,
    ) -> None:
        """Without `make_rated`, what is read off the furnace itself changes nothing."""
        self.knowledge = knowledge
        self._make = make
        self._make_rated = make_rated
        self._made: dict[tuple[str, Ratings, tuple[Told, ...]], Diagnosis] = {}

    def of(self, job: JobState) -> Diagnosis:
        """That of the job's furnace, with the readings that were told.

        While the furnace is not known it is that of any: what is asked then is the same.
        """
        furnace = job.furnace or next(iter(self.knowledge.furnaces))
        key = (furnace, job.ratings, job.readings)
        if key not in self._made:
            bare = self._bare(furnace, job.ratings)
            self._made[furnace, job.ratings, ()] = bare
            self._made[key] = equipped(bare, job)
        return self._made[key]

    def _bare(self, furnace: str, ratings: Ratings) -> Diagnosis:
        made = self._made.get((furnace, ratings, ()))
        if made is not None:
            return made
        if ratings and self._make_rated is not None:
            return self._make_rated(furnace, ratings)
        return self._make(furnace)


# --- modes ------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class MakingSafe:
    """Signs of danger are asked for; `first` on arrival, not when a job is taken up again."""

    first: bool


@dataclass(frozen=True, slots=True)
class Identifying:
    """The type of furnace is being found out."""

    what: Identification


@dataclass(frozen=True, slots=True)
class Asking:
    """A check has been asked; `further` if a repair was advised instead.

    `rule` is the rule that wants it, `volunteered` if the person wants to tell it.
    """

    decision: Decision
    phase: Phase = "narrow"
    rule: Rule | None = None
    further: bool = False
    volunteered: bool = False


@dataclass(frozen=True, slots=True)
class Advising:
    """A repair is advised, or that nothing is found, or to refer."""

    decision: Decision


@dataclass(frozen=True, slots=True)
class Choosing:
    """The person is choosing the repair that was done, from these."""

    repairs: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Trying:
    """A repair was done and the furnace is being tried again."""

    repair: str


@dataclass(frozen=True, slots=True)
class Telling:
    """The person is choosing the check whose outcome is to be told, from these."""

    checks: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Clearing:
    """The person goes through what must be put right before the job may be closed.

    `closing` is how it is closed once nothing is open; None if nobody wanted to close it.
    """

    closing: Closed | None = None


@dataclass(frozen=True, slots=True)
class Proving:
    """What a repair demands, or a yearly visit, is gone through.

    `item` is what is asked now, "" once all was tried; `failing` if it was tried just now
    and is not good, and the person says what is done about it.
    """

    item: str
    failing: bool = False


@dataclass(frozen=True, slots=True)
class Stopping:
    """The person has met a danger and says which."""


@dataclass(frozen=True, slots=True)
class Ended:
    """Nothing more is asked; `how` is None if the job was saved to be taken up again."""

    how: Closing | None


Mode = (
    MakingSafe
    | Identifying
    | Asking
    | Advising
    | Choosing
    | Trying
    | Telling
    | Clearing
    | Proving
    | Stopping
    | Ended
)


@dataclass(frozen=True, slots=True)
class State:
    """A job and the conversation about it."""

    diagnoses: Diagnoses
    events: Events
    mode: Mode
    told: frozenset[str] = frozenset()
    """Cautions shown in full already, and rules whose reason for asking was given."""
    past: tuple[Visit, ...] = ()
    """Other jobs that have a label, the oldest first."""

    @property
    def knowledge(self) -> Knowledge:
        return self.diagnoses.knowledge

    @property
    def job(self) -> JobState:
        return replay(self.events)

    @property
    def diagnosis(self) -> Diagnosis:
        return self.diagnoses.of(self.job)

    @property
    def advice(self) -> Advice:
        job = self.job
        return self.diagnosis.advise(job, person_of(job))

    @property
    def belief(self) -> Belief:
        return self.advice.belief

    @property
    def is_furnace_open(self) -> bool:
        """Whether it may still be one of several types of furnace: then suspects mean nothing."""
        return not self.job.furnace and len(self.knowledge.furnaces) > 1

    @property
    def to_prove(self) -> tuple[Item, ...]:
        """What must be proved now, in order: that a repair holds, or at a yearly visit."""
        job, known = self.job, self.diagnosis.knowledge
        if job.to_prove:
            return demanded(known, job.furnace, repairs_in(job.to_prove))
        return yearly(known, job.furnace)

    @property
    def verdicts(self) -> dict[str, str]:
        """The last word on each thing that was tried."""
        return {each.proof: each.verdict for each in self.job.proofs}

    @property
    def visits(self) -> tuple[Visit, ...]:
        """All jobs on this furnace, by its label, the present one last."""
        return (*labelled(self.past, labels_of(self.job)), Visit("", self.job))

    def course(self, item: Item) -> Course:
        """What was read of one thing on this furnace, and how it moves."""
        return course_of(item, self.diagnosis.furnace, self.visits)

    @property
    def drifts(self) -> tuple[Course, ...]:
        """What was read in this job and moves so that it matters."""
        courses = courses_of(self.to_prove, self.diagnosis.furnace, self.visits)
        return tuple(each for each in courses if each.matters and each.readings[-1].visit == "")

    @property
    def open_items(self) -> tuple[str, ...]:
        """What must be put right before the job may be closed."""
        return open_items(self.diagnosis, self.job, self.advice)


def arriving(diagnoses: Diagnoses, events: Events, past: tuple[Visit, ...] = ()) -> State:
    """A job begun or taken up again: it starts with making safe, whatever was answered."""
    first = all(isinstance(each, Started | Noted | Identified) for each in events)
    state = State(diagnoses, events, MakingSafe(first), past=past)
    if not make_safe_checks(state.knowledge, state.job.furnace):
        return decided(state)
    return state


def decided(state: State) -> State:
    """The state with what comes next, given what has happened.

    Where the rules stop the work it has ended, but is not closed yet.
    """
    coming = what_next(state.diagnosis, state.job, state.advice)
    match coming:
        case Ask() | Conclude() if is_proving(state.job):
            return replace(state, mode=Proving(next_to_prove(state)))
        case Stop():
            return replace(state, mode=Ended("left"))
        case MakeSafe():
            return replace(state, mode=MakingSafe(first=True))
        case Identify(what=what):
            return replace(state, mode=Identifying(what))
        case Ask(decision=decision, phase=phase, rule=rule):
            return replace(state, mode=Asking(decision, phase, rule))
        case Conclude(decision=decision):
            return replace(state, mode=Advising(decision))


def is_proving(job: JobState) -> bool:
    """Whether what is left of a job is to prove that the furnace is sound."""
    return bool(job.to_prove or (job.purpose == "yearly" and job.furnace))


def next_to_prove(state: State) -> str:
    """What is to be tried next; "" if all was."""
    return next((item.id for item in open_in(state.to_prove, state.verdicts)), "")


# --- screens ----------------------------------------------------------------------


def screen_of(state: State) -> views.Screen:
    """What the present mode shows."""
    match state.mode:
        case MakingSafe(first=first):
            return views.signs(state.knowledge, state.job.furnace, first)
        case Identifying(what=what):
            return views.identifying(what)
        case Asking():
            return _question(state, state.mode)
        case Advising(decision=decision):
            return views.advice(
                state.diagnosis,
                state.advice,
                decision,
                state.told,
                state.open_items,
                state.diagnosis.works_now(state.job, state.advice),
            )
        case Choosing(repairs=repairs):
            shares = repair_probabilities(state.belief)
            return views.RepairList(
                tuple((title_of(state, each), shares[each]) for each in repairs)
            )
        case Trying(repair=repair):
            return views.Trial(
                title_of(state, repair), setup_to_put_back(state.diagnosis, state.job)
            )
        case Telling(checks=checks):
            asked = state.diagnosis.checks
            return views.CheckList(tuple(asked[check].entry.ask for check in checks))
        case Clearing():
            return views.OpenList(state.open_items)
        case Proving():
            return proof_views.screen_of(state, state.mode)
        case Stopping():
            return views.Dangers(signs_in_words(state.knowledge.cautions, STOP_WORK))
        case Ended(how=how):
            return _parting(state, how)


def _question(state: State, mode: Asking) -> views.Question:
    return views.question(
        state.diagnosis,
        state.job,
        state.advice,
        mode.decision,
        state.told,
        phase=mode.phase,
        wanted=mode.rule.entry.says if mode.rule and mode.rule.id not in state.told else "",
        further=mode.further,
        volunteered=mode.volunteered,
    )


def _parting(state: State, how: Closing | None) -> views.Parting:
    job = state.job
    if job.stopped:
        stop = what_to_do(state.knowledge.cautions, job.stopped)
        return views.Parting(how, stop=stop, open_items=state.open_items)
    if not job.furnace:
        return views.Parting(how)
    off = job.proof == "tagged" or state.knowledge.stays_off(repairs_in(job.cured_by))
    return views.Parting(
        how,
        title_of(state, job.cured_by) if job.cured_by else "",
        setup_to_put_back(state.diagnosis, job, how in ("found", "serviced") and not off),
        stays_off=off,
        obligations=tuple(said.text for said in state.advice.obligations),
        open_items=state.open_items,
        proof=job.proof,
        reason=job.reason,
    )


def having_told(state: State) -> State:
    """The state with what its screen says once counted as told."""
    match state.mode:
        case Asking(decision=Decision(check=str(check))):
            hazards = state.diagnosis.checks[check].entry.hazards
        case Advising(decision=Decision(repair=str(repair))):
            known = state.knowledge.repairs
            hazards = [each for one in repairs_in(repair) for each in known[one].hazards]
        case Proving(item=item) if item:
            asked = next(each for each in state.to_prove if each.id == item)
            return replace(state, told=state.told | set(asked.check.entry.hazards))
        case Advising():
            hazards = []
        case _:
            return state
    warned = {said.text for said in state.advice.cautions}
    if isinstance(state.mode, Asking) and state.mode.rule is not None:
        warned.add(state.mode.rule.id)
    return replace(state, told=state.told | set(hazards) | warned)


def title_of(state: State, repair: str) -> str:
    """Title of a repair."""
    return wording.repair_title(state.knowledge, repair)
