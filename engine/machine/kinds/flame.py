"""Kinds that light a flame, stand in it or are heated by it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import ClassVar

from lightoff.engine.machine.kinds.base import (
    LOOKS,
    OPEN_CIRCUIT,
    Kind,
    Standing,
    ValueSpec,
    figure,
    number,
    one_of,
    siemens,
)
from lightoff.engine.machine.kinds.loads import Board
from lightoff.engine.model import Value

NO_LOAD = 1e-9
"""Conductance of a spark gap in siemens: it draws nothing that counts."""


class Igniter(Kind):
    """A hot-surface igniter: heats by its power, loses by radiation and convection."""

    name = "igniter"
    about = "A hot-surface igniter."
    values = {
        "resistance": figure("resistance", None, "open"),
        "hot-share": figure("fraction"),
        "surface": figure("area"),
        "emissivity": figure("fraction"),
        "lag": figure("time"),
        "lights-at": figure("temperature"),
        "position": one_of("in-place", "out-of-place"),
        "looks": LOOKS,
    }
    branches: ClassVar[tuple[str, ...]] = ("element",)
    role = "igniter"
    wired_in = {"element": ("line",)}
    shows = {"glow": "temperature"}

    def ohms(self, values: Mapping[str, Value], branch: str) -> float:
        return number(values, "resistance")

    def conductance(
        self, part: str, values: Mapping[str, Value], branch: str, standing: Standing
    ) -> float:
        return siemens(number(values, "resistance") * number(values, "hot-share"))


class FlameSensor(Kind):
    """A flame rod: the flame passes a rectified current from its tip to the burner."""

    name = "flame-sensor"
    about = "A flame rod, read by rectification."
    guards = True
    values = {
        "coating": figure("resistance"),
        "flame-resistance": figure("resistance"),
        "rectified": figure("fraction"),
        "insulator-leak": figure("resistance", OPEN_CIRCUIT, "none"),
        "in-flame": figure("fraction", 1.0),
        "stands-at": one_of("last-burner", "pilot"),
        "looks": LOOKS,
    }
    branches: ClassVar[tuple[str, ...]] = ("coating", "flame", "insulator")
    role = "flame-sensor"
    moves = True
    wired_in = {"flame": ("line", "control")}

    def ohms(self, values: Mapping[str, Value], branch: str) -> float:
        if branch == "coating":
            return number(values, "coating")
        return number(values, "insulator-leak") if branch == "insulator" else OPEN_CIRCUIT

    def conductance(
        self, part: str, values: Mapping[str, Value], branch: str, standing: Standing
    ) -> float:
        if branch != "flame":
            return siemens(self.ohms(values, branch))
        share = standing.flame * number(values, "in-flame")
        return share / number(values, "flame-resistance")


class SparkElectrode(Kind):
    """An electrode from which a spark jumps to ground.

    The circuit that the meter sees is that of the spark generator's input: `gap` sparks
    from `sparks-at` on while the contact that it is `fired-by` is closed, unless the gap is
    wrong or the porcelain leads the charge away.
    """

    name = "spark-electrode"
    about = "A spark electrode and its gap to ground."
    values = {
        "sparks-at": figure("voltage"),
        "gap": one_of("right", "too-wide", "too-narrow"),
        "lights": one_of("burners", "pilot"),
        "fired-by": ValueSpec(default="spark-relay", any_word=True),
        "insulator-leak": figure("resistance", OPEN_CIRCUIT, "none"),
        "looks": LOOKS,
    }
    branches: ClassVar[tuple[str, ...]] = ("gap", "insulator")
    shows = {"sparks": "fraction"}
    wired_in = {"gap": ("control",)}

    def ohms(self, values: Mapping[str, Value], branch: str) -> float:
        return number(values, "insulator-leak") if branch == "insulator" else OPEN_CIRCUIT

    def conductance(
        self, part: str, values: Mapping[str, Value], branch: str, standing: Standing
    ) -> float:
        return NO_LOAD if branch == "gap" else siemens(self.ohms(values, branch))


_SPARK = ("sparks-at", "gap", "lights", "fired-by")
"""Values that an electrode has for its spark."""


class SensingElectrode(FlameSensor):
    """An electrode that sparks first and proves the flame afterwards: local sensing."""

    name = "sensing-electrode"
    about = "A spark electrode that is also the flame rod."
    values = {
        **FlameSensor.values,
        **{
            name: SparkElectrode.values[name] for name in ("sparks-at", "gap", "lights", "fired-by")
        },
    }
    branches: ClassVar[tuple[str, ...]] = (*FlameSensor.branches, "gap")
    shows = SparkElectrode.shows
    wired_in = {**FlameSensor.wired_in, **SparkElectrode.wired_in}

    def conductance(
        self, part: str, values: Mapping[str, Value], branch: str, standing: Standing
    ) -> float:
        if branch == "gap":
            return NO_LOAD
        return super().conductance(part, values, branch, standing)


class IgnitionModule(Board):
    """A separate ignition control: fed by the call and the safeties, it times the trial."""

    name = "ignition-module"
    about = "A separate ignition control with its flame-sensing source."
    branches: ClassVar[tuple[str, ...]] = ("power", "sense", "leak")
    role = ""


class PilotBurner(Kind):
    """A small flame that lights the burners; its gas comes through an orifice of its own.

    `flow` is the share of its gas that gets through; from `lights-from` on the flame
    reaches the burners. `found` matters where the pilot burns all the time.
    """

    name = "pilot-burner"
    about = "A pilot burner with its orifice and tube."
    values = {
        "flow": figure("fraction", 1.0),
        "lights-from": figure("fraction"),
        "aim": one_of("at-burners", "away"),
        "found": one_of("lit", "out"),
        "looks": LOOKS,
    }
    shows = {"pilot-flame": "fraction"}
    role = "pilot"
    stands_alone = True


class Thermocouple(Kind):
    """Two metals joined in the pilot flame: a small source of direct current."""

    name = "thermocouple"
    about = "A thermocouple heated by the pilot flame."
    guards = True
    values = {
        "emf": figure("voltage"),
        "resistance": figure("resistance", None, "open"),
        "lag": figure("time"),
        "in-flame": figure("fraction", 1.0),
        "looks": LOOKS,
    }
    branches: ClassVar[tuple[str, ...]] = ("source",)
    role = "thermocouple"
    wired_in = {"source": ("millivolt",)}

    def ohms(self, values: Mapping[str, Value], branch: str) -> float:
        return number(values, "resistance")
