"""The diagnoses of a study: every fault of a furnace, and every pair that can be there at once."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from itertools import chain, combinations

import msgspec

from lightoff.engine.model import Furnace
from lightoff.engine.reasoning.pairs import go_together


class Task(msgspec.Struct, frozen=True, kw_only=True):
    """One diagnosis to be played: one or two hidden faults, and who reads the answers."""

    furnace: str
    faults: tuple[str, ...]
    seed: int = 0
    errors: float = 0.0
    """Share of the answers that are wrong, 0 to 1."""


def tasks(
    furnace: Furnace,
    pairs: bool = False,
    seeds: int = 1,
    errors: float = 0.0,
    only: Collection[str] = (),
) -> Iterator[Task]:
    """Every fault of a furnace, with `pairs` also every two that can be there together.

    `only` keeps what holds at least one of these faults. Without errors all seeds would
    come out the same, so one is played.
    """
    singles = ((fault.id,) for fault in furnace.faults.values())
    for faults in chain(singles, plausible_pairs(furnace) if pairs else ()):
        if not only or not set(only).isdisjoint(faults):
            for seed in range(seeds if errors else 1):
                yield Task(furnace=furnace.id, faults=faults, seed=seed, errors=errors)


def plausible_pairs(furnace: Furnace) -> Iterator[tuple[str, str]]:
    """Every two faults that can be there at once."""
    for one, other in combinations(furnace.faults.values(), 2):
        if go_together(one, other):
            yield one.id, other.id
