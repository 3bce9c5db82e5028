"""Effects of rules: one kind each, everything they name known, factors that make sense."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from lightoff.engine.entries.rules import EffectEntry
from lightoff.engine.library.files import check_id
from lightoff.engine.library.known import Known
from lightoff.engine.library.report import Spot

RULED_OUT = 0.001
"""Factor on the odds of what a rule rules out: no rule is above every doubt."""

KINDS = (
    "stop",
    "caution",
    "ask",
    "hold-back",
    "weigh",
    "rule-out",
    "derive",
    "oblige",
    "leave-open",
)


def check_effect(entry: EffectEntry, known: Known, spot: Spot) -> None:
    """Note the mistakes of an effect."""
    kinds = [kind for kind in KINDS if names_of(entry, kind) is not None]
    if len(kinds) != 1:
        spot.wrong(f"an effect is of one kind, not {len(kinds)}", f"give one of {', '.join(KINDS)}")
        return
    kind, here = kinds[0], spot.at(kinds[0])
    names = names_of(entry, kind) or []
    if not names or not all(name.strip() for name in names):
        here.wrong(f"`{kind}` has nothing to say", "fill it in, or take the effect out")
        return
    _check_names(kind, names, known, here)
    _check_factor(entry, kind, spot)


def names_of(entry: EffectEntry, kind: str) -> list[str] | None:
    """What stands under a kind of effect, as a list; None if nothing does."""
    given = getattr(entry, kind.replace("-", "_"))
    return [given] if isinstance(given, str) else given


def weighs_of(effects: Iterable[EffectEntry]) -> Iterator[tuple[str, float]]:
    """(part or PART.FAULT, factor on its odds) of all that effects weigh or rule out."""
    for effect in effects:
        for target in names_of(effect, "weigh") or []:
            yield target, effect.by if effect.by is not None else 1.0
        for target in names_of(effect, "rule-out") or []:
            yield target, RULED_OUT


def _check_names(kind: str, names: list[str], known: Known, spot: Spot) -> None:
    if kind in ("stop", "caution"):
        known.references.cautions(names, spot)
    for name in names:
        if kind in ("ask", "hold-back"):
            known.check(name, spot)
        elif kind in ("weigh", "rule-out"):
            known.suspect(name, spot)
        elif kind == "derive":
            check_id(spot, name)
    for name in sorted({name for name in names if names.count(name) > 1}):
        spot.wrong(f"{name} stands here twice", "keep it once")


def _check_factor(entry: EffectEntry, kind: str, spot: Spot) -> None:
    if kind != "weigh":
        if entry.by is not None:
            spot.at("by").wrong(f"`by` says nothing of `{kind}`", "take it out")
    elif entry.by is None:
        spot.wrong("`weigh` does not say by what", "add `by: 3` for three times the odds")
    elif not 0.0 < entry.by < float("inf"):
        spot.at("by").wrong(f"{entry.by:g} is no factor", "give one above 0, below 1 to lower")
    elif entry.by == 1.0:
        spot.at("by").wrong("a factor of 1 weighs nothing", "give another, or take it out")
