"""The examples of rules: read into situations, and tried."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from lightoff.engine.entries.base import Scalar
from lightoff.engine.entries.rules import ExampleEntry
from lightoff.engine.library.chaining import Situation, chain, holds
from lightoff.engine.library.conditions import in_figures
from lightoff.engine.library.known import Known
from lightoff.engine.library.readings import ReadingError
from lightoff.engine.library.report import Spot, suggestion
from lightoff.engine.library.values import figure
from lightoff.engine.model import Check, Rule
from lightoff.engine.outcomes import outcome_index, stalled_steps
from lightoff.engine.units import UnitError, parse_as

DONT_KNOW = "dont-know"
"""In an example: the check was asked and could not be answered."""

Checks = Mapping[str, Check]
Answer = tuple[str, float | None]


# --- reading ----------------------------------------------------------------------


def check_example(entry: ExampleEntry, known: Known, spot: Spot) -> None:
    """Note the mistakes of an example."""
    for name, given in entry.found.items():
        here = spot.at("found", name)
        check = known.check(name, here)
        if check is not None:
            _check_answer(check, given, here)
    if entry.stalls_in is not None:
        known.step(entry.stalls_in, spot.at("stalls-in"))
    for index, fact in enumerate(entry.facts):
        known.fact(fact, spot.at("facts", index))
    for index, repair in enumerate(entry.repaired):
        known.references.repair(repair, spot.at("repaired", index))
    known.references.tools(entry.lacks, spot.at("lacks"))
    _check_suspects(entry, known, spot.at("suspects"))


def _check_answer(check: Check, given: Scalar, spot: Spot) -> None:
    try:
        answer_of(check, given)
    except ReadingError as error:
        spot.wrong(error.what, error.mend)


def _check_suspects(entry: ExampleEntry, known: Known, spot: Spot) -> None:
    before, total = spot.report.noted, 0.0
    for name, text in entry.suspects.items():
        known.suspect(name, spot.at(name))
        if "." not in name:
            spot.at(name).wrong(f"{name} is a part", "give the share of one of its faults")
        share = figure(text, "fraction", spot.at(name))
        if share is not None and not 0.0 <= share <= 1.0:
            spot.at(name).wrong(f"{text} is no share", "give 0 to 100 %")
        total += share or 0.0
    if spot.report.noted == before and total > 1.0 + 1e-9:
        spot.wrong("the shares are more than the whole", "let them sum to 100 % at most")


def situation_of(entry: ExampleEntry, checks: Checks) -> Situation:
    """The situation of an example without mistakes."""
    answers = {name: answer_of(checks[name], given) for name, given in entry.found.items()}
    found = {name: answer for name, answer in answers.items() if answer is not None}
    steps = {
        step
        for name, (outcome, _) in found.items()
        for step in stalled_steps(checks[name], outcome)
    }
    if entry.stalls_in is not None:
        steps.add(entry.stalls_in)
    return Situation(
        found=found,
        held=(
            *(("stalls-in", step) for step in sorted(steps)),
            *(("repaired", repair) for repair in entry.repaired),
            *(("lacks-tool", tool) for tool in entry.lacks),
            ("licence", entry.licence),
        ),
        facts=tuple(entry.facts),
        suspects=_shares(entry),
    )


def _shares(entry: ExampleEntry) -> dict[str, float]:
    """Share by PART.FAULT and, summed, by part."""
    shares: dict[str, float] = {}
    for name, text in entry.suspects.items():
        for each in (name, name.partition(".")[0]):
            shares[each] = shares.get(each, 0.0) + parse_as(text, "fraction")
    return shares


def answer_of(check: Check, given: Scalar) -> Answer | None:
    """(outcome, reading in SI units or None) of an answer; None for "don't know".

    ReadingError if it cannot be an answer to this check.
    """
    outcomes = [outcome.id for outcome in check.outcomes]
    if given in outcomes:
        return str(given), None
    if given == DONT_KNOW:
        return None
    if not in_figures(check):
        what = f"{check.id} is never answered {str(given)!r}"
        raise ReadingError(what, suggestion(str(given), outcomes))
    try:
        reading = parse_as(given, check.dimension)
    except UnitError as error:
        mend = f"{error.mend}; or name one of {', '.join(outcomes)}"
        raise ReadingError(f"{check.id}: {error.what}", mend) from error
    return check.outcomes[outcome_index(check, reading)].id, reading


# --- trying -----------------------------------------------------------------------


def check_examples(rules: Sequence[Rule], checks: Checks, spots: Mapping[str, Spot]) -> None:
    """Try every example of every rule, each with the rules that its facts may come from."""
    derivers: dict[str, list[Rule]] = {}
    for rule in rules:
        for fact in rule.derives:
            derivers.setdefault(fact, []).append(rule)
    for rule in rules:
        spot = spots[rule.id].at("examples")
        behind = _behind(rule, derivers)
        for index, example in enumerate(rule.entry.examples.fires):
            _try_firing(rule, behind, situation_of(example, checks), spot.at("fires", index))
        for index, example in enumerate(rule.entry.examples.spares):
            _try_sparing(rule, behind, example, checks, spot.at("spares", index))


def _behind(rule: Rule, derivers: Mapping[str, list[Rule]]) -> list[Rule]:
    """The rule and those that derive, directly or not, the facts it asks for; it comes last."""
    found = {rule.id: rule}
    todo = [rule]
    while todo:
        for condition in todo.pop().conditions:
            if condition.subject == "fact":
                new = [each for each in derivers.get(condition.name, ()) if each.id not in found]
                found |= {each.id: each for each in new}
                todo += new
    return list(found.values())[::-1]


def _try_firing(rule: Rule, behind: Sequence[Rule], situation: Situation, spot: Spot) -> None:
    chained = chain(behind, situation)
    if rule.id in chained.fired:
        return
    missed = next(
        index
        for index, condition in enumerate(rule.conditions)
        if not holds(condition, situation, chained.facts)
    )
    what = f"{rule.id} does not fire here: condition {missed + 1} does not hold"
    spot.wrong(what, "mend the example or the condition")


def _try_sparing(
    rule: Rule, behind: Sequence[Rule], example: ExampleEntry, checks: Checks, spot: Spot
) -> None:
    situation = situation_of(example, checks)
    chained = chain(behind, situation)
    if rule.id in chained.fired:
        spot.wrong(f"{rule.id} fires here and should not", "mend the example or the conditions")
    elif len(rule.conditions) > 1:
        if not any(holds(each, situation, chained.facts) for each in rule.conditions):
            mend = "let all conditions but one hold"
            spot.wrong(f"this is no near miss of {rule.id}: no condition holds", mend)
    elif rule.conditions[0].subject == "found" and rule.conditions[0].name not in example.found:
        mend = f"answer {rule.conditions[0].name} otherwise, or with {DONT_KNOW}"
        spot.wrong(f"this is no near miss of {rule.id}: its check is not answered", mend)
