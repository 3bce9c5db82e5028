"""What a person typed to prove something -> the outcome that it means."""

from __future__ import annotations

from lightoff.engine.reasoning.answers import ReadingError, reading, reads_a_figure
from lightoff.engine.reasoning.belief import Finding
from lightoff.engine.service.proving import Item

AT_THE_END = 1.0 + 1e-9
"""A reading right at the end of what is good is good, whatever rounding made of it."""


def outcome_of(item: Item, finding: Finding) -> str:
    """The outcome of a finding that is known; the ends of what is good are good."""
    assert finding.outcome is not None
    if finding.outcome in item.good or not reads_a_figure(item.check):
        return finding.outcome
    try:
        value = reading(item.check, finding.entered)
    except ReadingError:
        return finding.outcome
    for outcome in item.outcomes:
        if outcome.band.low <= value <= outcome.band.high * AT_THE_END:
            return outcome.id
    return finding.outcome
