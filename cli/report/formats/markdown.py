"""A report as Markdown (CommonMark, tables and strikethrough as in its GitHub flavour).

Every text is escaped: it is neither markup, nor HTML, nor a link.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from lightoff.cli.report.document import (
    Block,
    Document,
    Fields,
    Head,
    Items,
    Paragraph,
    Table,
    Warn,
)
from lightoff.cli.screen import clean

MARKUP = re.compile(r"[\\`*_\[\]<>&|~@$]")
"""Characters that begin markup, HTML, entities, cells or addresses anywhere in a line."""
LINK = re.compile(r"(?i)(?<=[a-z]):(?=//)|(?<=www)\.")
ENUMERATED = re.compile(r"^(\d+)([.)])(?=\s|$)")
BLOCK = re.compile(r"^(?=[#=:!]|[-+](?:[\s-]|$))")
"""Where a line would begin a block of its own."""


def written(documents: Sequence[Document]) -> bytes:
    """The pages one after the other."""
    return "\n\n---\n\n".join(map(_page, documents)).encode() + b"\n"


def escaped(text: str) -> str:
    """A text in one line that means nothing but itself."""
    line = clean(" ".join(text.split()))
    line = LINK.sub(lambda found: f"\\{found[0]}", MARKUP.sub(lambda found: f"\\{found[0]}", line))
    return BLOCK.sub(r"\\", ENUMERATED.sub(r"\1\\\2", line))


def _page(document: Document) -> str:
    return "\n\n".join([f"# {escaped(document.title)}", *map(_block, document.blocks)])


def _block(block: Block) -> str:
    match block:
        case Head(text=text):
            return f"## {escaped(text)}"
        case Paragraph(text=text):
            return escaped(text)
        case Warn(head=head, lines=lines):
            return "\n".join([f"> **{escaped(head)}**", *_quoted(lines)])
        case Items(lines=lines):
            return "\n".join(f"- {escaped(line)}" for line in lines)
        case Fields(rows=rows):
            return "\n".join(f"- **{escaped(name)}:** {escaped(text)}" for name, text in rows)
        case Table(heads=heads, rows=rows):
            ruled = ["---"] * len(heads)
            table = [map(escaped, heads), ruled, *(map(escaped, row) for row in rows)]
            return "\n".join(f"| {' | '.join(cells)} |" for cells in table)


def _quoted(lines: Sequence[str]) -> Iterator[str]:
    if lines:
        yield ">"
        yield from (f"> {number}. {escaped(line)}" for number, line in enumerate(lines, start=1))
