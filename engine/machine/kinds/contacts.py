"""Kinds that make and break a circuit, and the wires between them."""

from __future__ import annotations

from collections.abc import Mapping
from typing import ClassVar

from lightoff.engine.machine.kinds.base import (
    CLOSED_CONTACT,
    LOOKS,
    OPEN_CIRCUIT,
    Kind,
    Standing,
    Threshold,
    ValueSpec,
    figure,
    number,
    one_of,
    siemens,
)
from lightoff.engine.model import Value

CONTACTS = one_of("works", "open", "closed")
RESISTANCE = figure("resistance", CLOSED_CONTACT, "open")
TRIPPED_LOOKS = ValueSpec(default="good", any_word=True)
"""How the part looks once it has tripped and stays so."""


class Conductor(Kind):
    """A wire, cable or plug: a small resistance, and what leaks off it."""

    name = "conductor"
    about = "A wire, cable or plug contact."
    values = {
        "resistance": RESISTANCE,
        "leak": figure("resistance", OPEN_CIRCUIT, "none"),
        "looks": LOOKS,
    }
    branches: ClassVar[tuple[str, ...]] = ("path", "leak")

    def ohms(self, values: Mapping[str, Value], branch: str) -> float:
        return number(values, "leak" if branch == "leak" else "resistance")


class Contact(Kind):
    """A contact moved by hand, by a door or a float; closed in a working furnace."""

    name = "contact"
    about = "A switch that is closed in normal work."
    values = {
        "contacts": CONTACTS,
        "resistance": RESISTANCE,
        "plunger": one_of("pressed", "not-pressed"),
        "looks": LOOKS,
    }
    branches: ClassVar[tuple[str, ...]] = ("contacts",)

    def closed(self, part: str, standing: Standing) -> bool:
        """Whether a working contact is closed now."""
        return True

    def ohms(self, values: Mapping[str, Value], branch: str) -> float:
        return OPEN_CIRCUIT if values["contacts"] == "open" else number(values, "resistance")

    def conductance(
        self, part: str, values: Mapping[str, Value], branch: str, standing: Standing
    ) -> float:
        contacts = values["contacts"]
        if contacts == "open" or (contacts == "works" and not self.closed(part, standing)):
            return 0.0
        if values["plunger"] == "not-pressed":
            return 0.0
        return siemens(number(values, "resistance"))


class _OpenAtRest(Contact):
    """A contact that reads open in ohms unless it is welded."""

    def ohms(self, values: Mapping[str, Value], branch: str) -> float:
        if values["contacts"] == "closed":
            return number(values, "resistance")
        return OPEN_CIRCUIT


class Relay(_OpenAtRest):
    """A relay contact that the board closes in the steps that energise it."""

    name = "relay"
    about = "A relay contact on the control board, driven by the sequence."
    moves = True

    def closed(self, part: str, standing: Standing) -> bool:
        return part in standing.energised


class Thermostat(_OpenAtRest):
    """Closes R to W while it calls for heat."""

    name = "thermostat"
    about = "A room thermostat: a contact that closes on a call for heat."
    moves = True
    role = "thermostat"
    values = {
        **Contact.values,
        "setting": one_of("above-room", "below-room"),
        "display": one_of("lit", "blank", "battery-sign"),
        "holds": figure("time", OPEN_CIRCUIT),
    }

    def closed(self, part: str, standing: Standing) -> bool:
        return standing.calling

    def conductance(
        self, part: str, values: Mapping[str, Value], branch: str, standing: Standing
    ) -> float:
        if values["setting"] == "below-room" and values["contacts"] == "works":
            return 0.0
        return super().conductance(part, values, branch, standing)


class TwoStageThermostat(Thermostat):
    """Closes R to W1 while it calls, and R to W2 while first-stage heat is not enough."""

    name = "two-stage-thermostat"
    about = "A room thermostat with a contact for each stage of heat."
    values = {**Thermostat.values, "second-contacts": CONTACTS}
    branches: ClassVar[tuple[str, ...]] = ("contacts", "second-stage")

    def ohms(self, values: Mapping[str, Value], branch: str) -> float:
        return super().ohms(_of_branch(values, branch), branch)

    def conductance(
        self, part: str, values: Mapping[str, Value], branch: str, standing: Standing
    ) -> float:
        if branch == "second-stage" and not standing.second:
            return siemens(self.ohms(values, branch))
        return super().conductance(part, _of_branch(values, branch), branch, standing)


def _of_branch(values: Mapping[str, Value], branch: str) -> Mapping[str, Value]:
    """The values of a two-stage contact as if it were the only one."""
    if branch != "second-stage":
        return values
    return {**values, "contacts": values["second-contacts"]}


class Overcurrent(Contact):
    """A breaker or fuse: opens for good when its current is too high."""

    name = "overcurrent"
    about = "A breaker or fuse."
    moves = True
    values = {**Contact.values, "trips-at": figure("current"), "tripped-looks": TRIPPED_LOOKS}

    def closed(self, part: str, standing: Standing) -> bool:
        return standing.positions.get(part, True)

    def trip_current(self, values: Mapping[str, Value]) -> float:
        return number(values, "trips-at")


class TemperatureSwitch(Contact):
    """Opens on rise of a temperature; `place` says of what."""

    name = "temperature-switch"
    about = "A limit or roll-out switch: opens when its place gets too hot."
    guards = True
    moves = True
    values = {
        **Contact.values,
        "place": one_of("exchanger", "rollout", "spill"),
        "opens-at": figure("temperature"),
        "closes-at": figure("temperature"),
        "reset": one_of("automatic", "manual"),
        "tripped-looks": TRIPPED_LOOKS,
    }

    def closed(self, part: str, standing: Standing) -> bool:
        return standing.positions[part]

    def threshold(self, part: str, values: Mapping[str, Value]) -> Threshold:
        return Threshold(
            str(values["place"]),
            closes=number(values, "closes-at"),
            opens=number(values, "opens-at"),
            manual_reset=values["reset"] == "manual",
        )


class FanSwitch(TemperatureSwitch):
    """Closes on rise of the exchanger's temperature and so starts the blower."""

    name = "fan-switch"
    about = "A switch that closes when the exchanger is warm, and opens when it has cooled."
    guards = False

    def ohms(self, values: Mapping[str, Value], branch: str) -> float:
        if values["contacts"] == "closed":
            return number(values, "resistance")
        return OPEN_CIRCUIT


class PressureSwitch(_OpenAtRest):
    """Closes when the pressure between its two ports is high enough."""

    name = "pressure-switch"
    about = "A diaphragm switch that proves draft."
    guards = True
    moves = True
    values = {
        **Contact.values,
        "closes-at": figure("pressure"),
        "opens-at": figure("pressure"),
        "low-tap": one_of("COLLECTOR"),
        "high-tap": one_of("BURNER-BOX", "ROOM"),
        "low-hose": one_of("collector-hose", "none"),
        "high-hose": one_of("burner-box-hose", "none"),
    }
    shows = {"draft": "pressure"}

    def closed(self, part: str, standing: Standing) -> bool:
        return standing.positions[part]

    def threshold(self, part: str, values: Mapping[str, Value]) -> Threshold:
        return Threshold(
            f"{part}.draft",
            closes=number(values, "closes-at"),
            opens=number(values, "opens-at"),
        )


class VentDamper(_OpenAtRest):
    """A blade in the vent that a 24-volt motor opens, and the switch that proves it open.

    Its position lags behind what the motor wants: 1 open, 0 shut. `contacts` is the end
    switch, which closes at `proves-at`.
    """

    name = "vent-damper"
    about = "A vent damper with its motor and end switch."
    guards = True
    values = {
        **Contact.values,
        "motor-resistance": figure("resistance", None, "open"),
        "opens-with": figure("voltage"),
        "blade": one_of("works", "stuck-shut", "stuck-open"),
        "proves-at": figure("fraction"),
        "lag": figure("time"),
        "open-resistance": figure("flow-resistance"),
        "shut-resistance": figure("flow-resistance"),
    }
    branches: ClassVar[tuple[str, ...]] = ("contacts", "motor")
    shows = {"position": "fraction"}
    role = "vent-damper"
    moves = True
    wired_in = {"motor": ("control",)}

    def closed(self, part: str, standing: Standing) -> bool:
        return standing.positions[part]

    def threshold(self, part: str, values: Mapping[str, Value]) -> Threshold:
        proves = number(values, "proves-at")
        return Threshold(f"{part}.position", closes=proves, opens=0.9 * proves)

    def ohms(self, values: Mapping[str, Value], branch: str) -> float:
        if branch == "motor":
            return number(values, "motor-resistance")
        return super().ohms(values, branch)

    def conductance(
        self, part: str, values: Mapping[str, Value], branch: str, standing: Standing
    ) -> float:
        if branch == "motor":
            return siemens(number(values, "motor-resistance"))
        return super().conductance(part, values, branch, standing)
