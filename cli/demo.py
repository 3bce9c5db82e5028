"""`lightoff demo`: a whole diagnosis of a simulated furnace, without typing."""

from __future__ import annotations

import sys
import time
from dataclasses import replace
from typing import TYPE_CHECKING

import click

from lightoff.cli.options import choices_option, furnace_option

if TYPE_CHECKING:
    from lightoff.cli.asides import Aside
    from lightoff.cli.job_state import State
    from lightoff.cli.views import View
    from lightoff.engine.model import Check, Fault, Furnace
    from lightoff.engine.reasoning.diagnosis import Diagnosis, SimulatedFurnace

SHOWN = "two-pipe-condensing"
INSTRUCTIVE = "collector-hose.water"
"""The switch opens, and it is not the switch."""
PAUSE = 2.5
"""Seconds to read a step, where somebody watches."""
MOST_STEPS = 60
HISTORY = "Of its history and the house the customer knows nothing."
"""What is said instead of the questions that a simulated furnace cannot answer."""


@click.command()
@furnace_option
@choices_option
@click.option("--fault", "fault_id", metavar="PART.FAULT", help="The hidden fault.")
@click.option("--fast", is_flag=True, help="Do not pause between the steps.")
@click.pass_context
def demo(context: click.Context, furnace_id: str | None, fault_id: str | None, fast: bool) -> None:
    """Watch a diagnosis from complaint to repair; nothing is typed.

    A simulated furnace with a hidden fault answers the questions. Exit 0 if the
    diagnosis finds the right repair, else 1.
    """
    from lightoff.cli.names import find, find_furnace, load_knowledge
    from lightoff.engine.reasoning.diagnosis import Diagnosis

    knowledge = load_knowledge()
    furnace = find_furnace(
        knowledge, furnace_id or (SHOWN if SHOWN in knowledge.furnaces else None)
    )
    fault = find("fault", fault_id or _instructive(furnace), furnace.faults)
    _introduce(furnace)
    pause = PAUSE if sys.stdout.isatty() and not fast else 0.0
    try:
        repaired = _play(Diagnosis.of(knowledge, furnace.id), fault, pause)
    except KeyboardInterrupt:
        raise click.Abort from None
    context.exit(0 if repaired else 1)


def _instructive(furnace: Furnace) -> str:
    return INSTRUCTIVE if INSTRUCTIVE in furnace.faults else next(iter(furnace.faults))


def _introduce(furnace: Furnace) -> None:
    from lightoff.cli import screen

    screen.say("A simulated furnace: it is invented, and so are its ratings.", "head")
    screen.say(f"{furnace.entry.name}, with one hidden fault. The customer says: no heat.")
    screen.say("It answers what it would show. A line behind > is what a technician would type.")
    screen.say()


def _play(diagnosis: Diagnosis, fault: Fault, pause: float) -> bool:
    """Diagnose until a repair cures or none is advised; whether the right one was found.

    What is not known of a simulated furnace, such as its history, is answered unseen.
    """
    from lightoff.cli import job_screens, screen
    from lightoff.cli.interview import begin, step
    from lightoff.cli.job_state import Diagnoses, Ended, Proving
    from lightoff.cli.lines import show
    from lightoff.engine.reasoning.diagnosis import SimulatedFurnace
    from lightoff.engine.reasoning.job import Started

    furnace = SimulatedFurnace(diagnosis.furnace, [fault])
    at = "1970-01-01T00:00:00"
    start = Started(time=at, furnace=diagnosis.furnace.id, version="")
    state, _, view = begin(Diagnoses(diagnosis.knowledge, lambda _: diagnosis), (start,))
    note: str | Aside = view.note
    while not isinstance(state.mode, Ended):
        if isinstance(state.mode, Proving):
            state, view = _prove(state, view.note, at)
            note = ""
            continue
        if _asks_history(state):
            state, _, view = step(state, "?", at)
            continue
        show(job_screens.view_lines(replace(view, note=note)))
        time.sleep(pause)
        typed, meaning = _typed(state, furnace, fault)
        screen.say(f"> {typed}{f'   ({meaning})' if meaning else ''}", "good")
        state, _, view = step(state, typed, at)
        note = HISTORY if _asks_history(state) else view.note
    show(job_screens.view_lines(view))
    _tell_the_truth(state, fault)
    return state.job.cured_by == fault.repair


def _prove(state: State, note: str | Aside, at: str) -> tuple[State, View]:
    """The repaired furnace proved, one line for each thing that is tried."""
    from lightoff.cli import screen
    from lightoff.cli.interview import step
    from lightoff.cli.proof_views import expected_in_words, good_in_words

    screen.say()
    screen.say(str(note), "next")
    for item in state.to_prove:
        good = next(each for each in item.check.outcomes if each.id in item.good)
        typed = expected_in_words(item) or str(item.check.outcomes.index(good) + 1)
        said = expected_in_words(item) or good.text
        screen.say(f"- {item.proof.title}: {said} (good: {good_in_words(item)})", indent=2, hang=2)
        state, _, _ = step(state, typed, at)
    state, _, view = step(state, "1", at)
    return state, view


def _asks_history(state: State) -> bool:
    """Whether history or the house is asked about, and not what the furnace itself shows."""
    from lightoff.cli.job_state import Asking

    if not isinstance(state.mode, Asking) or state.mode.decision.check is None:
        return False
    reads = state.diagnosis.checks[state.mode.decision.check].entry.reads
    return reads.told or (state.mode.phase == "customer" and not reads.stalls)


def _typed(state: State, furnace: SimulatedFurnace, fault: Fault) -> tuple[str, str]:
    """What a technician before this furnace would type, and what that means if it is short."""
    from lightoff.cli.job_state import Advising, Asking, Clearing, MakingSafe

    match state.mode:
        case MakingSafe():
            return "n", "none of these"
        case Asking(decision=decision) if len(_shown(state)) < MOST_STEPS:
            assert decision.check is not None
            return _answer(state.diagnosis.checks[decision.check], furnace)
        case Advising(decision=decision) if _is_tried_in_vain(state, decision.repair, fault):
            return "2", "the simulated furnace still fails"
        case Advising(decision=decision):
            return "1", _outcome(state, decision.repair)
        case Clearing():
            return "1", "put right"
        case _:
            return "q", "too many checks"


def _shown(state: State) -> list[str]:
    """The checks that the furnace answered."""
    told = {check.id for check in state.diagnosis.checks.values() if check.entry.reads.told}
    answered = [each.check for each in state.job.findings if each.outcome is not None]
    return [check for check in answered if check not in told]


def _is_tried_in_vain(state: State, repair: str | None, fault: Fault) -> bool:
    if repair is None or state.knowledge.stays_off([repair]):
        return False
    return repair != fault.repair


def _outcome(state: State, repair: str | None) -> str:
    if repair is None or state.knowledge.stays_off([repair]):
        return ""
    return "the simulated furnace works"


def _answer(check: Check, furnace: SimulatedFurnace) -> tuple[str, str]:
    """A reading as the instrument shows it, or the number of an answer."""
    from lightoff.engine.reasoning.answers import reads_a_figure

    finding = furnace.answer(check)
    if finding.entered != finding.outcome:
        return finding.entered, ""
    number = [outcome.id for outcome in check.outcomes].index(finding.outcome)
    mark = "#" if reads_a_figure(check) else ""
    return f"{mark}{number + 1}", check.outcomes[number].text


def _tell_the_truth(state: State, fault: Fault) -> None:
    from lightoff.cli import screen, wording

    job = state.job
    screen.say()
    if job.cured_by != fault.repair:
        screen.say("The repair it needs was not found.", "bad")
    elif job.cured_by and state.knowledge.stays_off([job.cured_by]):
        screen.say("No proof by fire: this furnace is not lit again.", "good")
    else:
        screen.say("Proof: the simulated furnace, repaired, " + _proof(state), "good")
    part = state.diagnosis.furnace.parts[fault.part].entry.name
    screen.say(f"The truth: {part}: {fault.entry.name} ({fault.id}).", "head")
    title = wording.repair_title(state.diagnosis.knowledge, fault.repair)
    wrong = f", {wording.count(len(job.repaired), 'wrong repair')} before it" * bool(job.repaired)
    checks = wording.count(len(_shown(state)), "check")
    screen.say(f"The repair it needs: {title}. {checks} made{wrong}.")
    screen.say("The furnace was simulated and invented: no figure here stands for a real one.")


def _proof(state: State) -> str:
    """What the furnace does in a call once its fault is gone."""
    from lightoff.engine.machine.plan import Machine, Plan
    from lightoff.engine.machine.simulate import simulate

    furnace = state.diagnosis.furnace
    trace = simulate(Machine(Plan(furnace), {}))
    steps = [visit.step for visit in trace.visits()]
    gone_through = [step for step in furnace.sequence.path if step in steps]
    return "goes through " + ", ".join(gone_through).replace("-", " ") + "."
