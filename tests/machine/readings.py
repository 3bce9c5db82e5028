"""Readings of a trace as a technician takes them, in the units of the trade."""

from lightoff.engine.machine import probe
from lightoff.engine.machine.combustion import FUELS
from lightoff.engine.units import UNITS

INWC, BTU_PER_HOUR = UNITS["inwc"].factor, UNITS["Btu/h"].factor
CLOSED = 0.5
"""Volts under which a switch counts as closed."""
DROPOUT = 0.5
"""Flame current in microamperes that the board needs."""
ROOM_SIDE = {("pressure-switch", "high-tap"): "ROOM", ("pressure-switch", "high-hose"): "none"}
"""A pressure switch that looks at the collector alone."""


def at(trace, step):
    moment = probe.at(trace, step)
    assert moment is not None, f"{step} was never reached"
    return moment


def steps(trace):
    return [visit.step for visit in trace.visits()]


def lasted(trace, step):
    """Seconds of each stay in a step."""
    return [visit.end - visit.start for visit in trace.visits() if visit.step == step]


def turned(trace, motor):
    return any(motor in segment.standing.turning for segment in trace.segments)


def tries_then_lockout(trace):
    return steps(trace).count("trial-for-ignition") == 3 and "lockout" in steps(trace)


def line(volts):
    return 110 <= volts <= 125


def low(volts):
    return 22 <= volts <= 28


def microamps(trace, step):
    return at(trace, step).segment.electrics.flame_current("flame-sensor") * 1e6


def collector_suction(trace, step="proving-draft"):
    return at(trace, step).pressure("ROOM", "COLLECTOR")


def glow(trace):
    return at(trace, "igniter-warm-up").shown("igniter", "glow") - 273.15


def firing_rate(trace):
    """Btu/h of the gas that flows in the trial for ignition."""
    flow = at(trace, "trial-for-ignition").segment.steady.gas.flow
    return flow * FUELS["natural-gas"].heating_value / BTU_PER_HOUR
