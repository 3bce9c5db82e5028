"""How things stand after some acts: set-up, repairs, calls, the clock."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from lightoff.engine.entries.lists import AspectEntry
from lightoff.engine.model import Check
from lightoff.engine.teaching.practice.acts import (
    AnyAct,
    Checked,
    Hinted,
    Measured,
    Mended,
    SetUp,
    Watched,
)

CALLING: Mapping[str, str] = {"call": "running"}


@dataclass(frozen=True, slots=True)
class Standing:
    """Where an attempt stands."""

    setup: Mapping[str, str]
    mended: tuple[str, ...] = ()
    call: int = 0
    """Calls for heat begun besides the first."""
    fresh: bool = True
    """The present call was not watched yet."""
    minutes: float = 0.0
    hints: int = 0


def measuring(during: str) -> dict[str, str]:
    """The set-up that a reading of one's own brings about, in a step or at rest ("")."""
    return {"meter": "placed", **(CALLING if during else {})}


def by_itself_of(setup: Mapping[str, str], aspects: Mapping[str, AspectEntry]) -> dict[str, str]:
    """The part of a set-up that comes with the measuring, not by an act of its own."""
    return {name: state for name, state in setup.items() if not aspects[name].by_hand}


def standing_after(
    acts: Iterable[AnyAct], aspects: Mapping[str, AspectEntry], checks: Mapping[str, Check]
) -> Standing:
    """How things stand after acts, from arrival on; KeyError for an unknown check."""
    standing = Standing({name: aspect.start for name, aspect in aspects.items()})
    for act in acts:
        standing = _after(standing, act, aspects, checks)
    return standing


def _after(
    standing: Standing,
    act: AnyAct,
    aspects: Mapping[str, AspectEntry],
    checks: Mapping[str, Check],
) -> Standing:
    now = replace(standing, minutes=standing.minutes + act.minutes)
    match act:
        case SetUp(aspect=aspect, state=state):
            return _set(now, {aspect: state})
        case Checked(answer=answer):
            return _set(now, by_itself_of(checks[answer.check].setup, aspects))
        case Measured(during=during):
            return _set(now, by_itself_of(measuring(during), aspects))
        case Watched():
            called = _set(now, by_itself_of(CALLING, aspects))
            return replace(called, call=now.call + (not now.fresh), fresh=False)
        case Mended(repair=repair):
            return replace(now, mended=(*now.mended, repair), call=now.call + 1, fresh=True)
        case Hinted():
            return replace(now, hints=now.hints + 1)
        case _:
            return now


def _set(standing: Standing, changes: Mapping[str, str]) -> Standing:
    return replace(standing, setup={**standing.setup, **changes})
