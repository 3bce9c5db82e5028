"""What a person looks up at a prompt, as plain facts in words: why, rules, keys."""

from __future__ import annotations

from dataclasses import dataclass

from lightoff.cli.wording import (
    MATTERS,
    TABLE,
    Suspects,
    capital,
    minutes_in_words,
    percent,
    repair_title,
    suspect_name,
)
from lightoff.engine.reasoning.belief import Belief
from lightoff.engine.reasoning.diagnosis import Diagnosis
from lightoff.engine.reasoning.explain import WhyCheck, why_check
from lightoff.engine.reasoning.job import JobState
from lightoff.engine.reasoning.suspects import Suspect, suspects_of


@dataclass(frozen=True, slots=True)
class After:
    """What one outcome would leave: its chance, and the likeliest repairs then."""

    outcome: str
    chance: float
    repairs: tuple[tuple[str, float], ...]


@dataclass(frozen=True, slots=True)
class Why:
    """Why this check: its minutes, the share of doubt it settles, what it may leave.

    `repair_now` and `repair_after` are the expected minutes of repairing by the best
    guess, now and after the check. `wanted` is why a rule wants it, "" if none does.
    """

    minutes: float
    gain: float
    repair_now: float
    repair_after: float
    outcomes: tuple[After, ...]
    wanted: str = ""


@dataclass(frozen=True, slots=True)
class Listing:
    """A head and what stands under it."""

    head: str
    rows: tuple[str, ...]


Aside = Suspects | Why | Listing


def why(diagnosis: Diagnosis, belief: Belief, state: JobState, check: str, wanted: str = "") -> Why:
    """What a check is for, at this point of a job."""
    told = why_check(belief, diagnosis.costs, check, diagnosis.setup_now(state))
    return Why(
        minutes=told.minutes,
        gain=told.gain,
        repair_now=told.repair_now,
        repair_after=told.repair_after,
        outcomes=_after_outcomes(diagnosis, told),
        wanted=wanted,
    )


def _after_outcomes(diagnosis: Diagnosis, told: WhyCheck) -> tuple[After, ...]:
    texts = {outcome.id: outcome.text for outcome in diagnosis.checks[told.check].outcomes}
    return tuple(
        After(
            capital(texts[each.outcome]),
            each.chance,
            tuple((repair_title(diagnosis.knowledge, id_), share) for id_, share in each.leading),
        )
        for each in told.outcomes
        if each.chance >= MATTERS
    )


def why_in_a_line(why: Why) -> str:
    """For scripts: the same in one sentence."""
    return (
        f"It takes {minutes_in_words(why.minutes)} and is expected to tell apart "
        f"{percent(why.gain)} of the pairs of suspects that need different repairs."
    )


def named_suspect(diagnosis: Diagnosis, belief: Belief, words: str) -> Suspect | None:
    """The suspect of a number in the table, or the likeliest that has all the words."""
    suspects = suspects_of(belief)
    if words.isascii() and words.isdecimal():
        index = int(words[:4]) - 1
        return suspects[index] if 0 <= index < min(len(suspects), TABLE) else None
    wanted = words.lower().replace("-", " ").split()
    named = ((each, _named(diagnosis, each)) for each in suspects)
    return next((each for each, name in named if all(word in name for word in wanted)), None)


def _named(diagnosis: Diagnosis, suspect: Suspect) -> str:
    parts = " ".join(diagnosis.furnace.parts[part].entry.name for part in suspect.parts)
    return f"{suspect.id.replace('-', ' ')} {parts} {suspect_name(diagnosis, suspect)}".lower()
