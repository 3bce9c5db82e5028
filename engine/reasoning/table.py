"""The prediction table: for every hypothesis and check, how likely each outcome is."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Places = NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class Hypothesis:
    """One thing that may be wrong, with the repair it needs and its prior weight.

    `faults` is empty for "no fault" and for "something else", and holds two for a pair,
    whose `repair` is then "a+b", or the one repair that both need. A fault that comes and
    goes is two hypotheses: it is `showing` in the present call, or it is not. `shows` is
    its chance to show in a call.
    """

    id: str
    faults: tuple[str, ...]
    repair: str
    prior: float
    showing: bool = True
    shows: float = 1.0


@dataclass(frozen=True, slots=True, eq=False)
class Table:
    """P(outcome | hypothesis), all checks stacked: shape (outcome rows, hypotheses).

    The rows of check i are `start[i]` to `start[i + 1]`; in each column they sum to 1. A
    table equals itself alone, so that what is worked out from it can be kept.
    """

    hypotheses: tuple[Hypothesis, ...]
    checks: tuple[str, ...]
    outcomes: tuple[tuple[str, ...], ...]
    start: NDArray[np.int64]
    likelihood: Floats
    lasting: frozenset[str] = frozenset()
    """Checks whose true outcome only a repair changes, not another call for heat."""
    history: frozenset[str] = frozenset()
    """Checks whose true outcome nothing changes: what happened before, the house."""

    def rows(self, check: str) -> slice:
        """Rows of a check in `likelihood`; KeyError if the table lacks it."""
        index = places(self).checks[check]
        return slice(int(self.start[index]), int(self.start[index + 1]))

    def row(self, check: str, outcome: str) -> Floats:
        """P(outcome | hypothesis) for all hypotheses, shape (hypotheses,)."""
        row: Floats = self.likelihood[places(self).row(check, outcome)]
        return row


@dataclass(frozen=True, slots=True, eq=False)
class TablePlaces:
    """Where what stands in a table, to be looked up without searching."""

    checks: dict[str, int]
    rows: dict[tuple[str, str | None], int]
    logs: Floats
    """Natural logs of the likelihoods, minus infinity for none."""

    def row(self, check: str, outcome: str | None) -> int:
        """Row of an outcome; KeyError naming the check or the outcome that is not there."""
        row = self.rows.get((check, outcome))
        if row is None:
            raise KeyError(outcome if check in self.checks else check)
        return row


@lru_cache(maxsize=16)
def places(table: Table) -> TablePlaces:
    """The places of a table, worked out once for each."""
    named = [
        (check, outcome)
        for check, outcomes in zip(table.checks, table.outcomes, strict=True)
        for outcome in outcomes
    ]
    with np.errstate(divide="ignore"):
        logs = np.log(table.likelihood)
    checks = {check: index for index, check in enumerate(table.checks)}
    return TablePlaces(checks, {name: row for row, name in enumerate(named)}, logs)


def repairs_in(repair: str) -> tuple[str, ...]:
    """The repairs that a hypothesis asks for: two for two faults with a repair each."""
    return tuple(repair.split("+"))


# --- faults that come and go ------------------------------------------------------


@dataclass(frozen=True, slots=True, eq=False)
class ComingAndGoing:
    """The faults that show in some calls only, each in two columns of a table."""

    showing: Places
    hidden: Places
    shows: Floats
    """Chance to show in a call, shape (such faults,)."""


@lru_cache(maxsize=8)
def coming_and_going(table: Table) -> ComingAndGoing:
    """The faults of a table that come and go; one that is never hidden is none of them."""
    showing = _showing(table)
    pairs = [
        (showing[each.faults], index, each.shows)
        for index, each in enumerate(table.hypotheses)
        if not each.showing and each.faults in showing
    ]
    return ComingAndGoing(
        np.array([pair[0] for pair in pairs], dtype=np.int64),
        np.array([pair[1] for pair in pairs], dtype=np.int64),
        np.array([pair[2] for pair in pairs], dtype=np.float64),
    )


def _showing(table: Table) -> dict[tuple[str, ...], int]:
    """Faults -> number of the first hypothesis in which they show."""
    numbered = list(enumerate(table.hypotheses))
    return {each.faults: index for index, each in reversed(numbered) if each.showing}


# --- a furnace that was changed ---------------------------------------------------


@lru_cache(maxsize=8)
def after_repairs(table: Table, done: tuple[str, ...]) -> Table:
    """The table of the furnace after repairs, with its hypotheses in the same order.

    Two faults of which one is repaired are the other one from then on, with its column.
    After both repairs the last fault stands for them, mended badly.
    """
    for repair in done:
        table = _after_repair(table, repair)
    return table


def _after_repair(table: Table, repair: str) -> Table:
    """The table in which that repair was done; the same one if it changes no hypothesis."""
    single = _showing(table)
    hypotheses, columns = list(table.hypotheses), np.arange(len(table.hypotheses))
    for index, each in enumerate(table.hypotheses):
        if len(each.faults) < 2:
            continue
        own = [single[fault,] for fault in each.faults]
        left = [place for place in own if table.hypotheses[place].repair != repair]
        if len(left) == 1:
            columns[index], other = left[0], table.hypotheses[left[0]]
            hypotheses[index] = replace(each, faults=other.faults, repair=other.repair)
    if tuple(hypotheses) == table.hypotheses:
        return table
    return replace(table, hypotheses=tuple(hypotheses), likelihood=table.likelihood[:, columns])
