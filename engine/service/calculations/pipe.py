"""Pressure drop of a gas pipe at low pressure (NFPA 54)."""

from __future__ import annotations

from lightoff.engine.service.calculations.common import FUEL, GAS_HEATING_VALUE
from lightoff.engine.service.calculations.entry import (
    Calculation,
    Figures,
    Given,
    Input,
    Limit,
    Result,
)
from lightoff.engine.service.calculations.measures import (
    DIAMETER,
    DISTANCE,
    GAS_FLOW,
    HEAT_FLOW,
    PRESSURE,
)
from lightoff.engine.units import FOOT, INCH, INCH_OF_WATER, UNITS

FACTOR = {"natural-gas": 0.6094, "propane": 1.2462}
"""Cr of the formula, by gas (NFPA 54, from memory, with the figures of the formula)."""
SCHEDULE_40 = {
    "1/2": 0.622,
    "3/4": 0.824,
    "1": 1.049,
    "1 1/4": 1.380,
    "1 1/2": 1.610,
    "2": 2.067,
    "2 1/2": 2.469,
    "3": 3.068,
}
"""Inside diameter in inches by nominal size of steel pipe (ASME B36.10, from memory)."""

_CONSTANT, _BY_FLOW, _BY_DROP = 19.17, 0.381, 0.206


def diameter_for(flow: float, drop: float, length: float, factor: float) -> float:
    """Inside diameter in m for a flow in m3/s, a drop in Pa and a length in m."""
    slope = drop / INCH_OF_WATER / (factor * length / FOOT)
    hourly = UNITS["ft3/h"].from_si(flow)
    return INCH * float(hourly**_BY_FLOW / (_CONSTANT * slope**_BY_DROP))


def drop_in(diameter: float, flow: float, length: float, factor: float) -> float:
    """Pressure drop in Pa: the same formula solved for it."""
    hourly = UNITS["ft3/h"].from_si(flow)
    slope = (hourly**_BY_FLOW / (_CONSTANT * diameter / INCH)) ** (1.0 / _BY_DROP)
    return INCH_OF_WATER * float(slope * factor * length / FOOT)


def flow_in(diameter: float, drop: float, length: float, factor: float) -> float:
    """Flow in m3/s: the same formula solved for it."""
    slope = drop / INCH_OF_WATER / (factor * length / FOOT)
    hourly = (_CONSTANT * diameter / INCH * slope**_BY_DROP) ** (1.0 / _BY_FLOW)
    return UNITS["ft3/h"].to_si(float(hourly))


def _pipe(given: Given) -> Figures:
    factor, length = FACTOR[given.word("fuel")], given["length"]
    flow = given["input"] / given["heating-value"]
    return {
        "gas-flow": flow,
        "drop": drop_in(given["diameter"], flow, length, factor),
        "carries": given["heating-value"]
        * flow_in(given["diameter"], given["allowed"], length, factor),
        "least": diameter_for(flow, given["allowed"], length, factor),
    }


def _in_steel(given: Given, found: Figures) -> tuple[str, ...]:
    fits = [size for size, inches in SCHEDULE_40.items() if inches * INCH >= found["least"]]
    size = f"{fits[0]} in" if fits else "more than 3 in"
    return (f"In schedule 40 steel pipe that is nominal {size}.",)


PIPE = Calculation(
    name="pipe",
    title="Pressure drop of a gas pipe",
    when="Gas pressure falls as burners light, or something is added to the pipe. Under 1.5 psi.",
    formula=(
        f"least diameter in = (ft3/h)^{_BY_FLOW} / "
        f"({_CONSTANT} x (drop inwc / (Cr x length ft))^{_BY_DROP})",
        "drop: the same solved for it; Cr: "
        + ", ".join(f"{factor} {gas}" for gas, factor in FACTOR.items()),
    ),
    inputs=(
        Input(
            "input",
            "input of all that hangs on this pipe",
            HEAT_FLOW,
            low="1000 Btu/h",
            high="10000000 Btu/h",
            mend="add up the rating plates",
        ),
        Input(
            "diameter",
            "inside diameter; schedule 40 steel: 1/2 in has 0.622, 3/4 0.824, 1 1.049 in",
            DIAMETER,
            low="0.1 in",
            high="12 in",
        ),
        Input(
            "length",
            "length from meter or regulator to the farthest outlet, with fittings",
            DISTANCE,
            low="1 ft",
            high="5000 ft",
        ),
        FUEL,
        GAS_HEATING_VALUE,
        Input(
            "allowed",
            "pressure drop that is allowed",
            PRESSURE,
            low="0.01 inwc",
            high="10 inwc",
            usual="0.5 inwc",
            usual_from="NFPA 54, usual tables; local codes may ask for less",
        ),
    ),
    results=(
        Result("gas-flow", "gas flow", GAS_FLOW),
        Result("drop", "pressure drop", PRESSURE),
        Result("carries", "input it carries at the allowed drop", HEAT_FLOW),
        Result("least", "least inside diameter for the allowed drop", DIAMETER),
    ),
    work_out=_pipe,
    limits=(
        Limit(
            of="drop",
            what="not more than is allowed",
            source="nfpa-54",
            high=lambda given, found: given["allowed"],
            out="A larger pipe, a shorter way, or a pipe of its own.",
        ),
    ),
    sources=("nfpa-54",),
    hazards=("fuel-gas",),
    notes=_in_steel,
    example={"input": "150000 Btu/h", "diameter": "0.824 in", "length": "40 ft"},
)

CALCULATIONS = (PIPE,)
