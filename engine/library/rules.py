"""Rules: every name known, every figure in SI units, every example tried."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence

from lightoff.engine.entries.base import Entry
from lightoff.engine.entries.rules import RuleEntry
from lightoff.engine.library.chains import check_chains
from lightoff.engine.library.conditions import read_condition
from lightoff.engine.library.effects import check_effect, weighs_of
from lightoff.engine.library.examples import check_example, check_examples
from lightoff.engine.library.files import Files, Item
from lightoff.engine.library.furnaces import Resolved
from lightoff.engine.library.known import Known, known_to_rules
from lightoff.engine.library.references import References
from lightoff.engine.library.report import Spot
from lightoff.engine.model import Check, Rule, RuleCondition

Checks = Mapping[str, Mapping[str, Check]]
"""Furnace -> check id -> check."""


def resolve_rules(
    files: Files, resolved: Mapping[str, Resolved], checks: Checks, references: References
) -> dict[str, Rule]:
    """The rules without mistakes, in the order of the files.

    Examples are tried once everything else is right, since rules hang together by facts.
    """
    section = files.rules
    known = known_to_rules(files, resolved, checks, references)
    read = {id_: _read_rule(item, known) for id_, item in section.items.items()}
    check_chains(section.items, section.whole)
    rules = {id_: rule for id_, rule in read.items() if rule is not None}
    if known.checks_whole and section.whole and rules.keys() == section.items.keys():
        spots = {id_: item.spot for id_, item in section.items.items()}
        check_examples(list(rules.values()), any_of_each(checks), spots)
    return rules


def any_of_each(checks: Checks) -> dict[str, Check]:
    """Check id -> the check on some furnace: outcomes and bands are the same on all."""
    return {id_: check for there in checks.values() for id_, check in there.items()}


def _read_rule(item: Item[RuleEntry], known: Known) -> Rule | None:
    """The rule; None after a mistake in it, or in what it names, has been noted."""
    entry, spot = item.entry, item.spot
    before = spot.report.noted
    known.references.source(entry.source, spot.at("source"))
    for index, name in enumerate(entry.only_on):
        if name not in known.files.furnaces.named:
            spot.at("only-on", index).unknown("furnace", name, known.files.furnaces.named)
    found = [
        read_condition(each, known, spot.at("when", index)) for index, each in enumerate(entry.when)
    ]
    conditions = tuple(each for each in found if each is not None)
    _check_lists(entry, spot)
    for index, effect in enumerate(entry.then):
        check_effect(effect, known, spot.at("then", index))
    for name in ("fires", "spares"):
        for index, example in enumerate(getattr(entry.examples, name)):
            check_example(example, known, spot.at("examples", name, index))
    if len(conditions) < len(found) or spot.report.noted > before:
        return None
    _check_place(entry, conditions, known, spot.at("when"))
    return _rule(entry, conditions)


def _rule(entry: RuleEntry, conditions: tuple[RuleCondition, ...]) -> Rule:
    derived = tuple(effect.derive for effect in entry.then if effect.derive is not None)
    return Rule(entry.id, entry, conditions, derived, tuple(weighs_of(entry.then)))


def _check_lists(entry: RuleEntry, spot: Spot) -> None:
    """Note what is missing from a rule, and what stands in it twice."""
    if not entry.when:
        spot.at("when").wrong("a rule without a condition would always fire", "give it one")
    if not entry.then:
        spot.at("then").wrong("this rule has no effect", "give it one")
    if not entry.examples.fires:
        spot.at("examples", "fires").wrong("no example fires this rule", "add one")
    if not entry.examples.spares:
        spot.at("examples", "spares").wrong("no near miss spares this rule", "add one")
    _note_twice(entry.when, "condition", spot.at("when"))
    _note_twice(entry.then, "effect", spot.at("then"))


def _note_twice(entries: Sequence[Entry], what: str, spot: Spot) -> None:
    for index, entry in enumerate(entries):
        if entry in entries[:index]:
            spot.at(index).wrong(f"this {what} stands here twice", "keep it once")


def _check_place(
    entry: RuleEntry, conditions: Collection[RuleCondition], known: Known, spot: Spot
) -> None:
    """Note a rule that no furnace it is for can fire, for what it asks about."""
    if known.checks_whole and not _furnaces(entry, conditions, known):
        mend = "split it, or mend `only-on`"
        spot.wrong("no furnace has all that this rule asks for", mend)


def _furnaces(
    entry: RuleEntry, conditions: Collection[RuleCondition], known: Known
) -> frozenset[str]:
    furnaces = frozenset(entry.only_on or known.furnaces)
    for condition in conditions:
        if condition.subject == "found":
            furnaces &= known.checks[condition.name].keys()
        elif condition.subject == "suspect":
            furnaces &= known.suspects[condition.name]
        elif condition.subject == "stalls-in":
            furnaces &= frozenset().union(*(known.steps[step] for step in condition.words))
    return furnaces
