"""Traces of any shipped furnace, each made once for a whole test run, and what they read."""

from collections.abc import Callable
from functools import cache

from lightoff.engine.machine.combustion import FUELS
from lightoff.engine.machine.trace import Trace
from lightoff.engine.model import Value
from tests.conftest import loaded, traced
from tests.machine.readings import BTU_PER_HOUR, INWC, at

Read = Callable[[str], float]
"""Furnace -> what is read in its sound call."""


@cache
def played(furnace: str, *faults: str) -> Trace:
    """The call with these faults; the sound furnace with none."""
    return traced(faults, frozenset(), furnace)


def tried(furnace: str, check: str, *faults: str) -> Trace:
    """The call as a check reads it, with what is tried for it."""
    trying: dict[tuple[str, str], Value] = dict(loaded().checks[furnace][check].trying)
    return traced(faults, frozenset(trying.items()), furnace)


def longest(trace: Trace, step: str) -> float:
    """Seconds of the longest stay in a step; 0 if it was never reached."""
    return max((v.end - v.start for v in trace.visits() if v.step == step), default=0.0)


def seconds(step: str, *faults: str) -> Read:
    """How long a step lasts."""
    return lambda furnace: longest(played(furnace, *faults), step)


def volts(step: str, one: str, other: str, scale: float = 1.0) -> Read:
    """Volts between two terminals, or another unit by its scale."""
    return lambda furnace: at(played(furnace), step).volts(one, other) * scale


def inwc(step: str, high: str, low: str = "ROOM") -> Read:
    """Inches of water between two taps."""
    return lambda furnace: at(played(furnace), step).pressure(high, low) / INWC


def pascal(step: str, high: str, low: str = "ROOM") -> Read:
    """The same in Pa."""
    return lambda furnace: at(played(furnace), step).pressure(high, low)


def draft(switch: str, step: str) -> Read:
    """Inches of water at the ports of a pressure switch."""
    return lambda furnace: at(played(furnace), step).shown(switch, "draft") / INWC


def rise(step: str) -> Read:
    """Temperature rise of the house air, F."""
    return lambda furnace: at(played(furnace), step).temperature("rise") * 1.8


def flue_fahrenheit(step: str) -> Read:
    """Temperature of the flue gas, F."""
    return lambda furnace: (at(played(furnace), step).temperature("flue") - 273.15) * 1.8 + 32


def flue(name: str, step: str, scale: float) -> Read:
    """A share of the flue gas."""
    return lambda furnace: at(played(furnace), step).flue(name) * scale


def microamps(sensor: str, step: str) -> Read:
    """The flame current."""
    return lambda furnace: at(played(furnace), step).segment.electrics.flame_current(sensor) * 1e6


def input_rate(step: str) -> Read:
    """kBtu/h of the gas that flows."""

    def read(furnace: str) -> float:
        gas = FUELS[loaded().furnaces[furnace].entry.gas]
        flow = at(played(furnace), step).segment.steady.gas.flow
        return flow * gas.heating_value / BTU_PER_HOUR / 1000

    return read


def shown(part: str, what: str, step: str) -> Read:
    """What is seen or heard of a part."""
    return lambda furnace: at(played(furnace), step).shown(part, what)
