"""Findings to look at a second time, and whether what is known suffices to explain them all."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from lightoff.engine.model import SOMETHING_ELSE
from lightoff.engine.reasoning.belief import Belief, Finding
from lightoff.engine.reasoning.leave_out import (
    belonging,
    likeliest,
    normalised,
    outcome_chances,
    outcome_place,
    with_it,
    without,
)
from lightoff.engine.reasoning.planning.problem import Flags
from lightoff.engine.reasoning.suspects import Suspect, suspect_id_of, suspects_of
from lightoff.engine.reasoning.table import Floats, Table

UNEXPECTED = 0.08
"""A finding less likely than this, given all the others, is not to be expected."""
OTHERWISE = 3.0
"""It is out of place only if another outcome was at least so many times likelier."""
EXPLAINED = 0.5
"""With the finding, the suspects that are left must predict it at least as well as this.

The three were chosen on simulated furnaces with every single fault: they name 92 % of the
wrong answers given early in a job, and 0.4 % of the right ones."""
SHOWN = 3
"""Suspects named for a misfit."""

SURPRISING = 2.0
"""Standard deviations from which the findings are too surprising for any suspect: on
simulated furnaces, no job with right answers or with one wrong answer gets there, 55 % of
those with two and 78 % of those with three, and 12 % of those with a fault not known here:
most of these look like one that is."""
ROUNDING = 1e-9
"""Nats below which a surprise is none, only rounding."""
NOT_KNOWN = 0.2
"""Share of "something else" from which the hypotheses do not suffice (from memory)."""


@dataclass(frozen=True, slots=True)
class WouldShow:
    """What a check would most likely show if a suspect were the one, and how likely."""

    suspect: Suspect
    """With its probability without the misfit."""
    outcome: str
    chance: float


@dataclass(frozen=True, slots=True)
class Misfit:
    """A finding that fits no suspect well: it may be misread."""

    finding: Finding
    chance: float
    """Of this finding, given all the others."""
    expected: str
    expected_chance: float
    """The likeliest outcome, given all the others."""
    would_show: tuple[WouldShow, ...]
    """What the likeliest suspects without it would have shown."""


@dataclass(frozen=True, slots=True)
class Sufficiency:
    """Whether some hypothesis explains the findings about as well as it should."""

    bits_per_finding: float
    """Surprise, -log2 P(all findings) / how many; 0 without any."""
    surprise: float
    """Standard deviations by which the findings are more surprising than they would be if
    the likeliest suspect were the one (below zero: less)."""
    something_else: float
    """Probability of a fault that is not known here; 0 if the table has no such hypothesis."""

    @property
    def suffices(self) -> bool:
        return self.surprise < SURPRISING and self.something_else < NOT_KNOWN


# --- findings out of place --------------------------------------------------------


def misfits(belief: Belief) -> tuple[Misfit, ...]:
    """Findings that fit no suspect well, those least to be expected first.

    Such a finding was not to be expected from all the others, and the suspects that are
    left with it do not predict it either. So a rare fault, well explained, is no misfit.
    """
    findings = belief.weighed
    found = [misfit for each in findings if (misfit := _misfit(belief, each)) is not None]
    return tuple(sorted(found, key=lambda misfit: misfit.chance))


def _misfit(belief: Belief, finding: Finding) -> Misfit | None:
    table, anything = belief.table_of(finding), np.ones(len(belief.log_weights), dtype=np.bool_)
    others = without(belief, finding)
    place = outcome_place(table, finding)
    chance = float(outcome_chances(table, finding.check, others, anything)[place])
    expected, expected_chance = likeliest(table, finding.check, others, anything)
    if chance >= UNEXPECTED or OTHERWISE * chance >= expected_chance:
        return None
    left = with_it(belief, finding)
    if outcome_chances(table, finding.check, left, anything)[place] >= EXPLAINED:
        return None
    return Misfit(finding, chance, expected, expected_chance, _would_show(table, finding, others))


def _would_show(table: Table, finding: Finding, others: Floats) -> tuple[WouldShow, ...]:
    suspects = suspects_of(Belief(table, others))[:SHOWN]
    return tuple(
        WouldShow(each, *likeliest(table, finding.check, others, belonging(table, each.id)))
        for each in suspects
    )


# --- all findings together --------------------------------------------------------


def sufficiency(belief: Belief) -> Sufficiency:
    """How well the findings are explained; see `Sufficiency.suffices` for the answer."""
    findings = belief.weighed
    known = np.array([each.id != SOMETHING_ELSE for each in belief.table.hypotheses])
    shares = normalised(belief.log_weights)
    likeliest_one = belief.table.hypotheses[int(np.where(known, shares, -1.0).argmax())]
    evidence = replace(belief, leanings=None).rested_on(belief.findings).log_evidence
    return Sufficiency(
        bits_per_finding=-evidence / float(np.log(2.0)) / max(len(findings), 1),
        surprise=_surprise(belief, belonging(belief.table, suspect_id_of(likeliest_one))),
        something_else=float(shares[~known].sum()),
    )


def _surprise(belief: Belief, own: Flags) -> float:
    """Standard deviations of the findings' surprise above its mean under a suspect.

    In each period the suspect is as it most likely was then, showing or not.
    """
    excess, variance = 0.0, 0.0
    for finding in belief.weighed:
        table = belief.table_of(finding)
        hypothesis = int(np.where(own, with_it(belief, finding), -np.inf).argmax())
        chances = table.likelihood[table.rows(finding.check), hypothesis]
        logs = -np.log(np.maximum(chances, np.finfo(float).tiny))
        mean = float(chances @ logs)
        excess += float(logs[outcome_place(table, finding)]) - mean
        variance += float(chances @ np.square(logs)) - mean**2
    if abs(excess) < ROUNDING:
        return 0.0
    return excess / float(np.sqrt(max(variance, ROUNDING**2)))
