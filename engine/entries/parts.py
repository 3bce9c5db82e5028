"""Parts and their faults, wherever they are fitted."""

from __future__ import annotations

from lightoff.engine.entries.base import Entry, Scalar, Words


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
    """What brings a fault that comes and goes out: heat, tap, wiggle, wind, damp,
    exhaust-fans."""
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
