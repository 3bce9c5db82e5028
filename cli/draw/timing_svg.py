"""The timing chart of a call as an SVG file: the same rows and columns as on the terminal.

Every stay in a step gets equal room; within it, things stand where they happen.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from lightoff.cli.draw.canvas import MARGIN, Canvas, rows_of
from lightoff.cli.show_run import clock
from lightoff.cli.timing_chart import Again, Column, Row, Stay, rows
from lightoff.engine.machine.trace import Segment, Trace
from lightoff.engine.units import show

LABEL, COLUMN, ROW, HIGH = 130.0, 92.0, 30.0, 18.0
"""Width of the labels and of a stay; height of a row and of what is on in it."""
SIZE, SMALL = 12.0, 10.0
GRID, ON, EDGE = "#bbbbbb", "#9fc79f", "#2c5f2c"
HEAD_ROWS = 3
LEGEND = (
    "Filled: on, turning, lit or closed. Every stay in a step has equal room; "
    "start and duration stand below."
)


def draw(title: str, notes: Sequence[str], trace: Trace, columns: Sequence[Column]) -> str:
    """The chart."""
    canvas = Canvas(title)
    canvas.text((MARGIN, MARGIN + 16), title, 18, bold=True)
    for number, note in enumerate((*notes, LEGEND), start=1):
        canvas.text((MARGIN, MARGIN + 20 + 18 * number), note, SIZE)
    top = MARGIN + 20 + 18 * (len(notes) + 2) + HEAD_ROWS * SIZE + 12
    things = rows(trace.machine)
    bottom = top + ROW * len(things)
    for number, column in enumerate(columns):
        _column(canvas, column, MARGIN + LABEL + COLUMN * number, top, bottom)
    right = MARGIN + LABEL + COLUMN * len(columns)
    canvas.line([(right, top), (right, bottom)], stroke=GRID)
    for number, row in enumerate(things):
        _row(canvas, row, columns, top + ROW * (number + 1) - 5)
    for number, label in enumerate(("starts", "lasts")):
        canvas.text((MARGIN, bottom + 16 + 14 * number), label, SMALL)
    return canvas.written()


def _column(canvas: Canvas, column: Column, x: float, top: float, bottom: float) -> None:
    """The head of a column, its left border, and its times."""
    canvas.line([(x, top), (x, bottom)], stroke=GRID)
    head, below = _words(column)
    lines = rows_of(head, COLUMN - 8, SMALL, hyphens=True)
    for number, line in enumerate(lines):
        canvas.text((x + 4, top - 6 - SIZE * (len(lines) - 1 - number)), line, SMALL)
    for number, line in enumerate(below):
        canvas.text((x + 4, bottom + 16 + 14 * number), line, SMALL)


def _words(column: Column) -> tuple[str, Sequence[str]]:
    if isinstance(column, Again):
        head = f"{column.first} to {column.last} come {column.times}x again"
        return head, ("", f"to {clock(column.end)}")
    visit = column.visit
    lasts = show(visit.end - visit.start, "time")
    return f"{column.number} {visit.step}", (clock(visit.start), lasts)


def _row(canvas: Canvas, row: Row, columns: Sequence[Column], low: float) -> None:
    """A thing over the whole call; `low` is the height at which it is off."""
    canvas.text((MARGIN, low - 4), row.label, SIZE)
    for number, column in enumerate(columns):
        x = MARGIN + LABEL + COLUMN * number
        if isinstance(column, Again):
            canvas.text((x + COLUMN / 2, low - 4), "~", SIZE, anchor="middle")
            continue
        canvas.line([(x, low), (x + COLUMN, low)], stroke=EDGE)
        for start, end in stretches(row, column):
            canvas.box(
                (x + COLUMN * start, low - HIGH),
                COLUMN * (end - start),
                HIGH,
                fill=ON,
                stroke=EDGE,
            )


def stretches(row: Row, stay: Stay) -> Iterator[tuple[float, float]]:
    """Shares of a stay from which to which a thing is on."""
    began: float | None = None
    for segment, start in _shares(stay):
        on = row.is_on(segment)
        if on and began is None:
            began = start
        elif not on and began is not None:
            yield began, start
            began = None
    if began is not None:
        yield began, 1.0


def _shares(stay: Stay) -> Iterator[tuple[Segment, float]]:
    """The lasting stretches of a stay with the share of it at which each begins."""
    length = stay.visit.end - stay.visit.start
    lasting = [segment for segment in stay.segments if segment.end > segment.start]
    for segment in lasting or stay.segments[-1:]:
        yield segment, (segment.start - stay.visit.start) / length if length else 0.0
