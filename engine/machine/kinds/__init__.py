"""Part kinds by name. A new kind is a class in one of these files and a line here."""

from lightoff.engine.machine.kinds.base import Kind, Standing, Threshold, ValueSpec
from lightoff.engine.machine.kinds.contacts import (
    Conductor,
    Contact,
    Overcurrent,
    PressureSwitch,
    Relay,
    TemperatureSwitch,
    Thermostat,
)
from lightoff.engine.machine.kinds.loads import (
    Board,
    FlameSensor,
    GasValve,
    Igniter,
    Motor,
    Supply,
    Transformer,
)
from lightoff.engine.machine.kinds.ways import (
    Burners,
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
        Conductor,
        Contact,
        Drain,
        FlameSensor,
        GasCock,
        GasSupply,
        GasValve,
        HeatExchanger,
        Hose,
        Igniter,
        Motor,
        Opening,
        Overcurrent,
        Passage,
        PressureSwitch,
        Relay,
        Supply,
        TemperatureSwitch,
        Thermostat,
        Transformer,
    )
}

ONE_EACH = (
    "board",
    "burners",
    "drain",
    "flame-sensor",
    "gas-cock",
    "gas-supply",
    "gas-valve",
    "heat-exchanger",
    "igniter",
    "pressure-switch",
    "supply",
    "thermostat",
    "transformer",
)
"""Kinds of which a furnace has just one part."""

__all__ = ["KINDS", "ONE_EACH", "Kind", "Standing", "Threshold", "ValueSpec"]
