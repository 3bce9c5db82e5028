"""Typed structures of everything in knowledge/.

Two layers. The `*Entry` structures are what stands in the YAML files, checked for
shape only (msgspec). The frozen dataclasses below them are what the rest of the
engine works with: references resolved, every figure in SI units.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

import msgspec

Scalar = str | int | float
"""A value as it stands in a file: a word, a bare number, or a number with its unit."""

Value = float | str
"""A part's value once read: a number in SI units, or a word."""

Words = list[str]

SourceKind = Literal["published", "common-practice", "from-memory", "invented"]
Method = Literal["ask", "look", "listen", "meter", "gauge", "try"]
Price = Literal["none", "low", "middle", "high"]

ROOM = "ROOM"
"""The tap against which a gauge left open to the room reads."""

NO_FAULT = "no-fault"
SOMETHING_ELSE = "something-else"
NOT_REACHED = "not-reached"
"""The outcome of a check whose step the furnace never reached."""


class Entry(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, rename="kebab"):
    """Base of all entries: kebab-case keys, unknown keys refused."""


class SourceEntry(Entry, frozen=True, kw_only=True):
    """Where figures come from (knowledge/sources.yaml)."""

    id: str
    kind: SourceKind
    title: str
    note: str = ""


class CautionEntry(Entry, frozen=True, kw_only=True):
    """A safety text, by hazard (knowledge/cautions.yaml)."""

    id: str
    title: str
    text: Words
    short: str
    source: str


class ToolEntry(Entry, frozen=True, kw_only=True):
    """Something a person brings along (knowledge/tools.yaml)."""

    id: str
    name: str


class AspectEntry(Entry, frozen=True, kw_only=True):
    """One aspect of the set-up, such as power or door, with the minutes to change it."""

    id: str
    name: str
    start: str
    minutes: dict[str, float]
    """Minutes it takes to bring this aspect into each state."""
    how: dict[str, str]
    """What the person does to bring it into each state."""
    sets: dict[str, dict[str, Scalar]] = {}
    """State -> PART.VALUE -> what it is while so: with the door off, its switch is held in."""


class RepairEntry(Entry, frozen=True, kw_only=True):
    """What a person does about a fault (knowledge/repairs/*.yaml)."""

    id: str
    title: str
    minutes: float
    price: Price
    hazards: Words = []
    how: Words
    source: str


class FaultEntry(Entry, frozen=True, kw_only=True):
    """One way in which a part fails, as a change to its values."""

    id: str
    name: str
    sets: dict[str, Scalar]
    weight: float
    """How often it occurs, relative to the other faults."""
    repair: str
    because: str
    """How it comes about, and what the person would notice, in one or two sentences."""
    comes_and_goes: bool = False
    """Present in some calls only."""
    shows_when: Words = []
    """What brings a fault that comes and goes out: heat, tap, wiggle, wind, damp."""
    source: str = "from-memory"


class Labels(Entry, frozen=True, kw_only=True):
    """How wiring diagrams label a part, and what that label is mistaken for."""

    usual: Words
    mistaken_for: str


class PartEntry(Entry, frozen=True, kw_only=True):
    """What is known of a part wherever it is fitted (knowledge/parts/*.yaml)."""

    id: str
    kind: str
    name: str
    area: str
    does: str
    senses: str
    acts: str
    sits: str
    labels: Labels
    values: dict[str, Scalar] = {}
    source: str
    faults: list[FaultEntry] = []


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
    """The two electrical nets. The first terminal of the first source is the live one."""

    line: list[WireEntry]
    control: list[WireEntry]


class InputEntry(Entry, frozen=True, kw_only=True):
    """What the board reads: volts between two terminals or the flame current."""

    above: str
    volts: tuple[str, str] | None = None
    microamps: str | None = None


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
    board: str
    """The part that runs the sequence: without it every relay drops out."""
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


class FurnaceEntry(Entry, frozen=True, kw_only=True):
    """One type of furnace (knowledge/furnaces/*.yaml)."""

    id: str
    name: str
    about: str
    seen: Words
    """What tells this type from others at a glance."""
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


class ReadsEntry(Entry, frozen=True, kw_only=True):
    """What a check reads: exactly one of the readings, in a step where it needs one."""

    volts: tuple[str, str] | None = None
    ohms: str | None = None
    amps: str | None = None
    microamps: str | None = None
    pressure: tuple[str, str] | None = None
    gauge: str | None = None
    """PART.SHOWN, a pressure at a part rather than between two taps."""
    temperature: str | None = None
    flue: str | None = None
    sight: str | None = None
    sound: str | None = None
    condition: str | None = None
    light: bool = False
    stalls: bool = False
    seconds: str | None = None
    during: str | None = None
    after_trying: dict[str, Scalar] = msgspec.field(default={}, name="with")
    """PART.VALUE -> what the person makes it for the trial; `normal` as in a sound furnace."""


class CheckEntry(Entry, frozen=True, kw_only=True):
    """Anything that can be asked, looked at, listened to, measured or tried."""

    id: str
    area: str
    by: Method
    ask: str
    """The question, as put to the technician."""
    how: Words
    reads: ReadsEntry
    outcomes: dict[str, str | Words]
    """Outcome -> band ("below 2 V"), words of a condition, or steps of the sequence."""
    answers: dict[str, str] = {}
    """How an outcome is put in words, where its name and band do not say enough."""
    minutes: float
    tools: Words = []
    hazards: Words = []
    setup: dict[str, str] = {}
    provokes: Words = []
    varies: str = ""
    """Natural variation of good parts, as a share ("15 %"), on top of the meter's own."""
    misread: str = ""
    """Chance of a wrong answer, where it differs from what is usual for the method."""
    only_on: Words = []
    """Furnaces this check is for; all whose parts and steps it names if left out."""
    source: str = "common-practice"


# --- resolved ---------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Place:
    """Where something stands in a file."""

    file: str
    line: int
    column: int = 1

    def __str__(self) -> str:
        return f"{self.file}:{self.line}"


@dataclass(frozen=True, slots=True)
class Part:
    """A part fitted in a furnace, its values in SI units."""

    id: str
    entry: PartEntry
    values: Mapping[str, Value]
    source: str

    @property
    def kind(self) -> str:
        return self.entry.kind


Overrides = Mapping[tuple[str, str], Value]
"""(part, value) -> what it is instead."""


@dataclass(frozen=True, slots=True)
class Fault:
    """A fault of a fitted part; its id is PART.FAULT."""

    id: str
    part: str
    entry: FaultEntry
    overrides: Overrides

    @property
    def repair(self) -> str:
        return self.entry.repair


@dataclass(frozen=True, slots=True)
class Wire:
    """One branch of a part between two terminals."""

    part: str
    branch: str
    start: str
    end: str


@dataclass(frozen=True, slots=True)
class Condition:
    """`name` or `not name`, where name is an input or `COUNTER spent`."""

    name: str
    expected: bool


@dataclass(frozen=True, slots=True)
class Leave:
    """A way out of a step."""

    when: tuple[Condition, ...]
    after: float
    to: str


@dataclass(frozen=True, slots=True)
class Step:
    """A step of the sequence; `leaves` holds the interrupts first."""

    id: str
    entry: StepEntry
    energise: frozenset[str]
    energise_for: tuple[tuple[str, float], ...]
    leaves: tuple[Leave, ...]


@dataclass(frozen=True, slots=True)
class Input:
    """A reading of the board against a threshold in volts or amperes."""

    id: str
    volts: tuple[str, str] | None
    microamps: str | None
    above: float


@dataclass(frozen=True, slots=True)
class Sequence:
    """The state graph of a heating call."""

    starts: str
    path: tuple[str, ...]
    board: str
    inputs: Mapping[str, Input]
    counters: Mapping[str, int]
    steps: Mapping[str, Step]


@dataclass(frozen=True, slots=True)
class Call:
    """Seconds: when the thermostat calls, is satisfied, and the watching ends."""

    starts: float
    satisfied: float
    watched: float


@dataclass(frozen=True, slots=True)
class Furnace:
    """One type of furnace, resolved."""

    id: str
    entry: FurnaceEntry
    parts: Mapping[str, Part]
    faults: Mapping[str, Fault]
    line: tuple[Wire, ...]
    control: tuple[Wire, ...]
    sequence: Sequence
    call: Call
    site: Mapping[str, float]
    plate: Mapping[str, tuple[float, float]]
    """Rating plate as (lowest, highest) in SI units."""


@dataclass(frozen=True, slots=True)
class Band:
    """An interval of a reading in SI units, or a set of words or steps."""

    low: float = float("-inf")
    high: float = float("inf")
    words: frozenset[str] = frozenset()
    otherwise: bool = False


@dataclass(frozen=True, slots=True)
class Outcome:
    """One possible outcome of a check."""

    id: str
    band: Band
    text: str


@dataclass(frozen=True, slots=True)
class Check:
    """A check, resolved for one furnace. `dimension` is "" for words and steps."""

    id: str
    entry: CheckEntry
    outcomes: tuple[Outcome, ...]
    dimension: str
    trying: Overrides
    varies: float
    misread: float
    setup: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class Knowledge:
    """Everything read from a knowledge folder."""

    sources: Mapping[str, SourceEntry]
    cautions: Mapping[str, CautionEntry]
    tools: Mapping[str, ToolEntry]
    aspects: Mapping[str, AspectEntry]
    repairs: Mapping[str, RepairEntry]
    parts: Mapping[str, PartEntry]
    furnaces: Mapping[str, Furnace]
    checks: Mapping[str, Mapping[str, Check]]
    """Furnace id -> check id -> check."""
    places: Mapping[tuple[str, str], Place]
    """(kind of entry, id) -> where it stands; a fault of a part as PART.FAULT."""
