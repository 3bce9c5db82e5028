"""A page as it is meant, whatever it is written as: heads, paragraphs, lists, tables.

Texts are plain: whoever writes a format takes care that none of them is markup there.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

Rows = tuple[tuple[str, ...], ...]


@dataclass(frozen=True, slots=True)
class Head:
    """The head of a section."""

    text: str


@dataclass(frozen=True, slots=True)
class Paragraph:
    """Some sentences."""

    text: str


@dataclass(frozen=True, slots=True)
class Warn:
    """What must not be overlooked: a head, and what to do in order."""

    head: str
    lines: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Items:
    """A list."""

    lines: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Fields:
    """What something is called, and what it is."""

    rows: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Table:
    """Rows under heads; `widths` are shares of the width of the page."""

    heads: tuple[str, ...]
    widths: tuple[int, ...]
    rows: Rows


Block = Head | Paragraph | Warn | Items | Fields | Table


@dataclass(frozen=True, slots=True)
class Document:
    """A page with its title."""

    title: str
    blocks: tuple[Block, ...]


def section(head: str, *blocks: Block | None) -> tuple[Block, ...]:
    """Blocks under a head; nothing at all where there are none."""
    kept = tuple(block for block in blocks if block is not None)
    return (Head(head), *kept) if kept else ()


def items(lines: Iterable[str]) -> Items | None:
    """A list of lines, each once; None where there are none."""
    kept = tuple(dict.fromkeys(lines))
    return Items(kept) if kept else None


def table(
    heads: tuple[str, ...], widths: tuple[int, ...], rows: Iterable[tuple[str, ...]]
) -> Table | None:
    """A table; None without rows."""
    kept = tuple(rows)
    return Table(heads, widths, kept) if kept else None


def fields(*rows: tuple[str, str]) -> Fields:
    """Those fields that say something."""
    return Fields(tuple((name, text) for name, text in rows if text))
