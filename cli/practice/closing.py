"""How an attempt is closed: in which state, what is blamed, and in what words."""

from __future__ import annotations

from collections.abc import Sequence

from lightoff.cli import screen
from lightoff.cli.practice import screens
from lightoff.cli.prompts import ask, now
from lightoff.engine.model import Knowledge
from lightoff.engine.reasoning.search import stem, words_of
from lightoff.engine.teaching.practice.acts import Ended, Ending

HOWS: tuple[tuple[Ending, str], ...] = (
    ("mended", "It is mended, and I have seen it run."),
    ("made-safe", "It is shut down and tagged: it must not run."),
    ("nothing-wrong", "Nothing is wrong with it."),
    ("given-up", "I hand the job on."),
)
MOST_REPAIRS = 9
"""Repairs offered at most for some words."""


def closing(knowledge: Knowledge, mended: Sequence[str]) -> Ended | None:
    """Ask for the person's own diagnosis; None to go back to the work."""
    screens.offered("How do you leave it? Type a number.", [words for _, words in HOWS])
    chosen = screens.number_of(ask(), len(HOWS))
    if chosen is None:
        return None
    how = HOWS[chosen][0]
    blamed = () if how == "nothing-wrong" else _blamed(knowledge, mended)
    if blamed is None:
        return None
    screen.say("What was it, in your own words? (Enter for nothing)")
    return Ended(time=now(), how=how, blamed=blamed, words=ask())


def _blamed(knowledge: Knowledge, mended: Sequence[str]) -> tuple[str, ...] | None:
    """What is blamed: the repairs that name it; None to go back to the work."""
    titles = "; ".join(knowledge.repairs[each].title for each in mended)
    usual = f"Enter for what you mended: {titles}." if titles else "Enter for none."
    screen.say(f"What was to blame? Name the repair; a comma between two. {usual}")
    said = ask()
    if not said:
        return tuple(mended)
    blamed: list[str] = []
    for words in said.split(","):
        repair = _one(knowledge, words.strip())
        if repair is None:
            return None
        blamed.append(repair)
    return tuple(dict.fromkeys(blamed))


def _one(knowledge: Knowledge, words: str) -> str | None:
    """The repair that some words mean, chosen by number if several do."""
    hits = repairs_by_words(knowledge, words)
    if not hits:
        screen.say(f"Nothing is called {words}.", "warn")
        return None
    while len(hits) > 1:
        screens.offered("Which? Type a number.", [knowledge.repairs[each].title for each in hits])
        chosen = ask()
        if not chosen:
            return None
        number = screens.number_of(chosen, len(hits))
        if number is not None:
            return hits[number]
    return hits[0]


def repairs_by_words(knowledge: Knowledge, words: str) -> list[str]:
    """The repairs that some words mean, best first; none for no words."""
    if words in knowledge.repairs:
        return [words]
    wanted = {stem(word) for word in words_of(words)}
    scores = {
        id_: len(wanted & {stem(word) for word in words_of(_called(id_, each.title))})
        for id_, each in knowledge.repairs.items()
    }
    best = max(scores.values(), default=0)
    return [id_ for id_, score in scores.items() if score == best and best][:MOST_REPAIRS]


def _called(repair: str, title: str) -> str:
    return f"{repair.replace('-', ' ')} {title}"
