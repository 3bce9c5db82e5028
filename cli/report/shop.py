"""The shop's page: findings in order, readings, suspects, parts, minutes, cautions, who."""

from __future__ import annotations

from collections.abc import Iterator

from lightoff.cli.report.document import (
    Block,
    Document,
    Fields,
    Paragraph,
    Warn,
    fields,
    items,
    section,
    table,
)
from lightoff.cli.report.facts import Facts, Tried
from lightoff.engine.reasoning.job import Noted, Proved, Started

HAPPENED = ("No.", "Time", "What", "Came of it")
PROVED = ("What", "Found", "Good", "Verdict")
VERDICTS = {"good": "good", "out": "not good", "not-done": "not done", "": ""}


def shop_page(facts: Facts) -> Document:
    """The page that stays in the shop."""
    return Document(
        f"Job {facts.past.number}",
        (
            _head(facts),
            *_doubts(facts),
            *section("What happened", table(HAPPENED, (6, 8, 46, 40), _course(facts))),
            *section("Proved", table(PROVED, (28, 28, 30, 14), map(_row, facts.tried))),
            *section("Suspects at the end", table(("Suspect", "Share"), (85, 15), facts.suspects)),
            *section("Parts fitted", items(facts.noted("part"))),
            *section("Read off the furnace", *_ratings(facts)),
            *section("Still to be put right", items(facts.open_items)),
            *section("To be done besides", items(facts.obligations)),
            *section("Told the customer", items(facts.noted("told"))),
            *section("Notes", items(facts.noted("note"))),
            *section("Cautions given", items(each.short for each in facts.cautions)),
        ),
    )


def _head(facts: Facts) -> Fields:
    job = facts.job
    minutes = facts.minutes
    licence = "no licence for gas" if job.licence == "none" else "licence for gas"
    return fields(
        ("Label", facts.label),
        ("Furnace", facts.furnace),
        ("Stands", facts.words.stands(job)),
        ("Why", job.reason),
        ("Done by", ", ".join(facts.noted("who"))),
        ("Person", "; without ".join([licence, *job.lacks])),
        ("Begun", facts.begun),
        ("Closed", facts.ended),
        ("At work", "" if minutes is None else f"{minutes:.0f} min, long pauses left out"),
        ("Journal", f"{facts.past.id}, version {job.version}"),
    )


def _doubts(facts: Facts) -> Iterator[Block]:
    if facts.past.notice:
        yield Warn("The journal is not whole", (facts.past.notice,))
    if not facts.pages.is_explained():
        yield Paragraph(
            "No suspect explains all findings as well as it should: an answer is wrong, or there "
            "is a second fault, or one that is not known here."
        )


def _course(facts: Facts) -> Iterator[tuple[str, ...]]:
    """What happened and still stands; what was proved and noted has its own place."""
    for moment in facts.standing:
        event = moment.event
        if isinstance(event, Started | Proved | Noted):
            continue
        pages = facts.pages
        came = [facts.words.answer(event), pages.change(moment)]
        clock = event.time[11:16]
        yield str(moment.number), clock, pages.question(moment), ". ".join(filter(None, came))


def _row(tried: Tried) -> tuple[str, ...]:
    return tried.title, tried.found, tried.good, VERDICTS[tried.verdict]


def _ratings(facts: Facts) -> Iterator[Block]:
    known = facts.pages.today.knowledge.ratings
    rows = [
        (known[name].ask if name in known else facts.words.not_known(name), figure)
        for name, figure in facts.job.ratings
    ]
    if rows:
        yield Fields(tuple(rows))
