"""Rules run forward on a situation, in the plainest way: again and again until none is new.

Needs no rule engine, so that examples can be tried whenever knowledge is read.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field

from lightoff.engine.model import Rule, RuleCondition


@dataclass(frozen=True, slots=True)
class Situation:
    """What holds before any rule fires."""

    found: Mapping[str, tuple[str, float | None]] = field(default_factory=dict)
    """Check -> (outcome, reading in SI units, or None where none was taken)."""
    held: tuple[tuple[str, str], ...] = ()
    """(stalls-in, repaired, lacks-tool or licence; name)."""
    facts: tuple[str, ...] = ()
    suspects: Mapping[str, float] = field(default_factory=dict)
    """Part or PART.FAULT -> its share, 0 to 1."""


@dataclass(frozen=True, slots=True)
class Chained:
    """The rules that fired, by id, and every fact that holds in the end."""

    fired: frozenset[str]
    facts: frozenset[str]


def chain(rules: Sequence[Rule], situation: Situation) -> Chained:
    """Fire rules until no more do."""
    facts = set(situation.facts)
    fired: set[str] = set()
    before = -1
    while len(fired) > before:
        before = len(fired)
        for rule in rules:
            if all(holds(condition, situation, facts) for condition in rule.conditions):
                fired.add(rule.id)
                facts.update(rule.derives)
    return Chained(frozenset(fired), frozenset(facts))


def holds(condition: RuleCondition, situation: Situation, facts: Collection[str]) -> bool:
    """Whether a condition holds in a situation, with these facts derived so far."""
    if condition.subject == "found":
        return _found(condition, situation)
    if condition.subject == "fact":
        return condition.name in facts
    if condition.subject == "suspect":
        return _within(condition, situation.suspects.get(condition.name))
    if condition.subject in ("stalls-in", "licence"):
        return any(
            subject == condition.subject and name in condition.words
            for subject, name in situation.held
        )
    return (condition.subject, condition.name) in situation.held


def _found(condition: RuleCondition, situation: Situation) -> bool:
    if condition.name not in situation.found:
        return False
    outcome, reading = situation.found[condition.name]
    if condition.words and outcome not in condition.words:
        return False
    unbounded = condition.low == float("-inf") and condition.high == float("inf")
    return unbounded or _within(condition, reading)


def _within(condition: RuleCondition, figure: float | None) -> bool:
    return figure is not None and condition.low <= figure <= condition.high
