"""What a model cannot compute: conditions, effects, examples."""

from __future__ import annotations

from typing import Literal

import msgspec

from lightoff.engine.entries.base import Entry, Scalar, Words

Licence = Literal["none", "gas"]
"""What a person may work on: a gas licence, or none."""


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
