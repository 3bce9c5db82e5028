"""Electrical: power of an igniter, load of a transformer."""

from __future__ import annotations

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
    AMPERES,
    OHMS,
    SHARE,
    VOLT_AMPERES,
    VOLTS,
    WATTS,
)


def _only_one_of(given: Given, first: str, second: str) -> bool:
    """Whether it is the first of two; ImpossibleError if both or neither are given."""
    if (first in given) == (second in given):
        what = "both are given" if first in given else "neither is given"
        raise ImpossibleError(f"{first} or {second}: {what}", f"give {first} or {second}, one")
    return first in given


# --- igniter --------------------------------------------------------------------------

LEAST_SHARE, MOST_SHARE = 0.85, 1.10
"""Of the rated volts: the range in which igniters are approved."""


def _igniter(given: Given) -> Figures:
    if _only_one_of(given, "amps", "ohms"):
        current, resistance = given["amps"], given["volts"] / given["amps"]
    else:
        current, resistance = given["volts"] / given["ohms"], given["ohms"]
    return {"power": given["volts"] * current, "current": current, "resistance": resistance}


IGNITER = Calculation(
    name="igniter",
    title="Power of a hot surface igniter",
    when="It glows: volts across it, and a clamp round one lead.",
    formula=("power = volts x amps, or volts^2 / ohms while hot",),
    inputs=(
        Input(
            "volts",
            "volts across the igniter while it glows",
            VOLTS,
            low="1 V",
            high="300 V",
            mend="a dead igniter takes no power: see why nothing arrives",
        ),
        Input(
            "amps",
            "current through it",
            AMPERES,
            low="0.05 A",
            high="30 A",
            optional=True,
            mend="no current: it is open",
        ),
        Input(
            "ohms",
            "its resistance while hot",
            OHMS,
            low="0.5 ohm",
            high="5000 ohm",
            optional=True,
            mend="0 is a short and no end is a break: replace it",
        ),
        Input(
            "rated",
            "volts it is made for",
            VOLTS,
            low="10 V",
            high="250 V",
            usual="120 V",
            usual_from="common practice; read it off the plate",
        ),
    ),
    results=(
        Result("power", "power", WATTS),
        Result("current", "current", AMPERES),
        Result("resistance", "resistance while hot", OHMS),
    ),
    work_out=_igniter,
    limits=(
        Limit(
            of="volts",
            what="85 to 110 % of its rated volts",
            source="igniter-range",
            low=lambda given, found: LEAST_SHARE * given["rated"],
            high=lambda given, found: MOST_SHARE * given["rated"],
            out="Below it stays too cold to light gas; above it ages fast. See to the supply.",
        ),
    ),
    sources=("common-practice",),
    hazards=("live-line-voltage", "hot-surface", "fragile-igniter"),
    notes=lambda given, found: (
        "Ohms of a cold igniter give no power: silicon carbide falls as it heats, nitride rises.",
    ),
    example={"volts": "120 V", "amps": "3.5 A"},
)

# --- transformer ----------------------------------------------------------------------

MOST_LOAD = 0.80
CLASS_2 = 100.0
"""VA that a class 2 transformer may have (NEC 725)."""


def _transformer(given: Given) -> Figures:
    by_clamp = _only_one_of(given, "amps", "load")
    load = given["volts"] * given["amps"] if by_clamp else given["load"]
    return {
        "full": given["rating"] / given["volts"],
        "drawn": load,
        "current": load / given["volts"],
        "share": load / given["rating"],
    }


TRANSFORMER = Calculation(
    name="transformer",
    title="Load of the control transformer",
    when="A fuse blows, relays chatter, or something is to be added to the 24 volts.",
    formula=(
        "full load current = rating / volts",
        "drawn = volts x amps",
        "share = drawn / rating",
    ),
    inputs=(
        Input(
            "rating",
            "what stands on the transformer",
            VOLT_AMPERES,
            low="5 VA",
            high="500 VA",
            mend="read it off the transformer",
        ),
        Input(
            "volts",
            "volts of its secondary",
            VOLTS,
            low="5 V",
            high="60 V",
            usual="24 V",
            usual_from="common practice",
            mend="measure at the secondary, not at the line",
        ),
        Input(
            "amps",
            "current of the secondary, everything on",
            AMPERES,
            low="0 A",
            high="50 A",
            optional=True,
            mend="put the clamp round one lead",
        ),
        Input(
            "load",
            "instead: VA of all that hangs on it, added up",
            VOLT_AMPERES,
            low="0 VA",
            high="1000 VA",
            optional=True,
        ),
    ),
    results=(
        Result("full", "current at full load", AMPERES),
        Result("drawn", "load", VOLT_AMPERES),
        Result("current", "current of that load", AMPERES),
        Result("share", "of the rating", SHARE),
    ),
    work_out=_transformer,
    limits=(
        Limit(
            of="share",
            what="at most 80 % of the rating for good",
            source="common-practice",
            high=lambda given, found: MOST_LOAD,
            out="Find what draws too much before you fit a larger transformer.",
        ),
        Limit(
            of="rating",
            what="at most 100 VA in a class 2 circuit",
            source="nec-725",
            high=lambda given, found: CLASS_2,
            out="Class 2 wiring is not enough for it.",
        ),
    ),
    sources=("nec-725", "common-practice"),
    hazards=("live-24-volt", "live-line-voltage"),
    example={"rating": "40 VA", "amps": "1.2 A"},
)

CALCULATIONS = (IGNITER, TRANSFORMER)
