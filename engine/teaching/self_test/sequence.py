"""Questions about the heating call: its order, what comes next, where it stalls."""

from __future__ import annotations

from lightoff.engine.machine import probe
from lightoff.engine.model import Check
from lightoff.engine.outcomes import outcome_index
from lightoff.engine.teaching.self_test.question import Question, Source


def comes_next(source: Source) -> Question | None:
    """The step after another in a sound call."""
    path, steps = source.furnace.sequence.path, source.furnace.sequence.steps
    at = source.chance.randrange(len(path) - 1)
    here, after = steps[path[at]].entry.does, steps[path[at + 1]].entry.does
    texts = [steps[each].entry.does for each in path if each not in path[at : at + 2]]
    ask = f"A sound furnace, in a call: \u201c{here}\u201d What comes next?"
    why = f"The call goes: {', '.join(path)}."
    return source.put("next", ask, after, texts, why)


def comes_first(source: Source) -> Question | None:
    """The earliest of some steps."""
    path, steps = source.furnace.sequence.path, source.furnace.sequence.steps
    chosen = sorted(source.chance.sample(range(len(path)), 4))
    texts = [steps[path[each]].entry.does for each in chosen]
    why = f"The call goes: {', '.join(path)}."
    return source.put("order", "Which of these comes first in a call?", texts[0], texts[1:], why)


def stalls(source: Source) -> Question | None:
    """Where the call stops getting further with a fault, by the simulated furnace."""
    check = _watching(source)
    fault = source.chance.choice(source.lasting_faults)
    trace = source.traces.of(fault.overrides)
    right = check.outcomes[outcome_index(check, probe.read(trace, check.entry.reads))]
    reached = [each.text for each in check.outcomes if each.band.words]
    ask = f"{source.fault_named(fault)}. Where does the call stop getting further?"
    return source.put("stalls", ask, right.text, reached, fault.entry.because, fault.part)


def _watching(source: Source) -> Check:
    """The check that watches one call from the start; LookupError if there is none."""
    for check in source.checks:
        if check.entry.reads.stalls and check.entry.phase == "watch" and not check.trying:
            return check
    raise LookupError("no check watches a call")
