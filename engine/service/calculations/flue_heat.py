"""Heat that leaves with the flue gas, as shares of the higher heating value.

Heat capacities grow evenly with temperature, which holds within 1 % from -40 to 600 C.
"""

from __future__ import annotations

from dataclasses import dataclass

from lightoff.engine.machine.combustion import (
    ATMOSPHERE,
    GAS_CONSTANT,
    OXYGEN_IN_AIR,
    REFERENCE_TEMPERATURE,
    WATER_DENSITY,
    WATER_MOLAR_MASS,
    Fuel,
    condensate,
    excess_air_from_oxygen,
)

MOLAR_VOLUME = GAS_CONSTANT * REFERENCE_TEMPERATURE / ATMOSPHERE
"""m3/mol of an ideal gas at the reference temperature and one atmosphere."""
STANDARD_TEMPERATURE = 298.15
"""K, at which heats of combustion are counted."""
LATENT_HEAT = 43.99e3
"""J/mol of water at 25 C (from memory; tests check it against an equation of state)."""
MONOXIDE_HEAT = 282.98e3
"""J/mol set free where carbon monoxide burns (from memory; tests check it likewise)."""

HEAT_CAPACITY = {
    # J/(mol K) at 300 K, and its growth per K (JANAF tables, from memory; tests check the
    # heat of each gas against the NASA polynomials).
    "CO2": (37.4, 0.0340),
    "N2": (28.98, 0.0030),
    "O2": (29.2, 0.0085),
    "H2O": (33.4, 0.0085),
}


@dataclass(frozen=True, slots=True)
class Losses:
    """Shares of the higher heating value that leave with dry flue gas, water, and unburnt."""

    dry: float
    water: float
    unburnt: float


def heat(gas: str, start: float, end: float) -> float:
    """J/mol to warm a gas from one temperature to another, both K."""
    at_300, growth = HEAT_CAPACITY[gas]
    return (end - start) * (at_300 + growth * ((start + end) / 2.0 - 300.0))


def losses(fuel: Fuel, oxygen: float, monoxide: float, flue: float, air: float) -> Losses:
    """Losses by shares of oxygen and carbon monoxide in dry flue gas, temperatures in K.

    Water that condenses at equilibrium gives its latent heat back. ValueError where there
    is no flue gas of such an oxygen share.
    """
    excess = excess_air_from_oxygen(fuel, oxygen)
    spare = excess * fuel.stoichiometric_air
    dry = {
        "CO2": fuel.carbon_dioxide,
        "N2": fuel.dry_flue - fuel.carbon_dioxide + (1.0 - OXYGEN_IN_AIR) * spare,
        "O2": OXYGEN_IN_AIR * spare,
    }
    supplied = fuel.heating_value * MOLAR_VOLUME
    liquid = condensate(fuel, 1.0, (1.0 + excess) * fuel.stoichiometric_air, flue)
    vapour = fuel.water - liquid * WATER_DENSITY / WATER_MOLAR_MASS * MOLAR_VOLUME
    warmed = sum(share * heat(gas, air, flue) for gas, share in dry.items())
    steam = vapour * (LATENT_HEAT + heat("H2O", STANDARD_TEMPERATURE, flue))
    unburnt = monoxide * (fuel.dry_flue + spare) * MONOXIDE_HEAT
    return Losses(warmed / supplied, steam / supplied, unburnt / supplied)
