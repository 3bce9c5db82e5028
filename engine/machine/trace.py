"""What a simulated furnace did during a call."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

from lightoff.engine.machine.airgas import relaxed
from lightoff.engine.machine.drive import Drive
from lightoff.engine.machine.electrics import Electrics
from lightoff.engine.machine.kinds.base import Standing
from lightoff.engine.machine.plan import Machine
from lightoff.engine.machine.steady import Steady
from lightoff.engine.model import Call

SATISFIED = "satisfied"


@dataclass(frozen=True, slots=True)
class Segment:
    """A stretch between two events, in which nothing changes but what lags.

    `start` and `end` in seconds; `quantities` are the values at `start`, in SI units.
    A segment of no length is the moment in which a step is left.
    """

    start: float
    end: float
    step: str
    visit: int
    standing: Standing
    electrics: Electrics
    drive: Drive
    sparks: bool
    steady: Steady
    quantities: Mapping[str, float]
    inputs: Mapping[str, bool]

    def quantity(self, name: str, time: float) -> float:
        """A lagging quantity at a time within the segment."""
        target, tau = self.steady.targets[name]
        return relaxed(self.quantities[name], target, tau, time - self.start)


@dataclass(frozen=True, slots=True)
class Visit:
    """One stay in a step, in seconds."""

    step: str
    start: float
    end: float


@dataclass(frozen=True)
class Trace:
    """A call as it went, from the start of watching to its end."""

    machine: Machine
    call: Call
    segments: tuple[Segment, ...]

    def visits(self) -> tuple[Visit, ...]:
        """The stays in steps, in order."""
        return self._visits

    @cached_property
    def _visits(self) -> tuple[Visit, ...]:
        visits: list[Visit] = []
        for number, segment in enumerate(self.segments):
            if number == 0 or segment.visit != self.segments[number - 1].visit:
                visits.append(Visit(segment.step, segment.start, segment.end))
            else:
                visits[-1] = Visit(segment.step, visits[-1].start, segment.end)
        return tuple(visits)

    def stalls_in(self) -> str:
        """The step of the healthy path at which the call first left it or stuck."""
        sequence = self.machine.furnace.sequence
        reached = sequence.starts
        for visit in self.visits():
            if visit.step == sequence.starts and reached in (sequence.starts, sequence.path[0]):
                reached = sequence.starts
            elif visit.step not in sequence.path:
                return reached
            elif visit.step == sequence.path[0] and reached not in (sequence.starts, visit.step):
                # Back at rest: at the end of the way, or given up where it was.
                return SATISFIED if reached == sequence.path[-1] else reached
            else:
                reached = visit.step
        return SATISFIED if reached == sequence.path[-1] else reached

    def during(self, step: str) -> tuple[Segment, float] | None:
        """Segment and time at which the first stay in a step is read; None if never."""
        return self._read_at.get(step)

    @cached_property
    def _read_at(self) -> dict[str, tuple[Segment, float]]:
        """Step -> segment and time of reading.

        A person reads while the furnace calls and stays in the step, so stretches
        during the call come before others, and the latest before the step is left.
        """
        stays: dict[str, list[Segment]] = {}
        for segment in self.segments:
            stay = stays.setdefault(segment.step, [])
            if not stay or stay[0].visit == segment.visit:
                stay.append(segment)
        found = {}
        for step, stay in stays.items():
            calling = [segment for segment in stay if segment.standing.calling] or stay
            lasting = [segment for segment in calling if segment.end > segment.start] or calling
            found[step] = (lasting[-1], lasting[-1].end)
        return found
