"""One furnace ready to be diagnosed: its checks, predictions and costs put together."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field, replace

from lightoff.engine import units
from lightoff.engine.machine import probe
from lightoff.engine.model import Check, Fault, Furnace, Knowledge, Value
from lightoff.engine.outcomes import outcome_index
from lightoff.engine.reasoning.advice import ANYBODY, Advice, Adviser, Person
from lightoff.engine.reasoning.answers import reads_a_figure
from lightoff.engine.reasoning.belief import Belief, Finding
from lightoff.engine.reasoning.experience import Experience
from lightoff.engine.reasoning.job import JobState
from lightoff.engine.reasoning.pairs import Pairs
from lightoff.engine.reasoning.planning.choice import Decision, decide, look_further
from lightoff.engine.reasoning.planning.costs import Costs, Setup, costs_of, setup_after
from lightoff.engine.reasoning.prediction import Traces, hypotheses_of, predict
from lightoff.engine.reasoning.recording import WorksNow, works_now
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
    always_pairs: bool = False
    """Two faults at once are reckoned with however well single faults explain a job."""
    pairs: Pairs = field(init=False, compare=False, repr=False)

    def __post_init__(self) -> None:
        pairs = Pairs(self.furnace, self.checks, self.table)
        object.__setattr__(self, "pairs", pairs)

    @classmethod
    def of(
        cls, knowledge: Knowledge, furnace: str, experience: Experience | None = None
    ) -> Diagnosis:
        """Predict everything for a furnace; KeyError if the knowledge lacks it.

        Without experience faults occur as often as the shipped weights have it.
        """
        model, checks = knowledge.furnaces[furnace], knowledge.checks[furnace]
        table = predict(model, list(checks.values()))
        if experience is not None:
            table = experience.on(furnace, table)
        costs = costs_of(table, checks, knowledge.aspects, knowledge.repairs)
        rules = [
            rule
            for rule in knowledge.rules.values()
            if not rule.entry.only_on or model.is_among(rule.entry.only_on)
        ]
        return cls(knowledge, model, checks, table, costs, Adviser(table, checks, rules))

    def advise(self, state: JobState, person: Person = ANYBODY) -> Advice:
        """What the rules conclude in a job as it stands.

        Pairs of faults are among the suspects where they are wanted, after a repair that
        did not cure, and where they may explain the findings far better than one fault.
        """
        known = state.findings, state.repaired, person, state.call
        alone = self.adviser.advise(*known)
        asked_for = self.always_pairs or state.two_faults or bool(state.repaired)
        if not asked_for and not self.pairs.are_promising(alone.belief):
            return alone
        return self.adviser.over(self.pairs.table(alone.belief), self.checks).advise(*known)

    def works_now(self, state: JobState, advice: Advice) -> WorksNow | None:
        """What to do about a furnace that works now; None if it most likely does not."""
        lacking = [
            check.id for check in self.checks.values() if set(check.entry.tools) & set(state.lacks)
        ]
        held_back = [said.text for said in advice.held_back]
        return works_now(advice.belief, self.checks, {*state.skipped, *held_back, *lacking})

    def with_pairs(self) -> Diagnosis:
        """The same, reckoning with two faults at once from the beginning."""
        return replace(self, always_pairs=True)

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
