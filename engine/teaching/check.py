"""Whether a scenario holds: does it fail as told, can it be solved, and how hard is it.

The program plays the apprentice with the tools in the bag, against the simulated furnace
in calls in which all hidden faults show.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from lightoff.engine.entries.checks import Phase
from lightoff.engine.machine.simulate import ChatterError
from lightoff.engine.model import NO_FAULT, SOMETHING_ELSE, HiddenFault, Scenario
from lightoff.engine.reasoning.diagnosis import Diagnosis
from lightoff.engine.reasoning.misreading import MisreadFurnace
from lightoff.engine.reasoning.planning.costs import VERIFY_MINUTES
from lightoff.engine.reasoning.planning.repairing import repair_probabilities
from lightoff.engine.reasoning.play import Arrival, Course, Ending, Played, play
from lightoff.engine.reasoning.prediction import Traces, outcome_chances, readings_of
from lightoff.engine.reasoning.table import repairs_in
from lightoff.engine.teaching.alike import Alike, looks_alike
from lightoff.engine.teaching.difficulty import Difficulty, difficulty

NOTICED: tuple[Phase, ...] = ("customer", "watch")
"""What is noticed of a furnace by somebody who watches a call and opens nothing."""
HISTORY = "always-or-sometimes"
EVERY_CALL = "every-call"
SOME_CALLS = ("first-calls-only", "no-pattern")
A_TRAP = 0.15
"""Probability that a wrong repair must have come to while it led (from memory)."""
ROOM_TO_ERR = 1.2
"""Times the minutes of the program's own path that an apprentice should have (from memory)."""


@dataclass(frozen=True, slots=True)
class Step:
    """One step of the program's own path; `outcome` is "" for a repair."""

    kind: Literal["check", "repair", "nothing-found", "refer"]
    id: str
    outcome: str
    minutes: float
    """With its set-up, or with the call that proves a repair."""


@dataclass(frozen=True, slots=True)
class Trap:
    """A wrong repair that led on the way, with the highest probability it came to."""

    repair: str
    probability: float


@dataclass(frozen=True, slots=True)
class Checked:
    """What the check of a scenario found."""

    scenario: Scenario
    refused: tuple[str, ...]
    """Why it cannot be handed out for marking, in sentences; none if it can."""
    notes: tuple[str, ...]
    """What its author may want to look at."""
    path: tuple[Step, ...] = ()
    talking: float = 0.0
    """Minutes of hearing what is told."""
    waiting: float = 0.0
    """Minutes of calls expected to go well before all hidden faults show."""
    ended: Ending | None = None
    stopped: tuple[str, ...] = ()
    """Cautions by which rules stop the work; that is the right end then."""
    alike: tuple[Alike, ...] = ()
    traps: tuple[Trap, ...] = ()
    difficulty: Difficulty | None = None

    @property
    def minutes(self) -> float:
        """Of the whole path by the clock."""
        return self.talking + self.waiting + sum(step.minutes for step in self.path)

    @property
    def is_sound(self) -> bool:
        return not self.refused


def check_scenario(scenario: Scenario, diagnosis: Diagnosis) -> Checked:
    """Play a scenario and judge it; `diagnosis` is that of its furnace, single faults first."""
    traces = Traces(scenario.furnace)
    try:
        traces.of(scenario.overrides)
        course = _played(scenario, diagnosis)
        alike = looks_alike(scenario, diagnosis, course, traces)
    except ChatterError as error:
        return Checked(scenario, (f"The furnace never settles: {error}.",), _words(scenario))
    path = tuple(_step(step) for step in course.steps)
    checked = Checked(
        scenario,
        (),
        (),
        path=path,
        talking=sum(diagnosis.checks[check].entry.minutes for check in scenario.tells),
        waiting=max(map(_waiting, scenario.hidden)),
        ended=course.ended,
        stopped=course.stopped,
        alike=alike,
        traps=_traps(course, scenario.repairs),
        difficulty=difficulty(scenario, diagnosis, course),
    )
    refused = (
        *_as_told(scenario, diagnosis, traces),
        *_solved(scenario, course),
        *_in_time(scenario, course, checked.minutes),
        *_told_apart(alike),
    )
    notes = (
        *_words(scenario),
        *_told_otherwise(scenario),
        *_tools_of_repairs(scenario, diagnosis),
        *_little_time(scenario, checked.minutes),
    )
    return replace(checked, refused=refused, notes=notes)


# --- playing it -------------------------------------------------------------------


def _played(scenario: Scenario, diagnosis: Diagnosis) -> Course:
    lacks = tuple(sorted(diagnosis.knowledge.tools.keys() - scenario.tools))
    furnace = MisreadFurnace(scenario.furnace, scenario.faults)
    return play(diagnosis, furnace, arrival=Arrival(scenario.tells, lacks))


def _waiting(hidden: HiddenFault) -> float:
    """Minutes of calls that go well, on average, before a fault shows."""
    return VERIFY_MINUTES * (hidden.after_calls + 1.0 / hidden.share - 1.0)


def _step(step: Played) -> Step:
    decision = step.decision
    if step.finding is not None:
        outcome = step.finding.outcome or ""
        return Step("check", step.finding.check, outcome, step.minutes + step.setup)
    proving = VERIFY_MINUTES if decision.kind in ("repair", "nothing-found") else 0.0
    return Step(decision.kind, decision.repair or "", "", step.minutes + proving)


def _traps(course: Course, needed: Collection[str]) -> tuple[Trap, ...]:
    """Wrong repairs that led at some step with a fair probability, likeliest first."""
    highest: dict[str, float] = {}
    for step in course.steps:
        leading, share = next(iter(repair_probabilities(step.belief).items()))
        is_wrong = leading not in (NO_FAULT, SOMETHING_ELSE) and not (
            set(repairs_in(leading)) <= set(needed)
        )
        if is_wrong and share >= A_TRAP:
            highest[leading] = max(share, highest.get(leading, 0.0))
    return tuple(
        Trap(repair, highest[repair]) for repair in sorted(highest, key=lambda each: -highest[each])
    )


# --- what is refused --------------------------------------------------------------


def _as_told(scenario: Scenario, diagnosis: Diagnosis, traces: Traces) -> Iterable[str]:
    """The furnace must be seen to fail, and in every call if that is what is told."""
    comes_and_goes = not all(each.is_always_there for each in scenario.hidden)
    if not comes_and_goes and not _is_noticed(scenario, diagnosis, traces):
        yield "The furnace runs its call like a sound one: nobody would complain."
    every_call = scenario.tells.get(HISTORY) == EVERY_CALL
    if every_call and not any(each.is_always_there for each in scenario.hidden):
        yield f"It is told to fail in every call ({HISTORY}), but its faults come and go."


def _is_noticed(scenario: Scenario, diagnosis: Diagnosis, traces: Traces) -> bool:
    """Whether anything that can be watched is another outcome than in a sound furnace."""
    watched = [
        check
        for check in diagnosis.checks.values()
        if check.entry.phase in NOTICED and not check.entry.reads.told and not check.trying
    ]
    both = readings_of(watched, [{}, scenario.overrides], traces)
    chances = [outcome_chances(check, read) for check, read in zip(watched, both, strict=True)]
    return any(each[:, 0].argmax() != each[:, 1].argmax() for each in chances)


def _solved(scenario: Scenario, course: Course) -> Iterable[str]:
    """The program must mend it with nothing but what is needed, or be stopped by rules."""
    done = {each for step in course.steps for each in repairs_in(step.decision.repair or "")}
    wrong = sorted(done - scenario.repairs - {""})
    if wrong:
        yield f"The program repairs what is good on its way: {', '.join(wrong)}."
    if course.ended not in ("cured", "stopped"):
        ways = {
            "nothing-found": "finds nothing wrong",
            "refer": "has to give up",
            "too-long": "comes to no end",
        }
        yield f"With the tools in the bag the program {ways[course.ended]}."


def _in_time(scenario: Scenario, course: Course, minutes: float) -> Iterable[str]:
    if course.ended == "cured" and minutes > scenario.entry.minutes:
        yield (
            f"The program's own path takes {minutes:.0f} min, "
            f"but {scenario.entry.minutes:g} min are allowed."
        )


def _told_apart(alike: Sequence[Alike]) -> Iterable[str]:
    """One sentence for what looks the same on arrival, and after each repair."""
    for done in dict.fromkeys(each.after for each in alike):
        when = f"after {' and '.join(done)}" if done else "on arrival"
        same = ", ".join(_named(each) for each in alike if each.after == done)
        yield f"Every check the tools allow looks the same {when} with: {same}."


def _named(alike: Alike) -> str:
    return f"{' and '.join(alike.faults)} ({alike.repair})" if alike.faults else "no fault at all"


# --- what is worth a look ---------------------------------------------------------


def _words(scenario: Scenario) -> tuple[str, ...]:
    """Where the guilty part is named before the work has begun."""
    entry = scenario.entry
    texts = {"title": entry.title, "complaint": entry.complaint, "setting": entry.setting}
    names = {scenario.furnace.parts[fault.part].entry.name for fault in scenario.faults}
    return tuple(
        f"The {where} names the part to blame: {name}."
        for where, text in texts.items()
        for name in sorted(names)
        if name.lower() in text.lower()
    )


def _told_otherwise(scenario: Scenario) -> Iterable[str]:
    told = scenario.tells.get(HISTORY)
    if told in SOME_CALLS and all(each.is_always_there for each in scenario.hidden):
        yield f"It is told to fail in some calls only ({HISTORY}: {told}), but shows in every call."


def _little_time(scenario: Scenario, minutes: float) -> Iterable[str]:
    if scenario.entry.minutes / ROOM_TO_ERR < minutes <= scenario.entry.minutes:
        yield f"The program's own path leaves {scenario.entry.minutes - minutes:.0f} min to err."


def _tools_of_repairs(scenario: Scenario, diagnosis: Diagnosis) -> Iterable[str]:
    repairs = diagnosis.knowledge.repairs
    for repair in sorted(scenario.repairs):
        missing = [tool for tool in repairs[repair].tools if tool not in scenario.tools]
        if missing:
            yield f"{repair} takes tools that must be fetched first: {', '.join(missing)}."
