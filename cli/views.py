"""What a job shows, as plain facts in words: built from its state, drawn by job_screens."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from lightoff.cli.asides import Aside
from lightoff.cli.danger import STANDING_NOTE, Caution, cautions_of
from lightoff.cli.proof_views import ProofScreen
from lightoff.cli.setup import setup_to_change
from lightoff.cli.wording import (
    Standing,
    capital,
    class_of,
    evidence,
    standing,
    suspect_name,
)
from lightoff.cli.works import Works, works_of
from lightoff.engine.entries.checks import Phase
from lightoff.engine.entries.lists import REPAIR_SECTIONS, RepairEntry
from lightoff.engine.model import Furnace, Knowledge
from lightoff.engine.reasoning.advice import Advice as RuleAdvice
from lightoff.engine.reasoning.answers import bare_unit
from lightoff.engine.reasoning.diagnosis import Diagnosis
from lightoff.engine.reasoning.identify import ChooseAmong, Confirm, Identification, LookFor
from lightoff.engine.reasoning.interview import make_safe_checks
from lightoff.engine.reasoning.job import Closing, JobState, Proven
from lightoff.engine.reasoning.planning.choice import Decision
from lightoff.engine.reasoning.recording import WorksNow
from lightoff.engine.reasoning.suspects import Suspect, suspects_of
from lightoff.engine.reasoning.table import repairs_in

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
    phase: Phase = "narrow"
    in_interview: bool = False
    """The rest of the interview can still be skipped."""
    wanted: str = ""
    """Why a rule wants it, in its words."""
    timed: bool = False
    """The seconds may be told behind the answer."""
    further: bool = False
    """Looked for although a repair is advised."""
    volunteered: bool = False
    """The person wants to tell it."""


@dataclass(frozen=True, slots=True)
class Advice:
    """What to do when no further check is worth its time."""

    kind: Literal["repair", "nothing-found", "refer"]
    title: str
    share: float
    stays: float
    """Probability that no check left would put another repair first."""
    suspect: str
    because: str
    runner_up: str
    evidence: tuple[str, ...]
    cautions: tuple[Caution, ...]
    tools: tuple[str, ...]
    replaced: str
    """What is usually replaced as an assembly and what as a part; "" if nothing is."""
    sections: tuple[tuple[str, tuple[str, ...]], ...]
    """Section of the repair -> what to do, in the order of doing."""
    minutes: float
    stays_off: bool
    """The furnace is not lit again after this."""
    obligations: tuple[str, ...] = ()
    """What must be done besides."""
    open_items: tuple[str, ...] = ()
    works: Works | None = None


@dataclass(frozen=True, slots=True)
class Signs:
    """Signs of danger to be looked for, by number, behind what comes first on every job."""

    notes: tuple[str, ...]
    signs: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Feature:
    """Something to look at that tells one type of furnace from others."""

    ask: str
    how: tuple[str, ...]
    values: tuple[str, ...]
    left: int


@dataclass(frozen=True, slots=True)
class FurnaceList:
    """Types of furnace by number: name, and what is seen of each.

    One alone is to be confirmed. `contradicted` if what was seen fits none.
    """

    rows: tuple[tuple[str, tuple[str, ...]], ...]
    contradicted: bool = False


@dataclass(frozen=True, slots=True)
class CheckList:
    """Checks by number, of which the person wants to tell one."""

    asks: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class OpenList:
    """What must be put right before the job may be closed."""

    items: tuple[str, ...]


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
    obligations: tuple[str, ...] = ()
    open_items: tuple[str, ...] = ()
    proof: Proven = ""
    reason: str = ""


Screen = (
    Signs
    | Feature
    | FurnaceList
    | Question
    | Advice
    | RepairList
    | Trial
    | CheckList
    | OpenList
    | Dangers
    | ProofScreen
    | Parting
)


@dataclass(frozen=True, slots=True)
class View:
    """What is shown after something was typed.

    `note` answers what was typed; `screen` follows it. `again` says that the screen
    stood there before, so that only its last lines are shown once more.
    """

    screen: Screen
    note: str | Aside = ""
    refused: bool = False
    again: bool = False


# --- screens ----------------------------------------------------------------------


def signs(knowledge: Knowledge, furnace: str, first: bool) -> Signs:
    """The signs of danger that are asked for; the standing note in full on arrival."""
    checks = knowledge.checks[furnace] if furnace else next(iter(knowledge.checks.values()))
    note = knowledge.cautions[STANDING_NOTE]
    return Signs(
        tuple(note.text) if first else (note.short,),
        tuple(checks[sign].entry.ask for sign in make_safe_checks(knowledge, furnace)),
    )


def identifying(what: Identification) -> Feature | FurnaceList:
    """What is asked to find out the type of furnace."""
    match what:
        case LookFor(feature=feature, left=left):
            values = tuple(feature.values.values())
            return Feature(feature.ask, tuple(feature.how), values, left)
        case Confirm(furnace=furnace):
            return FurnaceList((_furnace(furnace),))
        case ChooseAmong(furnaces=furnaces, contradicted=contradicted):
            return FurnaceList(tuple(map(_furnace, furnaces)), contradicted)


def _furnace(furnace: Furnace) -> tuple[str, tuple[str, ...]]:
    return furnace.entry.name, tuple(furnace.entry.seen)


def question(
    diagnosis: Diagnosis,
    state: JobState,
    said: RuleAdvice,
    decision: Decision,
    told: Collection[str],
    *,
    phase: Phase = "narrow",
    wanted: str = "",
    further: bool = False,
    volunteered: bool = False,
) -> Question:
    """The check that a decision names, ready to be asked."""
    assert decision.check is not None
    check = diagnosis.checks[decision.check]
    warned = [each.text for each in said.cautions if each.text not in told]
    return Question(
        number=_checks_made(diagnosis, state) + 1,
        check=check.id,
        ask=check.entry.ask,
        how=tuple(check.entry.how),
        setup=() if volunteered else setup_to_change(diagnosis, check, state),
        cautions=cautions_of(diagnosis.knowledge.cautions, [*warned, *check.entry.hazards], told),
        outcomes=tuple(capital(outcome.text) for outcome in check.outcomes),
        unit=bare_unit(check),
        minutes=decision.minutes or 0.0,
        standing=standing(diagnosis, said.belief),
        phase=phase,
        in_interview=phase != "narrow" and not state.interview_skipped,
        wanted=wanted,
        timed=check.entry.reads.stalls and check.entry.phase == "watch",
        further=further,
        volunteered=volunteered,
    )


def _checks_made(diagnosis: Diagnosis, state: JobState) -> int:
    """How many checks were put to the person, the signs of danger left aside."""
    checks = {each.check for each in state.findings} | set(state.skipped)
    return sum(diagnosis.checks[each].entry.phase != "make-safe" for each in checks)


def advice(
    diagnosis: Diagnosis,
    said: RuleAdvice,
    decision: Decision,
    told: Collection[str],
    open_items: tuple[str, ...],
    works: WorksNow | None = None,
) -> Advice:
    """The repair that a decision advises, or what to do where it advises none."""
    assert decision.kind != "check"
    belief = said.belief
    warned = [each.text for each in said.cautions]
    ids = repairs_in(decision.repair or INSTEAD_OF_REPAIR[decision.kind])
    repairs = [diagnosis.knowledge.repairs[each] for each in ids]
    hazards = [hazard for repair in repairs for hazard in repair.hazards]
    tools = dict.fromkeys(tool for repair in repairs for tool in repair.tools)
    suspects = suspects_of(belief)
    wanted = decision.repair or decision.leading
    own = next(each for each in suspects if class_of(each) == wanted)
    other = next((each for each in suspects if class_of(each) != wanted), own)
    return Advice(
        kind=decision.kind,
        title="; and ".join(repair.title for repair in repairs),
        share=decision.probability,
        stays=decision.stays or 0.0,
        suspect=suspect_name(diagnosis, own),
        because=_because(diagnosis, own),
        runner_up=suspect_name(diagnosis, other),
        evidence=evidence(diagnosis, belief, wanted, class_of(other)),
        cautions=cautions_of(diagnosis.knowledge.cautions, [*warned, *hazards], told),
        tools=tuple(diagnosis.knowledge.tools[tool].name for tool in tools),
        replaced=" ".join(repair.replaced_whole for repair in repairs if repair.replaced_whole),
        sections=_sections(repairs),
        minutes=sum(repair.minutes for repair in repairs),
        stays_off=diagnosis.knowledge.stays_off(ids),
        obligations=tuple(each.text for each in said.obligations),
        open_items=open_items,
        works=works_of(diagnosis, works) if works and decision.kind == "nothing-found" else None,
    )


def _sections(repairs: Sequence[RepairEntry]) -> tuple[tuple[str, tuple[str, ...]], ...]:
    """The sections of one repair, or of two put together, each line once."""
    lines: dict[str, dict[str, None]] = {}
    for name in REPAIR_SECTIONS:
        said = [each for repair in repairs for each in dict(repair.sections).get(name, ())]
        if said:
            lines[name] = dict.fromkeys(said)
    return tuple((name, tuple(said)) for name, said in lines.items())


def _because(diagnosis: Diagnosis, suspect: Suspect) -> str:
    return " ".join(diagnosis.furnace.faults[fault].entry.because for fault in suspect.faults)
