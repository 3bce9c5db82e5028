"""The ways of air of a furnace in one state: flows, and pressures at their taps.

A fan drives a way, or a draft hood stands in it and the warmth of the flue gas drives
both sides of it: the exchanger below the hood and the chimney above.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import inf

from lightoff.engine.machine import airgas
from lightoff.engine.machine.combustion import REFERENCE_TEMPERATURE
from lightoff.engine.machine.drive import Drive
from lightoff.engine.machine.kinds import KINDS
from lightoff.engine.machine.plan import Machine, Way


@dataclass(frozen=True, slots=True)
class AirFlow:
    """Air through a way: what enters, what leaks in after the flame, the share that spills."""

    inlet: float
    leaked_in: float
    spilled: float = 0.0


def combustion_air(machine: Machine, drive: Drive, pressures: dict[str, float]) -> AirFlow:
    """Solve the way of combustion air, and add its taps to `pressures`."""
    way = machine.plan.combustion
    if way.fan in machine.plan.motors:
        return _fan_way(machine, way, drive.inducer, drive, pressures)
    return _hood_way(machine, way, drive, pressures)


def house_air(machine: Machine, drive: Drive, pressures: dict[str, float]) -> AirFlow:
    """Solve the way of house air, and add its taps to `pressures`."""
    return _fan_way(machine, machine.plan.house_air, drive.blower, drive, pressures)


def thinness(machine: Machine) -> float:
    """Density of air at sea level as a multiple of that where the furnace stands."""
    return 1.0 / airgas.pressure_ratio(machine.furnace.site["altitude"])


def _fan_way(
    machine: Machine, way: Way, speed: float, drive: Drive, pressures: dict[str, float]
) -> AirFlow:
    thin = thinness(machine)
    before = [thin * _resistance(machine, part, drive) for part in way.before]
    between = sum(thin * _resistance(machine, part, drive) for part in way.between)
    after = [thin * _resistance(machine, part, drive) for part in _joined(machine, way.after)]
    leak = thin * _leak(machine, way)
    curve = thin * machine.number(way.fan, "curve")
    downstream = between + sum(after)
    whole = airgas.parallel(sum(before), leak) + downstream + curve
    pressure = machine.plan.motors[way.fan].pressure(machine.values[way.fan], speed, whole) / thin
    if drive.first_lit and way is machine.plan.combustion:
        # A fan makes less pressure of hot, light gas.
        pressure *= REFERENCE_TEMPERATURE / machine.number(way.after[0], "hot")
    pulls = _pulls(machine, way, drive)
    flow = airgas.chain_flow(sum(before), leak, downstream, pressure + pulls, curve)
    for tap, upstream in way.taps.items():
        pressures[tap] = -sum(before[:upstream]) * flow.inlet**2
    for tap, upstream in way.taps_after.items():
        pressures[tap] = sum(after[upstream:]) * flow.total**2 - pulls
    return AirFlow(flow.inlet, flow.total - flow.inlet)


def _joined(machine: Machine, parts: tuple[str, ...]) -> tuple[str, ...]:
    """The parts of a way up to the first that has come apart from the next."""
    for index, part in enumerate(parts):
        if machine.values[part].get("joint") == "parted":
            return parts[: index + 1]
    return parts


def _pulls(machine: Machine, way: Way, drive: Drive) -> float:
    """Draft of a chimney behind the fan, Pa; 0 if there is none, or nothing joins it."""
    chimney = machine.plan.roles.get("chimney")
    return _chimney(machine, drive) if chimney in _joined(machine, way.after) else 0.0


def _chimney(machine: Machine, drive: Drive) -> float:
    """Draft of the chimney in Pa; below 0 with a downdraft that is stronger."""
    chimney = machine.plan.roles["chimney"]
    site = machine.furnace.site
    warm = machine.number(chimney, "hot") if drive.first_lit else site["room"]
    draws = airgas.buoyancy(machine.number(chimney, "height"), site["outdoors"], warm)
    return draws / thinness(machine) - machine.number(chimney, "downdraft")


def _hood_way(machine: Machine, way: Way, drive: Drive, pressures: dict[str, float]) -> AirFlow:
    thin, room = thinness(machine), machine.furnace.site["room"]
    exchanger = machine.plan.roles["heat-exchanger"]
    below = [thin * _resistance(machine, part, drive) for part in way.before]
    above = [thin * _resistance(machine, part, drive) for part in way.after]
    hot = machine.number(exchanger, "hot") if drive.first_lit else room
    draws = airgas.buoyancy(machine.number(way.fan, "height"), room, hot) / thin
    pulls = _chimney(machine, drive)
    flow = airgas.hood_flow(
        draws, sum(below), thin * machine.number(way.fan, "resistance"), pulls, sum(above)
    )
    for tap, upstream in way.taps.items():
        last = upstream == len(way.before)
        pressures[tap] = (
            flow.pressure if last else -sum(below[:upstream]) * flow.burner * abs(flow.burner)
        )
    for tap, upstream in way.taps_after.items():
        lost = sum(above[:upstream]) * flow.vent * abs(flow.vent)
        pressures[tap] = flow.pressure - lost
    return AirFlow(max(flow.burner, 0.0), 0.0, flow.spilled)


def _resistance(machine: Machine, part: str, drive: Drive) -> float:
    values = machine.values[part]
    role = KINDS[machine.furnace.parts[part].kind].role
    if role == "drain":
        return machine.number(part, "flooded-resistance") if drive.flooded else 0.0
    if role == "vent-damper":
        return machine.number(part, "open-resistance" if drive.damper_open else "shut-resistance")
    resistance = machine.number(part, "resistance")
    if drive.first_lit and "hot" in values:
        return airgas.resistance_at(resistance, machine.number(part, "hot"))
    return resistance


def _leak(machine: Machine, way: Way) -> float:
    """Resistance of all that leaks in at the tap before the fan, in parallel."""
    leaks = [machine.number(part, "resistance") for part in way.leaking]
    leaks += [
        machine.number(part, "leak-resistance")
        for part in way.between
        if machine.values[part].get("trap") == "missing"
    ]
    return airgas.parallel(*leaks) if leaks else inf
