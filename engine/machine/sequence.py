"""The state graph of a heating call: its graph, and what can be wrong with it."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise, product
from typing import TYPE_CHECKING

from lightoff.engine.model import Condition, Leave, Sequence, Step

if TYPE_CHECKING:
    import networkx

SPENT = " spent"
"""A condition on a counter is written COUNTER and this."""

MOST_CONDITIONS = 12
"""Different conditions looked at in one step; beyond, it needs an unconditional end."""

Mistake = tuple[tuple[str, str | int], str, str]
"""Where in the sequence, such as ("steps", "heating"); what is wrong; how to mend it."""


def graph(sequence: Sequence) -> networkx.MultiDiGraph:
    """Steps as nodes, ways out as edges with their `when` and `after` (seconds)."""
    import networkx  # takes a tenth of a second: only where a graph is asked for

    result: networkx.MultiDiGraph = networkx.MultiDiGraph()
    for step in sequence.steps.values():
        result.add_node(step.id, step=step)
        for leave in step.leaves:
            result.add_edge(step.id, leave.to, when=leave.when, after=leave.after)
    return result


def energised_in(sequence: Sequence, relay: str) -> tuple[str, ...]:
    """Ids of the steps in which a relay is energised, for all or part of the step."""
    return tuple(
        step.id
        for step in sequence.steps.values()
        if relay in step.energise or any(relay == timed for timed, _ in step.energise_for)
    )


def reachable(sequence: Sequence) -> frozenset[str]:
    """Ids of the steps that can be reached from the start."""
    seen: set[str] = set()
    waiting = [sequence.starts]
    while waiting:
        step = waiting.pop()
        if step not in seen:
            seen.add(step)
            waiting += [leave.to for leave in sequence.steps[step].leaves]
    return frozenset(seen)


def problems(sequence: Sequence) -> list[Mistake]:
    """What is wrong with a sequence whose names are all known."""
    return [
        *_unreachable(sequence),
        *(mistake for step in sequence.steps.values() for mistake in _step(step)),
        *_path(sequence),
        *_counters(sequence),
    ]


def _unreachable(sequence: Sequence) -> Iterator[Mistake]:
    for step in sorted(sequence.steps.keys() - reachable(sequence)):
        yield (
            ("steps", step),
            f"step {step} is never reached from {sequence.starts}",
            "lead to it from another step, or take it out",
        )


def _step(step: Step) -> Iterator[Mistake]:
    where = ("steps", step.id)
    if not step.entry.rests and not step.leaves:
        yield where, f"step {step.id} has no way out", "add `leaves`, or `rests: true`"
    elif not step.entry.rests and not has_end(step):
        mend = "add a way out with `after` and no `when`, or `rests: true`"
        yield where, f"step {step.id} may wait for ever", mend
    for earlier, later in _hidden(step):
        what = f"step {step.id}: the way to {later.to} is never taken, {earlier.to} comes first"
        yield where, what, "order them so that the one with more conditions comes first"


def has_end(step: Step) -> bool:
    """Whether some way out opens whatever the inputs stay at."""
    if any(not leave.when for leave in step.leaves):
        return True
    names = sorted({condition.name for leave in step.leaves for condition in leave.when})
    if len(names) > MOST_CONDITIONS:
        return False
    return all(
        any(_holds(leave.when, dict(zip(names, values, strict=True))) for leave in step.leaves)
        for values in product((True, False), repeat=len(names))
    )


def _holds(when: tuple[Condition, ...], inputs: dict[str, bool]) -> bool:
    return all(inputs[condition.name] == condition.expected for condition in when)


def _hidden(step: Step) -> Iterator[tuple[Leave, Leave]]:
    """Ways out that an earlier one always comes before."""
    for index, later in enumerate(step.leaves):
        for earlier in step.leaves[:index]:
            if set(earlier.when) <= set(later.when) and earlier.after <= later.after:
                yield earlier, later
                break


def _path(sequence: Sequence) -> Iterator[Mistake]:
    for index, (step, following) in enumerate(pairwise(sequence.path), start=1):
        if all(leave.to != following for leave in sequence.steps[step].leaves):
            what = f"the path goes from {step} to {following}, but no way out does"
            yield ("path", index), what, f"add it to the leaves of {step}, or mend the path"


def _counters(sequence: Sequence) -> Iterator[Mistake]:
    steps = sequence.steps.values()
    counted = {counter for step in steps for counter in step.entry.counts}
    asked = {condition.name for step in steps for leave in step.leaves for condition in leave.when}
    for counter in sequence.counters:
        where = ("counters", counter)
        if counter not in counted:
            yield where, f"{counter} is never counted", "add it to `counts` of a step"
        if counter + SPENT not in asked:
            yield where, f"nothing asks whether {counter} is spent", f"add `when: {counter} spent`"
