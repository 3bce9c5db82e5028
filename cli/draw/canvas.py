"""An SVG file in the making: lines, boxes and text. It leads to no other file."""

from __future__ import annotations

from collections.abc import Sequence
from textwrap import wrap
from xml.etree import ElementTree

from lightoff.cli import screen

FONT = "DejaVu Sans, Verdana, Arial, sans-serif"
CHARACTER = 0.62
"""Width of a character of running text against its size, on the safe side."""
MARGIN = 24.0

Point = tuple[float, float]


def rows_of(text: str, width: float, size: float, *, hyphens: bool = False) -> list[str]:
    """Text in lines of a width in pixels; `hyphens` lets names break behind theirs."""
    most = max(8, int(width / (CHARACTER * size)))
    return wrap(screen.clean(text), most, break_on_hyphens=hyphens) or [""]


class Canvas:
    """A drawing in pixels; it grows with what is drawn."""

    def __init__(self, title: str) -> None:
        self._root = ElementTree.Element("svg", xmlns="http://www.w3.org/2000/svg")
        ElementTree.SubElement(self._root, "title").text = screen.clean(title)
        self._paper = self._add("rect", x=0.0, y=0.0, fill="white")
        self._right = self._bottom = 0.0

    def text(
        self,
        at: Point,
        words: str,
        size: float = 12,
        *,
        bold: bool = False,
        fill: str = "black",
        anchor: str = "start",
    ) -> None:
        """A line of text standing on a point."""
        shown = screen.clean(words)
        element = self._add("text", x=at[0], y=at[1], fill=fill)
        element.set("font-family", FONT)
        element.set("font-size", f"{size:g}")
        element.set("text-anchor", anchor)
        if bold:
            element.set("font-weight", "bold")
        element.text = shown
        share = {"start": 1.0, "middle": 0.5, "end": 0.0}[anchor]
        self._reach(at[0] + share * CHARACTER * size * len(shown) * (1.1 if bold else 1.0), at[1])

    def box(
        self,
        at: Point,
        width: float,
        height: float,
        *,
        fill: str = "none",
        stroke: str = "black",
        line: float = 1.0,
    ) -> None:
        """A rectangle by its upper left corner."""
        element = self._add("rect", x=at[0], y=at[1], width=width, height=height)
        element.set("fill", fill)
        element.set("stroke", stroke)
        element.set("stroke-width", f"{line:g}")
        self._reach(at[0] + width, at[1] + height)

    def line(
        self, points: Sequence[Point], *, stroke: str = "black", line: float = 1.0, dash: str = ""
    ) -> None:
        """A line through points."""
        element = self._add("polyline", fill="none", stroke=stroke)
        element.set("points", " ".join(f"{x:g},{y:g}" for x, y in points))
        element.set("stroke-width", f"{line:g}")
        if dash:
            element.set("stroke-dasharray", dash)
        for point in points:
            self._reach(*point)

    def dot(self, at: Point, *, fill: str = "black") -> None:
        """A small dot: here lines are joined."""
        self._add("circle", cx=at[0], cy=at[1], r=3.0, fill=fill)

    def arrow(self, at: Point, towards: Point, *, fill: str = "black") -> None:
        """An arrowhead with its tip at a point; `towards` is its direction, of length 1."""
        (x, y), (right, down) = at, towards
        corners = [(x, y)]
        corners += [
            (x - 9 * right + side * down, y - 9 * down + side * right) for side in (4.5, -4.5)
        ]
        element = self._add("polygon", fill=fill)
        element.set("points", " ".join(f"{a:g},{b:g}" for a, b in corners))

    def written(self) -> str:
        """The file."""
        width, height = self._right + MARGIN, self._bottom + MARGIN
        for name, value in (("width", width), ("height", height)):
            self._root.set(name, f"{value:g}")
            self._paper.set(name, f"{value:g}")
        self._root.set("viewBox", f"0 0 {width:g} {height:g}")
        ElementTree.indent(self._root)
        return ElementTree.tostring(self._root, encoding="unicode") + "\n"

    def _add(self, name: str, **attributes: float | str) -> ElementTree.Element:
        shown = {
            key: value if isinstance(value, str) else f"{value:g}"
            for key, value in attributes.items()
        }
        return ElementTree.SubElement(self._root, name, shown)

    def _reach(self, x: float, y: float) -> None:
        self._right, self._bottom = max(self._right, x), max(self._bottom, y)
