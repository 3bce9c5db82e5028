"""Water in the flue gas: its dew point, and what condenses."""

from __future__ import annotations

from dataclasses import replace

from lightoff.engine.machine.combustion import condensate, dew_point, excess_air_from_oxygen
from lightoff.engine.service.calculations.common import (
    BURNT_FUEL,
    FLUE_TEMPERATURE,
    INPUT,
    OXYGEN,
    fuel_of,
)
from lightoff.engine.service.calculations.entry import (
    Calculation,
    Figures,
    Given,
    Input,
    Limit,
    Result,
)
from lightoff.engine.service.calculations.measures import (
    RISE,
    SHARE,
    TEMPERATURE,
    WATER_FLOW,
    WATER_PER_HEAT,
)


def _dew_point(given: Given) -> Figures:
    excess = excess_air_from_oxygen(fuel_of(given), given["o2"])
    found = {"excess-air": excess, "dew-point": dew_point(fuel_of(given), excess)}
    if "flue" in given:
        found["margin"] = given["flue"] - found["dew-point"]
    return found


DEW_POINT = Calculation(
    name="dew-point",
    title="Dew point of the flue gas",
    when="A vent shows water or rust, or a condensing furnace makes none.",
    formula=(
        "share of water = water of the gas / (wet flue gas + excess air)",
        "dew-point: where water at share x 1 atm is saturated; combustion air dry, sea level",
    ),
    inputs=(
        OXYGEN,
        BURNT_FUEL,
        replace(FLUE_TEMPERATURE, optional=True),
    ),
    results=(
        Result("excess-air", "excess air", SHARE),
        Result("dew-point", "dew point", TEMPERATURE),
        Result("margin", "flue gas above the dew point", RISE),
    ),
    work_out=_dew_point,
    limits=(
        Limit(
            of="flue",
            what="above the dew point, where the vent is meant to stay dry",
            source="common-practice",
            needs=("flue",),
            low=lambda given, found: found["dew-point"],
            out="It condenses: as meant in a condensing furnace; it eats a metal vent.",
        ),
    ),
    sources=("wmo-8",),
    hazards=("carbon-monoxide", "acidic-condensate"),
    example={"o2": "7 %", "flue": "120 F"},
)


def _condensate(given: Given) -> Figures:
    fuel = fuel_of(given)
    excess = excess_air_from_oxygen(fuel, given["o2"])
    gas = given["input"] / fuel.heating_value
    air = (1.0 + excess) * gas * fuel.stoichiometric_air
    rate = condensate(fuel, gas, air, given["flue"])
    return {
        "rate": rate,
        "per-heat": rate / given["input"],
        "dew-point": dew_point(fuel, excess),
    }


CONDENSATE = Calculation(
    name="condensate",
    title="Condensate of a condensing furnace",
    when="To size a pump, or to see whether the drain brings what it should.",
    formula=(
        "vapour that stays = dry flue gas x p / (1 atm - p), p: saturation at the flue temperature",
        "rate = water of the gas - vapour that stays; the most there can be, air dry",
    ),
    inputs=(
        INPUT,
        OXYGEN,
        FLUE_TEMPERATURE,
        BURNT_FUEL,
        Input(
            "pump",
            "what the condensate pump lifts",
            WATER_FLOW,
            low="0 gal/h",
            high="10000 gal/h",
            optional=True,
            mend="read it off the pump, at the height it lifts to",
        ),
    ),
    results=(
        Result("rate", "water while it burns", WATER_FLOW),
        Result("per-heat", "water for the heat of the gas", WATER_PER_HEAT),
        Result("dew-point", "dew point", TEMPERATURE),
    ),
    work_out=_condensate,
    limits=(
        Limit(
            of="rate",
            what="not more than the pump lifts",
            source="common-practice",
            needs=("pump",),
            high=lambda given, found: given["pump"],
            out="Fit a larger pump, or drain by gravity.",
        ),
    ),
    sources=("wmo-8",),
    hazards=("acidic-condensate",),
    example={"input": "80000 Btu/h", "o2": "7 %", "flue": "110 F"},
)

CALCULATIONS = (DEW_POINT, CONDENSATE)
