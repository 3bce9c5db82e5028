"""Questions about what an instrument shows, and which fault would explain it."""

from __future__ import annotations

from lightoff.engine import units
from lightoff.engine.machine import probe
from lightoff.engine.model import Check, Fault
from lightoff.engine.outcomes import outcome_index
from lightoff.engine.reasoning.prediction import outcome_chances
from lightoff.engine.teaching.self_test.question import Question, Source

OTHER_VOLTS = (0.0, 12.0, 26.0, 60.0, 120.0, 240.0)
"""Readings to choose from besides the right one."""
APART = 0.25
"""Share by which a wrong reading must differ from the right one; meters and houses differ."""
SURE = 0.8
HARDLY = 0.05
"""Chance of an outcome from which a fault explains it, and up to which it does not."""
TRIED = 40


def meter(source: Source) -> Question | None:
    """Volts between two points in a step: sound, or with a fault."""
    able = [check for check in source.checks if check.entry.reads.volts and not check.trying]
    check = source.chance.choice(able)
    faults = [None, *source.furnace.faults.values()]
    fault = source.chance.choice(faults) if source.chance.random() < 0.5 else None
    trace = source.traces.of(fault.overrides if fault else {})
    reading = probe.read(trace, check.entry.reads)
    if reading is None:
        return None
    value = float(reading)
    wrong = [v for v in OTHER_VOLTS if abs(v - value) > max(3.0, APART * max(v, value))]
    state = source.fault_named(fault) if fault else "A sound furnace"
    first, second = check.entry.reads.volts or ("", "")
    step = check.entry.reads.during or ""
    does = source.furnace.sequence.steps[step].entry.does if step else ""
    ask = (
        f"{state}. In {step}: \u201c{does}\u201d What does the meter show from {first} to {second}?"
    )
    why = f"{_shown(value)}. {fault.entry.because if fault else check.entry.ask}"
    return source.put("meter", ask, _shown(value), map(_shown, wrong), why, _part(fault))


def _part(fault: Fault | None) -> str:
    return fault.part if fault else ""


def _shown(volts: float) -> str:
    """About so many volts, as one says it."""
    return units.show(0.0 if volts < 1.0 else round(volts), "voltage")


def explains(source: Source) -> Question | None:
    """Which of two faults would explain what a check shows."""
    able = [
        check
        for check in source.checks
        if not check.entry.reads.told and not check.entry.provokes and len(check.outcomes) > 1
    ]
    for _ in range(TRIED):
        check = source.chance.choice(able)
        fault, other = source.chance.sample(list(source.furnace.faults.values()), 2)
        if question := _explained(source, check, fault, other):
            return question
    return None


def _explained(source: Source, check: Check, fault: Fault, other: Fault) -> Question | None:
    """None unless one explains an unusual outcome and the other does not."""
    traces = [
        source.traces.of({**each, **check.trying})
        for each in ({}, fault.overrides, other.overrides)
    ]
    found = [probe.read(trace, check.entry.reads) for trace in traces]
    sound, shown = (outcome_index(check, reading) for reading in found[:2])
    chances = outcome_chances(check, found)[shown]
    apart = chances[1] >= SURE and chances[2] <= HARDLY and chances[0] <= HARDLY
    outcome = check.outcomes[shown]
    if not apart or shown == sound or outcome.id == "not-reached":
        return None
    ask = f"{check.entry.ask} \u201c{outcome.text}.\u201d Which of these would explain it?"
    wrong = [source.fault_named(other), "Both alike", "Neither of them"]
    why = f"{fault.entry.because} With the other you would see something else."
    return source.put("explains", ask, source.fault_named(fault), wrong, why, fault.part)
