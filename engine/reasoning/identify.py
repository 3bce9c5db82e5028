"""Which type of furnace it is: questions about what can be seen, until one type is left."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from lightoff.engine.entries.furnaces import FeatureEntry
from lightoff.engine.library.identifying import GAS
from lightoff.engine.model import Furnace

Seen = Iterable[tuple[str, str | None]]
"""Features looked at, with their values; None for "don't know"."""


@dataclass(frozen=True, slots=True)
class LookFor:
    """A feature to look at next, among so many types."""

    feature: FeatureEntry
    left: int


@dataclass(frozen=True, slots=True)
class Confirm:
    """One type is left: it is to be confirmed by what is seen of it."""

    furnace: Furnace


@dataclass(frozen=True, slots=True)
class ChooseAmong:
    """No feature tells these types apart; `contradicted` if what was seen fits none of all."""

    furnaces: tuple[Furnace, ...]
    contradicted: bool = False


Identification = LookFor | Confirm | ChooseAmong


def identify(
    furnaces: Sequence[Furnace], features: Mapping[str, FeatureEntry], seen: Seen
) -> Identification:
    """What to look at next; ValueError if there is no furnace at all."""
    if not furnaces:
        raise ValueError("there is no furnace to tell from others")
    looked = dict(seen)
    left = agreeing(furnaces, looked)
    if not left:
        return ChooseAmong(tuple(furnaces), contradicted=True)
    if len(left) == 1:
        return Confirm(left[0])
    feature = best_feature(left, [each for each in features.values() if each.id not in looked])
    return ChooseAmong(left) if feature is None else LookFor(feature, len(left))


def agreeing(furnaces: Iterable[Furnace], seen: Mapping[str, str | None]) -> tuple[Furnace, ...]:
    """The types that nothing seen speaks against."""
    return tuple(
        furnace
        for furnace in furnaces
        if all(
            value_of(furnace, feature) in (None, value) for feature, value in seen.items() if value
        )
    )


def value_of(furnace: Furnace, feature: str) -> str | None:
    """The value of a feature on a type; None if it may be anything."""
    return furnace.entry.gas if feature == GAS else furnace.entry.features.get(feature)


def best_feature(
    furnaces: Sequence[Furnace], features: Sequence[FeatureEntry]
) -> FeatureEntry | None:
    """The feature that leaves the fewest types, however it turns out; None if none helps."""
    left = {each.id: expected_left(furnaces, each.id) for each in features}
    helping = [each for each in features if left[each.id] < len(furnaces)]
    return min(helping, key=lambda each: left[each.id], default=None)


def expected_left(furnaces: Sequence[Furnace], feature: str) -> float:
    """How many types are left on average, if each is as likely, once a feature is seen."""
    values = Counter(value_of(furnace, feature) for furnace in furnaces)
    anything = values.pop(None, 0)
    known = sum(values.values())
    if not known:
        return float(len(furnaces))
    return sum(count * (count + anything) for count in values.values()) / known
