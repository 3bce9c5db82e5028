"""Service calculations: declared one by one, and worked out with the verdict on limits."""

from __future__ import annotations

from collections.abc import Mapping

from lightoff.engine.service.calculations import (
    air,
    electrical,
    flue,
    manifold,
    meter,
    orifice,
    pipe,
    room,
    water,
)
from lightoff.engine.service.calculations.entry import Calculation

SUBJECTS: Mapping[str, tuple[Calculation, ...]] = {
    "Gas": (
        *meter.CALCULATIONS,
        *manifold.CALCULATIONS,
        *orifice.CALCULATIONS,
        *pipe.CALCULATIONS,
    ),
    "Flue gas": (*flue.CALCULATIONS, *water.CALCULATIONS),
    "House air": air.CALCULATIONS,
    "Combustion air": room.CALCULATIONS,
    "Electrical": electrical.CALCULATIONS,
}
"""All calculations by subject, in the order of the list."""

CALCULATIONS: Mapping[str, Calculation] = {
    each.name: each for group in SUBJECTS.values() for each in group
}
"""Calculation by its name."""
