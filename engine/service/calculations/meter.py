"""The gas meter: input by clocking it, and the input that altitude allows."""

from __future__ import annotations

from dataclasses import replace
from math import sqrt

from lightoff.engine.machine.airgas import GAS_BASE_TEMPERATURE, orifice_share, pressure_ratio
from lightoff.engine.machine.combustion import ATMOSPHERE
from lightoff.engine.service.calculations.common import (
    ALTITUDE,
    FUEL,
    GAS_HEATING_VALUE,
    INPUT,
    PLATE,
    WITHIN_PLATE_INPUT,
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
    COUNT,
    GAS_FLOW,
    HEAT_FLOW,
    PRESSURE,
    SHARE,
    TEMPERATURE,
    TIME,
    VOLUME,
)
from lightoff.engine.units import FOOT

# --- the meter ------------------------------------------------------------------------


def _clocked(given: Given) -> Figures:
    flow = given["turns"] * given["dial"] / given["time"]
    pressure = ATMOSPHERE * pressure_ratio(given["altitude"]) + given["pressure"]
    correction = pressure / ATMOSPHERE * GAS_BASE_TEMPERATURE / given["temperature"]
    found = {
        "gas-flow": flow,
        "correction": correction,
        "input": flow * correction * given["heating-value"],
    }
    if "plate" in given:
        found["of-plate"] = found["input"] / given["plate"]
    return found


CLOCK = Calculation(
    name="clock",
    title="Input by clocking the gas meter",
    when="Every other gas appliance is off, and the burners have run some minutes.",
    formula=(
        "gas-flow = dial x turns / time",
        "correction = (air pressure + pressure) / 14.696 psi x 520 R / temperature",
        "input = gas-flow x correction x heating-value",
    ),
    inputs=(
        Input(
            "dial",
            "gas of one turn of the hand that is watched",
            VOLUME,
            low="0.01 ft3",
            high="1000 ft3",
            mend="read what one turn is worth beside the dial",
        ),
        Input("time", "time of the turns", TIME, low="1 s", high="1 h", mend="watch whole turns"),
        Input(
            "turns",
            "whole turns of the hand",
            COUNT,
            low="1",
            high="1000",
            usual="1",
            usual_from="one turn",
        ),
        FUEL,
        GAS_HEATING_VALUE,
        Input(
            "temperature",
            "temperature of the gas in the meter",
            TEMPERATURE,
            low="-40 F",
            high="140 F",
            usual="60 F",
            usual_from="no correction, as for a meter that corrects by itself",
        ),
        Input(
            "pressure",
            "gas pressure in the meter, above that of the air",
            PRESSURE,
            low="0 inwc",
            high="100 psi",
            usual="0 inwc",
            usual_from="no correction",
            mend="a gauge pressure is not below 0",
        ),
        ALTITUDE,
        PLATE,
    ),
    results=(
        Result("gas-flow", "gas flow as the meter counts it", GAS_FLOW),
        Result("correction", "its volume at 60 F and sea level", COUNT),
        Result("input", "input", HEAT_FLOW),
        Result("of-plate", "of the rating plate", SHARE),
    ),
    work_out=_clocked,
    limits=(WITHIN_PLATE_INPUT,),
    sources=("nfpa-54-input", "common-practice"),
    hazards=("fuel-gas",),
    example={"dial": "0.5 ft3", "time": "29 s", "heating-value": "1000 Btu/ft3"},
)

# --- altitude -------------------------------------------------------------------------

THOUSAND_FEET = 1000.0 * FOOT


def _derated(given: Given) -> Figures:
    altitude = given["altitude"]
    share = 1.0
    if altitude > given["from"]:
        share = 1.0 - given["rate"] * altitude / THOUSAND_FEET
    by_itself = orifice_share(altitude)
    return {
        "share": share,
        "allowed": share * given["sea-level"],
        "by-itself": by_itself * given["sea-level"],
        "bore": sqrt(share / by_itself),
    }


DERATED = Calculation(
    name="altitude",
    title="Input at altitude",
    when="The furnace stands above 2,000 ft, and its plate is for sea level.",
    formula=(
        "share = 1 - rate x altitude / 1000 ft, above `from`; else 1",
        "allowed = sea-level x share",
        "by-itself = sea-level x root of the air pressure against that at sea level",
    ),
    inputs=(
        replace(
            PLATE,
            name="sea-level",
            what="input on the rating plate for sea level",
            optional=False,
        ),
        replace(ALTITUDE, usual=None, usual_from=""),
        Input(
            "rate",
            "less input for every 1,000 ft",
            SHARE,
            low="0 %",
            high="6 %",
            usual="4 %",
            usual_from="NFPA 54; other codes and the plate may say otherwise",
        ),
        Input(
            "from",
            "altitude above which that holds",
            ALTITUDE.measure,
            low="0 ft",
            high="15000 ft",
            usual="2000 ft",
            usual_from="NFPA 54",
        ),
        replace(INPUT, name="clocked", what="input found at the meter", optional=True),
    ),
    results=(
        Result("share", "share of the plate's input that is allowed", SHARE),
        Result("allowed", "input allowed", HEAT_FLOW),
        Result("by-itself", "input that orifices for sea level pass there", HEAT_FLOW),
        Result("bore", "bore that gives the allowed input, against the one for sea level", SHARE),
    ),
    work_out=_derated,
    limits=(
        Limit(
            of="clocked",
            what="not above the input allowed",
            source="nfpa-54",
            needs=("clocked",),
            high=lambda given, found: found["allowed"],
            out="Fit the orifices that the manufacturer names for this altitude.",
        ),
    ),
    sources=("nfpa-54",),
    hazards=("fuel-gas", "carbon-monoxide"),
    example={"sea-level": "80000 Btu/h", "altitude": "5000 ft"},
)

CALCULATIONS = (CLOCK, DERATED)
