"""Talking to a job without a terminal: what is typed, and a simulated furnace that answers."""

from lightoff.cli import job_screens
from lightoff.cli.interview import step
from lightoff.cli.job_state import Asking, Clearing
from lightoff.engine.reasoning.answers import reads_a_figure
from lightoff.engine.reasoning.diagnosis import SimulatedFurnace

NOW = "2026-01-02T03:04:05+00:00"
FURNACE = "two-pipe-condensing"


def typed(state, *lines):
    """The state, and all events and the last view, after some lines were typed."""
    happened, view = [], None
    for line in lines:
        state, events, view = step(state, line, NOW)
        happened.extend(events)
    return state, happened, view


def told(state):
    """Whether the machine knows nothing of what is asked."""
    return state.diagnosis.checks[state.mode.decision.check].entry.reads.told


def answered(state, fault, most=60):
    """A job in which a simulated furnace with a fault answers until advice is given."""
    furnace = SimulatedFurnace(state.diagnosis.furnace, [state.diagnosis.furnace.faults[fault]])
    for _ in range(most):
        if not isinstance(state.mode, Asking):
            return state
        check = state.diagnosis.checks[state.mode.decision.check]
        state, _, _ = step(state, furnace.answer(check).entered or "?", NOW)
    raise AssertionError("no advice came")


def put_right(state):
    """The job with nothing left open, back at its advice."""
    while state.open_items:
        state, _, _ = typed(state, "1" if isinstance(state.mode, Clearing) else "o")
    return state


def at_a_figure(state):
    """A job that stands at a check for which a meter or gauge is read."""
    for _ in range(60):
        if reads_a_figure(state.diagnosis.checks[state.mode.decision.check]):
            return state
        state, _, _ = step(state, "s", NOW)
    raise AssertionError("no check reads a figure")


def words(view):
    return "\n".join(line.words for line in job_screens.view_lines(view))
