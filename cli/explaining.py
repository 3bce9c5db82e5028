"""A suspect explained in words: what speaks for it and against it, what would overturn it."""

from __future__ import annotations

from collections.abc import Iterable

from lightoff.cli.asides import Listing
from lightoff.cli.wording import (
    SPEAKS,
    capital,
    finding_in_words,
    odds,
    percent,
    repair_title,
    suspect_name,
)
from lightoff.engine.model import NOT_REACHED, Rule
from lightoff.engine.reasoning.advice import Advice
from lightoff.engine.reasoning.belief import Finding
from lightoff.engine.reasoning.diagnosis import Diagnosis
from lightoff.engine.reasoning.explain import Explanation, Piece, explain_suspect
from lightoff.engine.reasoning.overturn import Flip, Turn
from lightoff.engine.reasoning.suspects import Suspect

MOST_PIECES = 5
"""Pieces of evidence named on each side."""


def explained(diagnosis: Diagnosis, advice: Advice, suspect: Suspect) -> Listing:
    """Everything that bears on a suspect, the weightiest first."""
    told = explain_suspect(advice.belief, suspect.id, advice.fired)
    head = f"{suspect_name(diagnosis, suspect)}, {percent(suspect.probability)}"
    return Listing(head, tuple(_rows(diagnosis, told)))


def _rows(diagnosis: Diagnosis, told: Explanation) -> Iterable[str]:
    for fault in told.suspect.faults:
        yield diagnosis.furnace.faults[fault].entry.because
    speaking = (
        ("For it", told.speaking_for(SPEAKS)),
        ("Against it", told.speaking_against(SPEAKS)),
    )
    for side, pieces in speaking:
        if not pieces:
            yield f"{side}: nothing that was found, nor any rule."
        for piece in pieces[:MOST_PIECES]:
            yield f"{side}: {_piece(diagnosis, piece)}"
    if told.flip is not None:
        yield _flip(diagnosis, told.flip)
    reached = [turn for turn in told.turns if turn.outcome != NOT_REACHED]
    for turn in (reached or told.turns)[:1]:
        yield _turn(diagnosis, turn)


def _piece(diagnosis: Diagnosis, piece: Piece) -> str:
    weight = odds(abs(piece.decibans))
    if piece.decibans < 0:
        weight = weight.replace("likelier", "less likely")
    said = f"{evidence_in_words(diagnosis, piece.evidence)} ({weight})"
    if piece.predicted is None or not isinstance(piece.evidence, Finding):
        return said
    expected = _outcome(diagnosis, piece.evidence.check, piece.predicted.outcome)
    if piece.predicted.outcome == piece.evidence.outcome:
        return f"{said}; with it this is expected, {percent(piece.predicted.chance)}"
    chance = percent(piece.predicted.chance)
    return f"{said}; with it {expected!r} is expected, {chance}"


def evidence_in_words(diagnosis: Diagnosis, evidence: Finding | Rule | str) -> str:
    """A finding, a rule in its words, or a repair that did not cure."""
    match evidence:
        case Finding():
            return finding_in_words(diagnosis, evidence)
        case Rule():
            return evidence.entry.says.rstrip(".")
        case repair:
            return f"{repair_title(diagnosis.knowledge, repair)!r} was done and did not cure"


def _flip(diagnosis: Diagnosis, flip: Flip) -> str:
    was = finding_in_words(diagnosis, flip.finding)
    instead = _outcome(diagnosis, flip.finding.check, flip.outcome)
    then = repair_title(diagnosis.knowledge, flip.leading)
    leads = f"{then!r} would lead, {percent(flip.share)}"
    return f"Rests most on: {was}. Had it been {instead!r}, {leads}."


def _turn(diagnosis: Diagnosis, turn: Turn) -> str:
    ask = diagnosis.checks[turn.check].entry.ask
    answer = capital(_outcome(diagnosis, turn.check, turn.outcome))
    then = repair_title(diagnosis.knowledge, turn.leading)
    return (
        f"One finding that would change the lead: {ask} {answer} ({percent(turn.chance)} likely): "
        f"then {then!r} leads, {percent(turn.share)}."
    )


def _outcome(diagnosis: Diagnosis, check: str, outcome: str) -> str:
    return next(each.text for each in diagnosis.checks[check].outcomes if each.id == outcome)
