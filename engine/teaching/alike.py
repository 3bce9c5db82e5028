"""What no check tells from the hidden faults of a scenario, though it needs another repair.

A scenario whose repair cannot be told apart cannot be marked.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass

import numpy as np

from lightoff.engine.model import SOMETHING_ELSE, Check, Fault, Scenario
from lightoff.engine.reasoning.belief import repair_class
from lightoff.engine.reasoning.diagnosis import Diagnosis
from lightoff.engine.reasoning.play import Course
from lightoff.engine.reasoning.prediction import Traces, columns_of
from lightoff.engine.reasoning.table import Floats, Hypothesis, Table, repairs_in

SAME = 0.02
"""Chances of an outcome that differ by no more look the same."""


@dataclass(frozen=True, slots=True)
class Alike:
    """What the checks cannot tell from the hidden faults, though it needs another repair."""

    faults: tuple[str, ...]
    repair: str
    after: tuple[str, ...] = ()
    """Repairs of hidden faults after which it looks the same; none on arrival."""


def looks_alike(
    scenario: Scenario, diagnosis: Diagnosis, course: Course, traces: Traces
) -> tuple[Alike, ...]:
    """What cannot be told apart, on arrival and after each repair of a hidden fault.

    Where the rules stop the work nothing has to be told apart.
    """
    if course.ended == "stopped":
        return ()
    checks = [check for check in diagnosis.checks.values() if _is_open(check, scenario.tools)]
    found: list[Alike] = []
    for done, left in _stages(scenario, course):
        overrides = {place: value for each in left for place, value in each.overrides.items()}
        column = columns_of(checks, [overrides], traces)[:, 0]
        others = _others(diagnosis.table, {fault.repair for fault in left})
        looks = _same(diagnosis.table, checks, column)
        found += [
            Alike(each.faults, repair_class(each), done) for number, each in others if looks[number]
        ]
    return tuple(found)


def _is_open(check: Check, tools: frozenset[str]) -> bool:
    return not check.entry.reads.told and tools.issuperset(check.entry.tools)


def _stages(scenario: Scenario, course: Course) -> list[tuple[tuple[str, ...], tuple[Fault, ...]]]:
    """Needed repairs done, and the hidden faults left, as the path comes by them."""
    done: tuple[str, ...] = ()
    stages = [(done, scenario.faults)]
    for step in course.steps:
        repairs = repairs_in(step.decision.repair or "")
        own = [each for each in repairs if each in scenario.repairs]
        done = (*done, *own)
        left = tuple(fault for fault in scenario.faults if fault.repair not in done)
        if own and left:
            stages.append((done, left))
    return stages


def _others(table: Table, needed: Collection[str]) -> list[tuple[int, Hypothesis]]:
    """What is not to blame, with its column: no fault, and faults with other repairs."""
    return [
        (number, each)
        for number, each in enumerate(table.hypotheses)
        if each.showing and each.id != SOMETHING_ELSE and repair_class(each) not in needed
    ]


def _same(table: Table, checks: Sequence[Check], column: Floats) -> Sequence[bool]:
    """Which hypotheses look like the column in every row of the checks."""
    rows = np.vstack([table.likelihood[table.rows(check.id)] for check in checks])
    same: list[bool] = (np.abs(rows - column[:, None]).max(axis=0) <= SAME).tolist()
    return same
