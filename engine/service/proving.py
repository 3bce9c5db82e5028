"""What proves a repair on a furnace: the list, what is expected, and the verdict.

What is expected comes from the model: a reading is good if it falls where that of the sound
furnace does. Only what a person tells names its good answers itself.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from typing import Literal

from lightoff.engine.entries.proving import ProofEntry
from lightoff.engine.machine.plan import Machine, Plan
from lightoff.engine.machine.probe import read
from lightoff.engine.machine.simulate import simulate
from lightoff.engine.machine.trace import Trace
from lightoff.engine.model import (
    NOT_REACHED,
    Check,
    Furnace,
    Knowledge,
    Outcome,
    Overrides,
    Value,
)
from lightoff.engine.outcomes import outcome_index


@dataclass(frozen=True, slots=True)
class Item:
    """One thing to be proved on a furnace."""

    proof: ProofEntry
    check: Check
    good: frozenset[str]
    """Outcomes that prove it."""
    expected: Value | None
    """What the sound furnace reads, in SI units or as a word; None for what is told."""

    @property
    def id(self) -> str:
        return self.proof.id

    def verdict(self, outcome: str) -> Literal["good", "out"]:
        """Whether an outcome of the check proves it."""
        return "good" if outcome in self.good else "out"

    @property
    def outcomes(self) -> tuple[Outcome, ...]:
        """The good outcomes, in the order of the check."""
        return tuple(each for each in self.check.outcomes if each.id in self.good)

    @property
    def limits(self) -> tuple[float, float]:
        """(lowest, highest) of what is good, SI units, endless where there is no limit."""
        bands = [each.band for each in self.outcomes]
        return min(band.low for band in bands), max(band.high for band in bands)


def demanded(knowledge: Knowledge, furnace: str, repairs: Collection[str]) -> tuple[Item, ...]:
    """What repairs on a furnace demand to be proved, in the order of proving.

    A repair demands what rests on the areas of the parts that it mends, and every safety.
    """
    areas = touched(knowledge.furnaces[furnace], repairs)
    proofs = knowledge.proofs.values()
    return _items(knowledge, furnace, (each for each in proofs if rests_on(each, areas)))


def rests_on(proof: ProofEntry, areas: Collection[str]) -> bool:
    """Whether what is proved rests on parts of some areas: mending them may move it."""
    return not proof.after or not set(proof.after).isdisjoint(areas)


def yearly(knowledge: Knowledge, furnace: str) -> tuple[Item, ...]:
    """What the yearly visit goes through on a furnace, in the order of proving."""
    return _items(knowledge, furnace, (each for each in knowledge.proofs.values() if each.yearly))


def touched(furnace: Furnace, repairs: Collection[str]) -> frozenset[str]:
    """Areas of the parts that repairs mend on a furnace; all of them for one it never needs."""
    mended = {fault.part for fault in furnace.faults.values() if fault.repair in repairs}
    parts = [furnace.parts[part] for part in mended] or list(furnace.parts.values())
    return frozenset(part.entry.area for part in parts)


def _items(knowledge: Knowledge, furnace: str, proofs: Iterable[ProofEntry]) -> tuple[Item, ...]:
    checks = {**knowledge.checks[furnace], **knowledge.proving.get(furnace, {})}
    model = knowledge.furnaces[furnace]
    calls = _Calls(model)
    named = (
        (proof, next((name for name in proof.checks if name in checks), None))
        for proof in proofs
        if not proof.safety or not model.parts.keys().isdisjoint(proof.safety)
    )
    found = (_item(proof, checks[name], calls) for proof, name in named if name is not None)
    return tuple(item for item in found if NOT_REACHED not in item.good)


def _item(proof: ProofEntry, check: Check, calls: _Calls) -> Item:
    good = frozenset(proof.good) & {each.id for each in check.outcomes}
    if check.entry.reads.told:
        return Item(proof, check, good, None)
    expected = read(calls.with_(check.trying), check.entry.reads)
    sound = check.outcomes[outcome_index(check, expected)].id
    if sound == NOT_REACHED:
        good = frozenset((sound,))
    return Item(proof, check, good or frozenset((sound,)), expected)


class _Calls:
    """Calls of the sound furnace, each way of trying it simulated once."""

    def __init__(self, furnace: Furnace) -> None:
        self._plan = Plan(furnace)
        self._made: dict[tuple[tuple[tuple[str, str], Value], ...], Trace] = {}

    def with_(self, trying: Overrides) -> Trace:
        key = tuple(sorted(trying.items()))
        if key not in self._made:
            self._made[key] = simulate(Machine(self._plan, trying))
        return self._made[key]


def runs(furnace: Furnace) -> bool:
    """Whether the sound furnace goes through a whole call by the model."""
    return simulate(Machine(Plan(furnace))).stalls_in() == "satisfied"


# --- where it stands --------------------------------------------------------------


def open_in(items: Iterable[Item], verdicts: Mapping[str, str]) -> tuple[Item, ...]:
    """What is still to be tried, in order; verdicts by item, the last word on each."""
    return tuple(item for item in items if item.id not in verdicts)


def failing_in(items: Iterable[Item], verdicts: Mapping[str, str]) -> tuple[Item, ...]:
    """What was tried and is not good, or was left out."""
    return tuple(item for item in items if verdicts.get(item.id, "good") != "good")


def is_proven(items: Iterable[Item], verdicts: Mapping[str, str]) -> bool:
    """Whether all that is demanded was tried and is good."""
    return all(verdicts.get(item.id) == "good" for item in items)
