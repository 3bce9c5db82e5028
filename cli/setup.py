"""What to bring into another state before a check, and back at the end, in a safe order."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from lightoff.engine.model import Check, Knowledge
from lightoff.engine.reasoning.diagnosis import Diagnosis
from lightoff.engine.reasoning.job import JobState

POWER_FIRST = ("power", "call", "gas", "door", "manometer", "meter")
POWER_LAST = ("gas", "door", "manometer", "meter", "power", "call")
CLOSING = ("meter", "manometer", "gas", "door", "power", "call")
"""Orders in which the set-up is changed: where power goes off, where it stays or goes on,
and where all is put back."""

LEFT_OFF = frozenset({"power", "gas", "call"})
"""Aspects that nobody puts back where the furnace is not proved."""


def setup_to_change(diagnosis: Diagnosis, check: Check, state: JobState) -> tuple[str, ...]:
    """What to bring into another state before a check, in words, in a safe order."""
    now = diagnosis.setup_now(state)
    changes = {aspect: to for aspect, to in check.setup.items() if now.get(aspect) != to}
    order = POWER_FIRST if check.setup.get("power") == "off" else POWER_LAST
    return _in_words(diagnosis.knowledge, changes, order)


def setup_to_put_back(
    diagnosis: Diagnosis, state: JobState, to_run: bool = True
) -> tuple[str, ...]:
    """What to bring back to how it was on arrival, in words; all of it only `to_run` it."""
    start, now = diagnosis.costs.start, diagnosis.setup_now(state)
    left = frozenset() if to_run else LEFT_OFF
    changes = {
        aspect: to for aspect, to in start.items() if now.get(aspect) != to and aspect not in left
    }
    return _in_words(diagnosis.knowledge, changes, CLOSING)


def _in_words(
    knowledge: Knowledge, changes: Mapping[str, str], usual: Sequence[str]
) -> tuple[str, ...]:
    order = [*usual, *(aspect for aspect in changes if aspect not in usual)]
    return tuple(
        knowledge.aspects[aspect].how[changes[aspect]] for aspect in order if aspect in changes
    )
