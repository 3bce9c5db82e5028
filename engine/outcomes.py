"""Which outcome of a check a reading falls into, and what an outcome says of the call."""

from __future__ import annotations

from math import inf

from lightoff.engine.model import NOT_REACHED, Check, Value


def outcome_index(check: Check, reading: Value | None) -> int:
    """Which outcome an exact reading falls into; LookupError if the bands leave a gap."""
    otherwise = None
    for index, outcome in enumerate(check.outcomes):
        band = outcome.band
        if reading is None:
            if outcome.id == NOT_REACHED:
                return index
        elif band.otherwise:
            otherwise = index
        elif isinstance(reading, str):
            if reading in band.words:
                return index
        elif outcome.id != NOT_REACHED and not band.words and _inside(reading, band.low, band.high):
            return index
    if otherwise is None or reading is None:
        raise LookupError(f"{check.id} has no outcome for {reading}")
    return otherwise


def _inside(reading: float, low: float, high: float) -> bool:
    return low <= reading < high or (reading == inf == high)


def stalled_steps(check: Check, outcome: str) -> frozenset[str]:
    """The step that an outcome says the watched call stalled in, if it says just one."""
    if not check.entry.reads.stalls or check.trying:
        return frozenset()
    words = next(each.band.words for each in check.outcomes if each.id == outcome)
    return words if len(words) == 1 else frozenset()
