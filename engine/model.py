"""Typed structures of everything in knowledge/, resolved: what the engine works with.

References are looked up and every figure is in SI units. The shapes of the files
themselves are in `entries`.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass, field

from lightoff.engine.entries.checks import CheckEntry
from lightoff.engine.entries.furnaces import FeatureEntry, FurnaceEntry, StepEntry
from lightoff.engine.entries.lists import (
    AspectEntry,
    CautionEntry,
    RepairEntry,
    SourceEntry,
    ToolEntry,
)
from lightoff.engine.entries.parts import FaultEntry, PartEntry
from lightoff.engine.entries.proving import ProofEntry, RatingEntry
from lightoff.engine.entries.rules import RuleEntry
from lightoff.engine.entries.scenarios import ScenarioEntry

Value = float | str
"""A part's value once read: a number in SI units, or a word."""

ROOM = "ROOM"
"""The tap against which a gauge left open to the room reads."""

NO_FAULT = "no-fault"
SOMETHING_ELSE = "something-else"
NOT_REACHED = "not-reached"
"""The outcome of a check whose step the furnace never reached."""


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
    """A reading of a control against a threshold in volts or amperes.

    `by` is the control that reads it, "" where it follows from the circuit alone.
    """

    id: str
    by: str
    volts: tuple[str, str] | None
    microamps: str | None
    above: float
    lit: str | None = None
    """What is seen to burn, where that is what the input tells: burners or pilot."""


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
    """Seconds: when the thermostat calls, is satisfied, and the watching ends.

    From `second_stage` on it calls for second-stage heat as well.
    """

    starts: float
    satisfied: float
    watched: float
    second_stage: float = float("inf")


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
    millivolt: tuple[Wire, ...] = ()

    def is_among(self, furnaces: Collection[str]) -> bool:
        """Whether the furnace, or the one it is like, is one of those named."""
        return self.id in furnaces or self.entry.like in furnaces

    @property
    def nets(self) -> dict[str, tuple[Wire, ...]]:
        """Net -> its wires, for the nets it has."""
        nets = {"line": self.line, "control": self.control, "millivolt": self.millivolt}
        return {name: wires for name, wires in nets.items() if wires}

    @property
    def wires(self) -> tuple[Wire, ...]:
        """All wires of all nets."""
        return self.line + self.control + self.millivolt


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
class RuleCondition:
    """One condition of a rule, resolved.

    `subject` is found, stalls-in, fact, suspect, repaired, lacks-tool or licence; `name`
    the check, fact, part or PART.FAULT, repair or tool ("" for stalls-in and licence).
    It holds if the outcome, step or licence is among `words` (any, if empty), and the
    reading (SI units) or the share lies in `low` to `high`.
    """

    subject: str
    name: str
    words: frozenset[str] = frozenset()
    low: float = float("-inf")
    high: float = float("inf")


@dataclass(frozen=True, slots=True)
class Rule:
    """A production rule, resolved: `weighs` holds (part or PART.FAULT, factor)."""

    id: str
    entry: RuleEntry
    conditions: tuple[RuleCondition, ...]
    derives: tuple[str, ...]
    weighs: tuple[tuple[str, float], ...]


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
    rules: Mapping[str, Rule]
    places: Mapping[tuple[str, str], Place]
    """(kind of entry, id) -> where it stands; a fault of a part as PART.FAULT."""
    features: Mapping[str, FeatureEntry] = field(default_factory=dict)
    """What tells the types of furnace apart, in the order of asking where all is even."""
    standing: Mapping[str, Mapping[tuple[str, str], Overrides]] = field(default_factory=dict)
    """Furnace id -> (aspect, state) -> what the parts are while the set-up is so."""
    proofs: Mapping[str, ProofEntry] = field(default_factory=dict)
    """What proves a repair, in the order of proving."""
    proving: Mapping[str, Mapping[str, Check]] = field(default_factory=dict)
    """Furnace id -> check id -> check that only proves; no diagnosis asks for it."""
    ratings: Mapping[str, RatingEntry] = field(default_factory=dict)
    """What is read off the furnace itself, in the order of asking."""

    def stays_off(self, repairs: Collection[str]) -> bool:
        """Whether the furnace is not lit again after one of these; one not known says no."""
        known = (self.repairs[each] for each in repairs if each in self.repairs)
        return any(repair.stays_off for repair in known)


@dataclass(frozen=True, slots=True)
class HiddenFault:
    """A fault as a scenario has it: its overrides are those of the scenario's severity."""

    fault: Fault
    share: float = 1.0
    """Of the calls for heat in which it shows."""
    after_calls: int = 0
    """Calls for heat that go well before it shows."""

    @property
    def is_always_there(self) -> bool:
        return self.share == 1.0 and not self.after_calls


@dataclass(frozen=True, slots=True)
class Scenario:
    """A furnace with one or two hidden faults, what is told of it, and what is in the bag."""

    id: str
    entry: ScenarioEntry
    furnace: Furnace
    hidden: tuple[HiddenFault, ...]
    tells: Mapping[str, str]
    """Told check -> outcome."""
    tools: frozenset[str]

    @property
    def faults(self) -> tuple[Fault, ...]:
        return tuple(each.fault for each in self.hidden)

    @property
    def repairs(self) -> frozenset[str]:
        """What is needed to mend all of it."""
        return frozenset(fault.repair for fault in self.faults)

    @property
    def overrides(self) -> Overrides:
        """How the furnace differs from a sound one while all faults show."""
        return {place: value for fault in self.faults for place, value in fault.overrides.items()}
