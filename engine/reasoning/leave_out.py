"""What is known without one of the findings, and what that predicts of its check."""

from __future__ import annotations

import numpy as np

from lightoff.engine.reasoning.belief import Belief, Finding, at_first, entered, looked_back, told
from lightoff.engine.reasoning.planning.problem import Flags
from lightoff.engine.reasoning.suspects import suspect_id_of
from lightoff.engine.reasoning.table import Floats, Table


def without(belief: Belief, finding: Finding) -> Floats:
    """Log weights without a finding that counts, shape (hypotheses,).

    They stand as in the period of the finding, in the light of all other findings before
    and after: what shows now of a fault that comes and goes does not say what showed then.
    """
    return _in_its_period(belief, finding, leave_out=True)


def with_it(belief: Belief, finding: Finding) -> Floats:
    """The same with the finding, shape (hypotheses,)."""
    return _in_its_period(belief, finding, leave_out=False)


def _in_its_period(belief: Belief, finding: Finding, leave_out: bool) -> Floats:
    table, periods = belief.origin, belief.periods()
    number = next(place for place, each in enumerate(periods) if finding in each.findings)
    before, own, after = periods[:number], periods[number], periods[number + 1 :]
    weights = at_first(table, belief.leanings)
    for period in before:
        weights = entered(table, period, weights) + told(period, period.findings)
    # Taking its logs off again would not do: minus infinity stays what it is.
    kept = [each for each in own.findings if not leave_out or each.check != finding.check]
    weights = entered(table, own, weights) + told(own, kept)
    later = np.zeros(len(weights))
    for period in reversed(after):
        later = looked_back(table, period, told(period, period.findings) + later)
    return np.asarray(weights + later)


def normalised(log_weights: Floats) -> Floats:
    """Probabilities of log weights of shape (n,), sum 1; all alike if none is possible."""
    top = log_weights.max()
    weights = np.exp(log_weights - top) if np.isfinite(top) else np.ones(len(log_weights))
    return np.asarray(weights / weights.sum())


def belonging(table: Table, suspect_id: str) -> Flags:
    """Which hypotheses are a suspect, shape (hypotheses,): its fault shows now, or not."""
    return np.array([suspect_id_of(each) == suspect_id for each in table.hypotheses])


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
