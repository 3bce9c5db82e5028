"""Outcome bands: text -> intervals or words, which together must cover every reading."""

from __future__ import annotations

import math
from collections.abc import Mapping
from itertools import pairwise

from lightoff.engine.library.readings import Reading
from lightoff.engine.library.report import Spot, suggestion
from lightoff.engine.model import Band
from lightoff.engine.units import UnitError, parse_as, parse_range, show

OTHERWISE = "otherwise"
Bands = Mapping[str, Band]
Text = str | list[str]


def read_bands(outcomes: Mapping[str, Text], reading: Reading, spot: Spot) -> dict[str, Band]:
    """The band of each outcome; mistakes, gaps and overlaps are noted.

    An outcome whose words are read on other furnaces alone is left out on this one.
    """
    read = _interval if reading.dimension else _words
    found = {
        id_: read(text, reading, spot.at(id_))
        for id_, text in outcomes.items()
        if not _only_elsewhere(text, reading)
    }
    bands = {id_: band for id_, band in found.items() if band is not None}
    rest = [id_ for id_, band in bands.items() if band.otherwise]
    for id_ in rest[1:]:
        spot.at(id_).wrong(f"{rest[0]} has `otherwise` too", "give all but one a band")
    if len(bands) < len(found) or len(rest) > 1:
        return bands
    if reading.dimension:
        _check_intervals(bands, reading.dimension, spot)
    else:
        _check_words(bands, reading.words, spot)
    return bands


def _only_elsewhere(text: Text, reading: Reading) -> bool:
    words = set(listed(text))
    return bool(words) and words <= reading.elsewhere - reading.words


def listed(text: Text) -> list[str]:
    """The words of an outcome that is told in words."""
    return [text] if isinstance(text, str) else text


def _interval(text: Text, reading: Reading, spot: Spot) -> Band | None:
    if not isinstance(text, str):
        spot.wrong("this reading is a figure", "write a band such as `below 2 V`")
        return None
    try:
        return parse_band(text, reading.dimension)
    except UnitError as error:
        spot.wrong(error.what, error.mend)
        return None


def parse_band(text: str, dimension: str) -> Band:
    """`below X U`, `above X U`, `X to Y U` or `otherwise`; UnitError if it is none."""
    if text == OTHERWISE:
        return Band(otherwise=True)
    word, _, amount = text.partition(" ")
    if word == "below":
        return Band(high=parse_as(amount, dimension))
    if word == "above":
        return Band(low=parse_as(amount, dimension))
    if " to " in text:
        return Band(*parse_range(text, dimension))
    mend = "write `below 2 V`, `above 2 V`, `2 to 20 V` or `otherwise`"
    raise UnitError(f"{text!r} is no band", mend)


def _words(text: Text, reading: Reading, spot: Spot) -> Band | None:
    if text == OTHERWISE:
        return Band(otherwise=True)
    words = [word for word in listed(text) if word not in reading.elsewhere - reading.words]
    unknown = [word for word in words if word not in reading.words]
    for word in unknown:
        spot.wrong(f"this never reads {word!r}", suggestion(word, reading.words))
    if not words:
        spot.wrong("this outcome has no words", "give one, or `otherwise`")
    return Band(words=frozenset(words)) if words and not unknown else None


def _check_intervals(bands: Bands, dimension: str, spot: Spot) -> None:
    intervals = sorted(
        ((band.low, band.high, id_) for id_, band in bands.items() if not band.otherwise)
    )
    for (_, high, first), (low, _, second) in pairwise(intervals):
        if low < high and not math.isclose(low, high, rel_tol=1e-9):
            spot.at(second).wrong(
                f"{second} overlaps {first}", "let one end where the other begins"
            )
            return
    gaps = list(_gaps(intervals))
    rest = any(band.otherwise for band in bands.values())
    if rest and not gaps:
        spot.wrong("nothing is left for `otherwise`", "take that outcome out")
    if gaps and not rest:
        where = " and ".join(_worded(low, high, dimension) for low, high in gaps)
        spot.wrong(f"no outcome for a reading {where}", "widen a band or add `NAME: otherwise`")


def _gaps(intervals: list[tuple[float, float, str]]) -> list[tuple[float, float]]:
    """What lies between sorted intervals and at both ends."""
    edges = [-math.inf, *(edge for low, high, _ in intervals for edge in (low, high)), math.inf]
    pairs = zip(edges[::2], edges[1::2], strict=True)
    return [(a, b) for a, b in pairs if a < b and not math.isclose(a, b, rel_tol=1e-9)]


def _worded(low: float, high: float, dimension: str) -> str:
    if math.isinf(low):
        return f"below {show(high, dimension)}"
    if math.isinf(high):
        return f"above {show(low, dimension)}"
    return f"from {show(low, dimension)} to {show(high, dimension)}"


def _check_words(bands: Bands, known: frozenset[str], spot: Spot) -> None:
    taken: dict[str, str] = {}
    for id_, band in bands.items():
        for word in sorted(band.words):
            if word in taken:
                spot.at(id_).wrong(f"{word} is in {taken[word]} too", "keep it in one outcome")
            taken[word] = id_
    left = sorted(known - taken.keys())
    if left and not any(band.otherwise for band in bands.values()):
        spot.wrong(
            f"no outcome for the reading {', '.join(left)}", "add it to one, or `NAME: otherwise`"
        )
