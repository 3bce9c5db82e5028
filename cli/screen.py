"""The output edge: everything shown passes through here.

Whatever comes from a file or a person is cleaned and put into `Text`, never read as
markup. rich is imported only when something is drawn.
"""

from __future__ import annotations

import codecs
import json
import math
import os
import shutil
import sys
import unicodedata
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import TYPE_CHECKING, Any, TextIO

if TYPE_CHECKING:
    from rich.console import Console
    from rich.text import Text

STYLES = {
    "head": "bold",
    "name": "cyan",
    "good": "green",
    "bad": "bold red",
    "warn": "yellow",
    "note": "dim",
    "next": "bold",
    "bar": "green",
}
"""The palette. A style only underlines what the words already say."""

WIDEST = 100
"""Columns used at most; longer lines read badly."""

LABEL = 12
"""Columns of the label of a field."""

DIGITS = 6
"""Significant digits of a figure in JSON."""

_LINE = "\u2028\u2029"
_HIDDEN_CATEGORIES = ("Cc", "Cf", "Cs", "Co", "Cn")

_ASCII = str.maketrans(
    {
        "\u00b5": "u",  # micro sign
        "\u03bc": "u",  # Greek mu
        "\u03a9": "ohm",
        "\u2126": "ohm",
        "\u00b0": "",  # degree sign
        "\u2013": "-",
        "\u2014": "-",
        "\u2026": "...",
        "\u2018": "'",
        "\u2019": "'",
        "\u201c": '"',
        "\u201d": '"',
        "\u00d7": "x",
        "\u2588": "#",  # full block
        "\u2592": "+",  # medium shade
        "\u2500": "-",
        "\u2502": "|",
        "\u2191": "^",
        "\u2192": ">",
        "\u2022": "*",
        "\u00b7": ".",
    }
)


def clean(text: str) -> str:
    r"""The text with everything that could steer a terminal made visible, as \x1b or \u202e."""
    return "".join(_visible(character) if _hidden(character) else character for character in text)


def _hidden(character: str) -> bool:
    return character in _LINE or unicodedata.category(character) in _HIDDEN_CATEGORIES


def _visible(character: str) -> str:
    if character > "\x7f":
        return character.encode("ascii", "backslashreplace").decode()
    return f"\\x{ord(character):02x}"


def prepare_streams() -> None:
    """Let stdout and stderr write the nearest ASCII where their encoding lacks a character.

    A closed one is replaced by one that leads nowhere.
    """
    codecs.register_error("lightoff", _nearest)
    sys.stdout = sys.stdout or open(os.devnull, "w")  # noqa: SIM115
    sys.stderr = sys.stderr or open(os.devnull, "w")  # noqa: SIM115
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="lightoff")


def _nearest(error: UnicodeError) -> tuple[str, int]:
    if not isinstance(error, UnicodeEncodeError):
        raise error
    refused = error.object[error.start : error.end].translate(_ASCII)
    plain = unicodedata.normalize("NFKD", refused)
    kept = "".join(
        character if character.isascii() else "?"
        for character in plain
        if not unicodedata.combining(character)
    )
    return kept, error.end


def width() -> int:
    """Columns to draw in: those of the terminal, 80 if there is none."""
    return max(20, min(WIDEST, shutil.get_terminal_size((80, 24)).columns))


def console(stderr: bool = False) -> Console:
    """A console without colour where NO_COLOR is set or nobody watches."""
    from rich.console import Console
    from rich.theme import Theme

    class QuietConsole(Console):
        def on_broken_pipe(self) -> None:
            """Leave it to the command line's frame, as for any other output."""
            raise BrokenPipeError

    file: TextIO = sys.stderr if stderr else sys.stdout
    plain = bool(os.environ.get("NO_COLOR")) or not file.isatty()
    return QuietConsole(
        file=file,
        width=width(),
        theme=Theme(STYLES, inherit=False),
        color_system=None if plain else "auto",
        markup=False,
        emoji=False,
        highlight=False,
        legacy_windows=False,
    )


def text(*pieces: str | tuple[str, str]) -> Text:
    """Text from pieces, each cleaned: a string, or (string, style). Line breaks stay."""
    from rich.text import Text

    result = Text()
    for piece in pieces:
        words, style = (piece, "") if isinstance(piece, str) else piece
        result.append("\n".join(map(clean, words.split("\n"))), style or None)
    return result


def say(
    words: str | Text = "", style: str = "", *, indent: int = 0, hang: int = 0, stderr: bool = False
) -> None:
    """Write a paragraph, wrapped; `indent` columns in, further lines `hang` more."""
    from rich.text import Text

    whole = words if isinstance(words, Text) else text((words, style))
    out = console(stderr)
    for paragraph in whole.split("\n", allow_blank=True) or [Text()]:
        for line in _wrapped(paragraph, out, indent, hang):
            out.print(line, no_wrap=True, overflow="ignore", crop=False)


def _wrapped(paragraph: Text, out: Console, indent: int, hang: int) -> Iterator[Text]:
    """Lines of a paragraph with their margins."""
    from rich.text import Text

    first = (paragraph.wrap(out, max(10, out.width - indent)) or [Text()])[0]
    first.rstrip()
    yield Text(" " * indent * bool(first.plain)) + first
    rest = paragraph[len(first.plain) :]
    left = len(rest.plain) - len(rest.plain.lstrip())
    if left < len(rest.plain):
        for line in rest[left:].wrap(out, max(10, out.width - indent - hang)):
            line.rstrip()
            yield Text(" " * (indent + hang)) + line


def say_pieces(pieces: Sequence[tuple[str, str]]) -> None:
    """Write one line of pieces with their styles as it stands, without wrapping."""
    console().print(text(*pieces), no_wrap=True, overflow="ignore", crop=False)


def table(columns: Sequence[str], rows: Iterable[Sequence[str]], *, stderr: bool = False) -> None:
    """Write rows under their heads; the first column is kept on one line."""
    from rich.table import Table

    grid = Table(box=None, pad_edge=False, padding=(0, 2, 0, 0), header_style="head")
    for number, head in enumerate(columns):
        first = number == 0
        grid.add_column(text(head), no_wrap=first, overflow="fold", style="name" if first else "")
    for row in rows:
        grid.add_row(*map(text, row))
    out = console(stderr)
    with out.capture() as drawn:
        out.print(grid)
    for line in drawn.get().splitlines():
        print(line.rstrip(), file=out.file)


def field(label: str, *paragraphs: str | Text, bullet: str = "") -> None:
    """Write paragraphs beside a label, each behind a bullet; nothing if there are none."""
    from rich.text import Text

    for number, paragraph in enumerate(paragraphs):
        words = paragraph if isinstance(paragraph, Text) else text(paragraph)
        head = text((("" if number else label).ljust(LABEL), "head"))
        say(head + bullet + words, hang=LABEL + len(bullet))


def json_out(data: Any) -> None:  # noqa: ANN401
    """Write data as JSON to stdout: ASCII, sets sorted, no endless figures (null instead)."""
    print(json.dumps(_plain(data), indent=2, allow_nan=False))


def _plain(data: Any) -> Any:  # noqa: ANN401
    if isinstance(data, Mapping):
        return {str(key): _plain(value) for key, value in data.items()}
    if isinstance(data, set | frozenset):
        return sorted(_plain(value) for value in data)
    if isinstance(data, list | tuple):
        return [_plain(value) for value in data]
    if isinstance(data, float):
        return _rounded(data)
    return data


def _rounded(figure: float) -> float | None:
    return float(f"{figure:.{DIGITS}g}") if math.isfinite(figure) else None
