"""A furnace that works now, in words: what may be hidden, and how to catch it."""

from __future__ import annotations

from dataclasses import dataclass

from lightoff.cli.wording import suspect_name
from lightoff.engine.reasoning.diagnosis import Diagnosis
from lightoff.engine.reasoning.recording import Recorded, WorksNow

PROVOKED = 3
"""Checks named that may bring a hidden fault out."""


@dataclass(frozen=True, slots=True)
class Works:
    """The furnace works now, and a fault may be hidden: what to do to catch it."""

    hidden: tuple[tuple[str, float], ...]
    """Faults that come and go, with the share of each."""
    provoke: tuple[str, ...]
    """Questions of checks that may bring one out."""
    record: tuple[tuple[str, tuple[tuple[str, str], ...]], ...]
    """Question of a check whose quantity is to be recorded; what each fault shows in it."""


def works_of(diagnosis: Diagnosis, now: WorksNow) -> Works:
    """What is known of a furnace that works now, in words."""
    ask = {check.id: check.entry.ask for check in diagnosis.checks.values()}
    return Works(
        hidden=tuple((suspect_name(diagnosis, each), each.probability) for each in now.hidden),
        provoke=tuple(ask[check] for check in now.provoke[:PROVOKED]),
        record=tuple((ask[each.check], _shows(diagnosis, now, each)) for each in now.record),
    )


def _shows(diagnosis: Diagnosis, now: WorksNow, recorded: Recorded) -> tuple[tuple[str, str], ...]:
    texts = {each.id: each.text for each in diagnosis.checks[recorded.check].outcomes}
    names = {each.id: suspect_name(diagnosis, each) for each in now.hidden}
    return tuple((names[suspect], texts[outcome]) for suspect, outcome in recorded.shows)
