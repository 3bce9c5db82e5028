"""What a report can be written as: one module each, and its entry here."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from importlib import import_module

from lightoff.cli.report.document import Document

MODULES = {
    ".md": "markdown",
    ".html": "html",
    ".pdf": "pdf",
}
"""Ending of a file -> the module that writes it; each has `written(documents) -> bytes`."""


def writer_of(ending: str) -> Callable[[Sequence[Document]], bytes]:
    """What writes files of an ending; KeyError for one that is none of them."""
    module = import_module(f"{__name__}.{MODULES[ending]}")
    writer: Callable[[Sequence[Document]], bytes] = module.written
    return writer
