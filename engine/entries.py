"""What stands in the YAML files of knowledge/, as typed structures checked for shape.

Ids are not yet looked up and figures still carry their units; `library` turns entries into
the resolved structures of `model`.
"""

from __future__ import annotations

from typing import Literal

import msgspec

Scalar = str | int | float
"""A value as it stands in a file: a word, a bare number, or a number with its unit."""

Words = list[str]

SourceKind = Literal["published", "common-practice", "from-memory", "invented"]
Method = Literal["ask", "look", "listen", "meter", "gauge", "try"]
Price = Literal["none", "low", "middle", "high"]
Licence = Literal["none", "gas"]
"""What a person may work on: a gas licence, or none."""

Phase = Literal["make-safe", "customer", "first-look", "watch", "narrow"]
"""The parts of an interview, in order; `narrow` is all that needs no place of its own."""


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
    source: str


REPAIR_SECTIONS = ("isolate", "take-out", "look", "refit", "restore", "before-it-runs")
"""The sections of a repair, in the order in which a person does them."""


class RepairEntry(Entry, frozen=True, kw_only=True):
    """What a person does about a fault (knowledge/repairs/*.yaml).

    A section that has nothing to say is left out; a repair that takes nothing out has no
    `take-out` and no `refit`.
    """

    id: str
    title: str
    minutes: float
    price: Price
    hazards: Words = []
    tools: Words = []
    isolate: Words = []
    """How the furnace is made safe, and what must be proved or read before that."""
    take_out: Words = []
    """Panels, fasteners, connectors, gaskets and hoses as a hand meets them."""
    look: Words = []
    """What the part that came out, or its surroundings, tell about the cause."""
    refit: Words = []
    restore: Words = []
    """Gas, power, water seals and doors brought back."""
    before_it_runs: Words = []
    """What is checked, at rest and in watched calls, before it is left to run."""
    replaced_whole: str = ""
    """What is usually replaced as an assembly and what as a part; "" if nothing is."""
    source: str

    @property
    def sections(self) -> tuple[tuple[str, tuple[str, ...]], ...]:
        """Name and lines of each section that says something, in the order of doing."""
        lines = ((name, getattr(self, name.replace("-", "_"))) for name in REPAIR_SECTIONS)
        return tuple((name, tuple(said)) for name, said in lines if said)


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
    told: bool = False
    """History or surroundings, which the machine knows nothing of: only rules weigh it."""
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
    phase: Phase = "narrow"
    """When in the interview it is asked without being looked for."""
    opens: str = ""
    """What doing it leaves to be put back, such as a test jumper to be taken out."""
    words: Words = []
    """Everyday words by which a person may look for it, besides those of its texts."""
    only_on: Words = []
    """Furnaces this check is for; all whose parts and steps it names if left out."""
    source: str = "common-practice"


class ConditionEntry(Entry, frozen=True, kw_only=True):
    """One condition of a rule: exactly one of the subjects, with what is said of it.

    `found` with `is`, `above` or `below`; `suspect` with `above`; the others alone.
    """

    found: str | None = None
    """Id of a check that was answered."""
    is_: str | Words | None = msgspec.field(default=None, name="is")
    """The outcome, or any of several."""
    above: str | None = None
    below: str | None = None
    stalls_in: str | Words | None = None
    """Step at which the watched call stalled, or any of several."""
    fact: str | None = None
    """A fact that some rule derives."""
    suspect: str | None = None
    """A part or PART.FAULT that is at least as likely as `above` says."""
    repaired: str | None = None
    """A repair that was done and did not cure."""
    lacks_tool: str | None = None
    licence: Licence | None = None


class EffectEntry(Entry, frozen=True, kw_only=True):
    """One thing that follows when a rule fires: exactly one of these."""

    stop: str | None = None
    """Stop work: the id of the caution that says what to do."""
    caution: str | None = None
    ask: str | None = None
    """A check to be made next."""
    hold_back: str | Words | None = None
    """Checks not to be offered while this holds."""
    weigh: str | Words | None = None
    """Parts or faults that become likelier or less likely, by the factor `by`."""
    by: float | None = None
    rule_out: str | Words | None = None
    derive: str | None = None
    oblige: str | None = None
    """What must be done besides any repair, in words: the cause behind a tripped safety."""
    leave_open: str | None = None
    """Something to be put right before the job may be closed, in words."""


class ExampleEntry(Entry, frozen=True, kw_only=True):
    """A situation for trying a rule out."""

    found: dict[str, Scalar] = {}
    """Check -> outcome, or a reading with its unit."""
    stalls_in: str | None = None
    facts: Words = []
    suspects: dict[str, str] = {}
    """PART.FAULT -> its share, such as "40 %"."""
    repaired: Words = []
    lacks: Words = []
    licence: Licence = "gas"


class ExamplesEntry(Entry, frozen=True, kw_only=True):
    """Situations in which a rule fires, and near misses in which it does not."""

    fires: list[ExampleEntry]
    spares: list[ExampleEntry]


class RuleEntry(Entry, frozen=True, kw_only=True):
    """A production rule (knowledge/rules/*.yaml): what a model cannot compute."""

    id: str
    says: str
    """Why it fires, in plain words, as shown to the person."""
    when: list[ConditionEntry]
    then: list[EffectEntry]
    source: str
    examples: ExamplesEntry
    only_on: Words = []


# --- scenarios --------------------------------------------------------------------

Level = Literal["first-week", "first-year", "second-year", "third-year", "journeyman"]
"""How far an apprentice should be for a scenario."""


class ShowsEntry(Entry, frozen=True, kw_only=True):
    """When a hidden fault that comes and goes shows: exactly one of these."""

    share: float | None = None
    """Of the calls for heat, above 0 and below 1."""
    after_calls: int | None = None
    """Calls for heat that go well before it shows."""


class HiddenEntry(Entry, frozen=True, kw_only=True):
    """A fault that a scenario hides, in its usual severity or in another."""

    fault: str
    sets: dict[str, Scalar] = {}
    """Another degree of what the fault sets: the same values only."""
    shows: Literal["always"] | ShowsEntry = "always"


class MarksEntry(Entry, frozen=True, kw_only=True):
    """What counts how much; safety is a gate and has no weight."""

    cause: float = 40.0
    minutes: float = 20.0
    checks: float = 15.0
    parts: float = 15.0
    proof: float = 10.0


class LabEntry(Entry, frozen=True, kw_only=True):
    """How a fault is set in a lab furnace, or why it must never be: `never`, or all others."""

    never: str = ""
    how_to_set: Words = msgspec.field(default=[], name="set")
    undo: Words = []
    before: Words = []
    after: Words = []
    stands_by: str = ""


class ScenarioEntry(Entry, frozen=True, kw_only=True):
    """A furnace with hidden faults, a complaint and what the site says (scenarios/ID.yaml)."""

    id: str
    title: str
    setting: str
    level: Level
    furnace: str
    faults: list[HiddenEntry]
    complaint: str
    """In the customer's words, naming no part."""
    tells: dict[str, str] = {}
    """Check that only a person can answer -> its outcome; all others are not known."""
    tools: Words | None = None
    """What is in the bag; everything if left out."""
    minutes: float
    """Allowed, by the clock of the trade."""
    learn: Words
    hints: Words
    """From faint to plain."""
    traps: dict[str, str] = {}
    """Repair or part that is not to blame -> why it looks guilty."""
    marks: MarksEntry = msgspec.field(default_factory=MarksEntry)
    lab: LabEntry
    source: Literal["invented"]
    """People and places of a scenario are never real."""
