"""A check as it is asked: its words, its answers, and what a figure typed for it may be."""

from __future__ import annotations

from math import isfinite
from typing import Any

from lightoff.engine import units
from lightoff.engine.model import Check
from lightoff.engine.reasoning.answers import (
    COLDEST,
    MAY_BE_NEGATIVE,
    bare_unit,
    highest,
    reads_a_figure,
)

Data = dict[str, Any]


def asked(check: Check) -> Data:
    """What a page needs to ask a check and to understand what is answered."""
    entry = check.entry
    return {
        "id": check.id,
        "ask": entry.ask,
        "how": entry.how,
        "tools": entry.tools,
        "hazards": entry.hazards,
        "opens": entry.opens,
        "outcomes": [
            {
                "id": each.id,
                "text": each.text,
                "low": bound(each.band.low),
                "high": bound(each.band.high),
                "words": sorted(each.band.words),
                "otherwise": each.band.otherwise,
            }
            for each in check.outcomes
        ],
        **_reading(check),
    }


def _reading(check: Check) -> Data:
    """In what units a figure is read, and which figures cannot be."""
    if not check.dimension:
        return {"unit": "", "units": []}
    usual = bare_unit(check) if reads_a_figure(check) else ""
    named = [units.UNITS[name] for name in units.units_of(check.dimension)]
    return {
        "unit": usual,
        "units": [{"name": each.name, "factor": each.factor, "zero": each.zero} for each in named],
        "isResistance": check.dimension == "resistance",
        "mayBeNegative": check.dimension in MAY_BE_NEGATIVE,
        "lowest": COLDEST if check.dimension == "temperature" else None,
        "highest": bound(highest(check)),
    }


def bound(figure: float) -> float | None:
    """The end of a band; None where it has none."""
    return figure if isfinite(figure) else None
