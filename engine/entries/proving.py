"""What proves a repair, and what a person reads off the furnace itself."""

from __future__ import annotations

from lightoff.engine.entries.base import Entry, Words


class DriftEntry(Entry, frozen=True, kw_only=True):
    """What it means that a reading moves from visit to visit, and what to do about it."""

    falling: str = ""
    rising: str = ""
    """Left out where that direction means nothing but a nearer end of what is good."""
    varies: str = ""
    """How far it moves by itself from one visit to another, as a share ("5 %"): weather, wind,
    heating value. It comes on top of the meter's own tolerance. Of a temperature, the share of
    what it is in kelvin."""
    source: str


class ProofEntry(Entry, frozen=True, kw_only=True):
    """Something to be proved before a furnace is left to run (knowledge/proving.yaml)."""

    id: str
    title: str
    checks: Words
    """How it is proved: the first of these checks that the furnace has."""
    after: Words = []
    """Areas of the parts whose repair demands it; any repair does if left out."""
    safety: Words = []
    """Fitted parts that it proves to shut the burner down; only for furnaces that have one."""
    good: Words = []
    """Outcomes that prove it; that of the sound furnace if left out, which what is told has not."""
    clears: bool = False
    """Being good, it puts right all that had to be put right before a job may be closed."""
    yearly: bool = False
    """The yearly visit goes through it too."""
    out: str
    """What to do where it is not good."""
    drift: DriftEntry | None = None
    """Only where a figure is read."""
    source: str


class RatingEntry(Entry, frozen=True, kw_only=True):
    """A figure that is read off the furnace itself (knowledge/ratings.yaml).

    Exactly one of `plate`, `value` and `option` says what it is in the model.
    """

    id: str
    ask: str
    how: Words = []
    plate: str = ""
    """The range of the rating plate that it gives."""
    value: str = ""
    """PART.VALUE of a furnace that has the part."""
    option: str = ""
    """The option of a furnace that has it."""
    around: str = ""
    """The share either side of a single figure that is as good, such as `5 %`."""
    up_to: bool = False
    """A single figure is the most there may be."""
    scales: dict[str, float] = {}
    """What grows with which power of (its middle, new over old): PART.VALUE, or all figures of
    a dimension along a way as WAY.DIMENSION."""
    source: str
