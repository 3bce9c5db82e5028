"""The sequence as it is drawn: its healthy path, the steps beside it, and their ways out.

A way out that many steps share, such as a lost call, is told once for all of them.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from lightoff.engine.machine.sequence import SPENT
from lightoff.engine.model import Condition, Leave, Step
from lightoff.engine.model import Sequence as Graph
from lightoff.engine.units import show

SHARED = 3
"""Steps from which on a way out that they have in common is told once."""
HEALTHY, RETRY, BACK, LOCKOUT, ASIDE = "next", "retry", "back", "locks out", ""
"""Kinds of ways out, as they are called in a drawing."""


@dataclass(frozen=True, slots=True)
class WayOut:
    """A way out of a step.

    `kind` is the next step of the healthy path, a retry (a step that counts returns to
    the path), any other way back, a lockout, or a way aside.
    """

    leave: Leave
    kind: str

    @property
    def words(self) -> str:
        """Under which conditions, and after what time."""
        return in_words(self.leave)


@dataclass(frozen=True, slots=True)
class Place:
    """A step with its own ways out. `rests` tells whether the furnace may stay in it."""

    step: Step
    on_path: bool
    ways: tuple[WayOut, ...]
    remarks: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Common:
    """A way out that several steps share."""

    leave: Leave
    steps: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Flow:
    """The sequence laid out: the healthy path, the other steps, what steps share."""

    path: tuple[Place, ...]
    beside: tuple[Place, ...]
    common: tuple[Common, ...]

    @property
    def places(self) -> tuple[Place, ...]:
        return self.path + self.beside


def flow(sequence: Graph) -> Flow:
    """The sequence of a furnace laid out for drawing."""
    common = _common(sequence)
    shared = {(step, each.leave) for each in common for step in each.steps}
    beside = [step for step in sequence.steps if step not in sequence.path]
    lockouts = frozenset(
        leave.to
        for step in sequence.steps.values()
        for leave in step.leaves
        if any(condition.name.endswith(SPENT) for condition in leave.when)
    )

    def place(step: str) -> Place:
        return _place(sequence, sequence.steps[step], shared, lockouts)

    path = tuple(place(step) for step in sequence.path)
    return Flow(path, _near(path, tuple(place(step) for step in beside)), common)


def in_words(leave: Leave) -> str:
    """The conditions and the time of a way out; "at once" if there are neither."""
    when = " and ".join(map(_condition, leave.when))
    after = f"after {show(leave.after, 'time')}" if leave.after else ""
    return ", ".join(filter(None, (when, after))) or "at once"


def all_but(steps: Sequence[str], every: Iterable[str]) -> str:
    """Names of many steps, told by those that are not among them if they are fewer."""
    others = [step for step in every if step not in steps]
    if not others:
        return "every step"
    if len(others) < len(steps):
        return "every step but " + ", ".join(others)
    return ", ".join(steps)


def _condition(condition: Condition) -> str:
    return condition.name if condition.expected else f"not {condition.name}"


def _common(sequence: Graph) -> tuple[Common, ...]:
    having: dict[Leave, list[str]] = {}
    healthy = set(pairwise(sequence.path))
    for step in sequence.steps.values():
        for leave in step.leaves:
            if (step.id, leave.to) not in healthy:
                having.setdefault(leave, []).append(step.id)
    return tuple(
        Common(leave, tuple(steps)) for leave, steps in having.items() if len(steps) >= SHARED
    )


def _place(
    sequence: Graph, step: Step, shared: set[tuple[str, Leave]], lockouts: frozenset[str]
) -> Place:
    on_path = step.id in sequence.path
    ways = tuple(
        WayOut(leave, _kind(sequence, step.id, leave, lockouts))
        for leave in step.leaves
        if (step.id, leave) not in shared
    )
    return Place(step, on_path, ways, tuple(_remarks(sequence, step, lockouts)))


def _kind(sequence: Graph, step: str, leave: Leave, lockouts: frozenset[str]) -> str:
    if leave.to in lockouts:
        return LOCKOUT
    if leave.to not in sequence.path:
        return ASIDE
    if step not in sequence.path:
        counts = sequence.steps[step].entry.counts and not leave.when
        return RETRY if counts else BACK
    here, there = sequence.path.index(step), sequence.path.index(leave.to)
    following = there == here + 1 or (step, leave.to) == (sequence.path[-1], sequence.path[0])
    return HEALTHY if following else BACK if there <= here else ASIDE


def _remarks(sequence: Graph, step: Step, lockouts: frozenset[str]) -> Iterable[str]:
    """What is energised, what is counted, whether it starts, rests or locks out."""
    timed = [f"{relay} for {show(seconds, 'time')}" for relay, seconds in step.energise_for]
    energised = [*step.entry.energise, *timed]
    if energised:
        yield "on: " + ", ".join(energised)
    if step.entry.counts:
        counted = (f"{name} (of {sequence.counters[name]})" for name in step.entry.counts)
        yield "counts " + ", ".join(counted)
    signs = {
        "starts here": step.id == sequence.starts,
        "lockout": step.id in lockouts,
        "may stay here": step.entry.rests,
    }
    if any(signs.values()):
        yield ", ".join(sign for sign, holds in signs.items() if holds)


def _near(path: Sequence[Place], beside: Sequence[Place]) -> tuple[Place, ...]:
    """The steps beside the path, each near those of the path that it has to do with."""
    rank: Mapping[str, int] = {place.step.id: number for number, place in enumerate(path)}

    def height(place: Place) -> float:
        name = place.step.id
        near = [rank[way.leave.to] for way in place.ways if way.leave.to in rank]
        near += [rank[each.step.id] for each in path for way in each.ways if way.leave.to == name]
        return sum(near) / len(near) if near else float(len(rank))

    return tuple(sorted(beside, key=height))
