"""The marks of an attempt, each with why; safety is a gate, not an average."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from lightoff.engine.teaching.practice.acts import (
    Checked,
    Ended,
    Hinted,
    Measured,
    Mended,
    Unsafe,
    Watched,
)
from lightoff.engine.teaching.practice.bench import Bench
from lightoff.engine.teaching.practice.judging import Judged, judge

A_HINT = 5.0
"""Marks of a hundred that a hint costs (from memory)."""

NOT_FOUND = (0.0, "Counts once the cause is found.")


@dataclass(frozen=True, slots=True)
class Mark:
    """One mark: a share of its weight, 0 to 1, and why."""

    name: str
    weight: float
    share: float
    why: str


@dataclass(frozen=True, slots=True)
class Marked:
    """An attempt, marked."""

    judged: tuple[Judged, ...]
    marks: tuple[Mark, ...]
    hints: int
    unsafe: tuple[Unsafe, ...]
    not_asked: tuple[str, ...]
    """Signs of danger that were not asked about before the work."""
    minutes: float
    regret: float

    @property
    def is_safe(self) -> bool:
        return not self.unsafe

    @property
    def total(self) -> float:
        """0 to 100; what it says counts only for safe work."""
        weights = sum(mark.weight for mark in self.marks)
        whole = 100.0 * sum(mark.weight * mark.share for mark in self.marks) / weights
        return max(0.0, whole - A_HINT * self.hints)


def mark(bench: Bench) -> Marked:
    """Mark an attempt that was closed; ValueError if it was not."""
    if not bench.is_over:
        raise ValueError("an attempt is marked once it is closed")
    judged = tuple(judge(bench))
    weights = bench.scenario.entry.marks
    regret = sum(each.regret for each in judged)
    cause = _cause(bench, judged)
    # Who finds nothing wastes no checks and no parts: that earns nothing.
    found = cause[0] > 0.0
    shares = {
        "cause": cause,
        "minutes": _minutes(judged, regret),
        "checks": _checks(judged) if found else NOT_FOUND,
        "parts": _parts(bench, judged) if found else NOT_FOUND,
        "proof": _proof(bench, judged),
    }
    return Marked(
        judged=judged,
        marks=tuple(
            Mark(name, float(getattr(weights, name)), share, why)
            for name, (share, why) in shares.items()
        ),
        hints=sum(isinstance(act, Hinted) for act in bench.acts),
        unsafe=tuple(act for act in bench.acts if isinstance(act, Unsafe)),
        not_asked=_not_asked(bench),
        minutes=bench.standing.minutes,
        regret=regret,
    )


def _ended(bench: Bench) -> Ended:
    last = bench.acts[-1]
    assert isinstance(last, Ended)
    return last


def is_rightly_left(bench: Bench, judged: Sequence[Judged]) -> bool:
    """Whether danger ended the work, and it was closed as shut down or handed on."""
    last = judged[-1]
    return not bench.is_mended and last.advised and last.best is None


def _cause(bench: Bench, judged: Sequence[Judged]) -> tuple[float, str]:
    needed, blamed = bench.scenario.repairs, set(_ended(bench).blamed)
    if is_rightly_left(bench, judged):
        return 1.0, "Right to end the work here."
    share = len(needed & blamed) / len(needed | blamed)
    if share == 1.0:
        return share, "What you blame is what was wrong."
    titles = bench.diagnosis.knowledge.repairs
    missed = ", ".join(titles[each].title for each in sorted(needed - blamed))
    wrongly = ", ".join(titles[each].title for each in sorted(blamed - needed))
    said = [
        f"Not named: {missed}." if missed else "",
        f"Not to blame: {wrongly}." if wrongly else "",
    ]
    return share, " ".join(filter(None, said))


def _minutes(judged: Sequence[Judged], regret: float) -> tuple[float, str]:
    """V* / (V* + sum of regret)."""
    value = next((each.value for each in judged if each.value), 1.0)
    if not regret:
        return 1.0, "Each step was as good as the best that could be known."
    worst = max(judged, key=lambda each: each.regret)
    number = judged.index(worst) + 1
    said = f"{regret:.0f} min more than need be expected; step {number} most ({worst.regret:.0f})."
    return value / (value + regret), said


def _checks(judged: Iterable[Judged]) -> tuple[float, str]:
    made = [each for each in judged if isinstance(each.act, Checked | Measured | Watched)]
    useless = sum(bool(each.useless) for each in made)
    if not useless:
        return 1.0, "Every check could tell something."
    return 1.0 - useless / len(made), f"{useless} of {len(made)} checks could tell nothing new."


def good_parts(bench: Bench, judged: Iterable[Judged]) -> list[str]:
    """Repairs of what was good that the findings did not speak for."""
    return [
        each.act.repair
        for each in judged
        if isinstance(each.act, Mended)
        and each.act.repair not in bench.scenario.repairs
        and not each.advised
    ]


def _parts(bench: Bench, judged: Iterable[Judged]) -> tuple[float, str]:
    good = good_parts(bench, judged)
    if not good:
        return 1.0, "Nothing good was replaced without reason."
    titles = [bench.diagnosis.knowledge.repairs[repair].title for repair in good]
    return 1.0 / (1 + len(good)), f"Good already: {'; '.join(titles)}."


def _proof(bench: Bench, judged: Sequence[Judged]) -> tuple[float, str]:
    if is_rightly_left(bench, judged):
        return 1.0, "Shut down and told: that is the proof here."
    if not bench.is_mended:
        return 0.0, "The furnace was not mended, so nothing is proved."
    last = max(n for n, act in enumerate(bench.acts) if isinstance(act, Mended))
    if not any(isinstance(act, Watched) and act.works for act in bench.acts[last:]):
        return 0.0, "No whole call was watched after the last repair."
    aspects = bench.diagnosis.knowledge.aspects
    left = [
        aspect.name.lower()
        for name, aspect in aspects.items()
        if aspect.by_hand and not bench.as_found(name)
    ]
    if left:
        return 0.5, f"A call was watched, but not put back: {', '.join(left)}."
    return 1.0, "A whole call was watched, with everything put back."


def _not_asked(bench: Bench) -> tuple[str, ...]:
    """Signs of danger that were not asked about before the first other act."""
    signs = [c.id for c in bench.diagnosis.checks.values() if c.entry.phase == "make-safe"]
    asked: set[str] = set()
    for act in bench.acts:
        if (
            not isinstance(act, Checked)
            or not bench.diagnosis.checks[act.answer.check].entry.reads.told
        ):
            break
        asked.add(act.answer.check)
    return tuple(sign for sign in signs if sign not in asked)
