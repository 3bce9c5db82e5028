"""The customer's page: what was wrong, what was done, what to watch, in plain words."""

from __future__ import annotations

from collections.abc import Iterator

from lightoff.cli.danger import STANDING_NOTE
from lightoff.cli.report.document import (
    Block,
    Document,
    Paragraph,
    Warn,
    fields,
    items,
    section,
)
from lightoff.cli.report.facts import Facts
from lightoff.cli.wording import capital

WATCH = ("smell-of-gas", "co-alarm")
"""What everybody in the house must know what to do about."""

OFF = (
    "Do not use it and do not turn it on.",
    "It is put back into use by somebody qualified, once what is wrong is mended and proved.",
)


def customer_page(facts: Facts) -> Document:
    """The page that stays with the customer."""
    purpose = "Yearly visit" if facts.job.purpose == "yearly" else "Work on your furnace"
    return Document(
        purpose,
        (
            fields(
                ("Furnace", facts.label or facts.furnace),
                ("Date", facts.begun[:10]),
                ("Done by", ", ".join(facts.noted("who"))),
            ),
            *_state(facts),
            *section("What was wrong", *map(Paragraph, _wrong(facts))),
            *section("What was done", items(_done(facts))),
            *section("Tried afterwards, and good", items(_good(facts))),
            *section("Not good, or not tried", items(_not_good(facts))),
            *section("Still to be put right", items(facts.open_items)),
            *section("What you were told", items(facts.noted("told"))),
            *section("What to watch", *_watch(facts)),
            *_standing_note(facts),
        ),
    )


def _state(facts: Facts) -> Iterator[Block]:
    """How the furnace was left."""
    job = facts.job
    why = (f"Why: {job.reason}",) if job.reason else ()
    stopped = [caution for sign in job.stopped if (caution := facts.caution(sign)) is not None]
    if stopped:
        for caution in stopped:
            yield Warn(f"The work was stopped. {caution.title}", tuple(caution.text))
    elif job.proof == "tagged":
        yield Warn("The furnace is shut down and tagged", (*OFF, *why))
    elif job.proof == "unproven":
        yield Warn("Not all of it could be proved", why)
    elif job.closed is None:
        yield Warn("The work is not finished")
    elif job.proof == "proven":
        yield Paragraph("The furnace runs. What was done was tried and is good.")
    elif job.closed == "found":
        yield Warn("Mended, with no proof on record", ())
    elif job.closed == "nothing":
        yield Paragraph("The furnace ran, and no fault was found.")
    else:
        yield Paragraph("The furnace was left as it was found.")


def _wrong(facts: Facts) -> Iterator[str]:
    cause = facts.cause
    if cause is not None:
        yield f"{cause[0]}. {cause[1]}"
    elif facts.job.closed == "nothing":
        yield (
            "It may come and go. If it fails again, note the time, the weather and what you hear "
            "and see, and call before you switch it off and on."
        )


def _done(facts: Facts) -> Iterator[str]:
    for repair in facts.in_vain:
        yield f"{repair}. That alone did not help."
    if facts.repair:
        yield f"{facts.words.repair(facts.repair)}."
    for part in facts.noted("part"):
        yield f"Fitted: {part}"


def _good(facts: Facts) -> Iterator[str]:
    return (each.title for each in facts.tried if each.verdict == "good")


def _not_good(facts: Facts) -> Iterator[str]:
    tried = (each for each in facts.tried if each.verdict != "good")
    return (f"{each.title}: {each.found}" for each in tried)


def _watch(facts: Facts) -> Iterator[Block]:
    known = (facts.caution(sign) for sign in WATCH)
    for caution in known:
        if caution is not None:
            yield Warn(caution.title.partition(":")[0], tuple(caution.text))


def _standing_note(facts: Facts) -> Iterator[Block]:
    caution = facts.caution(STANDING_NOTE)
    if caution is not None:
        yield Paragraph(capital(caution.short))
