"""Sources, cautions, tools, set-ups and repairs."""

from __future__ import annotations

from typing import Literal

from lightoff.engine.entries.base import Entry, Scalar, Words

SourceKind = Literal["published", "common-practice", "from-memory", "invented"]

Price = Literal["none", "low", "middle", "high"]


class SourceEntry(Entry, frozen=True, kw_only=True):
    """Where figures come from (knowledge/sources.yaml)."""

    id: str
    kind: SourceKind
    title: str
    note: str = ""
    calculations: bool = False
    """Whether a service calculation names it, where nothing in the files does."""


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
    by_hand: bool = False
    """Whoever practises brings it about as an act of its own; others come with the measuring."""
    safe: str = ""
    """The state in which hands may go where a check that needs it sends them."""
    dangers: Words = []
    """Cautions of working in any other state than `safe`."""
    makes: dict[str, dict[str, Scalar]] = {}
    """State -> PART.VALUE -> what it is on a furnace that somebody practises on."""
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
    stays_off: bool = False
    """The furnace is not lit again after it: it ends off and tagged, not mended."""
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
