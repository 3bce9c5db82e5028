"""Checks by everyday words: what a person may mean by some words, best first."""

from __future__ import annotations

import difflib
from collections.abc import Iterable, Mapping
from math import log

import numpy as np

from lightoff.engine.model import Check

NEAR = 0.84
"""Likeness from which a word counts as a misspelling of another."""
WEIGHTS: Mapping[str, float] = {"words": 3.0, "id": 3.0, "ask": 2.0, "outcomes": 1.0}
"""How much a word counts by where it stands in a check."""
COMMON = frozenset(
    [
        "a",
        "all",
        "an",
        "and",
        "any",
        "are",
        "at",
        "be",
        "by",
        "can",
        "do",
        "does",
        "for",
        "from",
        "has",
        "have",
        "how",
        "i",
        "if",
        "in",
        "is",
        "it",
        "its",
        "long",
        "many",
        "much",
        "no",
        "not",
        "of",
        "on",
        "or",
        "out",
        "so",
        "that",
        "the",
        "then",
        "there",
        "they",
        "this",
        "to",
        "up",
        "was",
        "what",
        "when",
        "where",
        "which",
        "with",
        "you",
        "your",
    ]
)
"""Words that tell nothing."""


def search(checks: Iterable[Check], text: str, most: int = 6) -> list[Check]:
    """The checks that a person may mean by some words, best first."""
    checks = list(checks)
    places = [_stems_of(check) for check in checks]
    wanted = [stem(word) for word in words_of(text)]
    scores = np.zeros(len(checks))
    for word in wanted:
        found = np.array([_score(word, stems) for stems in places])
        matching = int(np.count_nonzero(found))
        if matching:
            scores += found * log(1.0 + len(checks) / matching)
    best = np.argsort(-scores, kind="stable")[:most]
    return [checks[index] for index in best if scores[index] > scores[best[0]] / 3]


def words_of(text: str) -> list[str]:
    """The telling words of a text, in lower case."""
    plain = "".join(each if each.isalnum() else " " for each in text.lower())
    return [word for word in plain.split() if word not in COMMON]


def stem(word: str) -> str:
    """A word without the endings of number and tense."""
    for ending in ("ing", "ed", "es", "s"):
        if word.endswith(ending) and len(word) - len(ending) >= 3:
            return word.removesuffix(ending).rstrip("e")
    return word.rstrip("e") if len(word) > 3 else word


def _stems_of(check: Check) -> dict[str, float]:
    """Stem -> how much it counts."""
    texts = {
        "outcomes": " ".join(f"{each.id} {each.text}" for each in check.outcomes),
        "ask": check.entry.ask,
        "id": check.id,
        "words": " ".join(check.entry.words),
    }
    return {stem(word): WEIGHTS[place] for place, text in texts.items() for word in words_of(text)}


def _score(word: str, stems: Mapping[str, float]) -> float:
    if word in stems:
        return stems[word]
    near = difflib.get_close_matches(word, stems, n=1, cutoff=NEAR) if len(word) > 3 else []
    return 0.5 * stems[near[0]] if near else 0.0
