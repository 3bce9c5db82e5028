"""What a job shows, as plain facts in words: built from its state, drawn by job_screens."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from lightoff.cli.danger import Caution, cautions_of
from lightoff.cli.wording import (
    MATTERS,
    Standing,
    Suspects,
    capital,
    class_of,
    evidence,
    minutes_in_words,
    percent,
    repair_title,
    standing,
    suspect_name,
)
from lightoff.engine.model import Check, Knowledge
from lightoff.engine.reasoning.answers import bare_unit
from lightoff.engine.reasoning.belief import Belief
from lightoff.engine.reasoning.choice import Decision
from lightoff.engine.reasoning.diagnosis import Diagnosis
from lightoff.engine.reasoning.explain import WhyCheck, why_check
from lightoff.engine.reasoning.job import Closing, JobState
from lightoff.engine.reasoning.suspects import Suspect, suspects_of

POWER_FIRST = ("power", "call", "gas", "door", "manometer", "meter")
POWER_LAST = ("gas", "door", "manometer", "meter", "power", "call")
CLOSING = ("meter", "manometer", "gas", "door", "power", "call")
"""Orders in which the set-up is changed: where power goes off, where it stays or goes on,
and where all is put back."""

LEFT_OFF = frozenset({"power", "gas", "call"})
"""Aspects that nobody puts back where the furnace is not proved."""

STAYS_OFF = frozenset({"shut-down-and-tag"})
"""Repairs after which the furnace is not lit again."""

INSTEAD_OF_REPAIR: Mapping[str, str] = {"nothing-found": "no-repair", "refer": "refer"}
"""Kind of decision without a repair -> the entry that says what to do."""


@dataclass(frozen=True, slots=True)
class Question:
    """A check as put to the person. `unit` is what a number alone means, "" if no figure."""

    number: int
    check: str
    ask: str
    how: tuple[str, ...]
    setup: tuple[str, ...]
    cautions: tuple[Caution, ...]
    outcomes: tuple[str, ...]
    unit: str
    minutes: float
    standing: Standing
    further: bool = False
    """Looked for although a repair is advised."""


@dataclass(frozen=True, slots=True)
class Advice:
    """What to do when no further check is worth its time."""

    kind: Literal["repair", "nothing-found", "refer"]
    title: str
    share: float
    suspect: str
    because: str
    runner_up: str
    evidence: tuple[str, ...]
    cautions: tuple[Caution, ...]
    how: tuple[str, ...]
    minutes: float
    stays_off: bool
    """The furnace is not lit again after this."""


@dataclass(frozen=True, slots=True)
class After:
    """What one outcome would leave: its chance, and the likeliest repairs then."""

    outcome: str
    chance: float
    repairs: tuple[tuple[str, float], ...]


@dataclass(frozen=True, slots=True)
class Why:
    """Why this check: its minutes, the share of doubt it settles, what it may leave.

    `repair_now` and `repair_after` are the expected minutes of repairing by the best
    guess, now and after the check.
    """

    minutes: float
    gain: float
    repair_now: float
    repair_after: float
    outcomes: tuple[After, ...]


@dataclass(frozen=True, slots=True)
class RepairList:
    """Repairs to choose from, by number: title and share of each."""

    rows: tuple[tuple[str, float], ...]


@dataclass(frozen=True, slots=True)
class Trial:
    """The furnace is to be tried after a repair."""

    title: str
    put_back: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Dangers:
    """Signs to stop work at, by number."""

    signs: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Parting:
    """The end: what closed the job, what to put back, what to do about a danger.

    `how` is None if the job was saved to be taken up again.
    """

    how: Closing | None
    title: str = ""
    put_back: tuple[str, ...] = ()
    stop: tuple[Caution, ...] = ()
    stays_off: bool = False


Screen = Question | Advice | RepairList | Trial | Dangers | Parting


@dataclass(frozen=True, slots=True)
class View:
    """What is shown after something was typed.

    `note` answers what was typed; `screen` follows it. `again` says that the screen
    stood there before, so that only its last lines are shown once more.
    """

    screen: Screen
    note: str | Suspects | Why = ""
    refused: bool = False
    again: bool = False


# --- cautions and set-up ----------------------------------------------------------


def setup_to_change(diagnosis: Diagnosis, check: Check, state: JobState) -> tuple[str, ...]:
    """What to bring into another state before a check, in words, in a safe order."""
    now = diagnosis.setup_now(state)
    changes = {aspect: to for aspect, to in check.setup.items() if now.get(aspect) != to}
    order = POWER_FIRST if check.setup.get("power") == "off" else POWER_LAST
    return _in_words(diagnosis.knowledge, changes, order)


def setup_to_put_back(
    diagnosis: Diagnosis, state: JobState, to_run: bool = True
) -> tuple[str, ...]:
    """What to bring back to how it was on arrival, in words; all of it only `to_run` it."""
    start, now = diagnosis.costs.start, diagnosis.setup_now(state)
    left = frozenset() if to_run else LEFT_OFF
    changes = {
        aspect: to for aspect, to in start.items() if now.get(aspect) != to and aspect not in left
    }
    return _in_words(diagnosis.knowledge, changes, CLOSING)


def _in_words(
    knowledge: Knowledge, changes: Mapping[str, str], usual: Sequence[str]
) -> tuple[str, ...]:
    order = [*usual, *(aspect for aspect in changes if aspect not in usual)]
    return tuple(
        knowledge.aspects[aspect].how[changes[aspect]] for aspect in order if aspect in changes
    )


# --- screens ----------------------------------------------------------------------


def question(
    diagnosis: Diagnosis, state: JobState, decision: Decision, told: Collection[str], further: bool
) -> Question:
    """The check that a decision names, ready to be asked."""
    assert decision.check is not None
    check = diagnosis.checks[decision.check]
    return Question(
        number=len(state.findings) + 1,
        check=check.id,
        ask=check.entry.ask,
        how=tuple(check.entry.how),
        setup=setup_to_change(diagnosis, check, state),
        cautions=cautions_of(diagnosis.knowledge.cautions, check.entry.hazards, told),
        outcomes=tuple(capital(outcome.text) for outcome in check.outcomes),
        unit=bare_unit(check),
        minutes=decision.minutes or 0.0,
        standing=standing(diagnosis, diagnosis.belief(state)),
        further=further,
    )


def advice(
    diagnosis: Diagnosis, belief: Belief, decision: Decision, told: Collection[str]
) -> Advice:
    """The repair that a decision advises, or what to do where it advises none."""
    assert decision.kind != "check"
    repair = diagnosis.knowledge.repairs[decision.repair or INSTEAD_OF_REPAIR[decision.kind]]
    suspects = suspects_of(belief)
    wanted = decision.repair or decision.leading
    own = next(each for each in suspects if class_of(each) == wanted)
    other = next((each for each in suspects if class_of(each) != wanted), own)
    return Advice(
        kind=decision.kind,
        title=repair.title,
        share=decision.probability,
        suspect=suspect_name(diagnosis, own),
        because=_because(diagnosis, own),
        runner_up=suspect_name(diagnosis, other),
        evidence=evidence(diagnosis, belief, wanted, class_of(other)),
        cautions=cautions_of(diagnosis.knowledge.cautions, repair.hazards, told),
        how=tuple(repair.how),
        minutes=repair.minutes,
        stays_off=decision.repair in STAYS_OFF,
    )


def _because(diagnosis: Diagnosis, suspect: Suspect) -> str:
    return " ".join(diagnosis.furnace.faults[fault].entry.because for fault in suspect.faults)


def why(diagnosis: Diagnosis, belief: Belief, state: JobState, check: str) -> Why:
    """What a check is for, at this point of a job."""
    told = why_check(belief, diagnosis.costs, check, diagnosis.setup_now(state))
    return Why(
        minutes=told.minutes,
        gain=told.gain,
        repair_now=told.repair_now,
        repair_after=told.repair_after,
        outcomes=_after_outcomes(diagnosis, told),
    )


def _after_outcomes(diagnosis: Diagnosis, told: WhyCheck) -> tuple[After, ...]:
    texts = {outcome.id: outcome.text for outcome in diagnosis.checks[told.check].outcomes}
    return tuple(
        After(
            capital(texts[each.outcome]),
            each.chance,
            tuple((repair_title(diagnosis.knowledge, id_), share) for id_, share in each.leading),
        )
        for each in told.outcomes
        if each.chance >= MATTERS
    )


def why_in_a_line(why: Why) -> str:
    """For scripts: the same in one sentence."""
    return (
        f"It takes {minutes_in_words(why.minutes)} and is expected to tell apart "
        f"{percent(why.gain)} of the pairs of suspects that need different repairs."
    )
