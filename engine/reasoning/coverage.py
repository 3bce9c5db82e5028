"""What the checks of a furnace cannot see, and what they cannot tell apart."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from lightoff.engine.entries.furnaces import AcceptedEntry
from lightoff.engine.model import NO_FAULT, Furnace
from lightoff.engine.reasoning.table import Floats, Table

TOLD_APART = 0.3
"""Least difference in the chances of some check's outcomes that tells two faults apart.

Half the sum of absolute differences: 0 for equal chances, 1 for outcomes that share none.
"""


@dataclass(frozen=True, slots=True)
class Weakness:
    """Faults that look like no fault (one id), or like one another (two)."""

    furnace: str
    faults: tuple[str, ...]
    accepted: str
    """Why it is accepted; empty if it is not."""


def differences(table: Table) -> Floats:
    """For each pair of hypotheses the largest difference that any check makes, (H, H)."""
    count = len(table.hypotheses)
    largest = np.zeros((count, count))
    for first, last in zip(table.start[:-1], table.start[1:], strict=True):
        rows = table.likelihood[first:last]
        apart = 0.5 * np.abs(rows[:, :, None] - rows[:, None, :]).sum(axis=0)
        np.maximum(largest, apart, out=largest)
    return largest


def weaknesses(furnace: Furnace, table: Table) -> list[Weakness]:
    """Faults no check sees, then pairs with different repairs that no check tells apart."""
    largest = differences(table)
    names = [hypothesis.id for hypothesis in table.hypotheses]
    sound = names.index(NO_FAULT)
    single = [i for i, each in enumerate(table.hypotheses) if each.faults and each.showing]
    found = [
        _weakness(furnace, (names[index],), furnace.entry.accepted_unseen)
        for index in single
        if largest[sound, index] < TOLD_APART
    ]
    found += [
        _weakness(furnace, (names[one], names[other]), furnace.entry.accepted_alike)
        for one, other in combinations(single, 2)
        if largest[one, other] < TOLD_APART
        and table.hypotheses[one].repair != table.hypotheses[other].repair
    ]
    return found


def _weakness(
    furnace: Furnace, faults: tuple[str, ...], accepted: Sequence[AcceptedEntry]
) -> Weakness:
    why = next((entry.why for entry in accepted if set(faults) <= set(entry.faults)), "")
    return Weakness(furnace.id, faults, why)
