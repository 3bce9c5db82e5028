"""One type of furnace: its parts, wiring, air, gas and sequence."""

from __future__ import annotations

from typing import Literal

import msgspec

from lightoff.engine.entries.base import Entry, Scalar, Words


class FittedPart(Entry, frozen=True, kw_only=True):
    """A part as fitted in one furnace: what differs from its entry."""

    part: str = ""
    """Id of the part's entry; the same as the fitted id if left out."""
    values: dict[str, Scalar] = {}
    source: str = "invented"
    without: Words = []
    """Faults of the entry that this furnace cannot have."""


class WireEntry(Entry, frozen=True, kw_only=True):
    """One branch of a part between two terminals of a net."""

    part: str
    branch: str = ""
    """Which of the part's branches; may be left out if it has only one."""
    between: tuple[str, str]


class Wiring(Entry, frozen=True, kw_only=True):
    """The electrical nets: line voltage, 24 volts, and millivolts of a thermocouple."""

    line: list[WireEntry]
    control: list[WireEntry]
    millivolt: list[WireEntry] = []


class InputEntry(Entry, frozen=True, kw_only=True):
    """What is read: volts between two terminals or the flame current; or what is seen to burn.

    What is `lit` no control reads: it tells apart steps of a furnace that has none.
    """

    above: str = ""
    by: str = ""
    """The control that reads it and is blind if dead; that of the sequence if left out."""
    volts: tuple[str, str] | None = None
    microamps: str | None = None
    lit: Literal["burners", "pilot"] | None = None


class LeaveEntry(Entry, frozen=True, kw_only=True):
    """A way out of a step: when all conditions hold and the time has passed."""

    to: str
    when: str | Words = []
    after: str = "0 s"


class InterruptEntry(Entry, frozen=True, kw_only=True):
    """A way out shared by several steps, looked at before their own."""

    to: str
    when: str | Words
    from_: Words = msgspec.field(name="from")


class StepEntry(Entry, frozen=True, kw_only=True):
    """A state of the sequence."""

    does: str
    """What happens in it, in one sentence."""
    energise: Words = []
    energise_for: dict[str, str] = {}
    """Relays energised only for the first so many seconds of the step."""
    counts: Words = []
    clears: Words = []
    rests: bool = False
    """A step in which the furnace may stay for good."""
    light: str = ""
    """What the status light of the board says in this step, in words."""
    leaves: list[LeaveEntry] = []


class SequenceEntry(Entry, frozen=True, kw_only=True):
    """The heating call as a state graph."""

    starts: str
    path: Words
    """The steps of a healthy call, in order."""
    board: str = ""
    """The part that runs the sequence: without it every relay drops out. Left out where
    no control does: contacts and valves follow from the circuits alone."""
    inputs: dict[str, InputEntry]
    counters: dict[str, int] = {}
    interrupts: list[InterruptEntry] = []
    steps: dict[str, StepEntry]


class AcceptedEntry(Entry, frozen=True, kw_only=True):
    """A weakness of the knowledge that is known and accepted, with the reason."""

    faults: Words
    why: str


class CallEntry(Entry, frozen=True, kw_only=True):
    """One call for heat as the simulator plays it."""

    starts: str
    satisfied: str
    watched: str
    second_stage: str = ""
    """When the thermostat calls for second-stage heat as well, where it can."""


class ChoiceEntry(Entry, frozen=True, kw_only=True):
    """What an option makes of a furnace; what is left out stays as it is."""

    about: str
    gas: Literal["", "natural-gas", "propane"] = ""
    values: dict[str, Scalar] = {}
    """PART.VALUE -> what it is instead."""
    without: Words = []
    """PART.FAULT that cannot be there."""
    features: dict[str, str] = {}
    site: dict[str, str] = {}
    plate: dict[str, str] = {}


class OptionEntry(Entry, frozen=True, kw_only=True):
    """Something in which furnaces of one type differ: its choices, the usual one first.

    Or `figure`, a figure of the site that may be anything, such as its altitude.
    """

    ask: str
    choices: dict[str, ChoiceEntry] = {}
    figure: str = ""
    source: str = "invented"


class FeatureEntry(Entry, frozen=True, kw_only=True):
    """Something by which one type of furnace is told from others (knowledge/identify.yaml)."""

    id: str
    ask: str
    how: Words = []
    values: dict[str, str]
    """Value -> what to look for, in words."""
    source: str


class FurnaceEntry(Entry, frozen=True, kw_only=True):
    """One type of furnace (knowledge/furnaces/*.yaml)."""

    id: str
    name: str
    about: str
    seen: Words
    """What tells this type from others at a glance."""
    features: dict[str, str] = {}
    """Feature -> its value on this type; one left out may be anything."""
    like: str = ""
    """The furnace it was made from: checks and rules kept to that one are for it as well."""
    gas: Literal["natural-gas", "propane"]
    site: dict[str, str]
    plate: dict[str, str]
    """The rating plate: input, temperature rise, manifold pressure, ..."""
    source: str
    call: CallEntry
    parts: dict[str, FittedPart]
    wiring: Wiring
    combustion_air: Words
    """The way of air and flue gas: part ids, with TAPS (upper case) between them."""
    house_air: Words
    gas_train: Words
    leaks: dict[str, str] = {}
    """TAP -> part through which air leaks in there."""
    sequence: SequenceEntry
    accepted_unseen: list[AcceptedEntry] = []
    accepted_alike: list[AcceptedEntry] = []
    legend: dict[str, str] = {}
    """What its status light shows -> what that means, in the words of the steps' `light`.
    For a person's own furnace, off the label on its door; no shipped one has any."""
    options: dict[str, OptionEntry] = {}
    chosen: dict[str, str] = {}
    """Option -> choice, where it is not the usual one."""
