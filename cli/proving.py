"""Proving in a job: each thing tried is put down, and what is not good is dealt with."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace

from lightoff.cli import wording
from lightoff.cli.asides import Listing
from lightoff.cli.drift_words import earlier_rows
from lightoff.cli.job_state import Proving, State, screen_of, title_of
from lightoff.cli.keys import BARE, WITH_WORDS, all_keys, back
from lightoff.cli.proof_views import good_in_words
from lightoff.cli.turns import Turn, again, close, happened, refuse, show
from lightoff.cli.views import View
from lightoff.engine.reasoning.answers import DONT_KNOW, ReadingError, understand
from lightoff.engine.reasoning.job import (
    AnyEvent,
    Cleared,
    Closed,
    Cured,
    Found,
    Proved,
    Proven,
    Repaired,
)
from lightoff.engine.reasoning.proof import outcome_of
from lightoff.engine.reasoning.table import repairs_in
from lightoff.engine.service.proving import Item, demanded, failing_in, is_proven, open_in

LONGEST_REASON = 300
"""Characters of a reason."""

STANDING: Mapping[str, str] = {
    "": "to do",
    "good": "good",
    "out": "NOT GOOD",
    "not-done": "left out",
}
"""How something stands, by its verdict."""


def cured(state: State, repair: str, now: str) -> Turn:
    """The furnace runs after a repair: what the repair demands is proved, then it is closed."""
    known = state.diagnosis.knowledge
    if not demanded(known, state.job.furnace, repairs_in(repair)):
        return close(state, Closed(time=now, how="found", repair=repair))
    note = f"It runs after {title_of(state, repair)!r}. Now prove it, and every safety."
    return happened(state, Cured(time=now, repair=repair), note=note)


def proving(state: State, entered: str, now: str) -> Turn:
    """What a typed line does while something is proved."""
    key, _, rest = entered.partition(" ")
    if key in KEYS:
        return KEYS[key](state, rest, now)
    if not rest and key in ("!", "q", "o"):
        return BARE[key](state, now)
    if key in WITH_WORDS and key != "t":
        return WITH_WORDS[key](state, rest, now)
    assert isinstance(state.mode, Proving)
    if not state.mode.item:
        return _at_the_end(state, entered, now)
    item = _item(state, state.mode.item)
    if state.mode.failing:
        return _about_failing(state, item, entered, now)
    return _answer(state, item, entered, now)


def _item(state: State, id_: str) -> Item:
    return next(each for each in state.to_prove if each.id == id_)


# --- answers ----------------------------------------------------------------------


def _answer(state: State, item: Item, entered: str, now: str) -> Turn:
    if not entered or entered.lower() in DONT_KNOW:
        return refuse(state, "What is not known is not proved. Try it, or type s and why not.")
    try:
        outcome = outcome_of(item, understand(item.check, entered))
    except ReadingError as error:
        return refuse(state, f"{wording.capital(str(error))}.")
    proved = Proved(
        time=now,
        proof=item.id,
        check=item.check.id,
        outcome=outcome,
        verdict=item.verdict(outcome),
        entered=entered,
    )
    if proved.verdict == "good":
        put_right = state.open_items if item.proof.clears else ()
        cleared = (Cleared(time=now, item=each) for each in put_right)
        turn = happened(state, proved, *cleared, note=f"Good: {item.proof.title}.")
        return _with_earlier(turn, item)
    return _not_good(state, item, proved)


def _with_earlier(turn: Turn, item: Item) -> Turn:
    """The turn with the readings of the years before behind its verdict, if there are any."""
    after, events, view = turn
    rows = earlier_rows(after.course(item))
    assert isinstance(view.note, str)
    return after, events, replace(view, note=Listing(view.note, rows)) if rows else view


def _not_good(state: State, item: Item, proved: Proved) -> Turn:
    """Something is not good: the work stops where the rules say so, else it is dealt with."""
    found = _as_finding(state, proved)
    stops = replace(state, events=(*state.events, *found)).advice.stopped if found else ()
    if stops:
        return happened(state, proved, *found)
    after, events, view = happened(state, proved, note="Noted.")
    after = replace(after, mode=Proving(item.id, failing=True))
    return after, events, View(screen_of(after), view.note)


def _as_finding(state: State, proved: Proved) -> tuple[AnyEvent, ...]:
    """What was tried as a finding of a diagnosis that goes on; none if no check of it does."""
    repair = state.job.to_prove
    before = (Repaired(time=proved.time, repair=repair),) if repair else ()
    if proved.check not in state.diagnosis.checks:
        return before
    found = Found(
        time=proved.time, check=proved.check, outcome=proved.outcome, entered=proved.entered
    )
    return (*before, found)


def _about_failing(state: State, item: Item, entered: str, now: str) -> Turn:
    if entered == "1":
        return show(replace(state, mode=Proving(item.id)))
    if entered == "2" and state.job.to_prove:
        last = state.job.proofs[-1]
        note = "It is not cured; the search goes on."
        return happened(state, *_as_finding(state, _at(last, now)), note=note)
    if entered == "3":
        return _next(state)
    return refuse(state, "Type one of the numbers or keys below.")


def _at(proved: Proved, now: str) -> Proved:
    from msgspec.structs import replace as replaced

    return replaced(proved, time=now)


def _next(state: State) -> Turn:
    left = open_in(state.to_prove, state.verdicts)
    return show(replace(state, mode=Proving(left[0].id if left else "")))


# --- the end ----------------------------------------------------------------------


def _at_the_end(state: State, entered: str, now: str) -> Turn:
    items, verdicts = state.to_prove, state.verdicts
    if is_proven(items, verdicts):
        if entered == "1":
            return close(state, _closing(state, now, "proven"))
        return refuse(state, "Type 1 to close the job, or one of the keys below.")
    failing = failing_in(items, verdicts)
    if entered.isascii() and entered.isdecimal() and 1 <= int(entered[:4]) <= len(failing):
        return show(replace(state, mode=Proving(failing[int(entered) - 1].id)))
    return refuse(state, f"Type a number from 1 to {len(failing)}, or u or x and why.")


def _closing(state: State, now: str, proof: Proven, reason: str = "") -> Closed:
    job = state.job
    if proof == "tagged":
        return Closed(time=now, how="left", proof=proof, reason=reason)
    if not job.to_prove:
        return Closed(time=now, how="serviced", proof=proof, reason=reason)
    return Closed(time=now, how="found", repair=job.to_prove, proof=proof, reason=reason)


def _unproven(state: State, reason: str, now: str) -> Turn:
    """Close it although not all is proved."""
    if is_proven(state.to_prove, state.verdicts):
        return refuse(state, "All of it is good; close it as proved.")
    closed = _closing(state, now, "unproven", reason)
    return _with_reason(state, reason, "u", lambda: close(state, closed))


def _tagged(state: State, reason: str, now: str) -> Turn:
    """Close it with the furnace shut down and tagged."""
    closed = _closing(state, now, "tagged", reason)
    return _with_reason(state, reason, "x", lambda: close(state, closed))


def _not_done(state: State, reason: str, now: str) -> Turn:
    """Leave out what is asked, for a reason."""
    assert isinstance(state.mode, Proving)
    if not state.mode.item or state.mode.failing:
        return refuse(state, "There is nothing asked now that could be left out.")
    item = _item(state, state.mode.item)
    left_out = Proved(
        time=now,
        proof=item.id,
        check=item.check.id,
        outcome=None,
        verdict="not-done",
        reason=reason,
    )
    note = f"Left out: {item.proof.title}. The job cannot be closed as proved so."
    return _with_reason(state, reason, "s", lambda: happened(state, left_out, note=note))


def _with_reason(state: State, reason: str, key: str, act: Callable[[], Turn]) -> Turn:
    if not reason:
        return refuse(state, f"Type the reason behind it, such as: {key} no analyser at hand")
    if len(reason) > LONGEST_REASON:
        return refuse(state, f"Keep the reason under {LONGEST_REASON} characters.")
    return act()


def _what_is_left(state: State, rest: str, now: str) -> Turn:
    """All that is to be proved, with how it stands."""
    verdicts = state.verdicts
    rows = tuple(
        f"{STANDING[verdicts.get(item.id, '')]}: {item.proof.title} ({good_in_words(item)})"
        for item in state.to_prove
    )
    head = "What is to be proved:" if state.job.to_prove else "What the visit goes through:"
    return again(state, Listing(head, rows))


KEYS: Mapping[str, Callable[[State, str, str], Turn]] = {
    "s": _not_done,
    "u": _unproven,
    "x": _tagged,
    "v": _what_is_left,
    "b": lambda state, rest, now: back(state, now),
    "h": lambda state, rest, now: all_keys(state, now),
}
