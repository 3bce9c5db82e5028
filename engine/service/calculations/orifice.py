"""Orifices: the input they pass, and the bore an input needs."""

from __future__ import annotations

from dataclasses import replace
from math import pi, sqrt

from lightoff.engine.machine.airgas import orifice_conductance, orifice_share
from lightoff.engine.service.calculations.common import (
    ALTITUDE,
    FUEL,
    GAS_HEATING_VALUE,
    INPUT,
    MANIFOLD,
    PLATE,
    RELATIVE_DENSITY,
    WITHIN_PLATE_INPUT,
)
from lightoff.engine.service.calculations.drills import near_drills
from lightoff.engine.service.calculations.entry import (
    Calculation,
    Figures,
    Given,
    Input,
    Result,
)
from lightoff.engine.service.calculations.measures import (
    COUNT,
    DIAMETER,
    GAS_FLOW,
    HEAT_FLOW,
)
from lightoff.engine.units import INCH, INCH_OF_WATER, UNITS

COEFFICIENT = Input(
    "coefficient",
    "discharge coefficient of the orifice",
    COUNT,
    low="0.5",
    high="1",
    usual="0.9",
    usual_from="common practice for drilled spuds",
    mend="it is a share of the ideal flow: 0.8 to 0.95 for drilled spuds",
)

ORIFICES = Input(
    "count",
    "how many burners with such an orifice",
    COUNT,
    low="1",
    high="100",
    usual="1",
    usual_from="a single one",
    whole=True,
    mend="count the burners",
)


def _through_orifices(given: Given) -> Figures:
    conductance = orifice_conductance(
        given["diameter"], given["coefficient"], given["relative-density"]
    )
    each = conductance * sqrt(given["manifold"]) * orifice_share(given["altitude"])
    return {
        "each": each,
        "gas-flow": given["count"] * each,
        "input": given["count"] * each * given["heating-value"],
    }


_OF_ONE_SQUARE_INCH = UNITS["ft3/h"].from_si(
    orifice_conductance(sqrt(4.0 / pi) * INCH, 1.0, 1.0) * sqrt(INCH_OF_WATER)
)
ORIFICE_FORMULA = (
    "gas flow of each = coefficient x area x root of (2 x manifold / gas density)",
    f"in trade units: ft3/h = {_OF_ONE_SQUARE_INCH:.0f} x in2 x coefficient "
    "x root of (inwc / relative-density)",
)
OF_ALTITUDE = "altitude: x root of the air pressure there against that at sea level"

ORIFICE = Calculation(
    name="orifice",
    title="Input of orifices at a manifold pressure",
    when="You know what is drilled and what the manifold gauge shows.",
    formula=(*ORIFICE_FORMULA, "input = count x gas flow x heating-value", OF_ALTITUDE),
    inputs=(
        Input(
            "diameter",
            "bore of the orifice",
            DIAMETER,
            low="0.004 in",
            high="1 in",
            mend="try it with a drill of known size",
        ),
        ORIFICES,
        FUEL,
        MANIFOLD,
        COEFFICIENT,
        RELATIVE_DENSITY,
        GAS_HEATING_VALUE,
        ALTITUDE,
        PLATE,
    ),
    results=(
        Result("each", "gas flow of each orifice", GAS_FLOW),
        Result("gas-flow", "gas flow of all", GAS_FLOW),
        Result("input", "input", HEAT_FLOW),
    ),
    work_out=_through_orifices,
    limits=(WITHIN_PLATE_INPUT,),
    sources=("bccampus-gas-systems",),
    hazards=("fuel-gas",),
    notes=lambda given, found: (near_drills(given["diameter"]),),
    example={"diameter": "0.038 in", "manifold": "3.5 inwc", "relative-density": "0.6"},
)


def _bore(given: Given) -> Figures:
    each = given["input"] / given["heating-value"] / given["count"]
    of_one_metre = orifice_conductance(1.0, given["coefficient"], given["relative-density"])
    flow = of_one_metre * sqrt(given["manifold"]) * orifice_share(given["altitude"])
    return {"each": each, "diameter": sqrt(each / flow)}


ORIFICE_SIZE = Calculation(
    name="orifice-size",
    title="Size of the orifices for an input",
    when="Gas or altitude has changed, or a bore is in doubt.",
    formula=("gas flow of each = input / heating-value / count", *ORIFICE_FORMULA, OF_ALTITUDE),
    inputs=(
        replace(
            INPUT,
            what="input of all burners together",
            low="100 Btu/h",
            mend="read it off the plate, derated for altitude",
        ),
        ORIFICES,
        FUEL,
        MANIFOLD,
        COEFFICIENT,
        RELATIVE_DENSITY,
        GAS_HEATING_VALUE,
        ALTITUDE,
    ),
    results=(
        Result("each", "gas flow of each orifice", GAS_FLOW),
        Result("diameter", "bore of each orifice", DIAMETER),
    ),
    work_out=_bore,
    sources=("bccampus-gas-systems",),
    hazards=("fuel-gas",),
    notes=lambda given, found: (
        near_drills(found["diameter"]),
        "Fit orifices that the manufacturer names for gas and altitude; drill none yourself.",
    ),
    example={"input": "80000 Btu/h", "count": "4"},
)

CALCULATIONS = (ORIFICE, ORIFICE_SIZE)
