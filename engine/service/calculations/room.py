"""The room: volume and openings for combustion air (NFPA 54)."""

from __future__ import annotations

from dataclasses import replace

from lightoff.engine.service.calculations.entry import (
    Calculation,
    Choice,
    Figures,
    Given,
    ImpossibleError,
    Input,
    Limit,
    Result,
)
from lightoff.engine.service.calculations.measures import (
    AIR_CHANGES,
    DISTANCE,
    HEAT_FLOW,
    OPENING,
    SHARE,
    VOLUME,
)
from lightoff.engine.units import BTU, FOOT, INCH, UNITS

PER_BTU_PER_HOUR = FOOT**3 / (BTU / 3600.0)
"""m3/W for one ft3 per Btu/h."""
STANDARD = 50.0 / 1000.0
"""ft3 for each Btu/h."""
FAN_ASSISTED, OTHERS = 15.0 / 1000.0, 21.0 / 1000.0
"""ft3 for each Btu/h and air change in an hour."""

ORDINARY = Input(
    "input",
    "input of all gas appliances in the room, without those under fan-assisted",
    HEAT_FLOW,
    low="0 Btu/h",
    high="10000000 Btu/h",
    mend="add up the rating plates; leave out those that draw air from outdoors",
)


def _side(name: str) -> Input:
    return Input(
        name,
        f"{name} of the room",
        DISTANCE,
        low="1 ft",
        high="1000 ft",
        mend="a room has length, width and height",
    )


# --- volume ---------------------------------------------------------------------------


def _volume(given: Given) -> Figures:
    ordinary, assisted = given["input"], given["fan-assisted"]
    if ordinary + assisted <= 0.0:
        raise ImpossibleError("without input no air is needed", ORDINARY.mend, ORDINARY.name)
    if "air-changes" in given:
        changes = UNITS["ACH"].from_si(given["air-changes"])
        needed = (OTHERS * ordinary + FAN_ASSISTED * assisted) / changes
    else:
        needed = STANDARD * (ordinary + assisted)
    return {
        "volume": given["length"] * given["width"] * given["height"] + given["joined"],
        "needed": needed * PER_BTU_PER_HOUR,
    }


ROOM_VOLUME = Calculation(
    name="room-volume",
    title="Room volume for combustion air",
    when="Appliances take their air from the room they stand in.",
    formula=(
        "needed = 50 ft3 for each 1000 Btu/h of all appliances",
        "with air-changes: 21 ft3 / ACH for each 1000 Btu/h, fan-assisted 15 ft3 / ACH",
        "volume = length x width x height + joined",
    ),
    inputs=(
        ORDINARY,
        _side("length"),
        _side("width"),
        _side("height"),
        replace(
            ORDINARY,
            name="fan-assisted",
            what="input of those with an inducer",
            usual="0 Btu/h",
            usual_from="none",
        ),
        Input(
            "joined",
            "volume of rooms joined by permanent openings",
            VOLUME,
            low="0 ft3",
            high="1000000 ft3",
            usual="0 ft3",
            usual_from="none",
        ),
        Input(
            "air-changes",
            "air changes in an hour, if they were measured",
            AIR_CHANGES,
            low="0.01 ACH",
            high="0.6 ACH",
            optional=True,
            mend="count at most 0.60; leave it out if it was not measured",
        ),
    ),
    results=(
        Result("volume", "volume there is", VOLUME),
        Result("needed", "volume needed", VOLUME),
    ),
    work_out=_volume,
    limits=(
        Limit(
            of="volume",
            what="not less than the volume needed",
            source="nfpa-54",
            low=lambda given, found: found["needed"],
            out="Bring air in: lightoff calc openings.",
        ),
    ),
    sources=("nfpa-54",),
    hazards=("carbon-monoxide",),
    notes=lambda given, found: (
        "With fewer than 0.40 air changes in an hour known, the way by air-changes must be used.",
    ),
    example={"input": "150000 Btu/h", "length": "20 ft", "width": "30 ft", "height": "8 ft"},
)

# --- openings -------------------------------------------------------------------------

SQUARE_INCH_PER_BTU_PER_HOUR = INCH**2 / (BTU / 3600.0)
LEAST_INDOORS = 100.0 * INCH**2

WAYS = {
    "two-direct": (4000.0, 2, "two openings straight or by upright ducts to outdoors"),
    "two-level-ducts": (2000.0, 2, "two level ducts to outdoors"),
    "one-outdoors": (3000.0, 1, "one opening to outdoors, high up"),
    "two-indoors": (1000.0, 2, "two openings to rooms on the same storey"),
}
"""Way -> Btu/h for each in2 of free area, openings, in words (NFPA 54, from memory)."""


def _openings(given: Given) -> Figures:
    way = given.word("way")
    free = given["input"] / WAYS[way][0] * SQUARE_INCH_PER_BTU_PER_HOUR
    if way == "two-indoors":
        free = max(free, LEAST_INDOORS)
    found = {"free": free, "gross": free / given["free-share"]}
    if "fitted" in given:
        found["fitted-free"] = given["fitted"] * given["free-share"]
    return found


OPENINGS = Calculation(
    name="openings",
    title="Openings for combustion air",
    when="The room alone is too small: lightoff calc room-volume.",
    formula=(
        "free = input / 4000, 2000, 3000 or 1000 Btu/h for each in2, by the way",
        "gross = free / free-share",
    ),
    inputs=(
        replace(ORDINARY, what="input of all gas appliances in the room", low="1000 Btu/h"),
        Choice(
            "way",
            "where the air comes from",
            {name: words for name, (_, _, words) in WAYS.items()},
        ),
        Input(
            "free-share",
            "free area of louvre or grille",
            SHARE,
            low="5 %",
            high="100 %",
            usual="75 %",
            usual_from="metal louvres that say nothing; wood: 25 %",
        ),
        Input(
            "fitted",
            "area of each opening there is, over its frame",
            OPENING,
            low="0 in2",
            high="10000 in2",
            optional=True,
        ),
    ),
    results=(
        Result("free", "free area of each opening", OPENING),
        Result("gross", "its area over the frame", OPENING),
        Result("fitted-free", "free area of the one there is", OPENING),
    ),
    work_out=_openings,
    limits=(
        Limit(
            of="fitted-free",
            what="not less than the free area needed",
            source="nfpa-54",
            needs=("fitted",),
            low=lambda given, found: found["free"],
            out="Enlarge it, or bring the air in another way.",
        ),
    ),
    sources=("nfpa-54",),
    hazards=("carbon-monoxide",),
    notes=lambda given, found: _where(given.word("way")),
    example={"input": "100000 Btu/h", "way": "two-direct"},
)


def _where(way: str) -> tuple[str, ...]:
    if WAYS[way][1] == 2:
        place = "One begins within 12 in of the ceiling, the other within 12 in of the floor."
    else:
        place = "It begins within 12 in of the ceiling, and is no smaller than all vent connectors."
    return (place, "No side of an opening is under 3 in.")


CALCULATIONS = (ROOM_VOLUME, OPENINGS)
