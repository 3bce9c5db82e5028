"""One turn of the conversation: what a typed line did, and what is shown then."""

from __future__ import annotations

from dataclasses import replace

from lightoff.cli import wording
from lightoff.cli.asides import Aside
from lightoff.cli.job_state import (
    Clearing,
    Ended,
    Events,
    State,
    decided,
    having_told,
    screen_of,
)
from lightoff.cli.views import View
from lightoff.engine.reasoning.job import AnyEvent, Closed

Turn = tuple[State, Events, View]
"""The new state, the events to put down, and what is shown after that."""


def show(state: State, note: str = "") -> Turn:
    """Another screen, with nothing having happened."""
    return having_told(state), (), View(screen_of(state), note)


def again(state: State, note: str | Aside, refused: bool = False) -> Turn:
    """The same screen once more, behind a refusal or something looked up."""
    return state, (), View(screen_of(state), note, refused, again=True)


def refuse(state: State, reason: str) -> Turn:
    """The same screen, and why the line cannot be."""
    return again(state, reason, refused=True)


def go_back(state: State) -> Turn:
    """Out of a side screen, to what comes next."""
    return show(decided(state))


def happened(state: State, *events: AnyEvent, note: str = "") -> Turn:
    """The job goes on after events; without a note, what they changed is told.

    Where the rules stop the work, the job is closed as left in the same turn.
    """
    after = decided(replace(state, events=(*state.events, *events)))
    if isinstance(after.mode, Ended):
        return stopped(state, *events, cautions=tuple(each.text for each in after.advice.stopped))
    if after.is_furnace_open:
        return having_told(after), events, View(screen_of(after), note or "Noted.")
    said = note or wording.change(state.diagnosis, state.belief, after.belief)
    doubt = wording.second_look(after.diagnosis, state.belief, after.belief)
    return having_told(after), events, View(screen_of(after), f"{said} {doubt}".strip())


def stopped(state: State, *events: AnyEvent, cautions: tuple[str, ...]) -> Turn:
    """The work ends here: what to do, and nothing more."""
    time = events[-1].time if events else state.events[-1].time
    closed = Closed(time=time, how="left", stopped=cautions)
    return ended(replace(state, events=(*state.events, *events)), closed, before=events)


def close(state: State, closed: Closed) -> Turn:
    """Close the job, but not while something is open."""
    if state.open_items:
        note = "The job cannot be closed while this is open. Save and leave is always possible."
        return show(replace(state, mode=Clearing(closed)), note)
    return ended(state, closed)


def ended(state: State, closed: Closed, before: Events = ()) -> Turn:
    """The job is closed; `before` are events of the same turn that the state holds already."""
    after = replace(state, events=(*state.events, closed), mode=Ended(closed.how))
    return after, (*before, closed), View(screen_of(after))
