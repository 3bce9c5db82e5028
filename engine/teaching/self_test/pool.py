"""All kinds of questions, and so many of them by chance."""

from __future__ import annotations

import random
from collections.abc import Mapping, Sequence

from lightoff.engine.model import Furnace, Knowledge
from lightoff.engine.teaching.self_test import burning, parts, readings, sequence
from lightoff.engine.teaching.self_test.question import Maker, Question, Source

KINDS: Mapping[str, Maker] = {
    "place": parts.by_place,
    "job": parts.by_job,
    "label": parts.by_label,
    "senses": parts.senses,
    "acts": parts.acts,
    "next": sequence.comes_next,
    "order": sequence.comes_first,
    "stalls": sequence.stalls,
    "meter": readings.meter,
    "explains": readings.explains,
    "venting": burning.fact,
    "products": burning.products,
    "water": burning.water,
}
"""Kind -> what makes a question of it. A new kind is one more entry."""
PATIENCE = 30
"""Times in a row that nothing new may come of making, before there are enough."""


def questions(
    knowledge: Knowledge, furnace: Furnace, number: int, seed: int, kinds: Sequence[str] = ()
) -> list[Question]:
    """So many questions that differ, of all kinds in turn; fewer if there are no more.

    KeyError for an unknown kind. The same seed gives the same questions.
    """
    source = Source(knowledge, furnace, random.Random(seed))
    makers = [KINDS[kind] for kind in (kinds or KINDS)]
    source.chance.shuffle(makers)
    found: dict[str, Question] = {}
    at, idle = 0, 0
    while len(found) < number and idle < PATIENCE * len(makers):
        question = makers[at % len(makers)](source)
        at += 1
        key = "" if question is None else f"{question.ask} {question.choices[question.right]}"
        if question is None or key in found:
            idle += 1
            continue
        found[key], idle = question, 0
    return list(found.values())
