"""The prediction table: for every hypothesis and check, how likely each outcome is."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Hypothesis:
    """One thing that may be wrong, with the repair it needs and its prior weight.

    `faults` is empty for "no fault" and for "something else". A fault that comes and
    goes is two hypotheses: it is `showing` in today's calls, or it is not.
    """

    id: str
    faults: tuple[str, ...]
    repair: str
    prior: float
    showing: bool = True


@dataclass(frozen=True, slots=True)
class Table:
    """P(outcome | hypothesis), all checks stacked: shape (outcome rows, hypotheses).

    The rows of check i are `start[i]` to `start[i + 1]`; in each column they sum to 1.
    """

    hypotheses: tuple[Hypothesis, ...]
    checks: tuple[str, ...]
    outcomes: tuple[tuple[str, ...], ...]
    start: NDArray[np.int64]
    likelihood: Floats

    def rows(self, check: str) -> slice:
        """Rows of a check in `likelihood`; KeyError if the table lacks it."""
        try:
            index = self.checks.index(check)
        except ValueError:
            raise KeyError(check) from None
        return slice(int(self.start[index]), int(self.start[index + 1]))

    def row(self, check: str, outcome: str) -> Floats:
        """P(outcome | hypothesis) for all hypotheses, shape (hypotheses,)."""
        rows = self.rows(check)
        index = self.checks.index(check)
        if outcome not in self.outcomes[index]:
            raise KeyError(outcome)
        row: Floats = self.likelihood[rows.start + self.outcomes[index].index(outcome)]
        return row
