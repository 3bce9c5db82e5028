"""What a scenario costs somebody who does not choose, against the program.

Who goes by chance makes the checks that the tools allow in any order, reasons rightly from
what they show, and repairs once one repair is clear.
"""

from __future__ import annotations

import random
from collections.abc import Callable, Collection, Iterator, Sequence
from dataclasses import dataclass, field

import numpy as np

from lightoff.engine.model import Fault, Furnace, Scenario
from lightoff.engine.reasoning.belief import Belief
from lightoff.engine.reasoning.diagnosis import Diagnosis, SimulatedFurnace
from lightoff.engine.reasoning.planning.costs import (
    REFER_MINUTES,
    VERIFY_MINUTES,
    change_minutes,
    setup_arrays,
)
from lightoff.engine.reasoning.table import Floats

CLEAR = 0.9
"""Probability from which a repair is done."""
TIMES = 40
SMALLEST = 1e-12


def unchosen_minutes(scenario: Scenario, diagnosis: Diagnosis, arrival: Belief) -> float:
    """Mean minutes of going by chance: checks, repairs and the calls that prove them.

    `arrival` is what is known before the first check.
    """
    search = _Search(scenario, diagnosis, _log(_prior(diagnosis, arrival)))
    seeds = (f"{scenario.id} random {number}" for number in range(TIMES))
    return float(np.mean([search.minutes(_by_chance(seed)) for seed in seeds]))


Order = Callable[[Sequence[int]], list[int]]
"""Numbers of checks in the table -> their places in the order of doing."""


def _by_chance(seed: str) -> Order:
    chance = random.Random(seed)

    def order(checks: Sequence[int]) -> list[int]:
        return chance.sample(range(len(checks)), len(checks))

    return order


def down_the_sequence(furnace: Furnace, diagnosis: Diagnosis) -> list[str]:
    """All checks: what needs no call first, then in the order in which a call gets there."""
    path = furnace.sequence.path

    def place(check: str) -> int:
        step = diagnosis.checks[check].entry.reads.during
        return path.index(step) if step in path else -1

    return sorted(diagnosis.checks, key=place)


def _prior(diagnosis: Diagnosis, arrival: Belief) -> Floats:
    """Of single hypotheses, in the order of the diagnosis' own table."""
    own = {each.id: n for n, each in enumerate(diagnosis.table.hypotheses)}
    prior = np.zeros(len(own))
    for each, share in zip(arrival.table.hypotheses, arrival.probabilities, strict=True):
        if each.id in own:
            prior[own[each.id]] += share
    return prior


def _log(shares: Floats) -> Floats:
    return np.asarray(np.log(np.maximum(shares, SMALLEST)))


@dataclass(frozen=True, slots=True)
class _Round:
    """The time until one more fault is mended: what the checks show, and what that says."""

    checks: tuple[int, ...]
    weights: Floats
    """Log likelihood of the outcome of each check under each hypothesis."""


@dataclass(frozen=True, slots=True)
class _Search:
    """A scenario to be gone through in one order or another."""

    scenario: Scenario
    diagnosis: Diagnosis
    prior: Floats
    """Log probability of each hypothesis on arrival."""
    rounds: dict[tuple[str, ...], _Round] = field(default_factory=dict)
    """By the faults that are left, each looked at once."""

    def minutes(self, order: Order) -> float:
        """Minutes of one way through, until nothing is left or nothing gets clear."""
        minutes, done = 0.0, set[str]()
        while not self.scenario.repairs <= done:
            before = len(done & self.scenario.repairs)
            minutes += sum(self.until_mended(self.round(done), order, done))
            if len(done & self.scenario.repairs) == before:
                return minutes + REFER_MINUTES
        return minutes

    def round(self, done: Collection[str]) -> _Round:
        """What the checks show of the faults whose repairs were not done."""
        left = tuple(fault for fault in self.scenario.faults if fault.repair not in done)
        key = tuple(fault.id for fault in left)
        if key not in self.rounds:
            self.rounds[key] = self.looked_at(left)
        return self.rounds[key]

    def looked_at(self, faults: Sequence[Fault]) -> _Round:
        table = self.diagnosis.table
        furnace = SimulatedFurnace(self.scenario.furnace, faults)
        checks, rows = [], []
        for index, name in enumerate(table.checks):
            check = self.diagnosis.checks[name]
            if check.entry.reads.told or not set(check.entry.tools) <= self.scenario.tools:
                continue
            outcome = table.outcomes[index].index(str(furnace.answer(check).outcome))
            checks.append(index)
            rows.append(table.likelihood[table.rows(name)][outcome])
        return _Round(tuple(checks), _log(np.array(rows)))

    def until_mended(self, here: _Round, order: Order, done: set[str]) -> Iterator[float]:
        """Minutes of check after check, and of each repair that gets clear; `done` grows."""
        entries, posterior = self.diagnosis.knowledge.repairs, self.prior
        setup = dict(self.diagnosis.costs.start)
        for place in order(here.checks):
            posterior = posterior + here.weights[place]
            yield self.of_check(here.checks[place], setup)
            repair, share = self.leading(posterior, done)
            if repair in entries and share >= CLEAR:
                done.add(repair)
                yield entries[repair].minutes + VERIFY_MINUTES
                setup.update(self.diagnosis.costs.start)
                if repair in self.scenario.repairs:
                    return

    def of_check(self, check: int, setup: dict[str, str]) -> float:
        """Minutes of a check with the change of the set-up, which is so then."""
        costs = self.diagnosis.costs
        arrays = setup_arrays(costs)
        change = change_minutes(arrays.needs, arrays.changes, arrays.states(setup))[check]
        setup.update(costs.setups[check])
        return float(costs.minutes[check] + change)

    def leading(self, posterior: Floats, done: Collection[str]) -> tuple[str, float]:
        """The likeliest repair that was not done, and its probability among what is left."""
        sums: dict[str, float] = {}
        shares = np.exp(posterior - posterior.max()).tolist()
        for hypothesis, share in zip(self.diagnosis.table.hypotheses, shares, strict=True):
            if hypothesis.repair not in done:
                sums[hypothesis.repair] = sums.get(hypothesis.repair, 0.0) + share
        best = max(sums, key=sums.__getitem__)
        return best, sums[best] / sum(sums.values())
