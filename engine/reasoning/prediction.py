"""For every fault and check: how likely each outcome is, from the simulated furnace.

A reading is spread by the tolerance of the instrument and by the natural variation of
good parts; what falls into a band is the chance of that outcome. A small share is kept
for a wrong or misread answer, so that no single answer can kill the truth.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import erf, isfinite, isinf, sqrt

import numpy as np

from lightoff.engine.machine import probe
from lightoff.engine.machine.plan import Machine, Plan
from lightoff.engine.machine.simulate import simulate
from lightoff.engine.machine.trace import Trace
from lightoff.engine.model import (
    NO_FAULT,
    NOT_REACHED,
    SOMETHING_ELSE,
    Check,
    Fault,
    Furnace,
    Overrides,
    Value,
)
from lightoff.engine.outcomes import outcome_index
from lightoff.engine.reasoning.table import Floats, Hypothesis, Table

NO_FAULT_WEIGHT = 0.04
SOMETHING_ELSE_WEIGHT = 0.02
"""Prior shares of a furnace that is sound, and of a fault not modelled (from memory)."""

SHOWING = 0.6
"""Chance that a fault that comes and goes shows itself in a call (from memory): somebody
was called because the furnace is cold now."""

PROVOKED = 0.9
"""Chance that heat, a tap, a wiggle, ... brings out a fault that it can (from memory)."""

TOLERANCE: Mapping[str, tuple[float, float]] = {
    "voltage": (0.015, 0.2),
    "current": (0.02, 0.02),
    "resistance": (0.02, 0.3),
    "pressure": (0.02, 5.0),
    "temperature": (0.0, 3.0),
    "temperature-rise": (0.0, 1.5),
    "time": (0.05, 2.0),
    "length": (0.05, 0.003),
    "fraction": (0.03, 0.02),
    "power": (0.02, 0.0),
}
"""Usual spread of a reading by dimension: (share of it, plus so much in SI units).

From memory of what hand-held instruments and a person's watch can do."""

FINER: Mapping[str, tuple[float, float]] = {
    "microamps": (0.04, 0.05e-6),
    "millivolts": (0.02, 0.3e-3),
    "flue": (0.04, 0.002),
}
"""The same for readings far smaller than others of their dimension."""

MILLIVOLT_RANGE = 0.2
"""The finest range of a usual meter, in volts (common practice)."""

PARTS_PER_MILLION = (0.05, 5e-6)


def predict(furnace: Furnace, checks: Sequence[Check]) -> Table:
    """The table over no fault, something else and every single fault."""
    hypotheses = hypotheses_of(furnace)
    faults = furnace.faults
    furnaces = [faults[each.faults[0]].overrides if each.faults else {} for each in hypotheses]
    readings = readings_of(checks, furnaces, Traces(furnace))
    blocks = [
        _block(check, hypotheses, faults, read)
        for check, read in zip(checks, readings, strict=True)
    ]
    starts = np.cumsum([0, *(len(check.outcomes) for check in checks)])
    history = {check.id for check in checks if check.entry.reads.told}
    at_rest = {
        check.id: block
        for check, block in zip(checks, blocks, strict=True)
        if check.entry.reads.ohms is not None or check.entry.reads.condition is not None
    }
    return Table(
        hypotheses=hypotheses,
        checks=tuple(check.id for check in checks),
        outcomes=tuple(tuple(outcome.id for outcome in check.outcomes) for check in checks),
        start=starts.astype(np.int64),
        likelihood=np.vstack(blocks) if blocks else np.zeros((0, len(hypotheses))),
        lasting=frozenset(id_ for id_, block in at_rest.items() if _stays(hypotheses, block)),
        history=frozenset(history),
    )


def _stays(hypotheses: Sequence[Hypothesis], block: Floats) -> bool:
    """Whether a check reads the same of every fault that comes and goes, showing or not."""
    shown = {each.faults: column for column, each in enumerate(hypotheses) if each.showing}
    return all(
        np.array_equal(block[:, column], block[:, shown[each.faults]])
        for column, each in enumerate(hypotheses)
        if not each.showing
    )


def hypotheses_of(furnace: Furnace) -> tuple[Hypothesis, ...]:
    """No fault, something else, and every single fault with its share of the rest."""
    total = sum(fault.entry.weight for fault in furnace.faults.values())
    rest = (1.0 - NO_FAULT_WEIGHT - SOMETHING_ELSE_WEIGHT) / total
    singles = [
        hypothesis
        for fault in furnace.faults.values()
        for hypothesis in _of_fault(fault, fault.entry.weight * rest)
    ]
    return (
        Hypothesis(NO_FAULT, (), "no-repair", NO_FAULT_WEIGHT),
        Hypothesis(SOMETHING_ELSE, (), "refer", SOMETHING_ELSE_WEIGHT),
        *singles,
    )


def _of_fault(fault: Fault, prior: float) -> list[Hypothesis]:
    if not fault.entry.comes_and_goes:
        return [Hypothesis(fault.id, (fault.id,), fault.repair, prior)]
    hidden = f"{fault.id} (not showing)"
    return [
        Hypothesis(fault.id, (fault.id,), fault.repair, prior * SHOWING, True, SHOWING),
        Hypothesis(hidden, (fault.id,), fault.repair, prior * (1.0 - SHOWING), False, SHOWING),
    ]


class Traces:
    """Traces of one furnace by what differs from the healthy one, each simulated once."""

    def __init__(self, furnace: Furnace, plan: Plan | None = None) -> None:
        self.plan = plan or Plan(furnace)
        self._traces: dict[frozenset[tuple[tuple[str, str], Value]], Trace] = {}

    def of(self, overrides: Overrides) -> Trace:
        """The trace under overrides; those that change nothing do not count."""
        parts = self.plan.furnace.parts
        changed = frozenset(
            (place, value)
            for place, value in overrides.items()
            if parts[place[0]].values[place[1]] != value
        )
        if changed not in self._traces:
            self._traces[changed] = simulate(Machine(self.plan, dict(changed)))
        return self._traces[changed]


Readings = list[Value | None]


def readings_of(
    checks: Sequence[Check], furnaces: Sequence[Overrides], traces: Traces
) -> list[Readings]:
    """Per check, what it reads on each furnace; nothing of what only a person can tell.

    Most checks try nothing special, so there are far fewer traces than readings.
    """
    trials = {frozenset(check.trying.items()): check.trying for check in checks}
    place = {key: number for number, key in enumerate(trials)}
    asked = [
        (check.entry.reads, place[frozenset(check.trying.items())])
        for check in checks
        if not check.entry.reads.told
    ]
    by_furnace = []
    for overrides in furnaces:
        tried = [traces.of({**overrides, **trying}) for trying in trials.values()]
        by_furnace.append([probe.read(tried[number], reads) for reads, number in asked])
    read = iter(map(list, zip(*by_furnace, strict=True)))
    return [[] if check.entry.reads.told else next(read, []) for check in checks]


def _block(
    check: Check,
    hypotheses: Sequence[Hypothesis],
    faults: Mapping[str, Fault],
    readings: Readings,
) -> Floats:
    """P(outcome | hypothesis) of one check, shape (outcomes, hypotheses)."""
    unknown = np.full(len(check.outcomes), 1.0 / len(check.outcomes))
    if check.entry.reads.told:
        return np.repeat(unknown[:, None], len(hypotheses), axis=1)
    exact = outcome_chances(check, readings)
    sound = exact[:, 0]
    for column, each in enumerate(hypotheses):
        if each.id == SOMETHING_ELSE:
            exact[:, column] = unknown
        elif not each.showing:
            shows = _brought_out(faults[each.faults[0]], check)
            exact[:, column] = shows * exact[:, column] + (1.0 - shows) * sound
    return misread(check, exact)


def columns_of(checks: Sequence[Check], furnaces: Sequence[Overrides], traces: Traces) -> Floats:
    """P(outcome | furnace with these overrides), shape (outcome rows, furnaces)."""
    return np.vstack(
        [
            np.full((len(check.outcomes), len(furnaces)), 1.0 / len(check.outcomes))
            if check.entry.reads.told
            else misread(check, outcome_chances(check, readings))
            for check, readings in zip(checks, readings_of(checks, furnaces, traces), strict=True)
        ]
    )


def misread(check: Check, exact: Floats) -> Floats:
    """The chances with a share of wrong or misread answers, over all outcomes alike."""
    return np.asarray((1.0 - check.misread) * exact + check.misread / len(check.outcomes))


def _brought_out(fault: Fault, check: Check) -> float:
    """Chance that a check brings out a fault that does not show itself otherwise."""
    provoked = not set(fault.entry.shows_when).isdisjoint(check.entry.provokes)
    return PROVOKED if provoked else 0.0


def outcome_chances(check: Check, readings: Sequence[Value | None]) -> Floats:
    """How likely each outcome is for each true reading, shape (outcomes, readings)."""
    if check.dimension:
        return _numeric_chances(check, readings)
    chances = np.zeros((len(check.outcomes), len(readings)))
    for column, reading in enumerate(readings):
        chances[outcome_index(check, reading), column] = 1.0
    return chances


def _numeric_chances(check: Check, readings: Sequence[Value | None]) -> Floats:
    reached = np.array([reading is not None for reading in readings])
    values = np.array([_finite(reading) for reading in readings])
    spread = spread_of(check, values)
    chances = np.zeros((len(check.outcomes), len(readings)))
    otherwise = None
    for row, outcome in enumerate(check.outcomes):
        if outcome.id == NOT_REACHED:
            chances[row] = ~reached
        elif outcome.band.otherwise:
            otherwise = row
        else:
            above = _below((outcome.band.low - values) / spread)
            chances[row] = (_below((outcome.band.high - values) / spread) - above) * reached
    if otherwise is not None:
        chances[otherwise] = np.clip(1.0 - chances.sum(axis=0), 0.0, 1.0)
    normal: Floats = chances / chances.sum(axis=0)
    return normal


BEYOND_ANY_METER = 1e15


def _finite(reading: Value | None) -> float:
    """A number to compute with: an open circuit reads beyond any meter."""
    if reading is None:
        return 0.0
    value = float(reading)
    return BEYOND_ANY_METER if isinf(value) else value


def spread_of(check: Check, values: Floats) -> Floats:
    """Standard deviation of readings around their true values, SI units."""
    size = np.abs(values)
    spread: Floats = np.hypot(meter_spread(check, values), check.varies * size)
    return np.where(size >= BEYOND_ANY_METER, 1.0, spread)


def meter_spread(check: Check, values: Floats) -> Floats:
    """The part of the spread that comes from the instrument alone, SI units."""
    share, fixed = _tolerance(check)
    spread: Floats = share * np.abs(values) + fixed
    return spread


def _tolerance(check: Check) -> tuple[float, float]:
    reads = check.entry.reads
    if reads.flue == "co-air-free":
        return PARTS_PER_MILLION
    if reads.microamps is not None:
        return FINER["microamps"]
    if check.dimension == "voltage" and _in_millivolts(check):
        return FINER["millivolts"]
    return FINER["flue"] if reads.flue is not None else TOLERANCE[check.dimension]


def _in_millivolts(check: Check) -> bool:
    """Whether a meter is set to its finest range: no band of the check goes beyond it."""
    edges = [edge for o in check.outcomes for edge in (o.band.low, o.band.high) if isfinite(edge)]
    return bool(edges) and max(edges) <= MILLIVOLT_RANGE


_erf = np.frompyfunc(erf, 1, 1)


def _below(deviations: Floats) -> Floats:
    """Normal distribution function."""
    shares: Floats = 0.5 * (1.0 + np.asarray(_erf(deviations / sqrt(2.0)), dtype=np.float64))
    return shares
