"""What checks and repairs cost: minutes, and the minutes-equivalent of hazards and parts.

The set-up (door, power, leads, ...) is part of the state: a check costs its minutes and
the change from the present set-up (cost clusters: Ottosen & Jensen, arXiv 1203.3502).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from lightoff.engine.entries.checks import CheckEntry
from lightoff.engine.entries.lists import AspectEntry, Price, RepairEntry
from lightoff.engine.model import Check
from lightoff.engine.reasoning.table import Floats, Table, repairs_in

Indices = NDArray[np.int64]

Setup = Mapping[str, str]
"""Aspect of the set-up -> the state it is in."""

# Minutes-equivalents, all from memory: the minutes a person would rather spend.

PRICE_MINUTES: Mapping[Price, float] = {"none": 0.0, "low": 15.0, "middle": 60.0, "high": 180.0}
"""By price class of the part."""
HAZARD_MINUTES: Mapping[str, float] = {
    "live-line-voltage": 2.0,
    "charged-capacitor": 1.5,
    "fuel-gas": 1.0,
    "carbon-monoxide": 1.0,
    "hot-surface": 0.5,
    "moving-fan": 0.5,
    "fragile-igniter": 0.5,
    "live-24-volt": 0.5,
}
"""By hazard, the id of its caution."""
OTHER_HAZARD_MINUTES = 0.25
LIVE = frozenset({"live-line-voltage", "live-24-volt"})
"""Hazards of a test on live parts."""
VERIFY_MINUTES = 15.0
"""A call for heat watched to its end: closes every repair, and "nothing found"."""
REFER_MINUTES = 240.0
"""Handing the job on to somebody who knows more, and has to find the fault all over; or
leaving as sound a furnace that is not, and being called back."""
WRONG_REPAIR_MINUTES = 180.0
"""A repair that does not cure: a part that cannot be given back, most often a second trip,
and trust lost."""


@dataclass(frozen=True, slots=True, eq=False)
class Costs:
    """What checks and repairs cost; per check means in the order of the table's checks."""

    minutes: Floats
    """Minutes per check when its set-up is there already, shape (checks,)."""
    setups: tuple[Setup, ...]
    """Per check, the states it needs."""
    transitions: Mapping[str, Mapping[str, float]]
    """Aspect -> state -> minutes to bring it there."""
    start: Setup
    """The set-up on arrival and after a verification call."""
    hazard_minutes: Floats
    """Minutes-equivalent of the hazards per check, shape (checks,)."""
    repair_minutes: Mapping[str, float]
    """Repair -> minutes with the price of the part and a verification call."""
    tools: tuple[frozenset[str], ...]
    """Per check, the tools it needs."""
    live: frozenset[str] = frozenset()
    """Ids of the checks on parts that are live."""


def costs_of(
    table: Table,
    checks: Mapping[str, Check],
    aspects: Mapping[str, AspectEntry],
    repairs: Mapping[str, RepairEntry],
) -> Costs:
    """The costs of a table's checks and of all repairs, from the knowledge."""
    rows = [checks[check] for check in table.checks]
    return Costs(
        minutes=np.array([row.entry.minutes for row in rows], dtype=np.float64),
        setups=tuple(row.setup for row in rows),
        transitions={name: aspect.minutes for name, aspect in aspects.items()},
        start={name: aspect.start for name, aspect in aspects.items()},
        hazard_minutes=np.array([hazard_minutes(row.entry) for row in rows], dtype=np.float64),
        repair_minutes={name: repair_minutes(repair) for name, repair in repairs.items()},
        tools=tuple(frozenset(row.entry.tools) for row in rows),
        live=frozenset(row.id for row in rows if not LIVE.isdisjoint(row.entry.hazards)),
    )


def hazard_minutes(check: CheckEntry) -> float:
    """Minutes-equivalent of a check's hazards: the safer of two equal checks wins."""
    return sum(HAZARD_MINUTES.get(hazard, OTHER_HAZARD_MINUTES) for hazard in check.hazards)


def repair_minutes(repair: RepairEntry) -> float:
    """Minutes of a repair with the price of the part and a verification call."""
    return repair.minutes + PRICE_MINUTES[repair.price] + VERIFY_MINUTES


def price_of_repair(costs: Costs, repair: str) -> float:
    """Minutes of a repair, or of the repairs of two faults, verified once.

    KeyError for a repair that has none.
    """
    prices = [costs.repair_minutes[each] for each in repairs_in(repair)]
    return sum(prices) - VERIFY_MINUTES * (len(prices) - 1)


@dataclass(frozen=True, slots=True, eq=False)
class SetupArrays:
    """The set-ups of all checks as numbers of states, -1 where any state will do."""

    aspects: tuple[str, ...]
    numbers: Mapping[str, Mapping[str, int]]
    """Aspect -> state -> its number."""
    needs: Indices
    """Shape (checks, aspects)."""
    changes: Floats
    """Minutes to bring an aspect to a state, shape (aspects, states)."""

    def states(self, setup: Setup) -> Indices:
        """A set-up as numbers, shape (aspects,); KeyError for an unknown state."""
        return np.array(
            [self.numbers[each][setup[each]] if each in setup else -1 for each in self.aspects],
            dtype=np.int64,
        )

    def change_minutes(self, setup: Indices) -> Floats:
        """Minutes to change the set-up for each check: (..., aspects) -> (..., checks)."""
        return change_minutes(self.needs, self.changes, setup)


def change_minutes(needs: Indices, changes: Floats, setup: Indices) -> Floats:
    """Minutes to bring (..., aspects) to what (checks, aspects) need, (..., checks)."""
    change = (needs >= 0) & (needs != setup[..., None, :])
    dear = changes[np.arange(needs.shape[1]), needs]
    minutes: Floats = np.where(change, dear, 0.0).sum(-1)
    return minutes


@lru_cache(maxsize=16)
def setup_arrays(costs: Costs) -> SetupArrays:
    """The set-ups of all checks as numbers; KeyError for an unknown state."""
    aspects = tuple(costs.transitions)
    numbers = {
        aspect: {state: number for number, state in enumerate(states)}
        for aspect, states in costs.transitions.items()
    }
    changes = np.zeros((len(aspects), max(map(len, numbers.values()), default=1)))
    for row, states in enumerate(costs.transitions.values()):
        changes[row, : len(states)] = list(states.values())
    empty = SetupArrays(aspects, numbers, np.zeros((0, len(aspects)), dtype=np.int64), changes)
    needs = [empty.states(needed) for needed in costs.setups]
    return replace(empty, needs=np.array(needs, dtype=np.int64).reshape(-1, len(aspects)))


def all_minutes(costs: Costs, setup_now: Setup) -> Floats:
    """Minutes of every check from the present set-up, shape (checks,).

    An aspect missing from `setup_now` is as on arrival. KeyError for an unknown state.
    """
    arrays = setup_arrays(costs)
    change = arrays.change_minutes(arrays.states({**costs.start, **setup_now}))
    result: Floats = costs.minutes + change
    return result


def minutes_of(table: Table, costs: Costs, check: str, setup_now: Setup) -> float:
    """Minutes of one check from the present set-up; ValueError if the table lacks it."""
    return float(all_minutes(costs, setup_now)[table.checks.index(check)])


def setup_after(table: Table, costs: Costs, checks_done: Iterable[str]) -> dict[str, str]:
    """The set-up after checks done in this order, starting from arrival."""
    setup = dict(costs.start)
    for check in checks_done:
        setup.update(costs.setups[table.checks.index(check)])
    return setup
