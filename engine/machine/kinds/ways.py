"""Kinds through which air, flue gas, water or fuel gas goes."""

from __future__ import annotations

from lightoff.engine.machine.combustion import REFERENCE_TEMPERATURE
from lightoff.engine.machine.kinds.base import (
    LOOKS,
    OPEN_CIRCUIT,
    Kind,
    figure,
    one_of,
)


class Passage(Kind):
    """A duct, pipe, filter or coil: a quadratic resistance to the flow.

    `hot` is the mean temperature of what flows through it while the burners burn. At a
    `parted` joint behind it the flow gets out: what comes after no longer counts.
    """

    name = "passage"
    about = "A way for air or flue gas with a resistance that grows with the square of the flow."
    values = {
        "resistance": figure("flow-resistance"),
        "hot": figure("temperature", REFERENCE_TEMPERATURE),
        "recirculates": figure("fraction", 0.0),
        "joint": one_of("tight", "parted"),
        "looks": LOOKS,
    }


class HeatExchanger(Kind):
    """A passage that gives heat to the house air, and may be cracked.

    The flue gas leaves it warmer than the room by `flue-above`, that of full input, and by
    `flue-share` of the rise of the house air.
    """

    name = "heat-exchanger"
    about = "The flue-gas side of a heat exchanger."
    role = "heat-exchanger"
    values = {
        "resistance": figure("flow-resistance"),
        "hot": figure("temperature", REFERENCE_TEMPERATURE),
        "flue-share": figure("fraction"),
        "flue-above": figure("temperature-rise", 0.0),
        "crack": figure("fraction", 0.0),
        "efficiency": figure("fraction"),
        "limit-share": figure("fraction"),
        "still-air-rise": figure("temperature-rise"),
        "lag": figure("time"),
        "still-lag": figure("time"),
        "looks": LOOKS,
    }


class DraftHood(Kind):
    """The opening between furnace and chimney: room air dilutes, or flue gas spills there.

    `height` is that of the hot exchanger below it, whose own draft feeds the burners.
    """

    name = "draft-hood"
    about = "A draft hood, open to the room."
    values = {"resistance": figure("flow-resistance"), "height": figure("length"), "looks": LOOKS}
    shows = {"spills": "fraction"}
    role = "draft-hood"


class Chimney(Kind):
    """A passage that draws by the warmth in it; `downdraft` works against it.

    Above a draft hood it is all that draws; behind a fan it helps it.
    """

    name = "chimney"
    about = "A chimney or vent that draws by itself."
    values = {
        "resistance": figure("flow-resistance"),
        "hot": figure("temperature"),
        "height": figure("length"),
        "downdraft": figure("pressure", 0.0),
        "looks": LOOKS,
    }
    role = "chimney"


class Opening(Kind):
    """A gasket or joint through which air leaks in; `none` if it is tight."""

    name = "opening"
    about = "A joint that should be tight."
    values = {"resistance": figure("flow-resistance", OPEN_CIRCUIT, "none"), "looks": LOOKS}


class Hose(Kind):
    """A pressure hose: the share of the tap's pressure that reaches its end."""

    name = "hose"
    about = "A pressure hose between a tap and a switch."
    values = {
        "passes": figure("fraction", 1.0),
        "port": one_of("clear", "plugged"),
        "looks": LOOKS,
    }
    shows = {"port-suction": "pressure"}


class Drain(Kind):
    """The condensate drain: a basin of an area that empties through a resistance."""

    name = "drain"
    about = "The condensate trap and drain."
    role = "drain"
    values = {
        "resistance": figure("drain-resistance"),
        "area": figure("area"),
        "floods-at": figure("length"),
        "flooded-resistance": figure("flow-resistance"),
        "trap": one_of("fitted", "missing"),
        "leak-resistance": figure("flow-resistance"),
        "looks": LOOKS,
    }
    shows = {"level": "length"}


class GasSupply(Kind):
    """The gas at the house: its pressure at rest, and the resistance of the pipe."""

    name = "gas-supply"
    about = "The house gas supply up to the furnace."
    role = "gas-supply"
    values = {
        "pressure": figure("pressure"),
        "resistance": figure("flow-resistance"),
        "other-appliances": one_of("burn-well", "burn-poorly", "out"),
    }


class GasCock(Kind):
    """A hand valve in the gas pipe."""

    name = "gas-cock"
    about = "A hand valve in the gas pipe."
    role = "gas-cock"
    values = {"handle": one_of("along-pipe", "across-pipe")}


class Burners(Kind):
    """A row of in-shot burners, lit at the first, sensed at the last."""

    name = "burners"
    about = "A row of burners with a crossover between neighbours."
    role = "burners"
    values = {
        "count": figure("count"),
        "orifice": figure("length"),
        "orifice-coefficient": figure("fraction"),
        "first-orifice": figure("fraction", 1.0),
        "orifices-for": one_of("this-gas", "other-gas"),
        "crossover": one_of("clear", "blocked"),
        "crossover-needs": figure("pressure"),
        "box-temperature": figure("temperature"),
        "roll-out-temperature": figure("temperature"),
        "box-lag": figure("time"),
        "flame-quality": figure("fraction", 1.0),
        "looks": LOOKS,
    }
    shows = {
        "first-flame": "fraction",
        "far-flame": "fraction",
        "excess-air": "fraction",
        "roll-out": "fraction",
        "disturbance": "fraction",
    }
