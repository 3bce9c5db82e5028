"""Where the conversation of a job stands, and what it shows there."""

from __future__ import annotations

from dataclasses import dataclass, replace

from lightoff.cli import views, wording
from lightoff.cli.danger import STOP_WORK, signs_in_words
from lightoff.engine.reasoning.belief import Belief
from lightoff.engine.reasoning.choice import Decision
from lightoff.engine.reasoning.diagnosis import Diagnosis
from lightoff.engine.reasoning.job import AnyEvent, Closing, JobState, replay
from lightoff.engine.reasoning.repairing import repair_probabilities

Events = tuple[AnyEvent, ...]


@dataclass(frozen=True, slots=True)
class Asking:
    """A check has been asked; `further` if a repair was advised instead."""

    decision: Decision
    further: bool = False


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
class Stopping:
    """The person has met a danger and says which."""


@dataclass(frozen=True, slots=True)
class Ended:
    """Nothing more is asked; `how` is None if the job was saved to be taken up again."""

    how: Closing | None


Mode = Asking | Advising | Choosing | Trying | Stopping | Ended


@dataclass(frozen=True, slots=True)
class State:
    """A job and the conversation about it."""

    diagnosis: Diagnosis
    events: Events
    mode: Mode
    told: frozenset[str] = frozenset()
    """Cautions shown in full already."""

    @property
    def job(self) -> JobState:
        return replay(self.events)

    @property
    def belief(self) -> Belief:
        return self.diagnosis.belief(self.job)


def decided(diagnosis: Diagnosis, events: Events, told: frozenset[str] = frozenset()) -> State:
    """What to do next, given what has happened."""
    job = replay(events)
    decision = diagnosis.decide(diagnosis.belief(job), job)
    mode = Asking(decision) if decision.kind == "check" else Advising(decision)
    return State(diagnosis, events, mode, told)


def screen_of(state: State) -> views.Screen:
    """What the present mode shows."""
    diagnosis, job = state.diagnosis, state.job
    match state.mode:
        case Asking(decision=decision, further=further):
            return views.question(diagnosis, job, decision, state.told, further)
        case Advising(decision=decision):
            return views.advice(diagnosis, state.belief, decision, state.told)
        case Choosing(repairs=repairs):
            shares = repair_probabilities(state.belief)
            return views.RepairList(
                tuple((title_of(state, each), shares[each]) for each in repairs)
            )
        case Trying(repair=repair):
            return views.Trial(title_of(state, repair), views.setup_to_put_back(diagnosis, job))
        case Stopping():
            return views.Dangers(signs_in_words(state.diagnosis.knowledge.cautions, STOP_WORK))
        case Ended(how=how):
            title = title_of(state, job.cured_by) if job.cured_by else ""
            off = job.cured_by in views.STAYS_OFF
            put_back = views.setup_to_put_back(diagnosis, job, how == "found" and not off)
            return views.Parting(how, title, put_back, stays_off=off)


def having_told(state: State) -> State:
    """The state with the cautions of its screen counted as told in full."""
    knowledge = state.diagnosis.knowledge
    match state.mode:
        case Asking(decision=Decision(check=str(check))):
            hazards = state.diagnosis.checks[check].entry.hazards
        case Advising(decision=Decision(repair=str(repair))):
            hazards = knowledge.repairs[repair].hazards
        case _:
            return state
    return replace(state, told=state.told | set(hazards))


def title_of(state: State, repair: str) -> str:
    """Title of a repair."""
    return wording.repair_title(state.diagnosis.knowledge, repair)
