"""What somebody who watches a call sees and hears, as it happens."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from lightoff.engine.machine.kinds import KINDS
from lightoff.engine.machine.probe import Moment
from lightoff.engine.machine.trace import Trace

SIGNS: dict[str, tuple[float, str, str]] = {
    "turns": (0.3, "starts", "stops"),
    "glow": (1100.0, "glows", "goes dark"),
    "sparks": (0.5, "sparks", "stops sparking"),
    "position": (0.9, "stands open", "stands shut"),
    "pilot-flame": (0.1, "burns", "is out"),
    "click": (0.5, "clicks open", "clicks shut"),
    "first-flame": (0.5, "light", "are out"),
    "roll-out": (0.5, "show flame coming out at the front", "flame no more outside"),
}
"""What a part shows -> from where on it is noticed, and what begins and ends then.

An igniter glows visibly from about 1100 K (from memory)."""
GLANCE = 3.0
"""Seconds between looks at what changes slowly."""
BY_WORDS = "the light on the board"


@dataclass(frozen=True, slots=True)
class Sight:
    """Something that begins or ends at a time of the call, s."""

    time: float
    what: str


def seen(trace: Trace) -> Iterator[Sight]:
    """All that changes in a call, in order; the thermostat asks at the start of it."""
    parts = trace.machine.furnace.parts
    signs = [
        (part, *sign, name)
        for part, fitted in parts.items()
        for name, sign in SIGNS.items()
        if name in KINDS[fitted.kind].shows
    ]
    steps = trace.machine.furnace.sequence.steps
    begun: dict[tuple[str, str], bool] = {}
    light = ""
    for segment in trace.segments:
        words = steps[segment.step].entry.light
        if words and words != light:
            light = words
            if segment.end <= trace.call.starts:
                continue
            yield Sight(segment.start, f"{BY_WORDS} shows: {light}")
        for time in _looks(segment.start, segment.end):
            moment = Moment(segment, time)
            for part, least, begins, ends, name in signs:
                now = moment.shown(part, name) > least
                if now != begun.get((part, name), False):
                    begun[part, name] = now
                    yield Sight(time, f"{parts[part].entry.name}: {begins if now else ends}")


def _looks(start: float, end: float) -> Iterator[float]:
    """Times within a segment, at most twenty: its start, and on from there."""
    span = max(GLANCE, (end - start) / 20.0)
    time = start
    while time < end or time == start:
        yield time
        time += span
