"""What is to be proved as a list to read, to print, or for JSON."""

from __future__ import annotations

from typing import Any

from lightoff.cli.lines import Line, Lines
from lightoff.cli.proof_views import expected_in_words, good_in_words
from lightoff.cli.wording import minutes_in_words
from lightoff.engine.service.proving import Item


def item_data(item: Item) -> dict[str, Any]:
    """One thing of the list for JSON; its limits and what is expected in SI units."""
    low, high = item.limits
    return {
        "id": item.id,
        "title": item.proof.title,
        "check": item.check.id,
        "ask": item.check.entry.ask,
        "how": item.check.entry.how,
        "safety": item.proof.safety,
        "good": [each.id for each in item.outcomes],
        "dimension": item.check.dimension or None,
        "low": low,
        "high": high,
        "expected": item.expected,
        "out": item.proof.out,
        "hazards": item.check.entry.hazards,
        "tools": item.check.entry.tools,
        "minutes": item.check.entry.minutes,
    }


def item_lines(number: int, item: Item, with_how: bool = True) -> Lines:
    """One thing of the list: what it is, how it is done, what is good."""
    entry = item.check.entry
    expected = expected_in_words(item)
    aside = f"; a sound one reads about {expected}" if expected else ""
    how = [Line(entry.ask, indent=4), *(Line(f"- {each}", "", 4, 2) for each in entry.how)]
    minutes = f" ({minutes_in_words(entry.minutes)})" if with_how else ""
    return [
        Line(f"{number:>2}  {item.proof.title}{minutes}", "name"),
        *(how if with_how else []),
        Line(f"Good: {good_in_words(item)}{aside}.", indent=4, hang=2),
    ]
