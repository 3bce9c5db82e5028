"""Questions from the pages of the parts: place, job, label, what it senses and does."""

from __future__ import annotations

from collections.abc import Sequence

from lightoff.engine.entries.parts import PartEntry
from lightoff.engine.teaching.self_test.question import Question, Source


def by_place(source: Source) -> Question | None:
    """The part by where it sits."""
    part, others = _drawn(source)
    if _names_it(part, part.sits):
        return None
    names = [each.name for each in others if each.sits != part.sits]
    why = f"{part.name}. {part.does}"
    return source.put("place", f"What sits here? {part.sits}", part.name, names, why, part.id)


def by_job(source: Source) -> Question | None:
    """The part by what it does."""
    part, others = _drawn(source)
    if _names_it(part, part.does):
        return None
    names = [each.name for each in others if each.does != part.does]
    why = f"{part.name}. {part.acts}"
    return source.put("job", f"Which part does this? {part.does}", part.name, names, why, part.id)


def by_label(source: Source) -> Question | None:
    """The part by its label on the wiring diagram."""
    part, others = _drawn(source)
    if not part.labels.usual:
        return None
    label = source.chance.choice(list(part.labels.usual))
    names = [each.name for each in others if label not in each.labels.usual]
    ask = f"A wiring diagram says {label}. Which part is it most likely?"
    why = f"{', '.join(part.labels.usual)}. Mistaken for: {part.labels.mistaken_for}"
    return source.put("label", ask, part.name, names, why, part.id)


def senses(source: Source) -> Question | None:
    """What a part feels of the world; most feel nothing, and that is no question."""
    feeling = [each for each in _entries(source) if not each.senses.startswith("Nothing")]
    part = source.chance.choice([each for each in feeling if not _names_it(each, each.senses)])
    texts = [each.senses for each in feeling if not _names_it(part, each.senses)]
    ask = f"{part.name}: what does it sense?"
    return source.put("senses", ask, part.senses, texts, part.acts, part.id)


def acts(source: Source) -> Question | None:
    """What follows when a part acts or fails."""
    part, others = _drawn(source)
    texts = [each.acts for each in others if each.acts != part.acts]
    ask = f"{part.name}: what happens when it acts, or is out of order?"
    return source.put("acts", ask, part.acts, texts, part.does, part.id)


def _entries(source: Source) -> list[PartEntry]:
    return [part.entry for part in source.furnace.parts.values()]


def _drawn(source: Source) -> tuple[PartEntry, Sequence[PartEntry]]:
    """A part, and others: those of its own area as far as they reach."""
    every = _entries(source)
    part = source.chance.choice(every)
    near = [each for each in every if each.area == part.area and each.id != part.id]
    return part, near if len(near) >= 3 else [each for each in every if each.id != part.id]


def _names_it(part: PartEntry, text: str) -> bool:
    """Whether a text gives the name of the part away."""
    said = text.lower()
    return any(word in said for word in part.name.lower().split() if len(word) > 3)
