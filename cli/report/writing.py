"""Reports on their way out: which pages, in which format, into which file."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import Any

import click
import msgspec

from lightoff.cli.past_jobs import Past
from lightoff.cli.report.customer import customer_page
from lightoff.cli.report.document import Document
from lightoff.cli.report.facts import Facts
from lightoff.cli.report.formats import MODULES, writer_of
from lightoff.cli.report.shop import shop_page
from lightoff.cli.scenario.files import write_over

PAGES: Mapping[str, Callable[[Facts], Document]] = {"customer": customer_page, "shop": shop_page}
BOTH = "both"


def pages_of(past: Past, wanted: str) -> tuple[Document, ...]:
    """The pages of a report: one of them, or both."""
    facts = Facts(past)
    names = PAGES if wanted == BOTH else [wanted]
    return tuple(PAGES[name](facts) for name in names)


def data(past: Past, documents: Sequence[Document]) -> dict[str, Any]:
    """The pages for JSON: each block with its kind."""
    return {
        "id": past.id,
        "pages": [
            {
                "title": document.title,
                "blocks": [
                    {"kind": type(block).__name__.lower(), **msgspec.to_builtins(block)}
                    for block in document.blocks
                ],
            }
            for document in documents
        ],
    }


def check_place(file: Path, overwrite: bool) -> None:
    """Whether a report can be put there; click's UsageError if not."""
    if file.suffix.lower() not in MODULES:
        endings = " or ".join(MODULES)
        raise click.UsageError(f"{file}: a report is written as {endings}; end its name so")
    if file.exists() and not overwrite:
        raise click.UsageError(f"{file} is there already; --overwrite replaces it")


def write(file: Path, documents: Sequence[Document]) -> None:
    """All of a report on disk, or the file as it was."""
    content = writer_of(file.suffix.lower())(documents)
    try:
        write_over(file, content)
    except OSError as error:
        raise click.ClickException(f"{file} cannot be written: {error.strerror}") from None


def text(documents: Sequence[Document]) -> str:
    """A report to be shown: Markdown."""
    return writer_of(".md")(documents).decode()
