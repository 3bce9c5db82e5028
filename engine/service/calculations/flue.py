"""Flue gas: excess air, carbon monoxide, efficiency."""

from __future__ import annotations

from dataclasses import replace

from lightoff.engine.machine.combustion import (
    air_free,
    carbon_dioxide,
    dew_point,
    excess_air_from_oxygen,
)
from lightoff.engine.service.calculations.common import (
    BURNT_FUEL,
    FLUE_TEMPERATURE,
    OXYGEN,
    fuel_of,
)
from lightoff.engine.service.calculations.entry import (
    Calculation,
    Figures,
    Given,
    ImpossibleError,
    Input,
    Limit,
    Result,
)
from lightoff.engine.service.calculations.flue_heat import losses
from lightoff.engine.service.calculations.measures import (
    PARTS_PER_MILLION,
    RISE,
    SHARE,
    TEMPERATURE,
)

MONOXIDE = Input(
    "co",
    "carbon monoxide in the dry flue gas, by the analyser",
    PARTS_PER_MILLION,
    low="0 ppm",
    high="100000 ppm",
    mend="it is parts per million, not below 0; set the analyser to zero in clean air",
)
EXCESS_FORMULA = "excess-air = K x o2 / (20.95 % - o2), K: dry flue gas per air of the gas"


def _excess(given: Given) -> Figures:
    return {
        "excess-air": excess_air_from_oxygen(fuel_of(given), given["o2"]),
        "co2": carbon_dioxide(fuel_of(given), given["o2"]),
    }


EXCESS_AIR = Calculation(
    name="excess-air",
    title="Excess air from flue oxygen",
    when="The burners have run until the readings stand still.",
    formula=(EXCESS_FORMULA, "co2 = ultimate CO2 x (20.95 % - o2) / 20.95 %"),
    inputs=(OXYGEN, BURNT_FUEL),
    results=(
        Result("excess-air", "excess air", SHARE),
        Result("co2", "carbon dioxide that belongs to it", SHARE),
    ),
    work_out=_excess,
    limits=(
        Limit(
            of="o2",
            what="6 to 9 %, unless the manufacturer says otherwise",
            source="common-practice",
            low=lambda given, found: 0.06,
            high=lambda given, found: 0.09,
            out="Little oxygen: too much gas or too little air. Much: a leak, or too little gas.",
        ),
    ),
    sources=("doe-steam-tip-4",),
    hazards=("carbon-monoxide",),
    example={"o2": "7 %"},
)

AIR_FREE = Calculation(
    name="co-air-free",
    title="Carbon monoxide, air-free",
    when="The analyser shows CO and oxygen in the flue.",
    formula=("air-free = co x 20.9 % / (20.9 % - o2)",),
    inputs=(MONOXIDE, OXYGEN),
    results=(Result("air-free", "CO without the excess air", PARTS_PER_MILLION),),
    work_out=lambda given: {"air-free": air_free(given["co"], given["o2"])},
    limits=(
        Limit(
            of="air-free",
            what="at most 400 ppm air-free in the flue gas",
            source="ansi-z21-47",
            high=lambda given, found: 400e-6,
            out="Shut the burner down; find out why before it runs again.",
        ),
        Limit(
            of="air-free",
            what="a clean burner stays below 100 ppm",
            source="common-practice",
            high=lambda given, found: 100e-6,
            out="Look for dirt, a wrong input, or too little air.",
        ),
    ),
    sources=("trade-air-free",),
    hazards=("carbon-monoxide",),
    example={"co": "50 ppm", "o2": "7 %"},
)

# --- efficiency -----------------------------------------------------------------------


def _efficiency(given: Given) -> Figures:
    if given["flue"] < given["air"]:
        raise ImpossibleError(
            "flue gas colder than the air cannot be",
            "measure both again while burners run",
            "flue",
        )
    lost = losses(fuel_of(given), given["o2"], given["co"], given["flue"], given["air"])
    return {
        "efficiency": 1.0 - lost.dry - lost.water - lost.unburnt,
        "dry": lost.dry,
        "water": lost.water,
        "unburnt": lost.unburnt,
        "net": given["flue"] - given["air"],
        "dew-point": dew_point(fuel_of(given), excess_air_from_oxygen(fuel_of(given), given["o2"])),
    }


EFFICIENCY = Calculation(
    name="efficiency",
    title="Combustion efficiency from flue readings",
    when="Steady burning. It says nothing of losses of jacket, ducts and standing still.",
    formula=(
        "efficiency = 1 - dry - water - unburnt, each as a share of the higher heating value",
        "dry: dry flue gas heated from the air's temperature to that of the flue",
        "water: heat of the vapour that leaves; what condenses at best is left out",
        "unburnt: heat of the CO",
    ),
    inputs=(
        OXYGEN,
        FLUE_TEMPERATURE,
        Input(
            "air",
            "temperature of the combustion air",
            TEMPERATURE,
            low="-40 F",
            high="140 F",
            usual="70 F",
            usual_from="a heated room",
        ),
        replace(MONOXIDE, usual="0 ppm", usual_from="a clean flame"),
        BURNT_FUEL,
    ),
    results=(
        Result("efficiency", "combustion efficiency", SHARE),
        Result("dry", "lost with dry flue gas", SHARE),
        Result("water", "lost with water vapour", SHARE),
        Result("unburnt", "lost as carbon monoxide", SHARE),
        Result("net", "net stack temperature", RISE),
        Result("dew-point", "dew point of the flue gas", TEMPERATURE),
    ),
    work_out=_efficiency,
    sources=("doe-steam-tip-4",),
    hazards=("carbon-monoxide", "hot-surface"),
    notes=lambda given, found: (
        (
            "The flue gas is below its dew point: right for a condensing furnace, and the end "
            "of a vent that is meant to stay dry.",
        )
        if given["flue"] < found["dew-point"]
        else ()
    ),
    example={"o2": "7 %", "flue": "370 F"},
)

CALCULATIONS = (EXCESS_AIR, AIR_FREE, EFFICIENCY)
