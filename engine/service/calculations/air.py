"""House air: temperature rise, airflow, fan laws."""

from __future__ import annotations

from dataclasses import replace

from lightoff.engine.machine.airgas import AIR_HEAT_CAPACITY, air_density, pressure_ratio
from lightoff.engine.machine.combustion import ATMOSPHERE
from lightoff.engine.service.calculations.common import ALTITUDE, INPUT, PLATE_HIGH, PLATE_LOW
from lightoff.engine.service.calculations.entry import (
    Calculation,
    Figures,
    Given,
    ImpossibleError,
    Input,
    Limit,
    Result,
)
from lightoff.engine.service.calculations.measures import (
    AIR_FLOW,
    DENSITY,
    PRESSURE,
    RISE,
    SPEED,
    TEMPERATURE,
    WATTS,
)
from lightoff.engine.units import UNITS

# --- temperature rise and airflow -----------------------------------------------------

WITHIN_PLATE = Limit(
    of="rise",
    what="within the range of temperature rise on the plate",
    source="common-practice",
    needs=("plate-low", "plate-high"),
    low=lambda given, found: given["plate-low"],
    high=lambda given, found: given["plate-high"],
    out="Above: filter, coil, ducts, blower speed, then the input. Below: less blower speed.",
)
AIR_TEMPERATURE = Input(
    "air",
    "temperature of the air where its flow counts",
    TEMPERATURE,
    low="-40 F",
    high="300 F",
    usual="70 F",
    usual_from="return air of a heated house",
)
HEAT = replace(
    INPUT,
    name="heat",
    what="heat that goes into the air: input times efficiency",
    mend="take the output of the plate, or the clocked input times the efficiency",
)
PLATE_RANGE = (PLATE_LOW, PLATE_HIGH)
HEAT_FORMULA = "Btu/h = 1.08 x cfm x F, where 1.08 goes with the density of the air"


def _refuse_turned_range(given: Given) -> None:
    if "plate-low" in given and "plate-high" in given and given["plate-low"] >= given["plate-high"]:
        raise ImpossibleError(
            "the range of the plate does not go up", "give plate-low below plate-high"
        )


def _rise(given: Given) -> Figures:
    _refuse_turned_range(given)
    if given["supply"] <= given["return"]:
        raise ImpossibleError(
            "supply air is not warmer than return air",
            "measure while burners run, and see which is which",
        )
    return {"rise": given["supply"] - given["return"]}


RISE_READ = Calculation(
    name="rise",
    title="Temperature rise of the house air",
    when="It has run ten minutes; the supply probe does not see the exchanger.",
    formula=("rise = supply - return",),
    inputs=(
        Input("return", "return air", TEMPERATURE, low="32 F", high="120 F"),
        Input("supply", "supply air", TEMPERATURE, low="32 F", high="300 F"),
        *PLATE_RANGE,
    ),
    results=(Result("rise", "temperature rise", RISE),),
    work_out=_rise,
    limits=(WITHIN_PLATE,),
    sources=("common-practice",),
    hazards=("hot-surface", "moving-fan"),
    example={"return": "68 F", "supply": "123 F", "plate-low": "40 F", "plate-high": "70 F"},
)


def _density(given: Given) -> float:
    return air_density(given["air"], ATMOSPHERE * pressure_ratio(given["altitude"]))


def _airflow(given: Given) -> Figures:
    _refuse_turned_range(given)
    density = _density(given)
    return {
        "airflow": given["heat"] / (density * AIR_HEAT_CAPACITY * given["rise"]),
        "density": density,
    }


def _factor_in_words(given: Given, found: Figures) -> tuple[str, ...]:
    per_flow = found["density"] * AIR_HEAT_CAPACITY * UNITS["cfm"].factor * UNITS["F rise"].factor
    factor = per_flow / UNITS["Btu/h"].factor
    return (f"The factor is {factor:.3f} Btu/h for each cfm and F.",)


AIRFLOW = Calculation(
    name="airflow",
    title="Airflow from temperature rise",
    when="Heat and temperature rise are known.",
    formula=("airflow = heat / (air density x heat capacity x rise)", HEAT_FORMULA),
    inputs=(
        HEAT,
        Input(
            "rise",
            "temperature rise from return to supply",
            RISE,
            low="5 F rise",
            high="200 F rise",
            mend="measure while burners run: lightoff calc rise",
        ),
        AIR_TEMPERATURE,
        ALTITUDE,
        *PLATE_RANGE,
    ),
    results=(
        Result("airflow", "airflow", AIR_FLOW),
        Result("density", "density of the air", DENSITY),
    ),
    work_out=_airflow,
    limits=(WITHIN_PLATE,),
    sources=("common-practice",),
    hazards=("moving-fan",),
    notes=_factor_in_words,
    example={"heat": "80000 Btu/h", "rise": "60 F"},
)


def _rise_at(given: Given) -> Figures:
    _refuse_turned_range(given)
    density = _density(given)
    return {
        "rise": given["heat"] / (density * AIR_HEAT_CAPACITY * given["airflow"]),
        "density": density,
    }


RISE_AT = Calculation(
    name="rise-at",
    title="Temperature rise at an airflow",
    when="Airflow is known, from a fan table or a hood.",
    formula=("rise = heat / (air density x heat capacity x airflow)", HEAT_FORMULA),
    inputs=(
        HEAT,
        Input(
            "airflow",
            "airflow",
            AIR_FLOW,
            low="50 cfm",
            high="50000 cfm",
            mend="without air the furnace runs into its limit",
        ),
        AIR_TEMPERATURE,
        ALTITUDE,
        *PLATE_RANGE,
    ),
    results=(
        Result("rise", "temperature rise", RISE),
        Result("density", "density of the air", DENSITY),
    ),
    work_out=_rise_at,
    limits=(WITHIN_PLATE,),
    sources=("common-practice",),
    hazards=("moving-fan",),
    notes=_factor_in_words,
    example={"heat": "64000 Btu/h", "airflow": "1200 cfm"},
)

# --- fan laws -------------------------------------------------------------------------


def _fan(given: Given) -> Figures:
    speed = given["rpm-then"] / given["rpm"]
    density = pressure_ratio(given["altitude-then"]) / pressure_ratio(given["altitude"])
    grows = {
        "flow": speed,
        "pressure": density * speed**2,
        "power": density * speed**3,
    }
    found = {f"{name}-then": given[name] * by for name, by in grows.items() if name in given}
    if not found:
        raise ImpossibleError("there is nothing to work out", "give flow, pressure or power")
    return found


def _at(altitude: str, when: str) -> Input:
    return replace(ALTITUDE, name=altitude, what=f"{ALTITUDE.what} {when}")


FAN = Calculation(
    name="fan",
    title="Fan laws",
    when="The same fan in the same ducts at another speed or altitude.",
    formula=(
        "flow-then = flow x rpm-then / rpm",
        "pressure-then = pressure x (rpm-then / rpm)^2 x density-then / density",
        "power-then = power x (rpm-then / rpm)^3 x density-then / density",
    ),
    inputs=(
        Input("rpm", "speed now", SPEED, low="10 rpm", high="20000 rpm", mend="a fan turns"),
        Input("rpm-then", "speed then", SPEED, low="10 rpm", high="20000 rpm", mend="a fan turns"),
        Input("flow", "airflow now", AIR_FLOW, low="1 cfm", high="100000 cfm", optional=True),
        Input(
            "pressure",
            "fan pressure now",
            PRESSURE,
            low="0.001 inwc",
            high="40 inwc",
            optional=True,
            mend="give the pressure that the fan adds, above 0",
        ),
        Input("power", "power of the fan now", WATTS, low="1 W", high="50000 W", optional=True),
        Input(
            "motor",
            "power that the motor may take for good",
            WATTS,
            low="1 W",
            high="50000 W",
            optional=True,
            mend="read it off the motor",
        ),
        _at("altitude", "now"),
        _at("altitude-then", "then"),
    ),
    results=(
        Result("flow-then", "airflow then", AIR_FLOW),
        Result("pressure-then", "fan pressure then", PRESSURE),
        Result("power-then", "power then", WATTS),
    ),
    work_out=_fan,
    limits=(
        Limit(
            of="power-then",
            what="not more than the motor may take",
            source="common-practice",
            needs=("motor", "power"),
            high=lambda given, found: given["motor"],
            out="The motor would overheat: less speed, or ducts that ask for less.",
        ),
    ),
    sources=("fan-laws",),
    hazards=("moving-fan", "live-line-voltage"),
    example={"rpm": "800 rpm", "rpm-then": "1000 rpm", "flow": "1000 cfm", "power": "300 W"},
)

CALCULATIONS = (RISE_READ, AIRFLOW, RISE_AT, FAN)
