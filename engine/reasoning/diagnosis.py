"""One furnace ready to be diagnosed: its checks, predictions and costs put together."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass

from lightoff.engine import units
from lightoff.engine.machine import probe
from lightoff.engine.model import Check, Fault, Furnace, Knowledge, Value
from lightoff.engine.outcomes import outcome_index
from lightoff.engine.reasoning.advice import ANYBODY, Advice, Adviser, Person
from lightoff.engine.reasoning.answers import reads_a_figure
from lightoff.engine.reasoning.belief import Belief, Finding
from lightoff.engine.reasoning.choice import Decision, decide, look_further
from lightoff.engine.reasoning.costs import Costs, Setup, costs_of, setup_after
from lightoff.engine.reasoning.job import JobState
from lightoff.engine.reasoning.prediction import Traces, hypotheses_of, predict
from lightoff.engine.reasoning.table import Table


@dataclass(frozen=True, slots=True)
class Diagnosis:
    """What is the same for every job on one type of furnace."""

    knowledge: Knowledge
    furnace: Furnace
    checks: Mapping[str, Check]
    table: Table
    costs: Costs
    adviser: Adviser

    @classmethod
    def of(cls, knowledge: Knowledge, furnace: str) -> Diagnosis:
        """Predict everything for a furnace; KeyError if the knowledge lacks it."""
        model, checks = knowledge.furnaces[furnace], knowledge.checks[furnace]
        table = predict(model, list(checks.values()))
        costs = costs_of(table, checks, knowledge.aspects, knowledge.repairs)
        rules = [
            rule
            for rule in knowledge.rules.values()
            if not rule.entry.only_on or furnace in rule.entry.only_on
        ]
        return cls(knowledge, model, checks, table, costs, Adviser(table, checks, rules))

    def advise(self, state: JobState, person: Person = ANYBODY) -> Advice:
        """What the rules conclude in a job as it stands."""
        return self.adviser.advise(state.findings, state.repaired, person)

    def belief(self, state: JobState) -> Belief:
        """What is known in a job as it stands, with what the rules lean to."""
        return self.advise(state).belief

    def setup_now(self, state: JobState) -> Setup:
        """Door, power, leads, ... as the checks done so far have left them."""
        return setup_after(self.table, self.costs, state.checks_done)

    def decide(
        self, belief: Belief, state: JobState, toolbox: Collection[str] | None = None
    ) -> Decision:
        """What to do next in a job as it stands."""
        return decide(belief, self.costs, self.setup_now(state), state.skipped, toolbox)

    def look_further(
        self, belief: Belief, state: JobState, toolbox: Collection[str] | None = None
    ) -> Decision | None:
        """The check that tells most for its price, worth it or not; None if none tells anything."""
        return look_further(belief, self.costs, self.setup_now(state), state.skipped, toolbox)


class SimulatedFurnace:
    """A furnace with hidden faults that answers checks, as the machine has it."""

    def __init__(self, furnace: Furnace, faults: Sequence[Fault]) -> None:
        self._traces = Traces(furnace)
        self._overrides = {
            place: value for fault in faults for place, value in fault.overrides.items()
        }

    def answer(self, check: Check) -> Finding:
        """The outcome of a check, read without error; as entered, what an instrument shows.

        What a person tells of history and surroundings is not known of a simulated furnace.
        """
        if check.entry.reads.told:
            return Finding(check.id, None)
        trace = self._traces.of({**self._overrides, **check.trying})
        reading = probe.read(trace, check.entry.reads)
        outcome = check.outcomes[outcome_index(check, reading)].id
        return Finding(check.id, outcome, _entered(check, reading, outcome))


def _entered(check: Check, reading: Value | None, outcome: str) -> str:
    if isinstance(reading, str | None) or not reads_a_figure(check):
        return outcome
    return units.show(reading, check.dimension)


__all__ = ["Diagnosis", "SimulatedFurnace", "hypotheses_of"]
