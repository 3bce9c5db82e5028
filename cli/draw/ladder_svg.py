"""Ladders as an SVG file, with the symbols of schemdraw."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Literal
from xml.sax.saxutils import escape

import schemdraw
from schemdraw import elements as elm
from schemdraw.elements import Element, Element2Term
from schemdraw.segments import Segment, SegmentCircle

from lightoff.cli import screen
from lightoff.cli.draw.ladder import Ladder, Piece
from lightoff.cli.draw.marks import Marks
from lightoff.cli.draw.symbols import Symbol, symbol

COLUMN, RUNG = 4.2, 2.9
"""Distances between columns and rungs."""
HEAD = 2.8
"""Room for the title of a net."""
INCHES = 0.5
"""Per unit of distance."""
SIZE, SMALL, TITLE = 11, 10, 15
"""Points."""
SOUND, FAULTED, NOTE, STRAY = "black", "#b00020", "#1a4e8a", "#777777"
BUSY = 3
"""Branches from which on a terminal is drawn as a rail."""


Align = Literal["left", "center"]


class Contact(Element2Term):  # type: ignore[no-untyped-call]
    """Contacts of a relay, as in ladder diagrams: two bars."""

    def __init__(self) -> None:
        super().__init__()
        gap = (float("nan"), float("nan"))
        self.segments.append(Segment([(0, 0), (0, 0), gap, (0.35, 0), (0.35, 0)]))
        self.segments += [Segment([(x, -0.4), (x, 0.4)]) for x in (0, 0.35)]


class Conductor(Element2Term):  # type: ignore[no-untyped-call]
    """A wire or plug that is a part of its own: between two small circles."""

    def __init__(self) -> None:
        super().__init__()
        self.segments.append(Segment([(0, 0), (1, 0)]))
        self.segments += [SegmentCircle((x, 0), 0.08, fill="white", zorder=4) for x in (0, 1)]


OWN = {each.__name__: each for each in (Contact, Conductor)}
"""Elements that schemdraw does not have."""


def draw(title: str, notes: Sequence[str], drawn: Sequence[Ladder], marks: Marks) -> str:
    """All nets below each other."""
    schemdraw.svgconfig.text = "text"
    drawing = schemdraw.Drawing(canvas="svg", show=False)
    drawing.config(inches_per_unit=INCHES, fontsize=SIZE, font="sans-serif", bgcolor="white")
    _write(drawing, (0, 0), title, TITLE)
    for number, note in enumerate(notes, start=1):
        _write(drawing, (0, -0.6 * number), note, SIZE)
    top = -0.6 * len(notes)
    for ladder in drawn:
        top -= HEAD
        for element in _ladder(ladder, marks, top):
            drawing.add(element)
        top -= RUNG * len(ladder.rungs)
    return str(drawing.get_imagedata("svg").decode())


def words(text: str) -> str:
    """Text for schemdraw, which reads labels as XML with formulas between dollar signs."""
    return escape(screen.clean(text)).replace("$", "&#36;")


def _write(drawing: schemdraw.Drawing, at: tuple[float, float], text: str, size: int) -> None:
    drawing.add(_text(at, text, size, "left"))


def _text(
    at: tuple[float, float], text: str, size: int, align: Align = "center", color: str = SOUND
) -> Element:
    element: Element = elm.Label().at(at).color(color)
    element.label(words(text), loc="center", halign=align, fontsize=size, ofst=(0, 0))
    return element


def _ladder(ladder: Ladder, marks: Marks, top: float) -> Iterator[Element]:
    yield _text((0, top + 1.8), f"{ladder.net} net", TITLE, "left")
    branches = [terminal for rung in ladder.rungs for p in rung.pieces for terminal in _ends(p)]
    for terminal, (first, last) in ladder.bars.items():
        x, high, low = ladder.columns[terminal] * COLUMN, top - first * RUNG, top - last * RUNG
        if last > first:
            bar = elm.Line().endpoints((x, high), (x, low))
            yield bar.linewidth(3.5 if branches.count(terminal) >= BUSY else 2)
        yield _text((x, high + 0.95), terminal, SMALL, color=NOTE)
        if marks.step:
            yield _text((x, high + 0.5), marks.told(terminal), SMALL, color=NOTE)
    for number, rung in enumerate(ladder.rungs):
        for piece in rung.pieces:
            yield from _piece(ladder, piece, marks, top - number * RUNG)


def _ends(piece: Piece) -> tuple[str, str]:
    return piece.left, piece.right


def _piece(ladder: Ladder, piece: Piece, marks: Marks, y: float) -> Iterator[Element]:
    """A part in the first gap between columns, and the wire to its right end."""
    wire = piece.wire
    start, end = (ladder.columns[terminal] * COLUMN for terminal in _ends(piece))
    drawn = symbol(marks.furnace.parts[wire.part].kind, wire.branch)
    faulted = wire.part in marks.faulted
    color = FAULTED if faulted else STRAY if drawn.stray else SOUND
    part = _element(drawn).endpoints((start, y), (start + COLUMN, y)).color(color)
    line = elm.Line().endpoints((start + COLUMN, y), (end, y))
    line.color(STRAY if drawn.stray else SOUND)
    for element in [part, line] if end > start + COLUMN else [part]:
        yield element.linestyle(":") if drawn.stray else element
    if drawn.letter:
        yield _text((start + COLUMN / 2 - 0.05, y), drawn.letter, SIZE, color=color)
    for x in (start, end):
        yield elm.Dot(radius=0.09).at((x, y))
    below = [wire.part, _which(piece, marks), "FAULTY" if faulted else ""]
    for number, text in enumerate(filter(None, below)):
        yield _text((start + COLUMN / 2, y - 0.95 - 0.4 * number), text, SMALL, color=color)


def _which(piece: Piece, marks: Marks) -> str:
    """The branch where a part has several, and whether it is open."""
    branch = marks.name(piece.wire).removeprefix(piece.wire.part).strip()
    return ": ".join(filter(None, (branch, marks.state(piece.wire))))


def _element(drawn: Symbol) -> Element2Term:
    found: type[Element2Term] = OWN.get(drawn.element) or getattr(elm, drawn.element)
    return found()
