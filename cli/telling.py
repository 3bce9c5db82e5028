"""What a person tells unasked: looked for by words, or understood as a reading."""

from __future__ import annotations

from dataclasses import replace

from lightoff.cli import wording
from lightoff.cli.asides import Listing
from lightoff.cli.job_state import Asking, State, Telling
from lightoff.cli.turns import Turn, again, happened, refuse, show
from lightoff.engine.model import Check
from lightoff.engine.reasoning.answers import DONT_KNOW, ENDLESS, ReadingError, understand
from lightoff.engine.reasoning.job import AnyEvent, Found, Told
from lightoff.engine.reasoning.planning.choice import decision_for
from lightoff.engine.reasoning.search import search
from lightoff.engine.reasoning.tell import (
    FORMS,
    check_that_reads,
    is_reading,
    understand_reading,
)

HOW_TO_TELL = Listing(
    "Tell what was not asked, in everyday words, or as a reading:",
    ("t glow", "t water in the hose", *(f"t {form.example}" for form in FORMS.values())),
)


def tell(state: State, words: str, now: str) -> Turn:
    """What the words behind the key lead to: a reading put down, or checks to choose from."""
    if not words:
        return again(state, HOW_TO_TELL)
    if _holds_a_figure(words) and is_reading(words.split()):
        return _tell_reading(state, words.split(), now)
    return look_for(state, words)


def _holds_a_figure(words: str) -> bool:
    return any(map(str.isdecimal, words)) or words.split()[-1].lower() in ENDLESS


def _tell_reading(state: State, words: list[str], now: str) -> Turn:
    if not state.job.furnace:
        return refuse(state, "The type of furnace comes first; then tell what you measured.")
    try:
        told = understand_reading(state.diagnosis.furnace, words, now)
        event = as_answer(state, told)
    except ReadingError as error:
        return refuse(state, f"{wording.capital(str(error))}.")
    return happened(state, event)


def as_answer(state: State, told: Told) -> AnyEvent:
    """The reading as an answer to the check that takes it, if one does."""
    check = check_that_reads(state.diagnosis.checks.values(), told)
    if check is None:
        return told
    return found(check, told.entered, told.time, unasked=True)


def found(check: Check, entered: str, now: str, unasked: bool = False) -> Found:
    """An answer put down; ReadingError if it cannot be one."""
    finding = understand(check, entered)
    return Found(
        time=now,
        check=check.id,
        outcome=finding.outcome,
        entered=finding.entered,
        unasked=unasked,
    )


def look_for(state: State, words: str) -> Turn:
    """The checks that some words mean: asked at once if it is one, else to choose from."""
    askable = _askable(state)
    named = [check for check in askable if check.id == words.lower().replace(" ", "-")]
    hits = named or search(askable, words)
    if not hits:
        return refuse(state, "Nothing here has these words; try others, or a reading (t alone).")
    if len(hits) == 1:
        return volunteer(state, hits[0].id)
    return show(replace(state, mode=Telling(tuple(check.id for check in hits))))


def _askable(state: State) -> list[Check]:
    """All checks; while the furnace is not known, those that are the same for any."""
    told = {reading.check for reading in state.job.readings}
    known = [] if state.job.furnace else list(state.knowledge.checks.values())
    return [
        check
        for check in state.diagnosis.checks.values()
        if check.id not in told and all(check.id in checks for checks in known)
    ]


def volunteer(state: State, check: str) -> Turn:
    """The question whose answer the person wants to tell."""
    diagnosis = state.diagnosis
    decision = decision_for(state.belief, diagnosis.costs, diagnosis.setup_now(state.job), check)
    return show(replace(state, mode=Asking(decision, volunteered=True)))


def is_not_known(entered: str) -> bool:
    """Whether an answer says that the person does not know."""
    return entered.lower() in DONT_KNOW
