"""Plots of a study as inline SVG. Only a page imports this: matplotlib is slow to come."""

from __future__ import annotations

from collections.abc import Sequence
from io import BytesIO
from typing import Any
from xml.etree import ElementTree

from matplotlib import rc_context
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from lightoff.cli.screen import clean
from lightoff.engine.reasoning.study.summary import CheckTime, Confused, OfCase

SVG = "http://www.w3.org/2000/svg"
LINK = "http://www.w3.org/1999/xlink"
STYLE: dict[Any, Any] = {
    "svg.fonttype": "none",
    "svg.hashsalt": "lightoff",
    "text.parse_math": False,
    "font.family": "sans-serif",
    "font.size": 8.0,
}
"""Text stays text; a dollar sign is no formula; the same plot is the same file."""
COLOURS = ("#0072b2", "#56b4e9", "#d55e00", "#999999")
"""Told apart by people who see few colours, and by their grey in print (Okabe & Ito)."""
WIDE = 9.0
"""Inches."""
A_BAR = 0.17
MARGIN = 1.0
LONGEST = 60
"""Letters of a label."""

Stack = Sequence[tuple[str, Sequence[float]]]


def fault_plot(cases: Sequence[OfCase], name: str, title: str) -> str:
    """Checks and minutes of each fault or pair, side by side."""
    labels = [" + ".join(case.faults) for case in cases]
    figure, (left, right) = _figure(len(cases), 2)
    checks = [("checks", [case.figures.checks for case in cases])]
    minutes = [
        ("measuring", [case.figures.measuring for case in cases]),
        ("set-up", [case.figures.setting_up for case in cases]),
        ("repairs", [case.figures.repairing for case in cases]),
        ("verifying", [case.figures.verifying for case in cases]),
    ]
    _bars(left, labels, checks, "checks")
    _bars(right, [""] * len(cases), minutes, "minutes")
    right.legend(loc="lower right")
    return _inline(figure, name, title)


def check_plot(checks: Sequence[CheckTime], name: str, title: str) -> str:
    """The minutes that checks take of a mean diagnosis."""
    figure, (axes,) = _figure(len(checks), 1)
    minutes = [
        ("measuring", [check.minutes for check in checks]),
        ("set-up", [check.setup for check in checks]),
    ]
    _bars(axes, [check.check for check in checks], minutes, "minutes of a mean diagnosis")
    axes.legend(loc="lower right")
    return _inline(figure, name, title)


def confusion_plot(confused: Sequence[Confused], name: str, title: str) -> str:
    """How often each repair was needed (down) and another advised first (across)."""
    needed = list(dict.fromkeys(each.needed for each in confused))
    advised = list(dict.fromkeys(each.advised for each in confused))
    figure, (axes,) = _figure(len(needed) + 10, 1)
    counts = [[0] * len(advised) for _ in needed]
    for each in confused:
        counts[needed.index(each.needed)][advised.index(each.advised)] = each.times
    axes.imshow(counts, cmap="Greys", vmin=0, aspect="auto")
    for row, line in enumerate(counts):
        for column, times in enumerate(line):
            if times:
                dark = times > max(map(max, counts)) / 2
                colour = "white" if dark else "black"
                axes.text(column, row, str(times), ha="center", va="center", color=colour)
    axes.set_yticks(range(len(needed)), _labels(needed))
    axes.set_xticks(range(len(advised)), _labels(advised), rotation=60, ha="right")
    axes.set_ylabel("needed")
    axes.set_xlabel("advised first")
    return _inline(figure, name, title)


def _figure(bars: int, panels: int) -> tuple[Figure, Sequence[Axes]]:
    with rc_context(STYLE):
        figure = Figure(figsize=(WIDE, MARGIN + A_BAR * max(bars, 3)), layout="constrained")
        return figure, figure.subplots(1, panels, squeeze=False)[0]


def _bars(axes: Axes, labels: Sequence[str], stack: Stack, unit: str) -> None:
    """Lying bars, the first on top, each of pieces one after the other."""
    places = list(range(len(labels)))
    ends = [0.0] * len(labels)
    for (name, lengths), colour in zip(stack, COLOURS, strict=False):
        axes.barh(places, lengths, left=ends, label=name, color=colour, height=0.8)
        ends = [end + length for end, length in zip(ends, lengths, strict=True)]
    axes.set_yticks(places, _labels(labels))
    axes.set_ylim(len(labels) - 0.4, -0.6)
    axes.set_xlabel(unit)
    axes.grid(axis="x", color="#cccccc", linewidth=0.5)
    axes.set_axisbelow(True)


def _labels(names: Sequence[str]) -> list[str]:
    return [clean(name if len(name) <= LONGEST else f"{name[: LONGEST - 3]}...") for name in names]


def _inline(figure: Figure, name: str, title: str) -> str:
    """The SVG element alone, its ids marked by `name` so that plots do not share any."""
    written = BytesIO()
    with rc_context(STYLE):
        figure.savefig(written, format="svg", metadata={"Date": None})
    ElementTree.register_namespace("", SVG)
    ElementTree.register_namespace("xlink", LINK)
    root = ElementTree.fromstring(written.getvalue())
    for parent in list(root.iter()):
        for child in [each for each in parent if each.tag == f"{{{SVG}}}metadata"]:
            parent.remove(child)
        _mark_ids(parent, name)
    root.set("role", "img")
    root.set("aria-label", title)
    return ElementTree.tostring(root, encoding="unicode")


def _mark_ids(element: Any, name: str) -> None:  # noqa: ANN401
    if "id" in element.attrib:
        element.set("id", f"{name}-{element.get('id')}")
    for key, value in list(element.attrib.items()):
        if key in ("clip-path", "style", "fill"):
            element.set(key, value.replace("url(#", f"url(#{name}-"))
        elif key in (f"{{{LINK}}}href", "href"):
            element.set(key, value.replace("#", f"#{name}-", 1))
