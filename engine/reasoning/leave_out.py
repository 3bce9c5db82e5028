"""What is known without one of the findings, and what that predicts of its check."""

from __future__ import annotations

import numpy as np

from lightoff.engine.reasoning.belief import Belief, Finding, counted, posterior
from lightoff.engine.reasoning.choice import Flags
from lightoff.engine.reasoning.table import Floats, Table


def without(belief: Belief, finding: Finding) -> Floats:
    """Log weights with one finding left out that counts, shape (hypotheses,)."""
    # Taking its logs off again would not do: minus infinity stays what it is.
    others = [each for each in counted(belief.findings).values() if each.check != finding.check]
    return posterior(belief.table, others, belief.repaired, belief.leanings).log_weights


def normalised(log_weights: Floats) -> Floats:
    """Probabilities of log weights of shape (n,), sum 1; all alike if none is possible."""
    top = log_weights.max()
    weights = np.exp(log_weights - top) if np.isfinite(top) else np.ones(len(log_weights))
    return np.asarray(weights / weights.sum())


def belonging(table: Table, suspect_id: str) -> Flags:
    """Which hypotheses are a suspect, shape (hypotheses,): its fault shows now, or not."""
    names = ["+".join(each.faults) or each.id for each in table.hypotheses]
    return np.array([name == suspect_id for name in names])


def likeliest(table: Table, check: str, log_weights: Floats, own: Flags) -> tuple[str, float]:
    """The outcome of a check that some hypotheses together predict most, and its chance."""
    chances = outcome_chances(table, check, log_weights, own)
    index = int(chances.argmax())
    return table.outcomes[table.checks.index(check)][index], float(chances[index])


def outcome_chances(table: Table, check: str, log_weights: Floats, own: Flags) -> Floats:
    """P(outcome | some hypotheses), shape (outcomes,); the log weights are of all."""
    chances: Floats = table.likelihood[table.rows(check)][:, own] @ normalised(log_weights[own])
    return chances


def outcome_place(table: Table, finding: Finding) -> int:
    """Number of a finding's outcome among those of its check."""
    return table.outcomes[table.checks.index(finding.check)].index(str(finding.outcome))
