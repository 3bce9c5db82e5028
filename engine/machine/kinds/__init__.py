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

__all__ = ["KINDS", "Kind", "Standing", "Threshold", "ValueSpec"]
