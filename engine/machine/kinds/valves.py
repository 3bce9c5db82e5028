"""Kinds of gas valves: which seats their coils open, and what their regulator holds."""

from __future__ import annotations

from collections.abc import Mapping
from typing import ClassVar

from lightoff.engine.machine.kinds.base import (
    LOOKS,
    SHUT,
    Across,
    Opened,
    ValueSpec,
    ValveKind,
    figure,
    number,
    one_of,
)
from lightoff.engine.model import Value

_BODY: Mapping[str, ValueSpec] = {
    "opens-at": figure("voltage"),
    "switch": one_of("on", "off"),
    "seat": one_of("works", "stuck-shut"),
    "leaks-by": figure("fraction", 0.0),
    "regulator": figure("pressure"),
    "flow-resistance": figure("flow-resistance"),
    "looks": LOOKS,
}
"""What any combination gas valve has."""


class GasValve(ValveKind):
    """The combination gas valve: a coil, a hand switch, a seat and a regulator."""

    name = "gas-valve"
    about = "A combination gas valve with regulator."
    values = {"resistance": figure("resistance", None, "open"), **_BODY}
    branches: ClassVar[tuple[str, ...]] = ("coil",)
    shows = {"click": "fraction"}
    wired_in = {"coil": ("control",)}

    def ohms(self, values: Mapping[str, Value], branch: str) -> float:
        return number(values, "resistance")

    def opened(self, values: Mapping[str, Value], across: Across, held: bool) -> Opened:
        pulled = _pulls(values, "coil", "resistance", across)
        return Opened(pilot=False, stage=int(_lets_main(values) and pulled))


class TwoStageGasValve(GasValve):
    """A valve with a second coil, which raises what the regulator holds to high fire."""

    name = "two-stage-gas-valve"
    about = "A combination gas valve with a coil for each stage."
    values = {
        **GasValve.values,
        "high-resistance": figure("resistance", None, "open"),
        "high-regulator": figure("pressure"),
        "high-seat": one_of("works", "stuck-low"),
    }
    branches: ClassVar[tuple[str, ...]] = ("coil", "high-coil")
    wired_in = {"coil": ("control",), "high-coil": ("control",)}

    def ohms(self, values: Mapping[str, Value], branch: str) -> float:
        return number(values, "high-resistance" if branch == "high-coil" else "resistance")

    def opened(self, values: Mapping[str, Value], across: Across, held: bool) -> Opened:
        low = super().opened(values, across, held)
        raised = values["high-seat"] == "works" and _pulls(
            values, "high-coil", "high-resistance", across
        )
        return Opened(pilot=False, stage=2) if low.stage and raised else low

    def regulated(self, values: Mapping[str, Value], stage: int) -> float:
        return number(values, "high-regulator" if stage == 2 else "regulator")


class PilotGasValve(GasValve):
    """Pilot and main valve in one body: gas for the burners passes the pilot's seat first."""

    name = "pilot-gas-valve"
    about = "A combination gas valve with one coil for the pilot and one for the burners."
    values = {**GasValve.values, "pilot-resistance": figure("resistance", None, "open")}
    branches: ClassVar[tuple[str, ...]] = ("coil", "pilot-coil")
    wired_in = {"coil": ("control",), "pilot-coil": ("control",)}

    def ohms(self, values: Mapping[str, Value], branch: str) -> float:
        return number(values, "pilot-resistance" if branch == "pilot-coil" else "resistance")

    def opened(self, values: Mapping[str, Value], across: Across, held: bool) -> Opened:
        if values["switch"] == "off" or not _pulls(
            values, "pilot-coil", "pilot-resistance", across
        ):
            return SHUT
        return Opened(pilot=True, stage=super().opened(values, across, held).stage)


class HeldGasValve(GasValve):
    """A valve whose pilot seat is opened by hand and held by the current of a thermocouple.

    The millivolt coil (`hold-coil`) is strong enough to hold, never to pull in: once it
    lets go, a hand must open it again.
    """

    name = "held-gas-valve"
    about = "A combination gas valve with a millivolt coil that holds the pilot gas open."
    values = {
        **GasValve.values,
        "switch": one_of("on", "off", "pilot"),
        "hold-resistance": figure("resistance", None, "open"),
        "holds-above": figure("voltage"),
        "knob": one_of("released", "held-down"),
    }
    branches: ClassVar[tuple[str, ...]] = ("coil", "hold-coil")
    wired_in = {"coil": ("control",), "hold-coil": ("millivolt",)}

    def ohms(self, values: Mapping[str, Value], branch: str) -> float:
        return number(values, "hold-resistance" if branch == "hold-coil" else "resistance")

    def opened(self, values: Mapping[str, Value], across: Across, held: bool) -> Opened:
        if values["switch"] == "off" or not (held or values["knob"] == "held-down"):
            return SHUT
        return Opened(pilot=True, stage=super().opened(values, across, held).stage)


def _pulls(values: Mapping[str, Value], branch: str, resistance: str, across: Across) -> bool:
    """Whether a coil has its winding and voltage enough to pull in."""
    return values[resistance] != "open" and across(branch) >= number(values, "opens-at")


def _lets_main(values: Mapping[str, Value]) -> bool:
    """Whether hand switch and seat let gas through to the burners."""
    return values["switch"] == "on" and values["seat"] == "works"
