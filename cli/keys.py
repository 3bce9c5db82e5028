"""The keys that work at a question and at advice, whatever is asked."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace

from lightoff.cli import asides, views, wording
from lightoff.cli.explaining import explained
from lightoff.cli.job_state import (
    Asking,
    Choosing,
    Clearing,
    Ended,
    MakingSafe,
    State,
    Stopping,
    screen_of,
    title_of,
)
from lightoff.cli.telling import tell
from lightoff.cli.turns import Turn, again, go_back, happened, refuse, show
from lightoff.cli.writing_down import note, rating_plate
from lightoff.engine.reasoning.interview import leading_belief, make_safe_checks
from lightoff.engine.reasoning.job import (
    CalledAgain,
    InterviewSkipped,
    JobState,
    TwoFaults,
    Undone,
    replay,
)
from lightoff.engine.reasoning.planning.repairing import repair_probabilities
from lightoff.engine.reasoning.table import repairs_in

LISTED = 9
"""Repairs listed at once."""

Key = Callable[[State, str, str], Turn]
"""(state, what is typed behind the key, time) -> turn."""

HELP: Mapping[str, str] = {
    "?": "you do not know; another check is looked for",
    "b": "back: take the last answer back",
    "s": "skip this check, it will not be done",
    "w": "why this check, and what each answer would do",
    "p": "all suspects",
    "e": "explain a suspect by its number under p or by a word: e 2, e hose",
    "l": "the rules that fired, in their words",
    "t": "tell what was not asked: t glow, or a reading: t volts R C heating 24.5 V",
    "i": "skip the rest of the interview, go on to measuring",
    "k": "what its rating plate says: k, or k manifold 3.5 inwc",
    "n": "write something down: n, or n label serial 1207",
    "r": "I repaired something",
    "c": "run another call for heat; what does not show now may show in it",
    "m": "more than one fault: reckon with two at once",
    "o": "what must be put right before the job may be closed",
    "!": "danger: stop work",
    "q": "save and leave",
    "h": "these keys",
}
"""What each key does, in the order of telling."""


def pressed(state: State, entered: str, now: str) -> Turn | None:
    """What a key does; None if the line is no key."""
    key, _, rest = entered.partition(" ")
    if key in NEED_A_FURNACE and state.is_furnace_open and (key == "e" or not rest):
        return refuse(state, "Which furnace it is comes first; then there are suspects.")
    if key in BARE and not rest:
        return BARE[key](state, now)
    return WITH_WORDS[key](state, rest, now) if key in WITH_WORDS else None


# --- taking back ------------------------------------------------------------------


def back(state: State, now: str) -> Turn:
    """Out of a side question, or the last thing taken back."""
    if isinstance(state.mode, Asking) and (state.mode.further or state.mode.volunteered):
        return go_back(state)
    job = state.job
    undone = Undone(time=now)
    before = replay((*state.events, undone))
    if before == job:
        return refuse(state, "This is the beginning; there is nothing to take back.")
    if len(before.findings) < len(job.findings) and _is_sign(state, job):
        return show(replace(state, mode=MakingSafe(first=False)))
    return happened(state, undone, note=f"Taken back: {_taken_back(state, job, before)}.")


def _is_sign(state: State, job: JobState) -> bool:
    return job.findings[-1].check in make_safe_checks(state.knowledge, job.furnace)


def _taken_back(state: State, job: JobState, before: JobState) -> str:
    if job.findings != before.findings:
        return wording.finding_in_words(state.diagnosis, job.findings[-1])
    if job.repaired != before.repaired:
        return f"the repair {title_of(state, job.repaired[-1])!r}"
    if job.skipped != before.skipped:
        return f"skipping {job.skipped[-1].replace('-', ' ')}"
    if job.seen != before.seen:
        return f"what was seen of {job.seen[-1][0].replace('-', ' ')}"
    if job.cleared != before.cleared:
        return f"that this is put right: {job.cleared[-1][0]}"
    if job.proofs != before.proofs:
        return f"what was tried: {job.proofs[-1].proof.replace('-', ' ')}"
    if job.to_prove != before.to_prove:
        return f"that it runs after {title_of(state, job.to_prove)!r}"
    if job.ratings != before.ratings:
        return "the last figure of the rating plate"
    if job.notes != before.notes:
        return f"the note {job.notes[-1].text!r}"
    if job.call != before.call:
        return "the last call for heat"
    if job.two_faults != before.two_faults:
        return "reckoning with two faults at once"
    return "the type of furnace" if job.furnace != before.furnace else "skipping the interview"


# --- looking up -------------------------------------------------------------------


def why(state: State, now: str) -> Turn:
    """What the check is for; the rules that fired are under another key."""
    if not isinstance(state.mode, Asking) or state.mode.decision.check is None:
        return again(state, "No check left is worth its time; what speaks for it is above.")
    mode, check = state.mode, state.mode.decision.check
    belief = leading_belief(state.diagnosis, state.job, state.advice, check)
    wanted = mode.rule.entry.says if mode.rule else ""
    return again(state, asides.why(state.diagnosis, belief, state.job, check, wanted))


def suspects(state: State, now: str) -> Turn:
    """All suspects that matter."""
    return again(state, wording.all_suspects(state.diagnosis, state.belief))


def rules(state: State, now: str) -> Turn:
    """Every rule that fired, in its words."""
    rows = tuple(rule.entry.says for rule in state.advice.fired)
    if not rows:
        return again(state, "No rule has fired yet.")
    return again(state, asides.Listing("What the rules say of this job:", rows))


def explain(state: State, words: str, now: str) -> Turn:
    """A suspect: what speaks for it and against it."""
    suspect = asides.named_suspect(state.diagnosis, state.belief, words)
    if suspect is None:
        return refuse(state, "No suspect has this number or these words; p shows them all.")
    return again(state, explained(state.diagnosis, state.advice, suspect))


def all_keys(state: State, now: str) -> Turn:
    """What every key does."""
    rows = tuple(f"{key}  {does}" for key, does in HELP.items())
    return again(state, asides.Listing("Keys, besides the answers:", rows))


# --- going elsewhere --------------------------------------------------------------


def skip_interview(state: State, now: str) -> Turn:
    """Leave the rest of the interview out."""
    asking = state.mode if isinstance(state.mode, Asking) else None
    if asking is None or asking.phase == "narrow" or state.job.interview_skipped:
        return refuse(state, "The interview is over; these are the checks that tell most.")
    skipped = InterviewSkipped(time=now)
    return happened(state, skipped, note="The rest of the interview is left out.")


def repaired(state: State, now: str) -> Turn:
    """The person has repaired something."""
    return show(replace(state, mode=Choosing(repairs_named(state, "")[:LISTED])))


def another_call(state: State, now: str) -> Turn:
    """The furnace is called for heat once more."""
    note = "Another call for heat: watch it from standby to the end."
    return happened(state, CalledAgain(time=now), note=note)


def two_faults(state: State, now: str) -> Turn:
    """Two faults at once are reckoned with, whatever single ones explain."""
    if state.job.two_faults:
        return again(state, "Two faults at once are reckoned with already.")
    note = "Two faults at once are reckoned with from now on; p shows the suspects."
    return happened(state, TwoFaults(time=now), note=note)


def open_list(state: State, now: str) -> Turn:
    """What must be put right before the job may be closed."""
    if not state.open_items:
        return again(state, "Nothing is open: no safety is known to be bypassed.")
    return show(replace(state, mode=Clearing()))


def danger(state: State, now: str) -> Turn:
    """A danger was met."""
    return show(replace(state, mode=Stopping()))


def leave(state: State, now: str) -> Turn:
    """Save and leave."""
    after = replace(state, mode=Ended(None))
    return after, (), views.View(screen_of(after))


def repairs_named(state: State, entered: str) -> tuple[str, ...]:
    """Repairs to be tried whose id or title holds all the words, likeliest first."""
    stay_off = {each.id for each in state.knowledge.repairs.values() if each.stays_off}
    not_tried = wording.WITHOUT_FAULT.keys() | stay_off
    words = entered.lower().replace("-", " ").split()
    return tuple(
        repair
        for repair in repair_probabilities(state.belief)
        if not_tried.isdisjoint(repairs_in(repair))
        and all(word in f"{repair} {title_of(state, repair)}".lower() for word in words)
    )


BARE: Mapping[str, Callable[[State, str], Turn]] = {
    "b": back,
    "w": why,
    "p": suspects,
    "l": rules,
    "h": all_keys,
    "i": skip_interview,
    "r": repaired,
    "c": another_call,
    "m": two_faults,
    "o": open_list,
    "!": danger,
    "q": leave,
}
WITH_WORDS: Mapping[str, Key] = {"e": explain, "t": tell, "k": rating_plate, "n": note}
NEED_A_FURNACE = ("c", "e", "m", "p", "r", "w")
ALWAYS = ("!", "q")
"""Keys that work on every screen but the signs of danger themselves."""
