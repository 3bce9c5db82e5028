"""Manifold pressure: what an input asks for, and what a pressure gives."""

from __future__ import annotations

from dataclasses import replace
from math import sqrt

from lightoff.engine.service.calculations.common import FUEL, INPUT, MANIFOLD
from lightoff.engine.service.calculations.entry import (
    Calculation,
    Figures,
    Given,
    Limit,
    Result,
)
from lightoff.engine.service.calculations.measures import HEAT_FLOW, PRESSURE
from lightoff.engine.units import INCH_OF_WATER

INPUT_NOW = replace(INPUT, what="input now, by clocking the meter")
MOST_TURNED = 0.3 * INCH_OF_WATER
"""Pa by how much a regulator is set off the plate at most (common practice)."""

OFF_THE_PLATE = "Do not set it there: the regulator stays near the plate, orifices set the input."


def _needed_pressure(given: Given) -> Figures:
    return {"set-to": given["manifold"] * (given["wanted"] / given["input"]) ** 2}


def _input_at(given: Given) -> Figures:
    return {"input-then": given["input"] * sqrt(given["set-to"] / given["manifold"])}


def _near_the_plate(of: str) -> Limit:
    return Limit(
        of=of,
        what="within 0.3 inwc of the plate's manifold pressure",
        source="common-practice",
        low=lambda given, found: given["plate-manifold"] - MOST_TURNED,
        high=lambda given, found: given["plate-manifold"] + MOST_TURNED,
        out=OFF_THE_PLATE,
    )


PLATE_MANIFOLD = replace(
    MANIFOLD,
    name="plate-manifold",
    what="manifold pressure on the rating plate",
    mend="read it off the plate",
)
MANIFOLD_NOW = replace(
    MANIFOLD, what="gas pressure behind the valve at that input", usual=None, usual_from=""
)

MANIFOLD_FOR = Calculation(
    name="manifold",
    title="Manifold pressure for an input",
    when="The clocked input is off the plate, and orifices and heating value are right.",
    formula=("set-to = manifold x (wanted / input)^2",),
    inputs=(
        INPUT_NOW,
        MANIFOLD_NOW,
        replace(
            INPUT,
            name="wanted",
            what="input that is wanted",
            mend="read it off the plate, derated for altitude",
        ),
        FUEL,
        PLATE_MANIFOLD,
    ),
    results=(Result("set-to", "manifold pressure to set", PRESSURE),),
    work_out=_needed_pressure,
    limits=(_near_the_plate("set-to"),),
    sources=("common-practice",),
    hazards=("fuel-gas",),
    example={"input": "76000 Btu/h", "manifold": "3.3 inwc", "wanted": "80000 Btu/h"},
)

MANIFOLD_INPUT = Calculation(
    name="manifold-input",
    title="Input at another manifold pressure",
    when="Before you turn the regulator.",
    formula=("input-then = input x root of (set-to / manifold)",),
    inputs=(
        INPUT_NOW,
        MANIFOLD_NOW,
        replace(
            MANIFOLD,
            name="set-to",
            what="manifold pressure it would be set to",
            usual=None,
            usual_from="",
        ),
        FUEL,
        PLATE_MANIFOLD,
    ),
    results=(Result("input-then", "input then", HEAT_FLOW),),
    work_out=_input_at,
    limits=(_near_the_plate("set-to"),),
    sources=("common-practice",),
    hazards=("fuel-gas",),
    example={"input": "80000 Btu/h", "manifold": "3.5 inwc", "set-to": "3.2 inwc"},
)

CALCULATIONS = (MANIFOLD_FOR, MANIFOLD_INPUT)
