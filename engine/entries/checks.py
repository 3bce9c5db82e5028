"""What can be asked, looked at, listened to, measured or tried."""

from __future__ import annotations

from typing import Literal

import msgspec

from lightoff.engine.entries.base import Entry, Scalar, Words

Method = Literal["ask", "look", "listen", "meter", "gauge", "try"]

Phase = Literal["make-safe", "customer", "first-look", "watch", "narrow", "prove"]
"""The parts of an interview, in order; `narrow` is all that needs no place of its own, and
`prove` what no diagnosis asks for: it proves a repair."""


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
    input: bool = False
    """The heat in the gas that is burnt, as clocked at the meter."""
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
    """Furnaces this check is for, with those like them; all whose parts and steps it names
    if left out."""
    not_on: Words = []
    """Furnaces this check is not for, though they have all that it names."""
    burning: dict[Literal["natural-gas", "propane"], dict[str, str | Words]] = {}
    """Gas -> outcomes whose bands differ on a furnace that burns it."""
    source: str = "common-practice"
