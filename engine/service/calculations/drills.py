"""Numbered twist drills, by which the trade names the bore of an orifice."""

from __future__ import annotations

from lightoff.engine.units import INCH

_THOUSANDTHS = (
    *(13.5, 14.5, 16, 18, 20, 21, 22.5, 24, 25, 26),  # no. 80 to 71
    *(28, 29.2, 31, 32, 33, 35, 36, 37, 38, 39),  # no. 70 to 61
    *(40, 41, 42, 43, 46.5, 52, 55, 59.5, 63.5, 67),  # no. 60 to 51
    *(70, 73, 76, 78.5, 81, 82, 86, 89, 93.5, 96),  # no. 50 to 41
    *(98, 99.5, 101.5, 104, 106.5, 110, 111, 113, 116, 120, 128.5),  # no. 40 to 30
)
DRILLS = {80 - index: size / 1000.0 * INCH for index, size in enumerate(_THOUSANDTHS)}
"""Diameter in m by number (from memory; tests hold those that are published)."""


def near_drills(diameter: float) -> str:
    """In words: the numbered drill of a diameter in m, or those on either side of it."""
    smaller = [number for number, size in DRILLS.items() if size <= diameter * (1 + 1e-9)]
    larger = [number for number, size in DRILLS.items() if size > diameter * (1 + 1e-9)]
    if not smaller or not larger:
        return f"It is beyond the numbered drills {max(DRILLS)} to {min(DRILLS)}."
    under, over = min(smaller), max(larger)
    if abs(DRILLS[under] / diameter - 1.0) < 0.002:
        return f"That is a no. {under} drill."
    return f"It lies between drills {_in_words(under)} and {_in_words(over)}."


def _in_words(number: int) -> str:
    return f"no. {number} ({DRILLS[number] / INCH:.4f} in)"
