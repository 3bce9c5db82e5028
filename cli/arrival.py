"""The first questions of a job: what must be made safe, and which furnace it is."""

from __future__ import annotations

from lightoff.cli import danger
from lightoff.cli.job_state import Identifying, State
from lightoff.cli.keys import BARE
from lightoff.cli.telling import is_not_known
from lightoff.cli.turns import Turn, happened, refuse
from lightoff.engine.entries.furnaces import FeatureEntry
from lightoff.engine.reasoning.belief import counted
from lightoff.engine.reasoning.identify import ChooseAmong, Confirm, LookFor
from lightoff.engine.reasoning.interview import make_safe_checks
from lightoff.engine.reasoning.job import Found, Identified, Seen

NONE = ("n", "no", "none")
ANOTHER_FURNACE = (
    "Another furnace is not known here: what follows would not fit it. "
    "Type y if it is this one, b to go back, q to leave."
)


def make_safe(state: State, entered: str, now: str) -> Turn:
    """Signs named by number: they are put down, and the work stops. Or none of them is.

    What was put down before is not put down again.
    """
    signs = make_safe_checks(state.knowledge, state.job.furnace)
    if entered.lower() == "q":
        return BARE["q"](state, now)
    named = danger.read_signs(entered, signs)
    if not named and entered.lower() not in NONE:
        return refuse(state, danger.LOOK_FIRST)
    outcome = "yes" if named else "no"
    answers = counted(state.job.findings)
    events = [
        Found(time=now, check=sign, outcome=outcome, entered=entered)
        for sign in named or signs
        if sign not in answers or answers[sign].outcome != outcome
    ]
    return happened(state, *events, note="Noted: none of these.")


def identify(state: State, entered: str, now: str) -> Turn:
    """What is seen of the furnace, the confirmation of a type, or a choice among types."""
    assert isinstance(state.mode, Identifying)
    if entered in ("b", "!", "q", "h", "o"):
        return BARE[entered](state, now)
    match state.mode.what:
        case LookFor(feature=feature):
            return _see(state, feature, entered, now)
        case Confirm(furnace=furnace) if entered.lower() in ("y", "yes", "1"):
            return happened(state, Identified(time=now, furnace=furnace.id), note="Noted.")
        case Confirm():
            return refuse(state, ANOTHER_FURNACE)
        case ChooseAmong(furnaces=furnaces):
            number = number_in(entered)
            if not 1 <= number <= len(furnaces):
                return refuse(state, f"Type a number from 1 to {len(furnaces)}.")
            chosen = furnaces[number - 1].id
            return happened(state, Identified(time=now, furnace=chosen), note="Noted.")


def _see(state: State, feature: FeatureEntry, entered: str, now: str) -> Turn:
    values = list(feature.values)
    if is_not_known(entered):
        return happened(state, Seen(time=now, feature=feature.id, value=None), note="Noted.")
    if not 1 <= number_in(entered) <= len(values):
        return refuse(state, "Type the number of what you see, or ? if you cannot tell.")
    value = values[number_in(entered) - 1]
    return happened(state, Seen(time=now, feature=feature.id, value=value), note="Noted.")


def number_in(entered: str) -> int:
    """A number as typed; 0 if it is none."""
    return int(entered[:4]) if entered.isascii() and entered.isdecimal() else 0
