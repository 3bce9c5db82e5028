"""What an answer would tell that only rules weigh: history, and what stands around.

The machine predicts such answers alike under all hypotheses. The rules give their
likelihood ratios: what an answer makes three times likelier is, turned round, three times
likelier to bring that answer.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

import numpy as np

from lightoff.engine.library.chaining import Situation, chain, holds
from lightoff.engine.model import Check, Rule
from lightoff.engine.reasoning.advice import Advice, Person, leanings_of
from lightoff.engine.reasoning.belief import Belief
from lightoff.engine.reasoning.diagnosis import Diagnosis
from lightoff.engine.reasoning.job import JobState
from lightoff.engine.reasoning.table import Floats, Table


def with_leads(
    diagnosis: Diagnosis, job: JobState, advice: Advice, person: Person, among: Iterable[Check]
) -> Belief:
    """The belief over a table in which untold history has the chances that rules give it.

    For choosing and explaining what to ask of `among`; what is known is the same.
    """
    belief = advice.belief
    answered = {finding.check for finding in job.findings}
    untold = [each for each in among if each.entry.reads.told and each.id not in answered]
    if not untold:
        return belief
    found, held = diagnosis.adviser.situation(job.findings, job.repaired, person)
    rules = Chain(diagnosis.adviser.rules, Situation(found, held))
    table = belief.origin
    likelihood = table.likelihood.copy()
    for check in untold:
        if check.id in rules.waiting_for:
            likelihood[table.rows(check.id)] = chances(table, check, rules)
    return belief.predicting(replace(table, likelihood=likelihood))


def chances(table: Table, check: Check, rules: Chain) -> Floats:
    """P(outcome | hypothesis) of a check that only rules weigh, shape (outcomes, hypotheses)."""
    leanings = [
        leanings_of(table, rules.further(check.id, outcome.id)) for outcome in check.outcomes
    ]
    weights = np.exp(np.array(leanings))
    chance = weights / weights.sum(axis=0)
    result: Floats = (1.0 - check.misread) * chance + check.misread / len(check.outcomes)
    return result


class Chain:
    """The rules that fire whatever the suspects, and which more an answer would make fire.

    Rules only add: an answer can only make those fire that wait for it, or for a fact that
    one of them derives.
    """

    def __init__(self, rules: Iterable[Rule], situation: Situation) -> None:
        self._situation = situation
        blind = [
            rule for rule in rules if all(each.subject != "suspect" for each in rule.conditions)
        ]
        now = chain(blind, situation)
        self._facts = now.facts
        self.waiting_for: dict[str, list[Rule]] = {}
        """Check or fact -> the rules that have not fired and look at it."""
        for rule in blind:
            if rule.id not in now.fired:
                for name in {each.name for each in rule.conditions}:
                    self.waiting_for.setdefault(name, []).append(rule)

    def further(self, check: str, outcome: str) -> list[Rule]:
        """The rules that an answer would make fire besides those that fire now."""
        found = {**self._situation.found, check: (outcome, None)}
        situation = replace(self._situation, found=found)
        facts = set(self._facts)
        fired: dict[str, Rule] = {}
        names = [check]
        while names:
            for rule in self.waiting_for.get(names.pop(), ()):
                if rule.id not in fired and all(
                    holds(condition, situation, facts) for condition in rule.conditions
                ):
                    fired[rule.id] = rule
                    facts.update(rule.derives)
                    names += rule.derives
        return list(fired.values())


def checks_for_safety(rules: Iterable[Rule]) -> frozenset[str]:
    """Checks whose answer alone may stop the work or must be put right."""
    return frozenset(
        rule.conditions[0].name
        for rule in rules
        if len(rule.conditions) == 1 and rule.conditions[0].subject == "found"
        if any(each.stop or each.leave_open for each in rule.entry.then)
    )
