"""The pocket page of one type of furnace: one file that needs no network.

What it may run is said in its own head by checksum: nothing else runs, and nothing is fetched.
"""

from __future__ import annotations

import json
from base64 import b64encode
from collections.abc import Iterator
from hashlib import sha256
from html import escape
from importlib.resources import files
from importlib.resources.abc import Traversable
from string import Template
from zlib import compress

from lightoff.cli.danger import STANDING_NOTE
from lightoff.cli.pocket.book import book_of
from lightoff.engine.reasoning.diagnosis import Diagnosis

HERE = files("lightoff.cli.pocket")

BEGIN = "begin().catch(cannotOpen);"
"""What runs once all is there."""


def page_of(diagnosis: Diagnosis, version: str) -> str:
    """The page for one type of furnace, as HTML."""
    book = json.dumps(book_of(diagnosis, version), ensure_ascii=False, separators=(",", ":"))
    script, style = script_of_page(), _text(HERE / "page.css")
    return Template(_text(HERE / "page.html")).substitute(
        policy=escape(_policy(script, style)),
        title=escape(diagnosis.furnace.entry.name),
        standing=escape(diagnosis.knowledge.cautions[STANDING_NOTE].short),
        style=style,
        book=b64encode(compress(book.encode(), 9)).decode("ascii"),
        script=script,
    )


def script_of_page() -> str:
    """All functions of the page in one scope, and the call that begins."""
    return "\n".join(['"use strict";', *map(_text, _scripts()), BEGIN])


def _scripts() -> Iterator[Traversable]:
    """In the order of their names: none runs anything before the last line."""
    found = (each for each in (HERE / "js").iterdir() if each.name.endswith(".js"))
    return iter(sorted(found, key=lambda each: each.name))


def _policy(script: str, style: str) -> str:
    """What the page may do: run this script, use this style, and nothing else."""
    return "; ".join(
        [
            "default-src 'none'",
            f"script-src {_checksum(script)}",
            f"style-src {_checksum(style)}",
            "base-uri 'none'",
            "form-action 'none'",
        ]
    )


def _checksum(text: str) -> str:
    return f"'sha256-{b64encode(sha256(text.encode()).digest()).decode('ascii')}'"


def _text(file: Traversable) -> str:
    return file.read_text(encoding="utf-8")
