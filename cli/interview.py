"""The conversation of a job: what a person typed -> what happened and what is shown next.

Pure: `begin` and `step` neither read nor write anything. The events that `step` gives
are put down before the view it gives is shown.
"""

from __future__ import annotations

import re
from dataclasses import replace

from lightoff.cli import danger, wording
from lightoff.cli.arrival import identify, make_safe, number_in
from lightoff.cli.job_state import (
    Advising,
    Asking,
    Choosing,
    Clearing,
    Diagnoses,
    Ended,
    Events,
    Identifying,
    MakingSafe,
    Proving,
    State,
    Stopping,
    Telling,
    Trying,
    arriving,
    having_told,
    screen_of,
    title_of,
)
from lightoff.cli.keys import ALWAYS, BARE, LISTED, pressed, repairs_named
from lightoff.cli.proving import cured, proving
from lightoff.cli.telling import as_answer, found, is_not_known, look_for, volunteer
from lightoff.cli.turns import Turn, close, ended, go_back, happened, refuse, show, stopped
from lightoff.cli.views import View
from lightoff.engine.model import Check
from lightoff.engine.reasoning.answers import ReadingError
from lightoff.engine.reasoning.job import (
    AnyEvent,
    Cleared,
    Closed,
    Closing,
    Repaired,
    Skipped,
)
from lightoff.engine.reasoning.planning.choice import Decision, look_further
from lightoff.engine.reasoning.table import repairs_in
from lightoff.engine.reasoning.tell import understand_reading
from lightoff.engine.reasoning.visits import Visit

_ANSWER_AND_SECONDS = re.compile(r"(?P<answer>.*\S)\s+(?P<seconds>\d+(\.\d+)?\s*(s|sec|min)?)")


def begin(diagnoses: Diagnoses, events: Events, past: tuple[Visit, ...] = ()) -> Turn:
    """A job taken up where its events left it, and its first screen.

    `past` are other jobs that have a label: readings are compared with those of the same one.

    A job that was stopped, but not closed before the program ended, is closed now.
    """
    state = arriving(diagnoses, events, past)
    if len(events) > 1 and state.advice.stopped:
        return stopped(state, cautions=tuple(each.text for each in state.advice.stopped))
    return having_told(state), (), View(screen_of(state))


def step(state: State, typed: str, now: str) -> Turn:
    """What a typed line does at time `now` (ISO 8601): new state, events to put down, view."""
    entered = " ".join(typed.split())
    match state.mode:
        case MakingSafe():
            return make_safe(state, entered, now)
        case Identifying():
            return identify(state, entered, now)
        case Asking():
            return pressed(state, entered, now) or _answer(state, entered, now)
        case Advising():
            return pressed(state, entered, now) or _after_advice(state, entered, now)
        case Proving():
            return proving(state, entered, now)
        case Ended():
            raise ValueError("the job has ended")
        case _:
            return _aside(state, entered, now)


def _aside(state: State, entered: str, now: str) -> Turn:
    """A screen that a key led to: `b` leads back from all of them."""
    if entered == "b":
        return go_back(state)
    if entered in ALWAYS and not (entered == "!" and isinstance(state.mode, Stopping)):
        return BARE[entered](state, now)
    match state.mode:
        case Choosing(repairs=repairs):
            return _choose(state, entered, repairs)
        case Trying(repair=repair):
            return _tried(state, entered, repair, now)
        case Telling(checks=checks):
            return _tell(state, entered, checks)
        case Clearing():
            return _clear(state, entered, now)
        case _:
            return _stop(state, entered, now)


# --- answers ----------------------------------------------------------------------


def _answer(state: State, entered: str, now: str) -> Turn:
    assert isinstance(state.mode, Asking)
    assert state.mode.decision.check is not None
    check = state.diagnosis.checks[state.mode.decision.check]
    if entered == "s":
        return _skip(state, check, now)
    if not entered:
        return refuse(state, "Nothing was typed. Type an answer, or ? if you do not know.")
    if is_not_known(entered) and check.entry.phase == "make-safe":
        return refuse(state, danger.LOOK_FIRST)
    try:
        events = _put_down(state, check, entered, now)
    except ReadingError as error:
        return refuse(state, f"{wording.capital(str(error))}.")
    unknown = "Noted as not known; the suspects stay as they are." * is_not_known(entered)
    return happened(state, *events, note=unknown)


def _skip(state: State, check: Check, now: str) -> Turn:
    assert isinstance(state.mode, Asking)
    if state.mode.volunteered:
        return go_back(state)
    return happened(state, Skipped(time=now, check=check.id), note="Skipped.")


def _put_down(state: State, check: Check, entered: str, now: str) -> tuple[AnyEvent, ...]:
    """The events that an answer means; ReadingError if it is none.

    Where a call stalls, the seconds it stayed there may stand behind the answer.
    """
    assert isinstance(state.mode, Asking)
    unasked = state.mode.volunteered
    timed = _ANSWER_AND_SECONDS.fullmatch(entered)
    if timed is None or not check.entry.reads.stalls or check.entry.phase != "watch":
        return (found(check, entered, now, unasked),)
    answer = found(check, timed["answer"], now, unasked)
    step = _step_of(state, check, answer.outcome)
    if not step:
        return (answer,)
    words = ["seconds", step, timed["seconds"]]
    told = understand_reading(state.diagnosis.furnace, words, now)
    return (answer, as_answer(state, told))


def _step_of(state: State, check: Check, outcome: str | None) -> str:
    """The one step that an outcome names and that does not rest; "" if there is none."""
    words = next((each.band.words for each in check.outcomes if each.id == outcome), frozenset())
    steps = state.diagnosis.furnace.sequence.steps
    named = [word for word in words if word in steps and not steps[word].entry.rests]
    return named[0] if len(words) == len(named) == 1 else ""


# --- advice and repairs -----------------------------------------------------------


def _after_advice(state: State, entered: str, now: str) -> Turn:
    assert isinstance(state.mode, Advising)
    decision = state.mode.decision
    if entered in ("2", "3") and (entered == "3" or decision.repair is None):
        return _look_further(state)
    repair = decision.repair
    if entered == "2" and repair and not state.knowledge.stays_off(repairs_in(repair)):
        return _still_fails(state, repair, now)
    if entered == "1":
        return _done(state, decision, now)
    return refuse(state, "Type one of the numbers or keys below.")


def _done(state: State, decision: Decision, now: str) -> Turn:
    """What was advised is done: what cured is still to be proved, the rest is closed."""
    repair = decision.repair
    if repair is None:
        how: Closing = "nothing" if decision.kind == "nothing-found" else "left"
        return close(state, Closed(time=now, how=how))
    if state.knowledge.stays_off(repairs_in(repair)):
        return close(state, Closed(time=now, how="found", repair=repair, proof="tagged"))
    return cured(state, repair, now)


def _look_further(state: State) -> Turn:
    diagnosis, advice, job = state.diagnosis, state.advice, state.job
    left_out = {*job.skipped, *(said.text for said in advice.held_back)}
    toolbox = set(state.knowledge.tools) - set(job.lacks)
    setup = diagnosis.setup_now(job)
    decision = look_further(advice.belief, diagnosis.costs, setup, left_out, toolbox)
    if decision is None:
        return refuse(state, "No check is left that could tell more.")
    return show(replace(state, mode=Asking(decision, further=True)))


def _still_fails(state: State, repair: str, now: str) -> Turn:
    after, events, view = happened(state, Repaired(time=now, repair=repair))
    note = f"{title_of(state, repair)!r} did not cure it. {view.note}"
    return after, events, replace(view, note=note)


def _choose(state: State, entered: str, listed: tuple[str, ...]) -> Turn:
    if entered.isascii() and entered.isdecimal():
        if not 1 <= number_in(entered) <= len(listed):
            return refuse(state, f"The list has {len(listed)} repairs; type one of its numbers.")
        return show(replace(state, mode=Trying(listed[number_in(entered) - 1])))
    named = repairs_named(state, entered) if entered else ()
    if not named:
        return refuse(state, "No repair of this furnace has these words; try another word.")
    mode = Trying(named[0]) if len(named) == 1 else Choosing(named[:LISTED])
    return show(replace(state, mode=mode))


def _tried(state: State, entered: str, repair: str, now: str) -> Turn:
    if entered == "1":
        return cured(state, repair, now)
    if entered == "2":
        return _still_fails(state, repair, now)
    return refuse(state, "Type 1 if it works now, 2 if it still fails.")


# --- telling, the open list, danger -----------------------------------------------


def _tell(state: State, entered: str, checks: tuple[str, ...]) -> Turn:
    if 1 <= number_in(entered) <= len(checks):
        return volunteer(state, checks[number_in(entered) - 1])
    if not entered or number_in(entered):
        return refuse(state, f"Type a number from 1 to {len(checks)}, or other words.")
    return look_for(state, entered)


def _clear(state: State, entered: str, now: str) -> Turn:
    items = state.open_items
    if not 1 <= number_in(entered) <= len(items):
        return refuse(state, "Type the number of what you have put right, or b to go back.")
    assert isinstance(state.mode, Clearing)
    closing = state.mode.closing
    cleared = Cleared(time=now, item=items[number_in(entered) - 1])
    after, events, view = happened(state, cleared, note="Noted as put right.")
    if isinstance(after.mode, Ended) or (not after.open_items and closing is None):
        return after, events, view
    if closing is not None and not after.open_items:
        return ended(after, closing, before=events)
    after = replace(after, mode=Clearing(closing))
    return after, events, View(screen_of(after), view.note)


def _stop(state: State, entered: str, now: str) -> Turn:
    signs = danger.read_signs(entered, danger.STOP_WORK)
    if not signs:
        return refuse(state, "Type the number of what you have met, or b to go back.")
    return ended(state, Closed(time=now, how="left", stopped=signs))
