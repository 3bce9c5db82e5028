"""What a scenario costs somebody who does not choose, against the program.

Two who make the checks that the tools allow in an order of their own, reason rightly from
what they show, and repair once one repair is clear: one goes by chance, one walks down the
sequence step by step.
"""

from __future__ import annotations

import random
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

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
TIMES = 20
SMALLEST = 1e-12


@dataclass(frozen=True, slots=True)
class _Round:
    """The time until one of the faults is mended: outcomes and costs of the checks."""

    weights: Floats
    """Log likelihood of the outcome of each check under each hypothesis."""
    checks: tuple[int, ...]


def unchosen_minutes(scenario: Scenario, diagnosis: Diagnosis, arrival: Belief) -> float:
    """Mean minutes of the two by the clock: checks, repairs and the calls that prove them.

    `arrival` is what is known before the first check.
    """
    left = scenario.faults
    rounds = [_round(scenario, diagnosis, left[number:]) for number in range(len(left))]
    at_random = [
        _play(scenario, diagnosis, arrival, rounds, _by_chance(f"{scenario.id} random {number}"))
        for number in range(TIMES)
    ]
    by_rote = _play(scenario, diagnosis, arrival, rounds, _by_rote(scenario, diagnosis))
    return (float(np.mean(at_random)) + by_rote) / 2.0


Order = Callable[[Sequence[int]], list[int]]
"""Numbers of checks in the table -> their places in the order of doing."""


def _by_chance(seed: str) -> Order:
    chance = random.Random(seed)

    def order(checks: Sequence[int]) -> list[int]:
        return chance.sample(range(len(checks)), len(checks))

    return order


def _by_rote(scenario: Scenario, diagnosis: Diagnosis) -> Order:
    names = diagnosis.table.checks
    ranks = {
        check: rank for rank, check in enumerate(down_the_sequence(scenario.furnace, diagnosis))
    }
    return lambda checks: sorted(range(len(checks)), key=lambda each: ranks[names[checks[each]]])


def down_the_sequence(furnace: Furnace, diagnosis: Diagnosis) -> list[str]:
    """All checks: what needs no call first, then in the order in which a call gets there."""
    path = furnace.sequence.path

    def place(check: str) -> int:
        step = diagnosis.checks[check].entry.reads.during
        return path.index(step) if step in path else -1

    return sorted(diagnosis.checks, key=place)


def _round(scenario: Scenario, diagnosis: Diagnosis, faults: Sequence[Fault]) -> _Round:
    furnace, table = SimulatedFurnace(scenario.furnace, faults), diagnosis.table
    checks, rows = [], []
    for index, name in enumerate(table.checks):
        check = diagnosis.checks[name]
        if check.entry.reads.told or not set(check.entry.tools) <= scenario.tools:
            continue
        outcome = furnace.answer(check).outcome
        names = table.outcomes[index]
        checks.append(index)
        rows.append(table.likelihood[table.rows(name)][names.index(str(outcome))])
    return _Round(np.log(np.maximum(np.array(rows), SMALLEST)), tuple(checks))


def _play(
    scenario: Scenario,
    diagnosis: Diagnosis,
    arrival: Belief,
    rounds: Sequence[_Round],
    order: Order,
) -> float:
    """Minutes of one play through all rounds."""
    needed = set(scenario.repairs)
    minutes, done = 0.0, set[str]()
    hypotheses = diagnosis.table.hypotheses
    prior = np.log(np.maximum(_prior(diagnosis, arrival), SMALLEST))
    for each in rounds:
        if not needed - done:
            break
        places = order(each.checks)
        minutes += sum(_search(diagnosis, each, places, prior, needed, done, hypotheses))
    return minutes


def _prior(diagnosis: Diagnosis, arrival: Belief) -> Floats:
    """Of single hypotheses, in the order of the diagnosis' own table."""
    own = {each.id: n for n, each in enumerate(diagnosis.table.hypotheses)}
    prior = np.zeros(len(own))
    for each, share in zip(arrival.table.hypotheses, arrival.probabilities, strict=True):
        if each.id in own:
            prior[own[each.id]] += share
    return prior


def _search(
    diagnosis: Diagnosis,
    each: _Round,
    order: Sequence[int],
    prior: Floats,
    needed: set[str],
    done: set[str],
    hypotheses: Sequence[object],
) -> Iterator[float]:
    """Minutes of check after check until a needed repair is done; `done` holds it then.

    With no check left and nothing clear the job is handed on.
    """
    repairs = [str(getattr(hypothesis, "repair", "")) for hypothesis in hypotheses]
    entries = diagnosis.knowledge.repairs
    posterior = prior.copy()
    setup = _start(diagnosis)
    for place in order:
        posterior = posterior + each.weights[place]
        index = each.checks[place]
        yield float(diagnosis.costs.minutes[index]) + _change(diagnosis, index, setup)
        repair, share = _leading(posterior, repairs, done)
        if repair in entries and share >= CLEAR:
            done.add(repair)
            yield entries[repair].minutes + VERIFY_MINUTES
            setup.update(_start(diagnosis))
            if repair in needed:
                return
    yield REFER_MINUTES


def _leading(posterior: Floats, repairs: Sequence[str], done: set[str]) -> tuple[str, float]:
    """The likeliest repair that was not done, and its probability among what is left."""
    shares = np.exp(posterior - posterior.max())
    sums: dict[str, float] = {}
    for repair, share in zip(repairs, shares.tolist(), strict=True):
        if repair not in done:
            sums[repair] = sums.get(repair, 0.0) + share
    best = max(sums, key=sums.__getitem__)
    return best, sums[best] / sum(sums.values())


def _start(diagnosis: Diagnosis) -> dict[str, str]:
    return dict(diagnosis.costs.start)


def _change(diagnosis: Diagnosis, check: int, setup: dict[str, str]) -> float:
    """Minutes to bring the set-up to what a check needs; the set-up is so then."""
    arrays = setup_arrays(diagnosis.costs)
    minutes = change_minutes(arrays.needs, arrays.changes, arrays.states(setup))
    setup.update(diagnosis.costs.setups[check])
    return float(minutes[check])
