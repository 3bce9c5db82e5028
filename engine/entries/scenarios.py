"""What an instructor writes (scenarios/*.yaml)."""

from __future__ import annotations

from typing import Literal

import msgspec

from lightoff.engine.entries.base import Entry, Scalar, Words

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
