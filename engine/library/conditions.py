"""Conditions of rules: one subject each, its name known, its limits in SI units."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from lightoff.engine.entries.base import Words
from lightoff.engine.entries.rules import ConditionEntry
from lightoff.engine.library.known import Known
from lightoff.engine.library.report import Spot
from lightoff.engine.library.values import figure
from lightoff.engine.model import Check, RuleCondition

ENDLESS = float("inf")

_MAY_HAVE: Mapping[str, frozenset[str]] = {
    "found": frozenset(("is", "above", "below")),
    "suspect": frozenset(("above",)),
}
"""Subject -> what may be said of it besides its name."""


def read_condition(entry: ConditionEntry, known: Known, spot: Spot) -> RuleCondition | None:
    """The condition; None after a mistake, in it or in what it names, has been noted."""
    subjects = [name for name in _READERS if _given(entry, name)]
    if len(subjects) != 1:
        what = f"a condition has one subject, not {len(subjects)}"
        spot.wrong(what, f"give one of {', '.join(_READERS)}")
        return None
    before = spot.report.noted
    subject = subjects[0]
    for name in ("is", "above", "below"):
        if _given(entry, name) and name not in _MAY_HAVE.get(subject, ()):
            spot.at(name).wrong(f"`{name}` says nothing of `{subject}`", "take it out")
    condition = _READERS[subject](entry, known, spot)
    return condition if spot.report.noted == before else None


def in_figures(check: Check) -> bool:
    """Whether a check is answered with a figure; what is seen or heard is told in words."""
    reads = check.entry.reads
    return bool(check.dimension) and reads.sight is None and reads.sound is None


def _given(entry: ConditionEntry, name: str) -> bool:
    attribute = "is_" if name == "is" else name.replace("-", "_")
    return getattr(entry, attribute) is not None


def _found(entry: ConditionEntry, known: Known, spot: Spot) -> RuleCondition | None:
    assert entry.found is not None
    check = known.check(entry.found, spot.at("found"))
    if check is None:
        return None
    words = _listed(entry.is_, spot.at("is"))
    outcomes = {*check.entry.outcomes, *(outcome.id for outcome in check.outcomes)}
    for word in words:
        if word not in outcomes:
            spot.at("is").unknown(f"outcome of {check.id}", word, outcomes)
    low, high = _limits(entry, check, spot)
    return RuleCondition("found", check.id, frozenset(words), low, high)


def _limits(entry: ConditionEntry, check: Check, spot: Spot) -> tuple[float, float]:
    """(above, below) in SI units."""
    given = [name for name in ("above", "below") if _given(entry, name)]
    if given and entry.is_ is not None:
        spot.wrong(f"`is` and `{given[0]}` exclude each other", "keep one of them")
    elif given and not in_figures(check):
        spot.at(given[0]).wrong(f"{check.id} is answered in words", "use `is` with an outcome")
    elif given:
        return _interval(entry, check.dimension, spot)
    return -ENDLESS, ENDLESS


def _interval(entry: ConditionEntry, dimension: str, spot: Spot) -> tuple[float, float]:
    low, high = -ENDLESS, ENDLESS
    if entry.above is not None:
        low = _or(figure(entry.above, dimension, spot.at("above")), low)
    if entry.below is not None:
        high = _or(figure(entry.below, dimension, spot.at("below")), high)
    if low >= high:
        spot.at("above").wrong("no reading lies above and below these", "let `above` be lower")
    return low, high


def _or(value: float | None, otherwise: float) -> float:
    return otherwise if value is None else value


def _stalls_in(entry: ConditionEntry, known: Known, spot: Spot) -> RuleCondition:
    steps = _listed(entry.stalls_in, spot.at("stalls-in"))
    for step in steps:
        known.step(step, spot.at("stalls-in"))
    return RuleCondition("stalls-in", "", frozenset(steps))


def _fact(entry: ConditionEntry, known: Known, spot: Spot) -> RuleCondition:
    assert entry.fact is not None
    known.fact(entry.fact, spot.at("fact"))
    return RuleCondition("fact", entry.fact)


def _suspect(entry: ConditionEntry, known: Known, spot: Spot) -> RuleCondition | None:
    assert entry.suspect is not None
    known.suspect(entry.suspect, spot.at("suspect"))
    if entry.above is None:
        spot.wrong("a suspect is always more or less likely", "add `above: 30 %`")
        return None
    share = figure(entry.above, "fraction", spot.at("above"))
    if share is not None and not 0.0 < share < 1.0:
        spot.at("above").wrong(f"{entry.above} is no share", "give more than 0 % and below 100 %")
    return RuleCondition("suspect", entry.suspect, low=_or(share, 1.0))


def _repaired(entry: ConditionEntry, known: Known, spot: Spot) -> RuleCondition:
    assert entry.repaired is not None
    known.references.repair(entry.repaired, spot.at("repaired"))
    return RuleCondition("repaired", entry.repaired)


def _lacks_tool(entry: ConditionEntry, known: Known, spot: Spot) -> RuleCondition:
    assert entry.lacks_tool is not None
    known.references.tools([entry.lacks_tool], spot.at("lacks-tool"))
    return RuleCondition("lacks-tool", entry.lacks_tool)


def _licence(entry: ConditionEntry, known: Known, spot: Spot) -> RuleCondition:
    return RuleCondition("licence", "", frozenset(_listed(entry.licence, spot.at("licence"))))


def _listed(given: str | Words | None, spot: Spot) -> Words:
    """One or several words as a list, each once."""
    words = [given] if isinstance(given, str) else given or []
    if given is not None and not words:
        spot.wrong("this list is empty", "name one or more")
    for word in sorted({word for word in words if words.count(word) > 1}):
        spot.wrong(f"{word} stands here twice", "keep it once")
    return words


_READERS: Mapping[str, Callable[[ConditionEntry, Known, Spot], RuleCondition | None]] = {
    "found": _found,
    "stalls-in": _stalls_in,
    "fact": _fact,
    "suspect": _suspect,
    "repaired": _repaired,
    "lacks-tool": _lacks_tool,
    "licence": _licence,
}
