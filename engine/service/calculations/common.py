"""Inputs that several calculations share."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from lightoff.engine.machine.airgas import GAS_BASE_TEMPERATURE, STANDARD_MANIFOLD
from lightoff.engine.machine.combustion import FUELS, REFERENCE_TEMPERATURE, Fuel
from lightoff.engine.service.calculations.entry import Choice, Given, Input, Limit
from lightoff.engine.service.calculations.measures import (
    COUNT,
    DISTANCE,
    HEAT_FLOW,
    HEATING_VALUE,
    PRESSURE,
    RISE,
    SHARE,
    TEMPERATURE,
)

FUEL = Choice("fuel", "which gas burns", dict.fromkeys(FUELS, ""))
BURNT: Mapping[str, Fuel] = {**FUELS, "methane": Fuel.of({"CH4": 1.0})}
"""Gases of which flue gas is known: those of furnaces, and the one most tables are of."""
BURNT_FUEL = Choice(FUEL.name, FUEL.what, dict.fromkeys(BURNT, ""))


def fuel_of(given: Given) -> Fuel:
    """The gas that was chosen."""
    return BURNT[given.word("fuel")]


def _heating_value(given: Given) -> float:
    """Of the gas in J/m3 as it stands in a meter: at 60 F and one atmosphere."""
    return fuel_of(given).heating_value * REFERENCE_TEMPERATURE / GAS_BASE_TEMPERATURE


GAS_HEATING_VALUE = Input(
    "heating-value",
    "higher heating value of the gas, as its utility states it",
    HEATING_VALUE,
    low="300 Btu/ft3",
    high="4000 Btu/ft3",
    usual=_heating_value,
    usual_from="a mean of such gas; ask the utility for its own",
    mend="ask the utility for the heating value of a volume",
)
MANIFOLD = Input(
    "manifold",
    "gas pressure behind the valve while burners run",
    PRESSURE,
    low="0.1 inwc",
    high="14 inwc",
    usual=lambda given: STANDARD_MANIFOLD[given.word("fuel")],
    usual_from="common practice; the rating plate decides",
    mend="0 is a shut valve, and more harms it; measure at the outlet tap while it burns",
)
RELATIVE_DENSITY = Input(
    "relative-density",
    "density of the gas against that of air",
    COUNT,
    low="0.3",
    high="2.5",
    usual=lambda given: fuel_of(given).relative_density,
    usual_from="a mean of such gas",
    mend="natural gas is near 0.6, propane near 1.5",
)
ALTITUDE = Input(
    "altitude",
    "height above sea level",
    DISTANCE,
    low="-1400 ft",
    high="15000 ft",
    usual="0 ft",
    usual_from="sea level",
    mend="look it up on a map, with its unit",
)
OXYGEN = Input(
    "o2",
    "oxygen in the dry flue gas, by the analyser",
    SHARE,
    low="0 %",
    high="19.9 %",
    mend="near 20.9 % the sample is plain air: see to probe, hose and burner",
)
PLATE_LOW = Input(
    "plate-low",
    "lowest temperature rise on the rating plate",
    RISE,
    low="5 F rise",
    high="150 F rise",
    optional=True,
    mend="read the range of temperature rise off the plate",
)
PLATE_HIGH = replace(
    PLATE_LOW, name="plate-high", what="highest temperature rise on the rating plate"
)
INPUT = Input(
    "input",
    "input while it burns",
    HEAT_FLOW,
    low="1000 Btu/h",
    high="5000000 Btu/h",
    mend="clock the meter: lightoff calc clock",
)
PLATE = replace(
    INPUT,
    name="plate",
    what="input on the rating plate, derated where altitude asks for it",
    optional=True,
    mend="read it off the plate, with its unit",
)
PLATE_TOLERANCE = 0.10
"""Share of the plate's input by which the input may be off (NFPA 54-1996)."""
WITHIN_PLATE_INPUT = Limit(
    of="input",
    what="within 10 % of the rating plate",
    source="nfpa-54-input",
    needs=("plate",),
    low=lambda given, found: (1.0 - PLATE_TOLERANCE) * given["plate"],
    high=lambda given, found: (1.0 + PLATE_TOLERANCE) * given["plate"],
    out="Check heating value and manifold pressure, then the size of the orifices.",
)
FLUE_TEMPERATURE = Input(
    "flue",
    "temperature of the flue gas where it leaves the exchanger",
    TEMPERATURE,
    low="32 F",
    high="1000 F",
    mend="measure before any dilution air joins",
)
