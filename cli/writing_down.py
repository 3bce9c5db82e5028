"""What a person writes down at any question: figures of the rating plate, and notes."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from lightoff.cli import wording
from lightoff.cli.asides import Listing
from lightoff.cli.job_state import State
from lightoff.cli.turns import Turn, again, happened, refuse
from lightoff.engine.library.rated import RatingError, by_model, ratings_for, understood
from lightoff.engine.reasoning.job import Noted, NoteKind, Rated
from lightoff.engine.service.proving import runs

WOULD_NOT_RUN = (
    "A sound furnace of this type would not run so, by the model. Read it again; if it does "
    "say that, leave it out: the model is not like this furnace there."
)

LONGEST_NOTE = 500
"""Characters of a note."""

ABOUT: Mapping[NoteKind, str] = {
    "label": "whose furnace it is, so that it is found again: n label serial 1207",
    "who": "who works on it",
    "part": "a part that was fitted",
    "told": "what the customer was told",
    "note": "anything else",
}
"""What a note may be about, in the order of telling."""


def rating_plate(state: State, words: str, now: str) -> Turn:
    """What was read off the furnace: listed, or one figure put down."""
    if not state.job.furnace:
        return refuse(state, "The type of furnace comes first; then read its rating plate.")
    furnace = state.knowledge.furnaces[state.job.furnace]
    known = {rating.id: rating for rating in ratings_for(state.knowledge, furnace)}
    read = dict(state.job.ratings)
    name, _, figure = words.partition(" ")
    if not words:
        rows = tuple(
            f"{id_}: {read[id_]}" if id_ in read else f"{id_}: {by_model(furnace, rating)} by model"
            for id_, rating in known.items()
        )
        return again(state, Listing("Read it off the furnace, then type k, its name and it:", rows))
    if name not in known:
        return refuse(state, f"No figure here has this name; they are {', '.join(known)}.")
    if not figure:
        return again(state, Listing(known[name].ask, (*known[name].how, f"k {name} FIGURE")))
    try:
        kept = understood(furnace, known[name], figure)
    except RatingError as error:
        return refuse(state, f"{wording.capital(str(error))}.")
    rated = Rated(time=now, rating=name, entered=kept)
    after = replace(state, events=(*state.events, rated))
    if not runs(after.diagnosis.furnace):
        return refuse(state, WOULD_NOT_RUN)
    note = f"Noted: {name.replace('-', ' ')} {kept}. It takes the place of the model's."
    return happened(state, rated, note=note)


def note(state: State, words: str, now: str) -> Turn:
    """Something written down in the person's own words."""
    about, _, text = words.partition(" ")
    if not words:
        rows = tuple(f"n {kind} TEXT: {meaning}" for kind, meaning in ABOUT.items())
        return again(state, Listing("Write something down:", rows))
    kind = next((each for each in ABOUT if each == about.lower()), None)
    if kind is None:
        kind, text = "note", words
    if not text:
        return refuse(state, f"Type it behind the word, such as: n {kind} TEXT")
    if len(text) > LONGEST_NOTE:
        return refuse(state, f"Keep a note under {LONGEST_NOTE} characters; write two.")
    return happened(state, Noted(time=now, about=kind, text=text), note="Written down.")
