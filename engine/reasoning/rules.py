"""The production rules of knowledge/rules/, run by experta: which of them fire.

The only module that knows experta. A rule's conditions become patterns over facts of
five plain kinds; its right-hand side notes that it fired and declares what it derives.
Rules only add, so the set that fires does not depend on the order of firing. Equal
salience fires in an order that changes from run to run, so each rule gets its own.
"""

from __future__ import annotations

import collections
import collections.abc
import logging
from collections.abc import Callable, Mapping, Sequence

from lightoff.engine.model import Rule, RuleCondition

# experta's dependency frozendict still looks for Mapping where Python kept it until 3.9.
collections.Mapping = collections.abc.Mapping  # type: ignore[attr-defined]
_handlers = logging.root.handlers.copy()
import experta  # noqa: E402

# Importing experta calls logging.basicConfig(), which is for a program to do, not a library.
logging.root.handlers[:] = _handlers


class Found(experta.Fact):  # type: ignore[misc]
    """A check was answered: `check`, `outcome`, `reading` (SI units, or None)."""


class Derived(experta.Fact):  # type: ignore[misc]
    """A fact that a rule derived: `name`."""


class Suspect(experta.Fact):  # type: ignore[misc]
    """A part or PART.FAULT: `name`, `share` 0 to 1."""


class Held(experta.Fact):  # type: ignore[misc]
    """Anything else that holds: `subject` and `name`."""


class RuleEngine:
    """Compiled rules; `fire` may be called again and again, each time from scratch."""

    def __init__(self, rules: Sequence[Rule]) -> None:
        self.rules = tuple(rules)
        self._fired: set[str] = set()
        made = {
            f"rule_{number}": experta.Rule(
                *map(_pattern, rule.conditions), salience=len(rules) - number
            )(self._action(rule))
            for number, rule in enumerate(rules)
        }
        self._engine = type("Engine", (experta.KnowledgeEngine,), made)()
        self.asked = self._named("found")
        """Checks that some rule asks about: findings on others are not declared."""
        self.watched = self._named("suspect")
        """Parts and faults whose share some rule looks at."""

    def _named(self, subject: str) -> frozenset[str]:
        return frozenset(
            condition.name
            for rule in self.rules
            for condition in rule.conditions
            if condition.subject == subject
        )

    def _action(self, rule: Rule) -> Callable[..., None]:
        def fire(engine: experta.KnowledgeEngine) -> None:
            self._fired.add(rule.id)
            for name in rule.derives:
                engine.declare(Derived(name=name))

        return fire

    def fire(
        self,
        found: Mapping[str, tuple[str, float | None]],
        held: Sequence[tuple[str, str]] = (),
        facts: Sequence[str] = (),
    ) -> None:
        """Start anew with these findings and whatever else holds, and run to the end."""
        self._fired.clear()
        self._engine.reset()
        for check in sorted(self.asked & set(found)):
            outcome, reading = found[check]
            self._engine.declare(Found(check=check, outcome=outcome, reading=reading))
        for subject, name in held:
            self._engine.declare(Held(subject=subject, name=name))
        for name in facts:
            self._engine.declare(Derived(name=name))
        self._run()

    def go_on_with(self, suspects: Mapping[str, float]) -> None:
        """Add the present suspects, and run on."""
        for name in sorted(self.watched & set(suspects)):
            self._engine.declare(Suspect(name=name, share=suspects[name]))
        self._run()

    @property
    def fired(self) -> tuple[Rule, ...]:
        """The rules that fired, in the order in which they were given."""
        return tuple(rule for rule in self.rules if rule.id in self._fired)

    def _run(self) -> None:
        try:
            self._engine.run()
        finally:
            # An exception on a right-hand side leaves the engine "running" for good.
            self._engine.running = False


def _pattern(condition: RuleCondition) -> experta.Fact:
    """The experta pattern of a condition.

    Values are compared by predicates of our own: a literal 1 would also match True and 1.0.
    """
    if condition.subject == "found":
        return Found(
            check=condition.name,
            outcome=experta.P(_among(condition)),
            reading=experta.P(_within(condition)),
        )
    if condition.subject == "fact":
        return Derived(name=condition.name)
    if condition.subject == "suspect":
        return Suspect(name=condition.name, share=experta.P(_within(condition)))
    if condition.subject in ("stalls-in", "licence"):
        return Held(subject=condition.subject, name=experta.P(_among(condition)))
    return Held(subject=condition.subject, name=condition.name)


def _among(condition: RuleCondition) -> Callable[[object], bool]:
    return lambda word: not condition.words or word in condition.words


def _within(condition: RuleCondition) -> Callable[[object], bool]:
    unbounded = condition.low == float("-inf") and condition.high == float("inf")

    def within(value: object) -> bool:
        if unbounded:
            return True
        return isinstance(value, float) and condition.low <= value <= condition.high

    return within
