"""Signs to stop work at, and safety texts by hazard."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass

from lightoff.engine.entries.lists import CautionEntry

STOP_WORK = (
    "smell-of-gas",
    "co-alarm",
    "wet-or-scorched-controls",
    "roll-out-marks",
    "cracked-exchanger",
    "bypassed-safety",
)
"""Cautions that end the work, the most urgent first."""

STANDING_NOTE = "standing-note"

LOOK_FIRST = "Look, smell and listen first. Then type the number of what you find, or n for none."


@dataclass(frozen=True, slots=True)
class Caution:
    """A safety text: all of it the first time, one line later."""

    title: str
    lines: tuple[str, ...]


def cautions_of(
    cautions: Mapping[str, CautionEntry], hazards: Sequence[str], told: Collection[str]
) -> tuple[Caution, ...]:
    """The cautions of some hazards; short for those told in full before."""
    entries = [cautions[hazard] for hazard in hazards]
    return tuple(
        Caution("", (entry.short,)) if entry.id in told else full_caution(entry)
        for entry in entries
    )


def full_caution(entry: CautionEntry) -> Caution:
    """A caution with all of its text."""
    return Caution(entry.title, tuple(entry.text))


def read_signs(entered: str, signs: tuple[str, ...]) -> tuple[str, ...]:
    """The signs that a person named by number, or all for "yes"; none if not understood."""
    words = entered.lower().replace(",", " ").split()
    if words and words[0] in ("y", "yes"):
        return signs
    numbers = {str(number): sign for number, sign in enumerate(signs, start=1)}
    if not words or not all(word in numbers for word in words):
        return ()
    return tuple(sign for number, sign in numbers.items() if number in words)


def signs_in_words(cautions: Mapping[str, CautionEntry], signs: tuple[str, ...]) -> tuple[str, ...]:
    """The titles of cautions that stop work, without the word stop."""
    return tuple(cautions[sign].title.partition(":")[0] for sign in signs)


def what_to_do(cautions: Mapping[str, CautionEntry], signs: tuple[str, ...]) -> tuple[Caution, ...]:
    """What to do about some signs, the most urgent first."""
    return tuple(full_caution(cautions[sign]) for sign in signs)
