"""What an apprentice does in an attempt; an attempt is the list of its acts.

Every act holds what it was answered and the minutes it took, so that an attempt can be
read again without the furnace.
"""

from __future__ import annotations

from typing import Literal

import msgspec

from lightoff.engine.reasoning.job import Quantity

Ending = Literal["mended", "made-safe", "nothing-wrong", "given-up"]
"""How an apprentice closes: mended, shut down and tagged, nothing found, or handed on."""


class Act(
    msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, omit_defaults=True
):
    """Something done, at `time` (ISO 8601, given by the caller), in `minutes` of the trade."""

    time: str
    minutes: float = 0.0


class SetUp(Act, frozen=True, kw_only=True, tag="set-up"):
    """An aspect of the set-up was brought to a state by hand."""

    aspect: str
    state: str


class Answer(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A check with its outcome, and what was shown; outcome None for "nobody knows"."""

    check: str
    outcome: str | None
    shown: str


class Checked(Act, frozen=True, kw_only=True, tag="checked"):
    """A check was made. Where the set-up did not fit, `misfit` names the aspect."""

    answer: Answer
    misfit: str = ""


class Measured(Act, frozen=True, kw_only=True, tag="measured"):
    """Two points, or a part, were measured as no check does; None where it was not reached."""

    quantity: Quantity
    places: tuple[str, ...]
    during: str
    value: float | None
    shown: str
    misfit: str = ""


class Watched(Act, frozen=True, kw_only=True, tag="watched"):
    """A call for heat was run and watched to its end."""

    works: bool
    answers: tuple[Answer, ...] = ()


class Hinted(Act, frozen=True, kw_only=True, tag="hinted"):
    """The next hint was asked for."""

    number: int


class Mended(Act, frozen=True, kw_only=True, tag="mended"):
    """A repair was done."""

    repair: str


class Unsafe(Act, frozen=True, kw_only=True, tag="unsafe"):
    """Something dangerous was about to be done, and was called before it happened."""

    doing: str
    """Check, repair or reading that was wanted."""
    why: str
    """Aspect of the set-up that was not safe, or the caution that had ended the work."""


class Ended(Act, frozen=True, kw_only=True, tag="ended"):
    """The attempt was closed with the person's own diagnosis."""

    how: Ending
    blamed: tuple[str, ...] = ()
    """Repairs that name what was to blame."""
    words: str = ""


AnyAct = SetUp | Checked | Measured | Watched | Hinted | Mended | Unsafe | Ended
