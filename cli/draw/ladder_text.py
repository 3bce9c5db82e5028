"""A ladder on a terminal: a rung is a line, or goes on below behind an arrow."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from lightoff.cli import screen
from lightoff.cli.draw.ladder import Ladder, Piece, Rung
from lightoff.cli.draw.marks import Marks
from lightoff.cli.draw.symbols import BOX, SYMBOLS, symbol

RAIL, WIRE, ON = "\u2502", "\u2500", "\u2192"
FAULTED = "!"
NARROWEST = 24
"""Columns of a rung at least; a narrower terminal cuts it."""

Token = tuple[str, str]
"""Text and its style."""


def draw(ladder: Ladder, marks: Marks, width: int) -> Iterator[list[Token]]:
    """The rungs line by line."""
    before = max(len(screen.clean(rung.left)) for rung in ladder.rungs)
    behind = max(len(screen.clean(rung.right)) for rung in ladder.rungs)
    room = max(NARROWEST, width - before - behind - 4)
    told = {ladder.left, ladder.right}
    for rung in ladder.rungs:
        lines = _lines(list(_tokens(rung, marks, told)), room)
        for number, line in enumerate(lines):
            left = screen.clean(rung.left) if number == 0 else ""
            right = screen.clean(rung.right) if number == len(lines) - 1 else ""
            yield [
                (f"{left:>{before}} {RAIL}", "name"),
                *line,
                (f"{RAIL} {right}".rstrip(), "name"),
            ]


def rails(ladder: Ladder, marks: Marks) -> str:
    """Which terminals the rails are, in one sentence."""
    left, right = (
        f"{rail} ({marks.told(rail)})" if marks.step else rail
        for rail in (ladder.left, ladder.right)
    )
    return f"{left} is the left rail, {right} the right one."


def legend(drawn: Sequence[Ladder], marks: Marks, width: int) -> list[str]:
    """What the signs mean that these ladders have, in lines of a width."""
    used = {
        symbol(marks.furnace.parts[piece.wire.part].kind, piece.wire.branch).text
        for ladder in drawn
        for rung in ladder.rungs
        for piece in rung.pieces
    }
    told = [f"{text.format('').strip()} {words}" for text, words in SIGNS.items() if text in used]
    if marks.faulted:
        told.append(f"{FAULTED} {FAULTED} faulty")
    lines = [""]
    for each in told:
        if lines[-1] and len(lines[-1]) + len(each) + 3 > width:
            lines.append("")
        lines[-1] += ("   " if lines[-1] else "") + each
    return lines


SIGNS = {
    SYMBOLS["relay", "contacts"].text: "relay contacts",
    SYMBOLS["", "contacts"].text: "switch",
    SYMBOLS["overcurrent", "contacts"].text: "fuse or breaker",
    SYMBOLS["", "path"].text: "wire or plug",
    SYMBOLS["", "coil"].text: "coil",
    SYMBOLS["", "winding"].text: "motor",
    SYMBOLS["", "element"].text: "resistance",
    SYMBOLS["", "flame"].text: "flame",
    SYMBOLS["", "gap"].text: "spark gap",
    SYMBOLS["transformer", "secondary"].text: "source",
    SYMBOLS["thermocouple", "source"].text: "direct source",
    SYMBOLS["", "leak"].text: "carries nothing if sound",
    BOX.text: "control, or other",
}
"""Sign -> what it stands for."""


def _tokens(rung: Rung, marks: Marks, told: set[str]) -> Iterator[Token]:
    """Parts and the terminals between them; the volts of a terminal are told once."""
    if rung.left not in told:
        told.add(rung.left)
        yield marks.told(rung.left) or rung.left, "name"
    for number, piece in enumerate(rung.pieces, start=1):
        yield _part(piece, marks)
        if number < len(rung.pieces) or piece.right not in told:
            told.add(piece.right)
            yield f"{piece.right} {marks.told(piece.right)}".strip(), "name"


def _part(piece: Piece, marks: Marks) -> Token:
    wire = piece.wire
    faulted = wire.part in marks.faulted
    name = f"{marks.name(wire)} {marks.state(wire)}".strip()
    framed = symbol(marks.furnace.parts[wire.part].kind, wire.branch).text.format(name)
    return (f"{FAULTED} {framed} {FAULTED}", "bad") if faulted else (framed, "")


def _lines(tokens: Sequence[Token], room: int) -> list[list[Token]]:
    """Tokens with wire between them, in lines of the same length."""
    lines: list[list[Token]] = [[]]
    used = 0
    for words, style in tokens:
        text = f" {screen.clean(words)} "
        if lines[-1] and used + len(text) + 3 > room:
            lines[-1].append((WIRE * max(0, room - used - 1) + ON, ""))
            lines.append([(ON, "")])
            used = 1
        lines[-1] += [(WIRE, ""), (text, style)]
        used += 1 + len(text)
    lines[-1].append((WIRE * max(1, room - used), ""))
    return lines
