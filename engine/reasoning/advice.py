"""What the rules conclude from a job as it stands: stops, cautions, leanings, duties."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from copy import copy
from dataclasses import dataclass

import numpy as np

from lightoff.engine.entries.base import Words
from lightoff.engine.entries.rules import EffectEntry, Licence
from lightoff.engine.model import Check, Rule
from lightoff.engine.outcomes import stalled_steps
from lightoff.engine.reasoning.answers import ReadingError, reading
from lightoff.engine.reasoning.belief import Belief, Finding, counted, posterior
from lightoff.engine.reasoning.rules import RuleEngine
from lightoff.engine.reasoning.table import Floats, Hypothesis, Table


@dataclass(frozen=True, slots=True)
class Person:
    """Who does the job: the tools that are not there, and the licence held."""

    lacks: frozenset[str] = frozenset()
    licence: Licence = "gas"


ANYBODY = Person()


@dataclass(frozen=True, slots=True)
class Said:
    """Something a rule concludes, in words or as an id, and the rule that does."""

    text: str
    rule: Rule


@dataclass(frozen=True, slots=True, eq=False)
class Advice:
    """All conclusions of the rules that fired, in the order of the rules."""

    belief: Belief
    """What is known of the suspects, with what the rules lean to."""
    fired: tuple[Rule, ...]

    @property
    def stopped(self) -> tuple[Said, ...]:
        """Cautions that stop the work."""
        return self._said("stop")

    @property
    def cautions(self) -> tuple[Said, ...]:
        return self._said("caution")

    @property
    def ask(self) -> tuple[Said, ...]:
        """Checks to be made next, the most urgent first."""
        return self._said("ask")

    @property
    def held_back(self) -> tuple[Said, ...]:
        """Checks not to be offered now."""
        return self._said("hold_back")

    @property
    def facts(self) -> tuple[Said, ...]:
        return self._said("derive")

    @property
    def obligations(self) -> tuple[Said, ...]:
        """What must be done besides any repair."""
        return self._said("oblige")

    @property
    def open_items(self) -> tuple[Said, ...]:
        """What must be put right before the job may be closed."""
        return self._said("leave_open")

    def _said(self, effect: str) -> tuple[Said, ...]:
        said = {
            text: Said(text, rule)
            for rule in reversed(self.fired)
            for entry in reversed(rule.entry.then)
            for text in reversed(texts(entry, effect))
        }
        return tuple(reversed(said.values()))


def texts(entry: EffectEntry, effect: str) -> Words:
    """What an effect entry says under one of its names, as a list."""
    value = getattr(entry, effect)
    if value is None:
        return []
    return [value] if isinstance(value, str) else value


class Adviser:
    """The rules of one furnace, ready to conclude from any job on it."""

    def __init__(self, table: Table, checks: Mapping[str, Check], rules: Iterable[Rule]) -> None:
        self._table = table
        self._checks = checks
        self._engine = RuleEngine(tuple(rules))
        self._thresholds = {
            (condition.name, condition.low)
            for rule in self._engine.rules
            for condition in rule.conditions
            if condition.subject == "suspect"
        }
        self._known: dict[object, tuple[Rule, ...]] = {}

    @property
    def rules(self) -> tuple[Rule, ...]:
        """The rules of this furnace, in order."""
        return self._engine.rules

    def situation(
        self, findings: Iterable[Finding], repaired: Iterable[str], person: Person
    ) -> tuple[dict[str, tuple[str, float | None]], tuple[tuple[str, str], ...]]:
        """What rules are run on: check -> outcome and reading; (subject, name) that hold."""
        findings = tuple(findings)
        return self._found(findings), self._held(findings, repaired, person)

    def over(self, table: Table, checks: Mapping[str, Check]) -> Adviser:
        """The same rules over a table with further checks, which no rule knows."""
        other = copy(self)
        other._table, other._checks = table, checks
        return other

    def advise(
        self,
        findings: Iterable[Finding],
        repaired: Iterable[str] = (),
        person: Person = ANYBODY,
        call: int = 0,
    ) -> Advice:
        """Run the rules on findings and repairs that did not cure, in a call for heat.

        Rules that look at suspects come second, and weigh nothing: so what they conclude
        rests on the same belief whatever the order.
        """
        findings, repaired = tuple(findings), tuple(repaired)
        found = self._found(findings)
        held = self._held(findings, repaired, person)
        leanings = leanings_of(self._table, self._fired(found, held, {}))
        belief = posterior(self._table, findings, repaired, leanings, call)
        return Advice(belief, self._fired(found, held, shares_of(belief)))

    def _fired(
        self,
        found: Mapping[str, tuple[str, float | None]],
        held: tuple[tuple[str, str], ...],
        suspects: Mapping[str, float],
    ) -> tuple[Rule, ...]:
        """The rules that fire; a job comes back to the same facts again and again."""
        reached = frozenset(
            (name, share) for name, share in self._thresholds if suspects.get(name, 0.0) >= share
        )
        key = (frozenset(found.items()), held, reached)
        if key not in self._known:
            self._engine.fire(found, held)
            if reached:
                self._engine.go_on_with(suspects)
            self._known[key] = self._engine.fired
        return self._known[key]

    def _found(self, findings: Iterable[Finding]) -> dict[str, tuple[str, float | None]]:
        return {
            check: (str(finding.outcome), self._reading(finding))
            for check, finding in counted(findings).items()
            if check in self._engine.asked
        }

    def _reading(self, finding: Finding) -> float | None:
        check = self._checks[finding.check]
        if not check.dimension:
            return None
        try:
            return reading(check, finding.entered)
        except ReadingError:
            return None

    def _held(
        self, findings: Iterable[Finding], repaired: Iterable[str], person: Person
    ) -> tuple[tuple[str, str], ...]:
        steps = {
            step
            for finding in counted(findings).values()
            for step in stalled_steps(self._checks[finding.check], str(finding.outcome))
        }
        return (
            *(("stalls-in", step) for step in sorted(steps)),
            *(("repaired", repair) for repair in sorted(set(repaired))),
            *(("lacks-tool", tool) for tool in sorted(person.lacks)),
            ("licence", person.licence),
        )


def leanings_of(table: Table, fired: Iterable[Rule]) -> Floats:
    """Log factors of all weighing rules together, shape (hypotheses,)."""
    leanings = np.zeros(len(table.hypotheses))
    for rule in fired:
        for target, factor in rule.weighs:
            meant = [about(each, target) for each in table.hypotheses]
            leanings += np.where(meant, np.log(factor), 0.0)
    return leanings


def about(hypothesis: Hypothesis, target: str) -> bool:
    """Whether a hypothesis is about a part, or about PART.FAULT."""
    return any(fault == target or fault.split(".")[0] == target for fault in hypothesis.faults)


def shares_of(belief: Belief) -> dict[str, float]:
    """Probability by PART.FAULT and by part."""
    shares: dict[str, float] = {}
    for hypothesis, share in zip(belief.table.hypotheses, belief.probabilities, strict=True):
        for name in {*hypothesis.faults, *(fault.split(".")[0] for fault in hypothesis.faults)}:
            shares[name] = shares.get(name, 0.0) + float(share)
    return shares
