"""Findings -> probability of every hypothesis: exact Bayesian update in log space."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from lightoff.engine.reasoning.table import Floats, Hypothesis, Table

NOT_CURED = 0.03
"""P(the furnace still fails | the repair it needs was done); from memory: a bad new part,
a repair done badly, or a second cause of the same kind."""


@dataclass(frozen=True, slots=True)
class Finding:
    """The recorded outcome of one check; `outcome` is None for "don't know"."""

    check: str
    outcome: str | None
    entered: str = ""
    """What the person typed: a word, or a reading with its unit."""


@dataclass(frozen=True, slots=True, eq=False)
class Belief:
    """What is known after some findings and repairs.

    `log_weights` has shape (hypotheses,): log P(hypothesis, findings, repairs that did not
    cure). It is summed in the order of the table, whatever the order of the findings.
    """

    table: Table
    log_weights: Floats
    findings: tuple[Finding, ...] = ()
    repaired: tuple[str, ...] = ()
    """Repairs that were done and did not cure."""
    leanings: Floats | None = None
    """Log factors from rules, shape (hypotheses,): what a model cannot compute."""

    @property
    def log_evidence(self) -> float:
        """Natural log of the probability of all findings and uncured repairs together.

        Very low means that the hypotheses do not suffice. Minus infinity: none is left.
        """
        return float(np.logaddexp.reduce(self.log_weights))

    @property
    def probabilities(self) -> Floats:
        """P(hypothesis | findings), shape (hypotheses,), sum 1.

        Raises ValueError if the table holds zeros and no hypothesis allows the findings.
        """
        top = self.log_weights.max()
        if not np.isfinite(top):
            checks = ", ".join(counted(self.findings))
            raise ValueError(f"no hypothesis of the table allows the findings on {checks}")
        weights = np.exp(self.log_weights - top)
        result: Floats = weights / weights.sum()
        return result

    def given(self, finding: Finding) -> Belief:
        """The belief with one more finding; KeyError if the table lacks check or outcome."""
        return posterior(self.table, (*self.findings, finding), self.repaired, self.leanings)

    def after_repair(self, repair: str) -> Belief:
        """The belief when a repair was done and the furnace still fails.

        Findings made before still count. KeyError if no hypothesis has this repair.
        """
        return posterior(self.table, self.findings, (*self.repaired, repair), self.leanings)


def repair_class(hypothesis: Hypothesis) -> str:
    """What the hypothesis asks for: its repair, or its own id if it holds no fault."""
    return hypothesis.repair if hypothesis.faults else hypothesis.id


def prior(table: Table) -> Belief:
    """The belief before any finding."""
    return posterior(table, ())


def posterior(
    table: Table,
    findings: Iterable[Finding],
    repaired: Iterable[str] = (),
    leanings: Floats | None = None,
) -> Belief:
    """The belief given findings in any order, repairs that did not cure, and leanings."""
    findings, repaired = tuple(findings), tuple(repaired)
    rows = [log_prior(table)]
    answers = counted(findings)
    for check in in_table_order(table, {finding.check for finding in findings}):
        if check in answers:
            rows.append(log_likelihood(table, answers[check]))
    rows.extend(log_not_cured(table, repair) for repair in sorted(set(repaired)))
    if leanings is not None:
        rows.append(leanings)
    return Belief(table, np.sum(rows, axis=0), findings, repaired, leanings)


def counted(findings: Iterable[Finding]) -> dict[str, Finding]:
    """Check -> the finding on it that counts.

    A repeat by the same person is nearly worthless as evidence, so the latest answer
    replaces the earlier one; "don't know" replaces nothing.
    """
    return {finding.check: finding for finding in findings if finding.outcome is not None}


def in_table_order(table: Table, checks: Iterable[str]) -> list[str]:
    """The checks in the order of the table; KeyError if the table lacks one."""
    place = {check: index for index, check in enumerate(table.checks)}
    return sorted(checks, key=place.__getitem__)


def log_prior(table: Table) -> Floats:
    """Log P(hypothesis), shape (hypotheses,)."""
    weights = np.array([hypothesis.prior for hypothesis in table.hypotheses])
    return _log(weights / weights.sum())


def log_likelihood(table: Table, finding: Finding) -> Floats:
    """Log P(outcome | hypothesis), shape (hypotheses,); zeros for "don't know"."""
    if finding.outcome is None:
        return np.zeros(len(table.hypotheses))
    return _log(table.row(finding.check, finding.outcome))


def log_not_cured(table: Table, repair: str) -> Floats:
    """Log P(still fails after the repair | hypothesis), shape (hypotheses,)."""
    needs = np.array([repair_class(hypothesis) == repair for hypothesis in table.hypotheses])
    if not needs.any():
        raise KeyError(repair)
    return np.where(needs, np.log(NOT_CURED), 0.0)


def _log(values: Floats) -> Floats:
    with np.errstate(divide="ignore"):
        result: Floats = np.log(values)
    return result
