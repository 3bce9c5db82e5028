"""Why this check, why this suspect rather than the others, and what would change that."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from lightoff.engine.model import Rule
from lightoff.engine.reasoning.advice import leanings_of
from lightoff.engine.reasoning.belief import (
    Belief,
    Finding,
    Period,
    entered,
    log_likelihood,
    log_prior,
)
from lightoff.engine.reasoning.leave_out import (
    belonging,
    likeliest,
    outcome_chances,
    outcome_place,
    without,
)
from lightoff.engine.reasoning.overturn import Flip, Turn, flips, turns
from lightoff.engine.reasoning.planning.choice import decision_for
from lightoff.engine.reasoning.planning.costs import Costs, Setup
from lightoff.engine.reasoning.planning.problem import Flags
from lightoff.engine.reasoning.planning.repairing import repair_probabilities
from lightoff.engine.reasoning.suspects import Suspect, suspects_of
from lightoff.engine.reasoning.table import Floats

LEADING = 3
"""How many repairs are shown per outcome."""

RULES = "rules"
"""The evidence of all rules together, where it is not told which ones fired."""

NEW_CALL = "new call"
"""A new call for heat, in which a fault that comes and goes may show or not."""

Evidence = Finding | Rule | str
"""A finding, a rule that fired, the id of a repair that did not cure, or one of the above."""


# --- a check ----------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class AfterOutcome:
    """What one outcome of a check would leave."""

    outcome: str
    chance: float
    leading: tuple[tuple[str, float], ...]
    """The likeliest repairs then, with their probabilities."""


@dataclass(frozen=True, slots=True)
class WhyCheck:
    """What a check would tell, and at what price in minutes."""

    check: str
    gain: float
    """Share of the EC2 weight it is expected to cut, 0 to 1."""
    minutes: float
    repair_now: float
    repair_after: float
    outcomes: tuple[AfterOutcome, ...]


def why_check(belief: Belief, costs: Costs, check: str, setup_now: Setup) -> WhyCheck:
    """What each outcome of a check would do; KeyError if the table lacks the check."""
    chances = belief.table.likelihood[belief.table.rows(check)] @ belief.probabilities
    index = belief.table.checks.index(check)
    figures = decision_for(belief, costs, setup_now, check)
    return WhyCheck(
        check=check,
        gain=figures.gain or 0.0,
        minutes=figures.minutes or 0.0,
        repair_now=figures.repair_now,
        repair_after=figures.repair_after or 0.0,
        outcomes=tuple(
            _after(belief, check, outcome, float(chance))
            for outcome, chance in zip(belief.table.outcomes[index], chances, strict=True)
        ),
    )


def _after(belief: Belief, check: str, outcome: str, chance: float) -> AfterOutcome:
    if chance <= 0.0:
        return AfterOutcome(outcome, 0.0, ())
    then = repair_probabilities(belief.given(Finding(check, outcome)))
    return AfterOutcome(outcome, chance, tuple(then.items())[:LEADING])


# --- one hypothesis against another -----------------------------------------------


@dataclass(frozen=True, slots=True)
class Weight:
    """What one piece of evidence says for hypothesis a against hypothesis b."""

    evidence: Evidence
    """As above, or "prior"."""
    decibans: float
    """10 * log10 of the likelihood ratio: above zero for a, below for b."""


def weights_of(belief: Belief, a: str, b: str) -> tuple[Weight, ...]:
    """Weight of evidence for hypothesis a against b, piece by piece (I. J. Good).

    The decibans add up to 10 * log10 of P(a) / P(b). KeyError for an unknown hypothesis.
    """
    pieces = [("prior", log_prior(belief.origin)), *_evidence(belief)]
    first, second = _index(belief, a), _index(belief, b)
    return tuple(
        Weight(evidence, _decibans(float(logs[first]), float(logs[second])))
        for evidence, logs in pieces
    )


def _index(belief: Belief, hypothesis: str) -> int:
    for index, candidate in enumerate(belief.table.hypotheses):
        if candidate.id == hypothesis:
            return index
    raise KeyError(hypothesis)


def _evidence(belief: Belief, fired: Iterable[Rule] = ()) -> list[tuple[Evidence, Floats]]:
    """Each piece of evidence in the order it came, with its log factors, shape (hypotheses,)."""
    pieces = _said_by_rules(belief, fired)
    weights = np.sum([log_prior(belief.origin), *(logs for _, logs in pieces)], axis=0)
    for period in belief.periods():
        further = [*_entering(belief, period, weights), *_found(period)]
        weights = np.sum([weights, *(logs for _, logs in further)], axis=0)
        pieces += further
    return pieces


def _said_by_rules(belief: Belief, fired: Iterable[Rule]) -> list[tuple[Evidence, Floats]]:
    weighing = [rule for rule in fired if rule.weighs]
    if weighing:
        return [(rule, leanings_of(belief.origin, [rule])) for rule in weighing]
    leans = belief.leanings is not None and belief.leanings.any()
    return [(RULES, belief.leanings)] if leans and belief.leanings is not None else []


def _entering(belief: Belief, period: Period, weights: Floats) -> list[tuple[Evidence, Floats]]:
    """What a repair says, and what the call that follows it does, or a new call alone."""
    pieces: list[tuple[Evidence, Floats]] = []
    if period.not_cured is not None:
        pieces.append((belief.repaired[period.repairs - 1], period.not_cured))
        weights = weights + period.not_cured
    if period.begins:
        return pieces
    drawn = entered(belief.origin, replace(period, not_cured=None), weights)
    moved = np.where(drawn == weights, 0.0, drawn - weights)
    return [*pieces, (NEW_CALL, moved)] if moved.any() else pieces


def _found(period: Period) -> list[tuple[Evidence, Floats]]:
    return [(each, log_likelihood(period.table, each)) for each in period.findings]


# --- one suspect against the rest -------------------------------------------------


@dataclass(frozen=True, slots=True)
class Predicted:
    """What the model expects of a check for a suspect, given all other findings."""

    outcome: str
    """The likeliest outcome."""
    chance: float
    of_found: float
    """The chance of what was found instead, or just that."""


@dataclass(frozen=True, slots=True)
class Piece:
    """What one piece of evidence says for a suspect against all the others together."""

    evidence: Evidence
    decibans: float
    """10 * log10 of P(evidence | suspect) / P(evidence | the others), given all other
    evidence. Without this piece the odds of the suspect are lower by just so much."""
    as_it_came: float
    """The same, given only what comes before it. These add up: see `Explanation.odds`."""
    predicted: Predicted | None
    """For a finding only."""


@dataclass(frozen=True, slots=True)
class Explanation:
    """What speaks for a suspect and against it; weights and odds in decibans."""

    suspect: Suspect
    prior: float
    odds: float
    """Of the suspect against all the others: `prior` and all `as_it_came` added up."""
    pieces: tuple[Piece, ...]
    """Rules, then findings and repairs that did not cure in the order they came."""
    turns: tuple[Turn, ...]
    """Findings that would overturn it, the likeliest first: if its repair leads, those
    after which another does; else those after which its repair does."""
    flip: Flip | None
    """The finding that, had it come out otherwise, would most easily change which repair
    leads; None if none would."""

    def speaking_for(self, least: float = 0.0) -> tuple[Piece, ...]:
        """Pieces of more than so many decibans for the suspect, strongest first."""
        speaking = [piece for piece in self.pieces if piece.decibans > least]
        return tuple(sorted(speaking, key=lambda piece: -piece.decibans))

    def speaking_against(self, least: float = 0.0) -> tuple[Piece, ...]:
        """Pieces of more than so many decibans against the suspect, strongest first."""
        speaking = [piece for piece in self.pieces if piece.decibans < -least]
        return tuple(sorted(speaking, key=lambda piece: piece.decibans))


def explain_suspect(belief: Belief, suspect_id: str, fired: Sequence[Rule] = ()) -> Explanation:
    """Everything that bears on a suspect; KeyError if there is no such suspect.

    `fired` are the rules behind the leanings of the belief; without them, what the rules
    say counts as one piece.
    """
    suspect = _suspect(belief, suspect_id)
    own = belonging(belief.table, suspect_id)
    evidence = _evidence(belief, fired)
    logs = np.array([log_prior(belief.origin), *(each for _, each in evidence)])
    odds = [_odds(weights, own) for weights in np.cumsum(logs, axis=0)]
    # A new call only divides the weight of a suspect anew: it speaks for none.
    pieces = [
        _piece(belief, own, each, factors, odds[number - 1 :])
        for number, (each, factors) in enumerate(evidence, start=1)
        if each != NEW_CALL
    ]
    repair = suspect.repair if suspect.faults else suspect.id
    return Explanation(
        suspect=suspect,
        prior=odds[0],
        odds=odds[-1],
        pieces=tuple(pieces),
        turns=turns(belief, repair),
        flip=next(iter(flips(belief)), None),
    )


def _suspect(belief: Belief, suspect_id: str) -> Suspect:
    for suspect in suspects_of(belief):
        if suspect.id == suspect_id:
            return suspect
    raise KeyError(suspect_id)


def _piece(
    belief: Belief, own: Flags, evidence: Evidence, factors: Floats, odds: Sequence[float]
) -> Piece:
    """`factors` are its log factors; `odds` begin with those before it came."""
    found = evidence if isinstance(evidence, Finding) else None
    others = belief.log_weights - factors if found is None else without(belief, found)
    return Piece(
        evidence=evidence,
        decibans=_difference(_odds(belief.log_weights, own), _odds(others, own)),
        as_it_came=_difference(odds[1], odds[0]),
        predicted=None if found is None else _predicted(belief, own, found, others),
    )


def _predicted(belief: Belief, own: Flags, evidence: Finding, others: Floats) -> Predicted:
    table = belief.table_of(evidence)
    outcome, chance = likeliest(table, evidence.check, others, own)
    chances = outcome_chances(table, evidence.check, others, own)
    return Predicted(outcome, chance, float(chances[outcome_place(table, evidence)]))


# --- decibans ---------------------------------------------------------------------


def _odds(log_weights: Floats, own: Flags) -> float:
    """Decibans of some hypotheses together against all the others together."""
    return _decibans(
        float(np.logaddexp.reduce(log_weights[own])), float(np.logaddexp.reduce(log_weights[~own]))
    )


def _decibans(log_a: float, log_b: float) -> float:
    return 10.0 * _difference(log_a, log_b) / float(np.log(10.0))


def _difference(a: float, b: float) -> float:
    # Two impossible things are equally impossible: inf - inf would be no number.
    return 0.0 if a == b else a - b
