"""Where everything that lags is heading: air, gas, fire and heat at rest in one state."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import inf
from typing import NamedTuple

from lightoff.engine.machine import airgas, combustion
from lightoff.engine.machine.airgas import ChainFlow, GasFlow
from lightoff.engine.machine.combustion import FUELS, Flue
from lightoff.engine.machine.plan import Machine, Way
from lightoff.engine.model import ROOM

SPIN_UP, COAST_DOWN = 1.5, 2.5
"""Lag in seconds of the draft behind an inducer that starts or stops (from memory)."""

STANDARD_MANIFOLD = {"natural-gas": 871.8, "propane": 2490.9}
"""Manifold pressure in Pa for which orifices are drilled: 3.5 and 10 inwc (common practice)."""


class Drive(NamedTuple):
    """What drives the air, gas and fire: speeds as a share of full, and what burns."""

    inducer: float
    blower: float
    valve: bool
    first_lit: bool
    far_lit: bool
    flooded: bool
    igniter_watts: float


AT_REST = Drive(
    inducer=0.0,
    blower=0.0,
    valve=False,
    first_lit=False,
    far_lit=False,
    flooded=False,
    igniter_watts=0.0,
)


@dataclass(frozen=True, slots=True)
class Steady:
    """The state at rest: pressures in Pa at the taps, flows in m3/s, heat in W."""

    pressures: Mapping[str, float]
    burner_air: float
    house_air: float
    gas: GasFlow
    first_burner: float
    flue: Flue | None
    rise: float
    roll_out: bool
    flame: float
    targets: Mapping[str, tuple[float, float]]
    """Lagging quantity -> (where it is heading, its lag in seconds)."""


def steady(machine: Machine, drive: Drive) -> Steady:
    """Everything at rest under a drive."""
    firing = drive.first_lit
    pressures = {ROOM: 0.0}
    draft = _way(machine, machine.plan.combustion, drive.inducer, drive, pressures)
    burner_air = draft.inlet
    house_air = _way(machine, machine.plan.house_air, drive.blower, drive, pressures).inlet
    gas, first_share = _gas(machine, drive, pressures)
    burning = _burning_share(machine, drive) * gas.flow
    flue = _flue(machine, burning, draft) if firing else None
    burnt = burning if flue is None else burning * min(1.0, 1.0 + flue.excess_air)
    heat = burnt * FUELS[machine.furnace.entry.gas].heating_value
    exchanger = machine.plan.roles["heat-exchanger"]
    useful = heat * machine.number(exchanger, "efficiency")
    rise = airgas.heat_rise(useful, house_air) if house_air > 0 else 0.0
    roll_out = flue is not None and flue.excess_air < 0.0
    return Steady(
        pressures=pressures,
        burner_air=burner_air,
        house_air=house_air,
        gas=gas,
        first_burner=first_share,
        flue=flue,
        rise=rise,
        roll_out=roll_out,
        flame=_flame(machine, drive, flue),
        targets=_targets(machine, drive, pressures, burning, burner_air, rise, roll_out),
    )


def _way(
    machine: Machine, way: Way, speed: float, drive: Drive, pressures: dict[str, float]
) -> ChainFlow:
    """Solve one way of air, and add its taps to `pressures`."""
    before = [_resistance(machine, part, drive) for part in way.before]
    between = sum(_resistance(machine, part, drive) for part in way.between)
    after = sum(_resistance(machine, part, drive) for part in way.after)
    shutoff = machine.number(way.fan, "shutoff-pressure")
    if drive.first_lit and way is machine.plan.combustion:
        # A fan makes less pressure of hot, light gas.
        shutoff *= combustion.REFERENCE_TEMPERATURE / machine.number(way.after[0], "hot")
    flow = airgas.chain_flow(
        sum(before),
        _leak(machine, way),
        between + after,
        airgas.fan_at_speed(shutoff, speed),
        machine.number(way.fan, "curve"),
    )
    for tap, upstream in way.taps.items():
        if upstream is None:
            pressures[tap] = after * flow.total**2
        else:
            pressures[tap] = -sum(before[:upstream]) * flow.inlet**2
    return flow


def _resistance(machine: Machine, part: str, drive: Drive) -> float:
    values = machine.values[part]
    if machine.furnace.parts[part].kind == "drain":
        return machine.number(part, "flooded-resistance") if drive.flooded else 0.0
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


def _gas(machine: Machine, drive: Drive, pressures: dict[str, float]) -> tuple[GasFlow, float]:
    """Flow and pressures of the gas train, and the share the first burner gets."""
    roles = machine.plan.roles
    valve, burners, house = roles["gas-valve"], roles["burners"], roles["gas-supply"]
    shut = machine.word(roles["gas-cock"], "handle") == "across-pipe"
    supply = 0.0 if shut else machine.number(house, "pressure")
    regulator = machine.number(valve, "regulator")
    if not drive.valve:
        regulator *= machine.number(valve, "leaks-by")
    first = machine.number(burners, "first-orifice")
    count = machine.number(burners, "count")
    orifices = _orifice(machine, burners) * (count - 1 + first)
    gas = airgas.gas_flow(
        supply,
        machine.number(house, "resistance"),
        machine.number(valve, "flow-resistance"),
        regulator,
        orifices,
    )
    for tap, pressure in zip(_gas_taps(machine), (gas.inlet, gas.manifold), strict=True):
        pressures[tap] = pressure
    return gas, first


def _gas_taps(machine: Machine) -> list[str]:
    """The taps before the valve and behind it."""
    return [name for name in machine.furnace.entry.gas_train if name.isupper()]


def _orifice(machine: Machine, burners: str) -> float:
    """Conductance of one orifice for the gas of the furnace, m3/s per root of Pa."""
    gas = machine.furnace.entry.gas
    drilled_for = machine.word(burners, "orifices-for")
    diameter = machine.number(burners, "orifice") * _drill_ratio(gas, drilled_for)
    return airgas.orifice_conductance(
        diameter, machine.number(burners, "orifice-coefficient"), FUELS[gas].relative_density
    )


def _drill_ratio(gas: str, drilled_for: str) -> float:
    """Diameter of orifices drilled for another gas, as a share of the right ones."""

    def heat_per_area(name: str) -> float:
        fuel = FUELS[name]
        head: float = (STANDARD_MANIFOLD[name] / fuel.relative_density) ** 0.5
        return fuel.heating_value * head

    ratio: float = (heat_per_area(gas) / heat_per_area(drilled_for)) ** 0.5
    return ratio


def _burning_share(machine: Machine, drive: Drive) -> float:
    """Share of the gas that burns: all burners, or the first alone."""
    if drive.far_lit:
        return 1.0
    return 1.0 / machine.number(machine.plan.roles["burners"], "count") if drive.first_lit else 0.0


def _flue(machine: Machine, gas: float, draft: ChainFlow) -> Flue:
    fuel = FUELS[machine.furnace.entry.gas]
    intake = machine.plan.combustion.before[0]
    recirculated = machine.number(intake, "recirculates")
    leaked_in = draft.total - draft.inlet
    return combustion.burn(fuel, gas, draft.inlet * (1.0 - recirculated), leaked_in)


def _flame(machine: Machine, drive: Drive, flue: Flue | None) -> float:
    """Share of a sound flame that stands at the last burner, 0 to 1."""
    if flue is None or not drive.far_lit:
        return 0.0
    burners = machine.plan.roles["burners"]
    return (
        machine.number(burners, "flame-quality")
        * _stability(flue.excess_air)
        * (1.0 - disturbance(machine, drive.blower))
    )


def _stability(excess_air: float) -> float:
    """Share of a sound flame at an excess of air (from memory, shape only).

    Sound from 15 to 120 %; with more it lifts off and is gone at 220 %; with little air
    it turns lazy, and with less than needed it burns where the air is.
    """
    if excess_air < 0.0:
        return max(0.0, LAZY + 2.0 * excess_air)
    lazy = LAZY + (1.0 - LAZY) * excess_air / 0.15
    return min(1.0, lazy, max(0.0, 2.2 - excess_air))


LAZY = 0.6
"""Share of a sound flame where there is just enough air."""


def disturbance(machine: Machine, blower: float) -> float:
    """How much house air blows through a cracked exchanger into the flame, 0 to 1."""
    return machine.number(machine.plan.roles["heat-exchanger"], "crack") if blower > 0 else 0.0


def _targets(
    machine: Machine,
    drive: Drive,
    pressures: Mapping[str, float],
    burning: float,
    burner_air: float,
    rise: float,
    roll_out: bool,
) -> dict[str, tuple[float, float]]:
    roles = machine.plan.roles
    room = machine.furnace.site["room"]
    igniter, exchanger, burners = roles["igniter"], roles["heat-exchanger"], roles["burners"]
    draft_lag = SPIN_UP if drive.inducer > 0 else COAST_DOWN
    exchanger_target, exchanger_lag = _exchanger(machine, exchanger, drive, burning, rise, room)
    box = "roll-out-temperature" if roll_out else "box-temperature"
    flue_rise = machine.number(exchanger, "flue-share") * (exchanger_target - room)
    flue_rise /= machine.number(exchanger, "limit-share")
    targets = {
        f"{switch}.draft": (draft_at(machine, switch, pressures), draft_lag)
        for switch, part in machine.furnace.parts.items()
        if part.kind == "pressure-switch"
    }
    targets[f"{igniter}.temperature"] = (
        airgas.igniter_temperature(
            drive.igniter_watts,
            machine.number(igniter, "surface"),
            machine.number(igniter, "emissivity"),
            room,
        ),
        machine.number(igniter, "lag"),
    )
    targets["exchanger"] = (exchanger_target, exchanger_lag)
    targets["rollout"] = (
        machine.number(burners, box) if drive.first_lit else room,
        machine.number(burners, "box-lag"),
    )
    targets["flue"] = (room + flue_rise, machine.number(exchanger, "lag"))
    targets[f"{roles['drain']}.level"] = _level(machine, burning, burner_air, room + flue_rise)
    return targets


def draft_at(machine: Machine, switch: str, pressures: Mapping[str, float]) -> float:
    """Pressure difference that reaches the two ports of a pressure switch, Pa."""

    def port(side: str) -> float:
        hose = machine.word(switch, f"{side}-hose")
        passes = 1.0 if hose == "none" else machine.number(hose, "passes")
        return passes * pressures[machine.word(switch, f"{side}-tap")]

    return port("high") - port("low")


def _exchanger(
    machine: Machine, exchanger: str, drive: Drive, burning: float, rise: float, room: float
) -> tuple[float, float]:
    """Temperature where the limit sits, and its lag: still air heats up far more."""
    if drive.blower > 0:
        share = machine.number(exchanger, "limit-share")
        return room + share * rise, machine.number(exchanger, "lag")
    still = machine.number(exchanger, "still-air-rise") if burning > 0 else 0.0
    return room + still, machine.number(exchanger, "still-lag")


def _level(
    machine: Machine, burning: float, burner_air: float, flue_temperature: float
) -> tuple[float, float]:
    """Water level in the drain: it stands so high that as much runs off as condenses."""
    drain = machine.plan.roles["drain"]
    resistance = machine.number(drain, "resistance")
    lag = resistance * machine.number(drain, "area")
    if burning <= 0.0:
        return 0.0, lag
    fuel = FUELS[machine.furnace.entry.gas]
    rate = combustion.condensate(fuel, burning, burner_air, flue_temperature)
    return rate * resistance, lag
