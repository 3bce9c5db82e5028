"""Air, fuel gas, igniter and heat in closed form; quantities that lag behind their target.

SI units: pressures Pa (gauge), flows m3/s, temperatures K, powers W. A flow resistance R is
quadratic: pressure drop = R flow^2, in Pa s2/m6; a closed way has an infinite one. Air and
flue gas flows are counted as the volume of their mass at the reference temperature, 15 C.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import exp, inf, log, pi, sqrt

from lightoff.engine.machine.combustion import (
    AIR_MOLAR_MASS,
    ATMOSPHERE,
    GAS_CONSTANT,
    REFERENCE_TEMPERATURE,
)
from lightoff.engine.units import INCH_OF_WATER, UNITS

STEFAN_BOLTZMANN = 5.670374419e-8
"""W/(m2 K4) (CODATA 2018)."""
HOUSE_AIR_DENSITY = 1.2
"""kg/m3 at 20 C and sea level (common practice)."""
AIR_HEAT_CAPACITY = 1006.0
"""J/(kg K) of dry air at constant pressure near 20 C (common practice)."""
GAS_BASE_TEMPERATURE = UNITS["F"].to_si(60.0)
"""60 F in K, the base of a cubic foot of gas."""
GRAVITY = 9.80665
"""m/s2 (standard, by definition)."""
STANDARD_MANIFOLD = {"natural-gas": 3.5 * INCH_OF_WATER, "propane": 10.0 * INCH_OF_WATER}
"""Manifold pressure in Pa for which orifices are drilled: 3.5 and 10 inwc (common practice)."""
HALVINGS = 60
"""Enough to bring any pressure down to the last digit."""
ROUNDING = 1e-12
"""Relative difference under which two levels of a quantity count as equal."""


# --- lag -----------------------------------------------------------------------------


def relaxed(now: float, target: float, tau: float, seconds: float) -> float:
    """Value after `seconds` of a quantity that relaxes exponentially to its target.

    A `tau` of 0 s stands for no lag, an infinite one for a quantity that stays.
    """
    if tau <= 0.0:
        return target
    return target + (now - target) * exp(-seconds / tau)


def crossing_time(now: float, target: float, level: float, tau: float) -> float:
    """Seconds until the relaxing quantity reaches a level; infinite if it never does.

    A quantity already at the level (but for rounding) does not cross it again, and one
    whose target is the level never gets there. So the caller acts on a crossing when its
    time has come, without comparing the quantity with the level once more.
    """
    slack = ROUNDING * max(abs(now), abs(target), abs(level))
    gone, left = level - now, target - level
    if abs(gone) <= slack or abs(left) <= slack or (gone > 0.0) != (left > 0.0):
        return inf
    if tau <= 0.0:
        return 0.0
    return tau * log((target - now) / left)


# --- air -----------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class ChainFlow:
    """Flow through the upstream part and the fan; gauge pressure before the fan (<= 0)."""

    inlet: float
    total: float
    junction: float


def chain_flow(
    upstream: float, leak: float, downstream: float, fan_pressure: float, fan_curve: float
) -> ChainFlow:
    """Flows where one fan draws through an upstream part, and a leak at the fan's inlet.

    The fan raises the pressure by `fan_pressure` (Pa) - `fan_curve` total^2. The leak is
    infinite if there is none; several are put together by `parallel`. Everything upstream
    shut: no flow, and the whole fan pressure as suction. Raises ValueError if nothing at
    all resists the flow.
    """
    if fan_pressure <= 0.0:
        return ChainFlow(0.0, 0.0, 0.0)
    before = parallel(upstream, leak)
    if before == inf:
        return ChainFlow(0.0, 0.0, -fan_pressure)
    whole = before + downstream + fan_curve
    if whole <= 0.0:
        raise ValueError("no resistance in the air path: the flow has no bound")
    total = sqrt(fan_pressure / whole)
    inlet = total * sqrt(before / upstream) if upstream > 0.0 else total
    return ChainFlow(inlet, total, -before * total * total)


def parallel(*resistances: float) -> float:
    """Quadratic resistance of ways side by side; 0 if one is free, infinite if all are shut."""
    if min(resistances) <= 0.0:
        return 0.0
    conductance = sum(1.0 / sqrt(resistance) for resistance in resistances)
    return inf if conductance == 0.0 else conductance**-2


def resistance_at(resistance: float, temperature: float) -> float:
    """Resistance to the same mass flow at a temperature in K.

    The mass flow kept, density falls and velocity rises with temperature, so the pressure
    drop goes with T / T_ref (ideal gas); so does the resistance for reference volumes.
    """
    return resistance * temperature / REFERENCE_TEMPERATURE


def fan_at_speed(pressure: float, speed: float) -> float:
    """Shut-off pressure of a fan at a share of its full speed: it goes with speed squared.

    By the affinity laws the coefficient of its quadratic curve stays as it is.
    """
    return pressure * speed * speed


def pressure_ratio(altitude: float) -> float:
    """Air pressure at an altitude in m as a share of that at sea level.

    ICAO standard atmosphere. Indoors, where the temperature stays, density goes with it.
    """
    ratio: float = (1.0 - 2.25577e-5 * altitude) ** 5.25588
    return ratio


def air_density(temperature: float, pressure: float = ATMOSPHERE) -> float:
    """Density of dry air in kg/m3 at a temperature in K and a pressure in Pa: the ideal gas."""
    return pressure * AIR_MOLAR_MASS / (GAS_CONSTANT * temperature)


def buoyancy(height: float, outside: float, inside: float) -> float:
    """Draft in Pa of a column of gas in K, `height` m high, against the air beside it.

    By the density of air at sea level and the ideal gas law; below 0 where it is cooler.
    """
    return air_density(outside) * GRAVITY * height * (1.0 - outside / inside)


@dataclass(frozen=True, slots=True)
class HoodFlow:
    """Flows at a draft hood, and its pressure against the room.

    `spilled` is the share of what the burners send that goes into the room; all of it where
    the chimney blows down through burners and hood.
    """

    burner: float
    vent: float
    pressure: float
    spilled: float


def hood_flow(draws: float, below: float, hood: float, pulls: float, above: float) -> HoodFlow:
    """Balance at a draft hood: what comes from below and from the room leaves by the vent.

    `draws` is the draft of the exchanger and `pulls` that of the chimney, Pa; `below`,
    `hood` and `above` are the resistances up to the hood, of its opening, and behind it.
    All flows grow or fall steadily with the pressure in the hood, so halving finds it.
    """

    def flow(drop: float, resistance: float) -> float:
        return (1.0 if drop > 0.0 else -1.0) * sqrt(abs(drop) / resistance)

    def surplus(pressure: float) -> float:
        into = flow(draws - pressure, below) + flow(-pressure, hood)
        return into - flow(pulls + pressure, above)

    most = abs(draws) + abs(pulls) + 1.0
    low, high = -most, most
    for _ in range(HALVINGS):
        middle = (low + high) / 2.0
        if surplus(middle) > 0.0:
            low = middle
        else:
            high = middle
    burner, room = flow(draws - low, below), flow(-low, hood)
    spilled = 0.0 if room >= 0.0 else min(1.0, -room / burner) if burner > 0.0 else 1.0
    return HoodFlow(burner, flow(pulls + low, above), low, spilled)


def heat_rise(power: float, air_flow: float) -> float:
    """Temperature rise in K of house air that takes up a power; infinite without air."""
    if air_flow <= 0.0:
        return inf if power > 0.0 else 0.0
    return power / (HOUSE_AIR_DENSITY * AIR_HEAT_CAPACITY * air_flow)


# --- gas and igniter -----------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class GasFlow:
    """Flow to the burners, pressure at the valve's inlet and at the manifold."""

    flow: float
    inlet: float
    manifold: float


def gas_flow(
    supply: float, pipe: float, valve: float, regulator: float, orifices: float
) -> GasFlow:
    """Flow through pipe, valve, regulator and orifices.

    `supply` is the pressure at rest, `pipe` and `valve` are resistances, infinite where
    shut, `regulator` its set pressure, `orifices` the conductance of all of them together
    (m3/s per root of Pa). The regulator holds its setting as long as that much is left.
    """
    if supply <= 0.0 or pipe == inf:
        return GasFlow(0.0, 0.0, 0.0)
    if valve == inf:
        return GasFlow(0.0, supply, 0.0)
    left = supply / (1.0 + (pipe + valve) * orifices * orifices)
    manifold = max(0.0, min(regulator, left))
    flow = orifices * sqrt(manifold)
    return GasFlow(flow, supply - pipe * flow * flow, manifold)


def orifice_conductance(diameter: float, coefficient: float, relative_density: float) -> float:
    """Conductance of one orifice in m3/s per root of Pa: Bernoulli, density of gas at 60 F.

    The flow is the volume of the gas as it stands before the orifice, at 60 F and one
    atmosphere. Diameter in m; discharge coefficient; density of the gas relative to air.
    """
    density = air_density(GAS_BASE_TEMPERATURE) * relative_density
    area = pi / 4.0 * diameter * diameter
    return coefficient * area * sqrt(2.0 / density)


def orifice_share(altitude: float) -> float:
    """Mass that an orifice passes at an altitude in m, as a share of that at sea level.

    The gas is as thin as the air: the flow goes with the root of its density.
    """
    share: float = pressure_ratio(altitude) ** 0.5
    return share


def igniter_temperature(
    power: float, surface: float, emissivity: float, surroundings: float
) -> float:
    """Temperature in K at which an igniter radiates its power: the Stefan-Boltzmann law.

    Surface in m2, surroundings in K. Convection is left out: near 1300 C it is a small
    share, and the effective surface stands for it.
    """
    radiated = max(0.0, power) / (STEFAN_BOLTZMANN * emissivity * surface)
    return float((radiated + surroundings**4) ** 0.25)
