"""Traces of the direct-spark furnace for propane, each made once for a whole test run."""

from functools import cache

from lightoff.engine.machine.combustion import FUELS
from lightoff.engine.machine.plan import Machine, Plan
from lightoff.engine.machine.simulate import simulate
from lightoff.engine.machine.trace import Trace
from tests.conftest import loaded
from tests.machine.readings import BTU_PER_HOUR, at

FURNACE = "direct-spark-propane"


@cache
def plan() -> Plan:
    return Plan(loaded().furnaces[FURNACE])


@cache
def trace(*faults: str) -> Trace:
    """The call with these faults; the sound furnace with none."""
    furnace = loaded().furnaces[FURNACE]
    overrides = {}
    for fault in faults:
        overrides |= furnace.faults[fault].overrides
    return simulate(Machine(plan(), overrides))


def input_rate(played: Trace, step: str) -> float:
    """Btu/h of the gas that flows in a step."""
    flow = at(played, step).segment.steady.gas.flow
    return flow * FUELS["propane"].heating_value / BTU_PER_HOUR


def sparks(played: Trace, step: str) -> bool:
    return at(played, step).shown("spark-electrode", "sparks") > 0.5


def longest(played: Trace, step: str) -> float:
    """Seconds of the longest stay in a step; 0 if it was never reached."""
    return max((v.end - v.start for v in played.visits() if v.step == step), default=0.0)
