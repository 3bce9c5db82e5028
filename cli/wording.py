"""Suspects, repairs and findings put in words."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import log2

from lightoff.engine.model import NO_FAULT, SOMETHING_ELSE, Knowledge
from lightoff.engine.reasoning.answers import is_a_figure, with_unit
from lightoff.engine.reasoning.belief import Belief, Finding, repair_class
from lightoff.engine.reasoning.diagnosis import Diagnosis
from lightoff.engine.reasoning.explain import weights_of
from lightoff.engine.reasoning.job import AS_READ
from lightoff.engine.reasoning.planning.repairing import repair_probabilities
from lightoff.engine.reasoning.second_look import misfits
from lightoff.engine.reasoning.suspects import Suspect, suspects_of
from lightoff.engine.reasoning.table import repairs_in

MATTERS = 0.01
"""Suspects below this share are counted, not shown."""
FIRST_FEW = 4
TABLE = 15
"""Suspects in the longest table."""
EVIDENCE = 3
"""Findings named for a suspect."""
SPEAKS = 1.0
"""Decibans from which a finding is worth naming."""

WITHOUT_FAULT = {NO_FAULT: "Nothing is wrong", SOMETHING_ELSE: "Something not known here"}


@dataclass(frozen=True, slots=True)
class Row:
    """A repair that may be needed: its share, its title, the faults that ask for it."""

    share: float
    repair: str
    faults: str


@dataclass(frozen=True, slots=True)
class Standing:
    """Where the suspects stand: the likeliest repairs, how many more, checks to go."""

    rows: tuple[Row, ...]
    more: int
    checks_left: int


@dataclass(frozen=True, slots=True)
class Suspects:
    """The table of suspects: share, part, fault, repair; how many are not shown, their share."""

    rows: tuple[tuple[float, str, str, str], ...]
    more: int
    share_of_more: float


# --- suspects ---------------------------------------------------------------------


def repair_title(knowledge: Knowledge, repair: str) -> str:
    """Title of a repair or of two, or what is the case where none is asked for."""
    titles = [WITHOUT_FAULT.get(one) or knowledge.repairs[one].title for one in repairs_in(repair)]
    return "; and ".join(titles)


def class_of(suspect: Suspect) -> str:
    """The repair of a suspect, or its own id if it holds no fault."""
    return suspect.repair if suspect.faults else suspect.id


def suspect_name(diagnosis: Diagnosis, suspect: Suspect) -> str:
    """The faults of a suspect in words."""
    if not suspect.faults:
        return WITHOUT_FAULT[suspect.id]
    return " and ".join(diagnosis.furnace.faults[fault].entry.name for fault in suspect.faults)


def standing(diagnosis: Diagnosis, belief: Belief) -> Standing:
    """The few likeliest repairs, and about how many checks are left."""
    shares = repair_probabilities(belief)
    suspects = suspects_of(belief)
    matter = [repair for repair, share in shares.items() if share >= MATTERS] or list(shares)[:1]
    rows = tuple(
        Row(shares[repair], _title(diagnosis, belief, repair), _faults(diagnosis, group))
        for repair in matter[:FIRST_FEW]
        if (group := [suspect for suspect in suspects if class_of(suspect) == repair])
    )
    return Standing(rows, len(matter) - len(rows), checks_left(list(shares.values())))


def _title(diagnosis: Diagnosis, belief: Belief, repair: str) -> str:
    title = repair_title(diagnosis.knowledge, repair)
    return f"{title}, done but not cured" if repair in belief.repaired else title


def _faults(diagnosis: Diagnosis, suspects: Sequence[Suspect]) -> str:
    first, rest = suspects[0], [each for each in suspects[1:] if each.probability >= MATTERS]
    if not first.faults:
        return ""
    others = f", or {len(rest)} more" if rest else ""
    return suspect_name(diagnosis, first) + others


def checks_left(shares: Sequence[float]) -> int:
    """About how many checks that halve the doubt are left: bits, log2 of the repairs in play."""
    bits = -sum(share * log2(share) for share in shares if share > 0.0)
    return max(1, round(bits))


def all_suspects(diagnosis: Diagnosis, belief: Belief) -> Suspects:
    """The suspects that matter, likeliest first."""
    suspects = suspects_of(belief)
    matter = [each for each in suspects[:TABLE] if each.probability >= MATTERS]
    rows = tuple(
        (
            each.probability,
            ", ".join(diagnosis.furnace.parts[part].entry.name for part in each.parts),
            suspect_name(diagnosis, each),
            repair_title(diagnosis.knowledge, class_of(each)) if each.faults else "",
        )
        for each in matter
    )
    rest = suspects[len(rows) :]
    return Suspects(rows, len(rest), sum(each.probability for each in rest))


def change(diagnosis: Diagnosis, before: Belief, after: Belief) -> str:
    """In one line, what a finding or a repair changed."""
    was, now = repair_probabilities(before), repair_probabilities(after)
    leader = next(iter(now))
    title = repair_title(diagnosis.knowledge, leader)
    before_it, now_it = percent(was.get(leader, 0.0)), percent(now[leader])
    moved = f"{title}: {before_it} before, {now_it} now"
    if before_it == now_it:
        moved = f"{title} stays first, {now_it}"
    aside = sum(share >= MATTERS > now.get(repair, 0.0) for repair, share in was.items())
    return f"{moved}; {count(aside, 'repair')} set aside." if aside else f"{moved}."


def finding_in_words(diagnosis: Diagnosis, finding: Finding) -> str:
    """A finding as a person would note it: what was checked, and what came of it."""
    if finding.outcome == AS_READ:
        return f"{diagnosis.checks[finding.check].entry.ask.rstrip('?')}: {finding.entered}"
    subject = capital(finding.check.replace("-", " "))
    if finding.outcome is None:
        return f"{subject}: not known"
    check = diagnosis.checks[finding.check]
    words = next(each.text for each in check.outcomes if each.id == finding.outcome)
    if not is_a_figure(check, finding.entered):
        return f"{subject}: {words}"
    return f"{subject}: {with_unit(check, finding.entered)}, {words}"


def second_look(diagnosis: Diagnosis, before: Belief, after: Belief) -> str:
    """The finding that fits no suspect well and did not seem so before; "" if there is none."""
    known = {misfit.finding for misfit in misfits(before)}
    new = [misfit for misfit in misfits(after) if misfit.finding not in known]
    if not new:
        return ""
    finding, check = new[0].finding, diagnosis.checks[new[0].finding.check]
    expected = next(each.text for each in check.outcomes if each.id == new[0].expected)
    return (
        f"This fits none of the suspects well: {finding_in_words(diagnosis, finding)}. "
        f"From all the rest, {expected!r} was to be expected. "
        f"Take a second look? t {check.id} asks it again."
    )


def evidence(diagnosis: Diagnosis, belief: Belief, repair: str, other: str) -> tuple[str, ...]:
    """The findings that speak most for one repair against another, strongest first."""
    weights = weights_of(belief, _likeliest(belief, repair), _likeliest(belief, other))
    findings = [
        (weight.decibans, weight.evidence)
        for weight in weights
        if isinstance(weight.evidence, Finding) and weight.decibans >= SPEAKS
    ]
    strongest = sorted(findings, key=lambda each: -each[0])[:EVIDENCE]
    return tuple(
        f"{finding_in_words(diagnosis, finding)} ({odds(decibans)})"
        for decibans, finding in strongest
    )


def _likeliest(belief: Belief, repair: str) -> str:
    shares = belief.probabilities
    hypotheses = belief.table.hypotheses
    own = [index for index, each in enumerate(hypotheses) if repair_class(each) == repair]
    return hypotheses[max(own, key=lambda index: shares[index])].id


# --- words ------------------------------------------------------------------------


def percent(share: float) -> str:
    """A share as whole percent; neither none nor all is claimed by rounding."""
    if 0.0 < share < 0.01:
        return "<1%"
    return ">99%" if 0.99 < share < 1.0 else f"{100 * share:.0f}%"


def odds(decibans: float) -> str:
    """A likelihood ratio in words: how many times likelier with the one than the other."""
    times = 10 ** (min(decibans, 30.0) / 10)
    return f"{times:.0f} times likelier" if times >= 2 else f"{times:.1f} times likelier"


def minutes_in_words(minutes: float) -> str:
    """Minutes with their unit, to what is worth saying."""
    return f"{minutes:.3g} min"


def count(number: int, noun: str) -> str:
    """So many of something, in one or several."""
    return f"{number} {noun}" if number == 1 else f"{number} {noun}s"


def capital(text: str) -> str:
    """The text with its first letter large, the rest as it was."""
    return text[:1].upper() + text[1:]
