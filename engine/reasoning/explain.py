"""Why this check, why this suspect rather than the others, and what would change that."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from lightoff.engine.model import Rule
from lightoff.engine.reasoning.advice import leanings_of
from lightoff.engine.reasoning.belief import (
    Belief,
    Finding,
    counted,
    in_table_order,
    log_likelihood,
    log_not_cured,
    log_prior,
)
from lightoff.engine.reasoning.choice import Flags, assess
from lightoff.engine.reasoning.costs import Costs, Setup
from lightoff.engine.reasoning.leave_out import (
    belonging,
    likeliest,
    outcome_chances,
    outcome_place,
)
from lightoff.engine.reasoning.overturn import Flip, Turn, flips, turns
from lightoff.engine.reasoning.repairing import repair_probabilities
from lightoff.engine.reasoning.suspects import Suspect, suspects_of
from lightoff.engine.reasoning.table import Floats

LEADING = 3
"""How many repairs are shown per outcome."""

RULES = "rules"
"""The evidence of all rules together, where it is not told which ones fired."""

Evidence = Finding | Rule | str
"""A finding, a rule that fired, the id of a repair that did not cure, or `RULES`."""


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
    figures = assess(belief, costs, setup_now)
    return WhyCheck(
        check=check,
        gain=float(figures.gains[index]),
        minutes=float(figures.minutes[index]),
        repair_now=figures.repair_now,
        repair_after=float(figures.repair_after[index]),
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
    table = belief.table
    answers = counted(belief.findings)
    in_order = [answers[check] for check in in_table_order(table, answers)]
    pieces = [("prior", log_prior(table)), *_evidence(belief, in_order)]
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


def _evidence(
    belief: Belief, answers: Iterable[Finding], fired: Iterable[Rule] = ()
) -> list[tuple[Evidence, Floats]]:
    """Each piece of evidence with its log factors, shape (hypotheses,)."""
    table = belief.table
    weighing = [rule for rule in fired if rule.weighs]
    pieces: list[tuple[Evidence, Floats]] = [
        (rule, leanings_of(table, [rule])) for rule in weighing
    ]
    if not weighing and belief.leanings is not None and belief.leanings.any():
        pieces = [(RULES, belief.leanings)]
    pieces += [(answer, log_likelihood(table, answer)) for answer in answers]
    pieces += [(repair, log_not_cured(table, repair)) for repair in sorted(set(belief.repaired))]
    return pieces


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
    """Rules, findings in the order they were made, repairs that did not cure."""
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
    evidence = _evidence(belief, counted(belief.findings).values(), fired)
    before = log_prior(belief.table)
    logs = np.array([before, *(each for _, each in evidence)])
    odds = [_odds(weights, own) for weights in np.cumsum(logs, axis=0)]
    pieces = [
        _piece(belief, own, each, np.delete(logs, number, axis=0).sum(axis=0), odds[number - 1 :])
        for number, (each, _) in enumerate(evidence, start=1)
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
    belief: Belief, own: Flags, evidence: Evidence, without: Floats, odds: Sequence[float]
) -> Piece:
    """`without` are the log weights without it; `odds` begin with those before it came."""
    return Piece(
        evidence=evidence,
        decibans=_difference(_odds(belief.log_weights, own), _odds(without, own)),
        as_it_came=_difference(odds[1], odds[0]),
        predicted=_predicted(belief, own, evidence, without),
    )


def _predicted(belief: Belief, own: Flags, evidence: Evidence, without: Floats) -> Predicted | None:
    if not isinstance(evidence, Finding) or evidence.outcome is None:
        return None
    table = belief.table
    outcome, chance = likeliest(table, evidence.check, without, own)
    chances = outcome_chances(table, evidence.check, without, own)
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
