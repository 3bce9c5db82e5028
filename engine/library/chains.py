"""How rules hang together by the facts they derive: none idle, none in a circle.

Suspects are what the weighing comes to, so a rule that looks at them, or at a fact that
rests on them, may not weigh in turn.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from graphlib import CycleError, TopologicalSorter

from lightoff.engine.entries.rules import RuleEntry
from lightoff.engine.library.effects import names_of
from lightoff.engine.library.files import Item
from lightoff.engine.library.report import Spot

Rules = Mapping[str, Item[RuleEntry]]
Needs = Mapping[str, frozenset[str]]


def check_chains(rules: Rules, whole: bool) -> None:
    """Note facts that nothing uses, circles of facts, and weighing by suspects.

    Unless the rules are `whole`, one that is missing may use a fact that seems unused.
    """
    derived = _derived(rules.values())
    if whole:
        _note_unused(rules, derived)
    _note_circle(_needs(rules.values()), derived)
    _note_weighing(rules)


@dataclass(frozen=True, slots=True)
class _Derived:
    """A fact that a rule derives, where it says so, and the facts the rule needs."""

    fact: str
    spot: Spot
    needs: frozenset[str]


def _derived(rules: Iterable[Item[RuleEntry]]) -> list[_Derived]:
    return [
        _Derived(effect.derive, item.spot.at("then", index, "derive"), facts_used(item.entry))
        for item in rules
        for index, effect in enumerate(item.entry.then)
        if effect.derive is not None
    ]


def facts_used(entry: RuleEntry) -> frozenset[str]:
    """The facts that a rule asks for."""
    return frozenset(each.fact for each in entry.when if each.fact is not None)


def _needs(rules: Iterable[Item[RuleEntry]]) -> dict[str, frozenset[str]]:
    """Fact -> the facts that some rule deriving it needs."""
    needs: dict[str, frozenset[str]] = {}
    for each in _derived(rules):
        needs[each.fact] = needs.get(each.fact, frozenset()) | each.needs
    return needs


def _note_unused(rules: Rules, derived: Iterable[_Derived]) -> None:
    used = frozenset().union(*(facts_used(item.entry) for item in rules.values()))
    for each in derived:
        if each.fact not in used:
            mend = "use it in a condition, or take it out"
            each.spot.wrong(f"no rule asks for the fact {each.fact}", mend)


def _note_circle(needs: Needs, derived: Iterable[_Derived]) -> None:
    try:
        TopologicalSorter(needs).prepare()
    except CycleError as error:
        facts = error.args[1][:0:-1]
        first = next(each for each in derived if each.fact in facts)
        start = facts.index(first.fact)
        circle = " needs ".join((*facts[start:], *facts[:start], first.fact))
        mend = "derive one of them from findings alone"
        first.spot.wrong(f"facts go in a circle: {circle}", mend)


def _note_weighing(rules: Rules) -> None:
    resting = _resting_on_suspects(rules)
    for item in rules.values():
        why = _rests_on(item.entry, resting)
        for index, effect in enumerate(item.entry.then):
            for kind in ("weigh", "rule-out"):
                if why and names_of(effect, kind) is not None:
                    what = f"a rule that rests on {why} may not {kind}: it would feed on itself"
                    mend = "rest it on findings, or let it ask or oblige"
                    item.spot.at("then", index, kind).wrong(what, mend)


def _resting_on_suspects(rules: Rules) -> set[str]:
    """Facts that rest on suspects, directly or through other facts."""
    leads: dict[str, set[str]] = {}
    for each in _derived(rules.values()):
        for fact in each.needs:
            leads.setdefault(fact, set()).add(each.fact)
    todo = [
        effect.derive
        for item in rules.values()
        if _suspect_of(item.entry)
        for effect in item.entry.then
        if effect.derive is not None
    ]
    resting: set[str] = set()
    while todo:
        fact = todo.pop()
        if fact not in resting:
            resting.add(fact)
            todo += leads.get(fact, ())
    return resting


def _rests_on(entry: RuleEntry, resting: Collection[str]) -> str:
    """What a rule owes to the suspects, in words; "" if nothing."""
    suspect = _suspect_of(entry)
    if suspect:
        return f"the suspect {suspect}"
    return next((f"the fact {fact}" for fact in sorted(facts_used(entry)) if fact in resting), "")


def _suspect_of(entry: RuleEntry) -> str:
    return next((each.suspect for each in entry.when if each.suspect is not None), "")
