"""Where everything that lags is heading: air, gas, fire and heat at rest in one state."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from lightoff.engine.machine import airgas, combustion
from lightoff.engine.machine.airgas import GasFlow
from lightoff.engine.machine.airways import AirFlow, combustion_air, house_air
from lightoff.engine.machine.combustion import FUELS, Flue
from lightoff.engine.machine.drive import AT_REST, Drive
from lightoff.engine.machine.gastrain import burning_share, gas, pilot_flame, stage_share
from lightoff.engine.machine.plan import Machine
from lightoff.engine.model import ROOM

__all__ = ["AT_REST", "Drive", "Steady", "disturbance", "draft_at", "steady"]

SPIN_UP, COAST_DOWN = 1.5, 2.5
"""Lag in seconds of the draft behind an inducer that starts or stops (from memory)."""
SPILL_LAG = 30.0
"""Lag in seconds of a spill switch in the stream from a draft hood (from memory)."""


@dataclass(frozen=True, slots=True)
class Steady:
    """The state at rest: pressures in Pa at the taps, flows in m3/s, heat in W."""

    pressures: Mapping[str, float]
    burner_air: float
    house_air: float
    gas: GasFlow
    first_burner: float
    """Share of its gas that the first burner gets."""
    pilot: float
    """How strong the pilot burns, or would, as a share of a sound one."""
    flue: Flue | None
    rise: float
    roll_out: bool
    spilled: float
    """Share of the flue gas that comes out at the draft hood."""
    flame: float
    targets: Mapping[str, tuple[float, float]]
    """Lagging quantity -> (where it is heading, its lag in seconds)."""


def steady(machine: Machine, drive: Drive) -> Steady:
    """Everything at rest under a drive."""
    pressures = {ROOM: 0.0}
    draft = combustion_air(machine, drive, pressures)
    blown = house_air(machine, drive, pressures).inlet
    let_through = gas(machine, drive, pressures)
    pilot = pilot_flame(machine, drive)
    burning = burning_share(machine, drive) * let_through.flow
    flue = _flue(machine, burning, draft) if drive.first_lit else None
    burnt = burning if flue is None else burning * min(1.0, 1.0 + flue.excess_air)
    heat = burnt * FUELS[machine.furnace.entry.gas].heating_value
    useful = heat * machine.number(machine.plan.roles["heat-exchanger"], "efficiency")
    rise = airgas.heat_rise(useful, blown) if blown > 0 else 0.0
    roll_out = flue is not None and flue.excess_air < 0.0
    return Steady(
        pressures=pressures,
        burner_air=draft.inlet,
        house_air=blown,
        gas=let_through,
        first_burner=machine.number(machine.plan.roles["burners"], "first-orifice"),
        pilot=pilot,
        flue=flue,
        rise=rise,
        roll_out=roll_out,
        spilled=draft.spilled if drive.first_lit else 0.0,
        flame=_flame(machine, drive, flue, pilot),
        targets=_targets(machine, drive, pressures, burning, draft, rise, roll_out, pilot),
    )


def _flue(machine: Machine, burning: float, draft: AirFlow) -> Flue:
    fuel = FUELS[machine.furnace.entry.gas]
    intake = machine.plan.combustion.before[0]
    recirculated = machine.number(intake, "recirculates")
    return combustion.burn(fuel, burning, draft.inlet * (1.0 - recirculated), draft.leaked_in)


def _flame(machine: Machine, drive: Drive, flue: Flue | None, pilot: float) -> float:
    """Share of a sound flame that stands at the sensor's tip, 0 to 1."""
    sensor = machine.plan.flame_sensor
    if sensor is not None and machine.word(sensor, "stands-at") == "pilot":
        return min(1.0, pilot) if drive.pilot_lit else 0.0
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
    draft: AirFlow,
    rise: float,
    roll_out: bool,
    pilot: float,
) -> dict[str, tuple[float, float]]:
    roles = machine.plan.roles
    room = machine.furnace.site["room"]
    exchanger, burners = roles["heat-exchanger"], roles["burners"]
    draft_lag = SPIN_UP if drive.inducer > 0 else COAST_DOWN
    exchanger_target, exchanger_lag = _exchanger(machine, exchanger, drive, burning, rise, room)
    box = "roll-out-temperature" if roll_out else "box-temperature"
    flue_rise = machine.number(exchanger, "flue-share") * (exchanger_target - room)
    flue_rise /= machine.number(exchanger, "limit-share")
    if burning > 0:
        flue_rise += machine.number(exchanger, "flue-above") * stage_share(machine, drive)
    targets = {
        f"{switch}.draft": (draft_at(machine, switch, pressures), draft_lag)
        for switch, part in machine.furnace.parts.items()
        if part.kind == "pressure-switch"
    }
    if (igniter := roles.get("igniter")) is not None:
        heated = airgas.igniter_temperature(
            drive.igniter_watts,
            machine.number(igniter, "surface"),
            machine.number(igniter, "emissivity"),
            room,
        )
        targets[f"{igniter}.temperature"] = heated, machine.number(igniter, "lag")
    targets["exchanger"] = (exchanger_target, exchanger_lag)
    targets["rollout"] = (
        machine.number(burners, box) if drive.first_lit else room,
        machine.number(burners, "box-lag"),
    )
    targets["flue"] = (room + flue_rise, machine.number(exchanger, "lag"))
    if (drain := roles.get("drain")) is not None:
        level = _level(machine, drain, burning, draft.inlet, room + flue_rise)
        targets[f"{drain}.level"] = level
    if "draft-hood" in roles:
        hot = machine.number(exchanger, "hot") if drive.first_lit else room
        targets["spill"] = (room + draft.spilled * (hot - room), SPILL_LAG)
    if (damper := roles.get("vent-damper")) is not None:
        targets[f"{damper}.position"] = _damper(machine, damper, drive)
    if (couple := roles.get("thermocouple")) is not None:
        heated = machine.number(couple, "emf") * machine.number(couple, "in-flame")
        emf = heated * min(1.0, pilot) if drive.pilot_lit else 0.0
        targets[f"{couple}.emf"] = (emf, machine.number(couple, "lag"))
    return targets


def _damper(machine: Machine, damper: str, drive: Drive) -> tuple[float, float]:
    """Where the blade is heading: 1 open, 0 shut."""
    blade = machine.word(damper, "blade")
    opens = blade == "stuck-open" or (blade == "works" and drive.damper_driven)
    return float(opens), machine.number(damper, "lag")


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
    still *= stage_share(machine, drive)
    return room + still, machine.number(exchanger, "still-lag")


def _level(
    machine: Machine, drain: str, burning: float, burner_air: float, flue_temperature: float
) -> tuple[float, float]:
    """Water level in the drain: it stands so high that as much runs off as condenses."""
    resistance = machine.number(drain, "resistance")
    lag = resistance * machine.number(drain, "area")
    if burning <= 0.0:
        return 0.0, lag
    fuel = FUELS[machine.furnace.entry.gas]
    rate = combustion.condensate(fuel, burning, burner_air, flue_temperature)
    return rate * resistance, lag
