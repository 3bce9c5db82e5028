"""What the rule engine costs; prints figures, asserts nothing.

    python -m tests.benchmarks.rules

Medians of several runs on one core, with all shipped rules loaded: machines are noisy.
"""

from __future__ import annotations

import random

from lightoff.engine import library
from lightoff.engine.library.rules import any_of_each
from lightoff.engine.model import Check, Rule
from lightoff.engine.reasoning.rules import RuleEngine
from tests.benchmarks.speed import median_ms

Found = dict[str, tuple[str, float | None]]
HELD = (("licence", "gas"),)


def some_findings(rules: tuple[Rule, ...], checks: dict[str, Check], many: int) -> Found:
    """Answers to checks that rules ask about, those most asked about first."""
    asked = [
        condition.name
        for rule in rules
        for condition in rule.conditions
        if condition.subject == "found"
    ]
    names = sorted(set(asked), key=lambda name: (-asked.count(name), name))[:many]
    choice = random.Random(1)
    return {name: (choice.choice(checks[name].outcomes).id, None) for name in names}


def main() -> None:
    knowledge = library.load()
    rules = tuple(knowledge.rules.values())
    checks = any_of_each(knowledge.checks)
    engine = RuleEngine(rules)
    one, thirty = (some_findings(rules, checks, many) for many in (1, 30))
    suspects = dict.fromkeys(engine.watched, 0.5)

    def conclude(found: Found) -> None:
        engine.fire(found, HELD)
        engine.go_on_with(suspects)

    print(f"{len(rules)} rules about {len(engine.asked)} checks")
    figures = {
        "reading all knowledge, every example tried": median_ms(library.load, 7),
        "building the engine": median_ms(lambda: RuleEngine(rules), 7),
        "one finding: reset, declare, run": median_ms(lambda: conclude(one), 20),
        f"{len(thirty)} findings: reset, declare, run": median_ms(lambda: conclude(thirty), 20),
    }
    for name, figure in figures.items():
        print(f"{name:60} {figure:9.2f} ms")


if __name__ == "__main__":
    main()
