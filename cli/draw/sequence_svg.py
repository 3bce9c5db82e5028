"""The sequence graph as an SVG file: the healthy path on the left, all other steps on the right.

Between them runs one lane for each step that is led to, and every way out joins the lane of
its target. What a way out asks for stands in the box of its step, so that no words cross lines.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from lightoff.cli.draw.canvas import MARGIN, Canvas, Point, rows_of
from lightoff.cli.draw.flow import HEALTHY, LOCKOUT, RETRY, Flow, Place, WayOut
from lightoff.cli.draw.sequence_text import mark, shared

WIDTH, LINE, SIZE, PAD = 350.0, 16.0, 12.0, 8.0
GAP = 2 * LINE
LANE = 15.0
"""Distance between lanes."""
GREY, RED, BLUE = "#555555", "#b00020", "#1a4e8a"
DASHES = {LOCKOUT: "7 4", RETRY: "2 3"}
LEGEND = (
    "Thick: the healthy path. Dotted: a retry. Dashed: a lockout. "
    "Lines are joined only where there is a dot."
)


@dataclass(frozen=True, slots=True)
class Box:
    """A step where it stands: its lines of text, and the height of each way out."""

    place: Place
    at: Point
    lines: tuple[tuple[str, WayOut | None], ...]

    @property
    def height(self) -> float:
        return PAD * 2 + LINE * (len(self.lines) + 1)

    @property
    def entry(self) -> float:
        """Height at which it is entered from the side."""
        return self.at[1] + PAD + LINE / 2

    def exits(self) -> Iterator[tuple[WayOut, float]]:
        """Ways out, each with the height of the last of its lines."""
        for number, (_, way) in enumerate(self.lines):
            following = self.lines[number + 1][1] if number + 1 < len(self.lines) else None
            if way is not None and way is not following:
                yield way, self.at[1] + PAD + LINE * (number + 1.5)


def draw(title: str, notes: Sequence[str], flow: Flow, passed: frozenset[str], stall: str) -> str:
    """The graph; steps that a call `passed` are marked, and the one in which it stalls."""
    canvas = Canvas(title)
    top = _heading(canvas, title, notes)
    left = _column(flow.path, MARGIN, top)
    targets = {way.leave.to for place in flow.places for way in place.ways}
    right_edge = MARGIN + WIDTH + LANE * (len(targets) + 3)
    right = _beside(flow.beside, left, right_edge, top)
    for box in left + right:
        _box(canvas, box, mark(box.place.step.id, passed, stall))
    _healthy(canvas, left)
    _lanes(canvas, left, right, right_edge)
    bottom = max(box.at[1] + box.height for box in left + right) + GAP
    _shared(canvas, flow, bottom, right_edge + WIDTH - MARGIN)
    return canvas.written()


def _heading(canvas: Canvas, title: str, notes: Sequence[str]) -> float:
    canvas.text((MARGIN, MARGIN + 16), title, 18, bold=True)
    for number, note in enumerate((*notes, LEGEND), start=1):
        canvas.text((MARGIN, MARGIN + 20 + 18 * number), note, SIZE)
    return MARGIN + 20 + 18 * (len(notes) + 1) + GAP


# --- boxes ---------------------------------------------------------------------------


def _lines(place: Place) -> tuple[tuple[str, WayOut | None], ...]:
    room = WIDTH - 2 * PAD
    lines: list[tuple[str, WayOut | None]] = []
    for remark in place.remarks:
        lines += [(row, None) for row in rows_of(remark, room, SIZE)]
    for way in place.ways:
        told = f"{way.words} \u2192 {way.leave.to}"
        told = f"{way.kind}: {told}" if way.kind else told
        lines += [(row, way) for row in rows_of(told, room, SIZE)]
    return tuple(lines)


def _column(places: Sequence[Place], x: float, top: float) -> list[Box]:
    boxes: list[Box] = []
    for place in places:
        y = boxes[-1].at[1] + boxes[-1].height + GAP if boxes else top
        boxes.append(Box(place, (x, y), _lines(place)))
    return boxes


def _beside(places: Sequence[Place], path: Sequence[Box], x: float, top: float) -> list[Box]:
    """Each as high as what it has to do with, below the one before.

    Half a line lower than the path, so that no two ways out run at one height.
    """
    heights = {box.place.step.id: box.at[1] for box in path}
    boxes: list[Box] = []
    for place in places:
        near = [heights[way.leave.to] for way in place.ways if way.leave.to in heights]
        name = place.step.id
        near += [box.at[1] for box in path for way in box.place.ways if way.leave.to == name]
        wanted = sum(near) / len(near) if near else top
        free = boxes[-1].at[1] + boxes[-1].height + GAP if boxes else top
        steps = round((max(wanted, free) - top) / LINE)
        boxes.append(Box(place, (x, max(free, top + steps * LINE + LINE / 2)), _lines(place)))
    return boxes


def _box(canvas: Canvas, box: Box, marked: str) -> None:
    x, y = box.at
    stalls = "stalls" in marked
    stroke = RED if stalls else BLUE if marked else "black"
    fill = "#eef4fb" if box.place.on_path else "#f6f6f6"
    canvas.box(box.at, WIDTH, box.height, fill=fill, stroke=stroke, line=3 if marked else 1)
    canvas.text((x + PAD, y + PAD + 12), box.place.step.id, 13, bold=True)
    canvas.text((x + WIDTH - PAD, y + PAD + 12), marked, 11, fill=stroke, anchor="end")
    for number, (text, _) in enumerate(box.lines, start=1):
        canvas.text((x + PAD, y + PAD + 12 + LINE * number), text, SIZE)


# --- lines ---------------------------------------------------------------------------


def _healthy(canvas: Canvas, path: Sequence[Box]) -> None:
    """From each box of the path down to the next."""
    for here, there in pairwise(path):
        x = here.at[0] + WIDTH / 2
        start, end = here.at[1] + here.height, there.at[1]
        canvas.line([(x, start), (x, end - 6)], line=4)
        canvas.arrow((x, end), (0, 1))


def _lanes(canvas: Canvas, left: Sequence[Box], right: Sequence[Box], edge: float) -> None:
    following = {(a.place.step.id, b.place.step.id) for a, b in pairwise(left)}
    joining: dict[str, list[tuple[Box, WayOut, float]]] = {}
    for box in (*left, *right):
        for way, y in box.exits():
            if way.kind != HEALTHY or (box.place.step.id, way.leave.to) not in following:
                joining.setdefault(way.leave.to, []).append((box, way, y))
    boxes = {box.place.step.id: box for box in (*left, *right)}
    spans = {
        target: _span([y for _, _, y in joined] + [boxes[target].entry])
        for target, joined in joining.items()
    }
    for target, lane in _lane_of(spans).items():
        x = MARGIN + WIDTH + LANE * (lane + 1.5)
        _lane(canvas, boxes[target], joining[target], spans[target], x, edge)


def _span(heights: Sequence[float]) -> tuple[float, float]:
    return min(heights), max(heights)


def _lane_of(spans: Mapping[str, tuple[float, float]]) -> dict[str, int]:
    """Lanes from left to right, the shortest first; those that touch lie on different ones."""
    taken: list[list[tuple[float, float]]] = []
    found = {}
    for target, (high, low) in sorted(spans.items(), key=lambda each: each[1][1] - each[1][0]):
        free = (
            number
            for number, lane in enumerate(taken)
            if all(low + LINE < other[0] or other[1] + LINE < high for other in lane)
        )
        lane = next(free, len(taken))
        if lane == len(taken):
            taken.append([])
        taken[lane].append((high, low))
        found[target] = lane
    return found


def _lane(
    canvas: Canvas,
    target: Box,
    joined: Sequence[tuple[Box, WayOut, float]],
    span: tuple[float, float],
    x: float,
    edge: float,
) -> None:
    """The lane of one target with the ways out that join it, and its arrow."""
    kinds = {way.kind for _, way, _ in joined}
    color = RED if kinds == {LOCKOUT} else GREY
    dash = DASHES.get(LOCKOUT, "") if color == RED else ""
    canvas.line([(x, span[0]), (x, span[1])], stroke=color, line=1.5, dash=dash)
    for box, way, y in joined:
        side = _side(box, edge)
        canvas.line([(side, y), (x, y)], stroke=color, line=1.5, dash=DASHES.get(way.kind, ""))
        canvas.dot((x, y), fill=color)
    side, y = _side(target, edge), target.entry
    canvas.line([(x, y), (side, y)], stroke=color, line=1.5, dash=dash)
    canvas.arrow((side, y), (1.0 if side > x else -1.0, 0), fill=color)
    canvas.dot((x, y), fill=color)


def _side(box: Box, edge: float) -> float:
    """The side of a box that faces the lanes."""
    return edge if box.at[0] == edge else box.at[0] + WIDTH


def _shared(canvas: Canvas, flow: Flow, top: float, width: float) -> None:
    if not flow.common:
        return
    canvas.text((MARGIN, top), "Ways out that several steps share", 13, bold=True)
    y = top + 4
    for told in shared(flow):
        for row in rows_of(told, width, SIZE):
            y += LINE
            canvas.text((MARGIN, y), row, SIZE)
        y += 4
