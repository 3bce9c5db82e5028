"""Suspects as a person sees them: faults with their probability given the findings."""

from __future__ import annotations

from dataclasses import dataclass

from lightoff.engine.reasoning.belief import Belief
from lightoff.engine.reasoning.table import Hypothesis


@dataclass(frozen=True, slots=True)
class Suspect:
    """A set of one or two faults, none for "no fault" and "something else"; `id` names it."""

    id: str
    faults: tuple[str, ...]
    repair: str
    probability: float

    @property
    def parts(self) -> tuple[str, ...]:
        """The parts that the faults are in."""
        return tuple(fault.split(".")[0] for fault in self.faults)


def suspect_id_of(hypothesis: Hypothesis) -> str:
    """Id of the suspect that a hypothesis is part of."""
    return "+".join(hypothesis.faults) or hypothesis.id


def suspects_of(belief: Belief) -> list[Suspect]:
    """All suspects, likeliest first; their probabilities sum to 1.

    Hypotheses with the same faults are one suspect, whether or not the fault shows now.
    Two faults of which one was repaired are the other one alone.
    """
    found: dict[str, Suspect] = {}
    for hypothesis, share in zip(belief.table.hypotheses, belief.probabilities, strict=True):
        name = suspect_id_of(hypothesis)
        before = found[name].probability if name in found else 0.0
        found[name] = Suspect(name, hypothesis.faults, hypothesis.repair, before + float(share))
    return sorted(found.values(), key=lambda suspect: -suspect.probability)
