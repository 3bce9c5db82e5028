"""Part kinds by name. A new kind is a class in one of these files and a line here."""

from lightoff.engine.machine.kinds.base import Kind, Standing, Threshold, ValueSpec
from lightoff.engine.machine.kinds.contacts import (
    Conductor,
    Contact,
    FanSwitch,
    Overcurrent,
    PressureSwitch,
    Relay,
    TemperatureSwitch,
    Thermostat,
    TwoStageThermostat,
    VentDamper,
)
from lightoff.engine.machine.kinds.flame import (
    FlameSensor,
    Igniter,
    IgnitionModule,
    PilotBurner,
    SensingElectrode,
    SparkElectrode,
    Thermocouple,
)
from lightoff.engine.machine.kinds.loads import Board, Supply, Transformer
from lightoff.engine.machine.kinds.motors import CommandedMotor, Motor, TwoSpeedMotor
from lightoff.engine.machine.kinds.valves import (
    GasValve,
    HeldGasValve,
    PilotGasValve,
    TwoStageGasValve,
)
from lightoff.engine.machine.kinds.ways import (
    Burners,
    Chimney,
    DraftHood,
    Drain,
    GasCock,
    GasSupply,
    HeatExchanger,
    Hose,
    Opening,
    Passage,
)

KINDS: dict[str, Kind] = {
    kind.name: kind()
    for kind in (
        Board,
        Burners,
        Chimney,
        CommandedMotor,
        Conductor,
        Contact,
        DraftHood,
        Drain,
        FanSwitch,
        FlameSensor,
        GasCock,
        GasSupply,
        GasValve,
        HeatExchanger,
        HeldGasValve,
        Hose,
        Igniter,
        IgnitionModule,
        Motor,
        Opening,
        Overcurrent,
        Passage,
        PilotBurner,
        PilotGasValve,
        PressureSwitch,
        Relay,
        SensingElectrode,
        SparkElectrode,
        Supply,
        TemperatureSwitch,
        Thermocouple,
        Thermostat,
        Transformer,
        TwoSpeedMotor,
        TwoStageGasValve,
        TwoStageThermostat,
        VentDamper,
    )
}

ROLES = tuple(sorted({kind.role for kind in KINDS.values() if kind.role}))
"""What the machine may look for in a furnace; a furnace has at most one part for each."""

NEEDED = (
    "burners",
    "gas-cock",
    "gas-supply",
    "gas-valve",
    "heat-exchanger",
    "supply",
    "thermostat",
    "transformer",
)
"""Roles without which nothing is a gas furnace."""

__all__ = ["KINDS", "NEEDED", "ROLES", "Kind", "Standing", "Threshold", "ValueSpec"]
