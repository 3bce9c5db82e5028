"""Questions about what an instrument shows, and which fault would explain it."""

from __future__ import annotations

from collections.abc import Sequence

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
SUSPECTS = 8
"""Faults drawn at once: one that explains, and wrong choices among the others."""
TRIED = 200


def meter(source: Source) -> Question | None:
    """Volts between two points in a step: sound, or with a fault."""
    able = [check for check in source.checks if check.entry.reads.volts]
    check = source.chance.choice(able)
    fault = source.chance.choice(source.lasting_faults) if source.chance.random() < 0.5 else None
    trace = source.traces.of({**(fault.overrides if fault else {}), **check.trying})
    reading = probe.read(trace, check.entry.reads)
    path = source.furnace.sequence.path
    if reading is None or (fault is None and check.entry.reads.during not in path):
        return None
    value = float(reading)
    wrong = [v for v in OTHER_VOLTS if abs(v - value) > max(3.0, APART * max(v, value))]
    state = source.fault_named(fault) if fault else "A sound furnace"
    # The check says when it is read: a step's own text may not hold where it is left.
    ask = f"{state}. {check.entry.ask} Choose the reading."
    found = check.outcomes[outcome_index(check, reading)].text
    why = f"{_shown(value)} ({found}). {fault.entry.because if fault else ''}".rstrip()
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
        fault, *others = source.chance.sample(source.lasting_faults, SUSPECTS)
        if question := _explained(source, check, fault, others):
            return question
    return None


def _explained(
    source: Source, check: Check, fault: Fault, others: Sequence[Fault]
) -> Question | None:
    """None unless one explains an unusual outcome and at least two others do not."""
    traces = [
        source.traces.of({**each, **check.trying})
        for each in ({}, fault.overrides, *(other.overrides for other in others))
    ]
    found = [probe.read(trace, check.entry.reads) for trace in traces]
    sound, shown = (outcome_index(check, reading) for reading in found[:2])
    chances = outcome_chances(check, found)[shown]
    outcome = check.outcomes[shown]
    wrong = [other for other, chance in zip(others, chances[2:], strict=True) if chance <= HARDLY]
    # What a sound furnace never gets to is no news about the reading itself.
    unusual = found[0] is not None and found[1] is not None and shown != sound
    if not unusual or chances[1] < SURE or chances[0] > HARDLY or len(wrong) < 2:
        return None
    ask = f"{check.entry.ask} \u201c{outcome.text}.\u201d Which of these would explain it?"
    names = map(source.fault_named, wrong)
    usual = check.outcomes[sound].text
    why = f"{fault.entry.because} A sound furnace shows \u201c{usual}\u201d here."
    return source.put("explains", ask, source.fault_named(fault), names, why, fault.part)
