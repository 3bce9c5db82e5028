"""The conversation of a job: what a person typed -> what happened and what is shown next.

Pure: `begin` and `step` neither read nor write anything. The events that `step` gives
are put down before the view it gives is shown.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace

from lightoff.cli import views, wording
from lightoff.cli.danger import STOP_WORK, read_signs, what_to_do
from lightoff.cli.job_state import (
    Advising,
    Asking,
    Choosing,
    Ended,
    Events,
    State,
    Stopping,
    Trying,
    decided,
    having_told,
    screen_of,
    title_of,
)
from lightoff.cli.views import View
from lightoff.engine.reasoning.answers import DONT_KNOW, ReadingError, understand
from lightoff.engine.reasoning.choice import Decision
from lightoff.engine.reasoning.diagnosis import Diagnosis
from lightoff.engine.reasoning.job import (
    AnyEvent,
    Closed,
    Found,
    JobState,
    Repaired,
    Skipped,
    Undone,
    replay,
)
from lightoff.engine.reasoning.repairing import repair_probabilities

LISTED = 9
"""Repairs listed at once."""


Turn = tuple[State, Events, View]


# --- steps ------------------------------------------------------------------------


def begin(diagnosis: Diagnosis, events: Events) -> tuple[State, View]:
    """A job taken up where its events left it, and its first screen."""
    state = decided(diagnosis, events)
    view = View(screen_of(state))
    return having_told(state), view


def step(state: State, typed: str, now: str) -> Turn:
    """What a typed line does at time `now` (ISO 8601): new state, events to put down, view."""
    entered = " ".join(typed.split())
    match state.mode:
        case Asking():
            return _answer(state, entered, now)
        case Advising():
            return _after_advice(state, entered, now)
        case Choosing(repairs=repairs):
            return _choose(state, entered, repairs, now)
        case Trying(repair=repair):
            return _tried(state, entered, repair, now)
        case Stopping():
            return _stop(state, entered, now)
        case Ended():
            raise ValueError("the job has ended")


def _show(state: State, note: str = "") -> Turn:
    return having_told(state), (), View(screen_of(state), note)


def _again(state: State, note: str | wording.Suspects | views.Why, refused: bool = False) -> Turn:
    """The same screen once more, behind a refusal or something looked up."""
    return state, (), View(screen_of(state), note, refused, again=True)


def _refuse(state: State, reason: str) -> Turn:
    return _again(state, reason, refused=True)


def _happened(state: State, event: AnyEvent, note: str = "") -> Turn:
    """The job goes on after an event; without a note, what the event changed is told."""
    after = decided(state.diagnosis, (*state.events, event), state.told)
    said = note or wording.change(state.diagnosis, state.belief, after.belief)
    return having_told(after), (event,), View(screen_of(after), said)


def _ended(state: State, event: Closed) -> Turn:
    after = replace(state, events=(*state.events, event), mode=Ended(event.how))
    return after, (event,), View(screen_of(after))


# --- keys that work at a question and at advice -----------------------------------


def _back(state: State, now: str) -> Turn:
    job = state.job
    if isinstance(state.mode, Asking) and state.mode.further:
        return _show(decided(state.diagnosis, state.events, state.told))
    if not (job.findings or job.skipped or job.repaired):
        return _refuse(state, "This is the beginning; there is nothing to take back.")
    undone = Undone(time=now)
    before = replay((*state.events, undone))
    return _happened(state, undone, f"Taken back: {_taken_back(state, job, before)}.")


def _taken_back(state: State, job: JobState, before: JobState) -> str:
    if job.findings != before.findings:
        return wording.finding_in_words(state.diagnosis, job.findings[-1])
    if job.repaired != before.repaired:
        return f"the repair {title_of(state, job.repaired[-1])!r}"
    return f"skipping {job.skipped[-1].replace('-', ' ')}"


def _why(state: State, now: str) -> Turn:
    match state.mode:
        case Asking(decision=Decision(check=str(check))):
            told = views.why(state.diagnosis, state.belief, state.job, check)
            return _again(state, told)
        case _:
            return _again(state, "No check left is worth its time; what speaks for it is above.")


def _suspects(state: State, now: str) -> Turn:
    return _again(state, wording.all_suspects(state.diagnosis, state.belief))


def _repaired(state: State, now: str) -> Turn:
    return _show(replace(state, mode=Choosing(_repairs_named(state, "")[:LISTED])))


def _danger(state: State, now: str) -> Turn:
    return _show(replace(state, mode=Stopping()))


def _leave(state: State, now: str) -> Turn:
    after = replace(state, mode=Ended(None))
    return after, (), View(screen_of(after))


KEYS: Mapping[str, Callable[[State, str], Turn]] = {
    "b": _back,
    "w": _why,
    "p": _suspects,
    "r": _repaired,
    "!": _danger,
    "q": _leave,
}


# --- each mode --------------------------------------------------------------------


def _answer(state: State, entered: str, now: str) -> Turn:
    assert isinstance(state.mode, Asking)
    assert state.mode.decision.check is not None
    check = state.diagnosis.checks[state.mode.decision.check]
    if entered in KEYS:
        return KEYS[entered](state, now)
    if entered == "s":
        return _happened(state, Skipped(time=now, check=check.id), "Skipped.")
    if not entered:
        return _refuse(state, "Nothing was typed. Type an answer, or ? if you do not know.")
    try:
        finding = understand(check, entered)
    except ReadingError as error:
        return _refuse(state, f"{wording.capital(str(error))}.")
    event = Found(time=now, check=check.id, outcome=finding.outcome, entered=finding.entered)
    note = "Noted as not known; the suspects stay as they are." if entered in DONT_KNOW else ""
    return _happened(state, event, note)


def _after_advice(state: State, entered: str, now: str) -> Turn:
    assert isinstance(state.mode, Advising)
    decision = state.mode.decision
    if entered in KEYS:
        return KEYS[entered](state, now)
    if entered in ("2", "3") and (entered == "3" or decision.repair is None):
        return _look_further(state)
    if entered == "2" and decision.repair is not None and decision.repair not in views.STAYS_OFF:
        return _still_fails(state, decision.repair, now)
    if entered == "1":
        return _ended(state, _closing(decision, now))
    return _refuse(state, "Type one of the numbers or keys below.")


def _closing(decision: Decision, now: str) -> Closed:
    if decision.repair is not None:
        return Closed(time=now, how="found", repair=decision.repair)
    return Closed(time=now, how="nothing" if decision.kind == "nothing-found" else "left")


def _look_further(state: State) -> Turn:
    decision = state.diagnosis.look_further(state.belief, state.job)
    if decision is None:
        return _refuse(state, "No check is left that could tell more.")
    return _show(replace(state, mode=Asking(decision, further=True)))


def _still_fails(state: State, repair: str, now: str) -> Turn:
    turn = _happened(state, Repaired(time=now, repair=repair))
    view = replace(turn[2], note=f"{title_of(state, repair)!r} did not cure it. {turn[2].note}")
    return turn[0], turn[1], view


def _choose(state: State, entered: str, listed: tuple[str, ...], now: str) -> Turn:
    if entered == "b":
        return _show(decided(state.diagnosis, state.events, state.told))
    if entered in ("q", "!"):
        return KEYS[entered](state, now)
    if entered.isascii() and entered.isdecimal():
        index = int(entered[:4]) - 1
        if not 0 <= index < len(listed):
            return _refuse(state, f"The list has {len(listed)} repairs; type one of its numbers.")
        return _show(replace(state, mode=Trying(listed[index])))
    return _choose_by_words(state, entered)


def _choose_by_words(state: State, entered: str) -> Turn:
    found = _repairs_named(state, entered) if entered else ()
    if not found:
        return _refuse(state, "No repair of this furnace has these words; try another word.")
    if len(found) == 1:
        return _show(replace(state, mode=Trying(found[0])))
    return _show(replace(state, mode=Choosing(found[:LISTED])))


def _repairs_named(state: State, entered: str) -> tuple[str, ...]:
    """Repairs to be tried whose id or title holds all the words, likeliest first."""
    not_tried = wording.WITHOUT_FAULT.keys() | views.STAYS_OFF
    words = entered.lower().replace("-", " ").split()
    return tuple(
        repair
        for repair in repair_probabilities(state.belief)
        if repair not in not_tried
        and all(word in f"{repair} {title_of(state, repair)}".lower() for word in words)
    )


def _tried(state: State, entered: str, repair: str, now: str) -> Turn:
    match entered:
        case "1":
            return _ended(state, Closed(time=now, how="found", repair=repair))
        case "2":
            return _still_fails(state, repair, now)
        case "b":
            return _show(decided(state.diagnosis, state.events, state.told))
        case "q" | "!":
            return KEYS[entered](state, now)
        case _:
            return _refuse(state, "Type 1 if it works now, 2 if it still fails.")


def _stop(state: State, entered: str, now: str) -> Turn:
    if entered == "b":
        return _show(decided(state.diagnosis, state.events, state.told))
    if entered == "q":
        return _leave(state, now)
    found = read_signs(entered, STOP_WORK)
    if not found:
        return _refuse(state, "Type the number of what you have met, or b to go back.")
    cautions = state.diagnosis.knowledge.cautions
    closed = Closed(time=now, how="left")
    after = replace(state, events=(*state.events, closed), mode=Ended("left"))
    return after, (closed,), View(views.Parting("left", stop=what_to_do(cautions, found)))
