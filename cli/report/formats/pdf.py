"""A report as PDF, written by fpdf2.

The fonts of the format itself know the letters of western Europe only, which is all that most
reports need. For others DejaVu Sans is used where it is on the machine; what the font in use
has no letter for is written as its number, such as [U+0141]: nothing is lost.
"""

from __future__ import annotations

import logging
from collections.abc import Iterator, Sequence
from importlib.util import find_spec
from pathlib import Path

from fpdf import FPDF
from fpdf.enums import TableBordersLayout, XPos, YPos
from fpdf.fonts import FontFace, TTFFont

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

MARGIN = 18.0
"""Millimetres."""
SIZE, SMALL, LARGE, TITLE = 10.0, 8.5, 12.0, 16.0
"""Of letters, points."""
HEIGHT = 1.35
"""Of a line, in heights of its letters."""
POINT = 25.4 / 72.0
BULLET, NAME = 5.0, 32.0
"""Millimetres for the mark of a list, and for the name of a field."""
LAST_OF_CORE = "\u00ff"
CORE, OWN = "helvetica", "dejavu"
FONT, BOLD = "DejaVuSans.ttf", "DejaVuSans-Bold.ttf"
FOLDERS = (Path("/usr/share/fonts/truetype/dejavu"), Path("/usr/share/fonts/dejavu-sans-fonts"))


def written(documents: Sequence[Document]) -> bytes:
    """The pages, each beginning on a sheet of its own."""
    logging.getLogger("fontTools").setLevel(logging.ERROR)
    sheets = _Sheets(own_font() if _has_other_letters(documents) else None)
    sheets.set_title(sheets.letters(" - ".join(document.title for document in documents)))
    for document in documents:
        sheets.put(document)
    return bytes(sheets.output())


def _has_other_letters(documents: Sequence[Document]) -> bool:
    """Whether a text has letters that the fonts of the format do not know."""
    return any(letter > LAST_OF_CORE for letter in repr(documents))


def own_font() -> Path | None:
    """The folder of a font that has most letters; None where there is none."""
    folders = [*FOLDERS, *_of_matplotlib()]
    return next((each for each in folders if (each / FONT).exists()), None)


def _of_matplotlib() -> Iterator[Path]:
    found = find_spec("matplotlib")
    if found is not None and found.origin is not None:
        yield Path(found.origin).parent / "mpl-data" / "fonts" / "ttf"


class _Sheets(FPDF):
    """Letter-size sheets with a number at the foot of each."""

    def __init__(self, folder: Path | None) -> None:
        super().__init__(format="letter")
        self.set_margin(MARGIN)
        self.set_auto_page_break(True, margin=MARGIN)
        self._family = CORE if folder is None else OWN
        if folder is not None:
            self.add_font(OWN, "", folder / FONT)
            self.add_font(OWN, "B", folder / BOLD)

    def footer(self) -> None:
        """Number of the sheet."""
        self.set_y(-MARGIN + 4.0)
        self._letters(SMALL)
        self.cell(0, SMALL * POINT, str(self.page_no()), align="C")

    # --- letters ------------------------------------------------------------------

    def letters(self, text: str) -> str:
        """A text in one line, with what the font cannot show as numbers."""
        line = clean(" ".join(text.split()))
        return "".join(each if self._has(each) else f"[U+{ord(each):04X}]" for each in line)

    def _has(self, letter: str) -> bool:
        font = self.fonts.get(OWN)
        if isinstance(font, TTFFont):
            return ord(letter) in font.cmap
        return letter <= LAST_OF_CORE

    def _letters(self, size: float, bold: bool = False) -> None:
        self.set_font(self._family, "B" if bold else "", size)

    def _say(self, text: str, size: float = SIZE, bold: bool = False, indent: float = 0.0) -> None:
        self._letters(size, bold)
        self.set_x(MARGIN + indent)
        self.multi_cell(
            self.epw - indent,
            size * POINT * HEIGHT,
            self.letters(text),
            align="L",
            new_x=XPos.LMARGIN,
            new_y=YPos.NEXT,
        )

    # --- blocks -------------------------------------------------------------------

    def put(self, document: Document) -> None:
        """A page, on a new sheet."""
        self.add_page()
        self._say(document.title, TITLE, bold=True)
        self.ln(2.0)
        for block in document.blocks:
            self._put(block)
            self.ln(1.0)

    def _put(self, block: Block) -> None:
        match block:
            case Head(text=text):
                self._head(text)
            case Paragraph(text=text):
                self._say(text)
            case Warn(head=head, lines=lines):
                self._warn(head, lines)
            case Items(lines=lines):
                for line in lines:
                    self._item("-", line)
            case Fields(rows=rows):
                for name, text in rows:
                    self._field(name, text)
            case Table():
                self._table(block)

    def _head(self, text: str) -> None:
        # A head is not left alone at the foot of a sheet.
        if self.will_page_break(4 * LARGE * POINT * HEIGHT):
            self.add_page()
        self.ln(2.0)
        self._say(text, LARGE, bold=True)

    def _warn(self, head: str, lines: Sequence[str]) -> None:
        top, sheet = self.get_y(), self.page
        self._say(head, bold=True, indent=BULLET)
        for number, line in enumerate(lines, start=1):
            self._item(f"{number}.", line, indent=BULLET)
        if self.page == sheet:
            self.set_line_width(0.8)
            self.line(MARGIN + 1.0, top, MARGIN + 1.0, self.get_y())
            self.set_line_width(0.2)

    def _item(self, mark: str, line: str, indent: float = 0.0) -> None:
        if self.will_page_break(SIZE * POINT * HEIGHT):
            self.add_page()
        self._letters(SIZE)
        self.set_x(MARGIN + indent)
        self.cell(BULLET, SIZE * POINT * HEIGHT, mark)
        self._say(line, indent=indent + BULLET)

    def _field(self, name: str, text: str) -> None:
        if self.will_page_break(SIZE * POINT * HEIGHT):
            self.add_page()
        top = self.get_y()
        self._letters(SIZE, bold=True)
        self.multi_cell(NAME, SIZE * POINT * HEIGHT, self.letters(name), align="L")
        self.set_y(top)
        self._say(text, indent=NAME)

    def _table(self, shown: Table) -> None:
        self._letters(SMALL)
        with self.table(
            col_widths=shown.widths,
            width=self.epw,
            text_align="LEFT",
            line_height=SMALL * POINT * HEIGHT,
            borders_layout=TableBordersLayout.HORIZONTAL_LINES,
            headings_style=FontFace(emphasis="BOLD"),
            padding=(0.6, 1.2, 0.6, 0.0),
        ) as table:
            for cells in [shown.heads, *shown.rows]:
                table.row([self.letters(cell) for cell in cells])
