"""A report as one HTML file, to be read on a screen or printed; it runs and fetches nothing."""

from __future__ import annotations

from base64 import b64encode
from collections.abc import Iterable, Sequence
from hashlib import sha256
from html import escape
from importlib.resources import files

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

PAGE = """<!DOCTYPE html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta http-equiv="Content-Security-Policy" content="default-src 'none'; style-src 'sha256-{sum}'">
<title>{title}</title>
<style>{style}</style>
</head>
<body>
{body}
</body>
</html>
"""


def written(documents: Sequence[Document]) -> bytes:
    """The pages, each on a sheet of its own when printed."""
    style = files("lightoff.cli.report").joinpath("report.css").read_text(encoding="utf-8")
    body = "\n".join(f"<article>\n{_page(document)}\n</article>" for document in documents)
    checksum = b64encode(sha256(style.encode()).digest()).decode("ascii")
    title = " - ".join(document.title for document in documents)
    return PAGE.format(sum=checksum, title=_text(title), style=style, body=body).encode()


def _text(text: str) -> str:
    """A text as text, with what could turn or hide it made visible."""
    return escape(clean(" ".join(text.split())))


def _page(document: Document) -> str:
    return "\n".join([f"<h1>{_text(document.title)}</h1>", *map(_block, document.blocks)])


def _block(block: Block) -> str:
    match block:
        case Head(text=text):
            return f"<h2>{_text(text)}</h2>"
        case Paragraph(text=text):
            return f"<p>{_text(text)}</p>"
        case Warn(head=head, lines=lines):
            listed = f"<ol>{_each('li', lines)}</ol>" if lines else ""
            return f'<aside role="note"><strong>{_text(head)}</strong>{listed}</aside>'
        case Items(lines=lines):
            return f"<ul>{_each('li', lines)}</ul>"
        case Fields(rows=rows):
            pairs = (f"<dt>{_text(name)}</dt><dd>{_text(text)}</dd>" for name, text in rows)
            return f"<dl>{''.join(pairs)}</dl>"
        case Table(heads=heads, widths=widths, rows=rows):
            columns = "".join(f'<col width="{width}%">' for width in widths)
            body = "\n".join(f"<tr>{_each('td', row)}</tr>" for row in rows)
            return (
                f"<table><colgroup>{columns}</colgroup>"
                f"<thead><tr>{_each('th', heads)}</tr></thead>\n<tbody>\n{body}\n</tbody></table>"
            )


def _each(tag: str, texts: Iterable[str]) -> str:
    return "".join(f"<{tag}>{_text(text)}</{tag}>" for text in texts)
