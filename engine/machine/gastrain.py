"""The gas of a furnace in one state: flow and pressures, the pilot, what of it burns."""

from __future__ import annotations

from lightoff.engine.machine import airgas
from lightoff.engine.machine.airgas import STANDARD_MANIFOLD, GasFlow, orifice_share
from lightoff.engine.machine.combustion import FUELS
from lightoff.engine.machine.drive import Drive
from lightoff.engine.machine.kinds.base import ValveKind
from lightoff.engine.machine.plan import Machine

OTHER_GAS = {"natural-gas": "propane", "propane": "natural-gas"}
"""For which orifices may have been drilled by mistake."""


def gas(machine: Machine, drive: Drive, pressures: dict[str, float]) -> GasFlow:
    """Flow and pressures of the gas train; its taps are added to `pressures`."""
    roles = machine.plan.roles
    valve, burners, house = roles["gas-valve"], roles["burners"], roles["gas-supply"]
    first = machine.number(burners, "first-orifice")
    orifices = _orifice(machine, burners) * (machine.number(burners, "count") - 1 + first)
    flow = airgas.gas_flow(
        _supplied(machine),
        machine.number(house, "resistance"),
        machine.number(valve, "flow-resistance"),
        _regulated(machine, drive.stage),
        orifices,
    )
    taps = [name for name in machine.furnace.entry.gas_train if name.isupper()]
    for tap, pressure in zip(taps, (flow.inlet, flow.manifold), strict=True):
        pressures[tap] = pressure
    return flow


def pilot_flame(machine: Machine, drive: Drive) -> float:
    """How strong the pilot flame can be, as a share of a sound one; 0 without its gas."""
    pilot = machine.plan.roles.get("pilot")
    if pilot is None or not drive.pilot_gas:
        return 0.0
    wanted = machine.number(machine.plan.roles["gas-valve"], "regulator")
    head: float = min(1.0, _supplied(machine) / wanted) ** 0.5
    return head * machine.number(pilot, "flow")


def burning_share(machine: Machine, drive: Drive) -> float:
    """Share of the gas that burns: all burners, or the first alone."""
    if drive.far_lit:
        return 1.0
    return 1.0 / machine.number(machine.plan.roles["burners"], "count") if drive.first_lit else 0.0


def stage_share(machine: Machine, drive: Drive) -> float:
    """Input in the stage that is on, as a share of that in the highest."""
    high = _regulated(machine, 2)
    share: float = (_regulated(machine, max(1, drive.stage)) / high) ** 0.5
    return share


def _supplied(machine: Machine) -> float:
    """Pressure at rest behind the gas cock, Pa."""
    shut = machine.word(machine.plan.roles["gas-cock"], "handle") == "across-pipe"
    return 0.0 if shut else machine.number(machine.plan.roles["gas-supply"], "pressure")


def _regulated(machine: Machine, stage: int) -> float:
    """What the valve lets stand at the manifold in a stage; 0 shut, but for a leak."""
    valve, kind = machine.plan.roles["gas-valve"], machine.plan.valve
    assert isinstance(kind, ValveKind)
    values = machine.values[valve]
    if stage:
        return kind.regulated(values, stage)
    return kind.regulated(values, 1) * machine.number(valve, "leaks-by")


def _orifice(machine: Machine, burners: str) -> float:
    """Conductance of one orifice for the gas of the furnace, m3/s per root of Pa.

    The flow is that of its mass at sea level: where the air is thin, so is the gas.
    """
    gas = machine.furnace.entry.gas
    diameter = machine.number(burners, "orifice")
    if machine.word(burners, "orifices-for") == "other-gas":
        diameter *= _drill_ratio(gas, OTHER_GAS[gas])
    return orifice_share(machine.furnace.site["altitude"]) * airgas.orifice_conductance(
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
