"""Fuel gas and its flue gas: element balances, oxygen, carbon dioxide and monoxide, water.

Shares are fractions of 1, flows m3/s, temperatures K. Volumes of gas, air and flue gas are
those of ideal gases at one reference temperature, 15 C, and one atmosphere; air is dry.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import exp, inf, log

OXYGEN_IN_AIR = 0.2095
"""Share of oxygen in dry air by volume (ICAO standard atmosphere: 20.948 %)."""
OXYGEN_READ_IN_AIR = 0.209
"""What the trade's air-free formula takes an analyser to read in clean air."""
OXYGEN_TOO_HIGH = 0.20
"""Oxygen share from which an air-free figure means nothing: a factor of 23 and rising."""
ATMOSPHERE = 101_325.0
"""Standard atmosphere in Pa (by definition)."""
GAS_CONSTANT = 8.314462618
"""Molar gas constant in J/(mol K) (CODATA 2018)."""
REFERENCE_TEMPERATURE = 288.15
"""15 C in K, at which volumes are counted."""
ICE_POINT = 273.15
AIR_MOLAR_MASS = 0.0289655
"""Molar mass of dry air in kg/mol (CIPM-2007 with 400 ppm carbon dioxide: 28.9655)."""
WATER_MOLAR_MASS = 0.018015
WATER_DENSITY = 997.0
"""Density of water at 25 C in kg/m3 (IAPWS)."""


@dataclass(frozen=True, slots=True)
class _Species:
    """Atoms per molecule, molar mass in kg/mol, higher heat of combustion in J/mol."""

    carbon: int
    hydrogen: int
    oxygen: int
    molar_mass: float
    heat: float


_SPECIES: Mapping[str, _Species] = {
    # Heats of combustion at 25 C: ISO 6976:1995, from memory; tests check them against the
    # enthalpies of the NASA polynomials. Molar masses: IUPAC standard atomic weights.
    "CH4": _Species(1, 4, 0, 0.016043, 890.63e3),
    "C2H6": _Species(2, 6, 0, 0.030070, 1560.69e3),
    "C3H8": _Species(3, 8, 0, 0.044097, 2219.17e3),
    "C4H10": _Species(4, 10, 0, 0.058124, 2877.40e3),
    "CO2": _Species(1, 0, 2, 0.044009, 0.0),
    "N2": _Species(0, 0, 0, 0.028014, 0.0),
}


@dataclass(frozen=True, slots=True)
class Fuel:
    """A fuel gas; volumes are per volume of it, burnt completely without excess air."""

    stoichiometric_air: float
    dry_flue: float
    water: float
    """Volume of water vapour from the burning."""
    carbon_dioxide: float
    heating_value: float
    """Higher heating value in J/m3 (heat at 25 C, volume at 15 C)."""
    relative_density: float
    """Density relative to that of air."""

    @classmethod
    def of(cls, composition: Mapping[str, float]) -> Fuel:
        """Element balance and heat of a composition in mole shares.

        Known are CH4, C2H6, C3H8, C4H10 (normal butane), CO2 and N2. Raises ValueError for
        another gas, a negative share, or shares that do not sum to 1.
        """
        _refuse_wrong(composition)

        def total(name: str) -> float:
            return sum(s * float(getattr(_SPECIES[gas], name)) for gas, s in composition.items())

        carbon, hydrogen = total("carbon"), total("hydrogen")
        air = (carbon + hydrogen / 4 - total("oxygen") / 2) / OXYGEN_IN_AIR
        molar_volume = GAS_CONSTANT * REFERENCE_TEMPERATURE / ATMOSPHERE
        return cls(
            stoichiometric_air=air,
            dry_flue=carbon + air * (1 - OXYGEN_IN_AIR) + composition.get("N2", 0.0),
            water=hydrogen / 2,
            carbon_dioxide=carbon,
            heating_value=total("heat") / molar_volume,
            relative_density=total("molar_mass") / AIR_MOLAR_MASS,
        )

    @property
    def wet_flue(self) -> float:
        """Volume of flue gas with its water vapour."""
        return self.dry_flue + self.water

    @property
    def ultimate_carbon_dioxide(self) -> float:
        """The largest share of carbon dioxide its dry flue gas can have."""
        return self.carbon_dioxide / self.dry_flue

    @property
    def flue_ratio(self) -> float:
        """K: dry flue gas per volume of air, without excess air."""
        return self.dry_flue / self.stoichiometric_air


def _refuse_wrong(composition: Mapping[str, float]) -> None:
    for gas, share in composition.items():
        if gas not in _SPECIES:
            raise ValueError(f"{gas} is not one of {', '.join(_SPECIES)}")
        if not share >= 0.0:
            raise ValueError(f"the share of {gas} is {share}, below 0")
    if not abs(sum(composition.values()) - 1.0) < 1e-6:
        raise ValueError(f"the shares sum to {sum(composition.values())}, not to 1")
    if not any(_SPECIES[gas].heat * share for gas, share in composition.items()):
        raise ValueError("nothing in it burns")


FUELS: Mapping[str, Fuel] = {
    # Natural gas: an assumed mean of pipeline gas, from memory. Propane: taken as pure.
    "natural-gas": Fuel.of(
        {"CH4": 0.939, "C2H6": 0.032, "C3H8": 0.007, "C4H10": 0.004, "CO2": 0.010, "N2": 0.008}
    ),
    "propane": Fuel.of({"C3H8": 1.0}),
}


@dataclass(frozen=True, slots=True)
class Flue:
    """Flue gas at a sampling place.

    `excess_air` is that of the flame, as a share of the air needed: 0 just enough, negative
    too little, infinite without gas. Oxygen and carbon dioxide are shares of the dry flue
    gas; carbon monoxide is the air-free share, which dilution does not change.
    """

    excess_air: float
    oxygen: float
    carbon_dioxide: float
    carbon_monoxide_air_free: float


def burn(fuel: Fuel, gas_flow: float, air_flow: float, leaked_in: float = 0.0) -> Flue:
    """Flue gas of a flame fed with `gas_flow` and `air_flow`, both m3/s.

    `leaked_in` is air in m3/s that joins the flue gas after the flame and before the
    sample. Where a share r of the intake flow q is the furnace's own flue gas, the air is
    (1 - r) q: going round, the flue gas keeps the composition that fresh air gives it.
    With too little air, the gas that finds none leaves unburnt. Without gas: plain air.
    """
    if gas_flow <= 0.0:
        return Flue(inf, OXYGEN_IN_AIR, 0.0, 0.0)
    excess = air_flow / (gas_flow * fuel.stoichiometric_air) - 1.0
    burnt = min(1.0, 1.0 + excess)
    spare_air = max(0.0, excess) * fuel.stoichiometric_air + leaked_in / gas_flow
    volume = burnt * fuel.dry_flue + (1.0 - burnt) + spare_air
    oxygen = OXYGEN_IN_AIR * spare_air / volume
    air_free_monoxide = burner_carbon_monoxide(fuel, excess)
    monoxide = air_free_monoxide * (1.0 - oxygen / OXYGEN_IN_AIR)
    dioxide = max(0.0, burnt * fuel.carbon_dioxide / volume - monoxide)
    return Flue(excess, oxygen, dioxide, air_free_monoxide)


_SOUND_BURNER_MONOXIDE = 30e-6
_MONOXIDE_RISES_BELOW = 0.25
_MONOXIDE_SCALE = 0.058


def burner_carbon_monoxide(fuel: Fuel, excess_air: float) -> float:
    """Air-free share of carbon monoxide that a clean burner makes at an excess air.

    From memory, not measured: about 30 ppm with plenty of air, doubled at 25 % excess air,
    over 400 ppm under 10 %, thousands with too little air, growing e-fold for every 5.8
    points of air less; it levels off where all carbon would leave as monoxide.
    """
    shortage = (_MONOXIDE_RISES_BELOW - excess_air) / _MONOXIDE_SCALE
    unlimited = _SOUND_BURNER_MONOXIDE * (1.0 + exp(shortage))
    ceiling = fuel.ultimate_carbon_dioxide
    return ceiling * unlimited / (ceiling + unlimited)


def excess_air_from_oxygen(fuel: Fuel, oxygen: float) -> float:
    """Excess air (share) from the oxygen share of dry flue gas; ValueError outside 0 to air."""
    if not 0.0 <= oxygen < OXYGEN_IN_AIR:
        raise ValueError(f"an oxygen share of {oxygen} is not that of a flue gas")
    return fuel.flue_ratio * oxygen / (OXYGEN_IN_AIR - oxygen)


def oxygen_from_excess_air(fuel: Fuel, excess_air: float) -> float:
    """Oxygen share of the dry flue gas at an excess air (share); 0 with too little air."""
    excess = max(0.0, excess_air)
    if excess == inf:
        return OXYGEN_IN_AIR
    return OXYGEN_IN_AIR * excess / (fuel.flue_ratio + excess)


def carbon_dioxide(fuel: Fuel, oxygen: float) -> float:
    """Carbon dioxide share of dry flue gas with an oxygen share, all carbon burnt."""
    return fuel.ultimate_carbon_dioxide * (OXYGEN_IN_AIR - oxygen) / OXYGEN_IN_AIR


def air_free(monoxide: float, oxygen: float) -> float:
    """Carbon monoxide as it would read without excess air: the trade's 20.9/(20.9 - O2).

    Both are shares of dry flue gas. Raises ValueError from 20 % oxygen on, where the
    sample is air and the factor grows without bound, and for negative shares.
    """
    if not 0.0 <= oxygen < OXYGEN_TOO_HIGH:
        raise ValueError(f"no air-free figure at an oxygen share of {oxygen}: nearly plain air")
    if not monoxide >= 0.0:
        raise ValueError(f"a carbon monoxide share of {monoxide} is below 0")
    return monoxide * OXYGEN_READ_IN_AIR / (OXYGEN_READ_IN_AIR - oxygen)


# Magnus formula over water, -45 to 60 C (WMO Guide to Meteorological Instruments, no. 8).
_MAGNUS_PRESSURE, _MAGNUS_FACTOR, _MAGNUS_CELSIUS = 611.2, 17.62, 243.12


def saturation_pressure(temperature: float) -> float:
    """Pressure of saturated water vapour in Pa, by the Magnus formula."""
    celsius = temperature - ICE_POINT
    return _MAGNUS_PRESSURE * exp(_MAGNUS_FACTOR * celsius / (_MAGNUS_CELSIUS + celsius))


def dew_point(fuel: Fuel, excess_air: float) -> float:
    """Temperature in K below which water condenses from the flue gas of dry air.

    Raises ValueError with too little air (excess_air below 0), where the water depends on
    what is left unburnt.
    """
    if not 0.0 <= excess_air < inf:
        raise ValueError(f"no dew point at an excess air of {excess_air}")
    share = fuel.water / (fuel.wet_flue + excess_air * fuel.stoichiometric_air)
    logarithm = log(share * ATMOSPHERE / _MAGNUS_PRESSURE)
    return ICE_POINT + _MAGNUS_CELSIUS * logarithm / (_MAGNUS_FACTOR - logarithm)


def condensate(fuel: Fuel, gas_flow: float, air_flow: float, flue_temperature: float) -> float:
    """Water in m3/s that condenses if the flue gas leaves saturated at a temperature in K.

    0 above the dew point and without gas. Air is dry; with too little air only what burns
    makes water.
    """
    if gas_flow <= 0.0:
        return 0.0
    pressure = saturation_pressure(flue_temperature)
    if pressure >= ATMOSPHERE:
        return 0.0
    excess = air_flow / (gas_flow * fuel.stoichiometric_air) - 1.0
    burnt = min(1.0, 1.0 + excess)
    dry = burnt * fuel.dry_flue + (1.0 - burnt) + max(0.0, excess) * fuel.stoichiometric_air
    vapour = dry * pressure / (ATMOSPHERE - pressure)
    return gas_flow * max(0.0, burnt * fuel.water - vapour) * _WATER_PER_VAPOUR


_WATER_PER_VAPOUR = (
    ATMOSPHERE / (GAS_CONSTANT * REFERENCE_TEMPERATURE) * WATER_MOLAR_MASS / WATER_DENSITY
)
"""Liquid water per volume of vapour at the reference temperature."""
