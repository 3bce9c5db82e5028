"""How what is read on a furnace moves from visit to visit.

The rate is that of the line through the readings by least squares, which with two of them
is their difference. What the instrument and the weather alone may make of it is no drift.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from math import fsum, isfinite, sqrt

DAYS_IN_A_YEAR = 365.25
SHORTEST = 90
"""Days between the first reading and the last from which a rate is told: within a season it
would be carried too far (from memory)."""
CLEARLY = 2.0
"""Standard deviations of the rate from which it is more than chance: about 1 in 20 is not."""

Reading = tuple[date, float]
"""Day, and value in SI units."""


@dataclass(frozen=True, slots=True)
class Drift:
    """How readings move; rates and values in SI units."""

    per_year: float
    """Change in a year: below zero while they fall."""
    since_first: float
    since_previous: float
    """What the last reading has on the first one, and on the one before it."""
    is_clear: bool
    """More than the instrument and what varies by itself would make of it."""
    limit: float | None
    """The end of what is good that they move towards; None if there is none on that side."""
    years: float | None
    """Years from the last reading to that end at this rate, 0 if it is past it."""

    @property
    def is_falling(self) -> bool:
        return self.per_year < 0.0


def drift(readings: Iterable[Reading], spread: float, limits: tuple[float, float]) -> Drift | None:
    """How readings move, in whatever order they are given; None if too few or too close in time.

    `spread` is the standard deviation of one reading around its true value, `limits` the
    lowest and the highest that are good, all in SI units. Endless readings do not count.
    """
    taken = sorted(each for each in readings if isfinite(each[1]))
    if len(taken) < 2 or (taken[-1][0] - taken[0][0]).days < SHORTEST:
        return None
    rate, reach = _line(taken)
    last = taken[-1][1]
    limit = _ahead(rate, limits)
    return Drift(
        per_year=rate,
        since_first=last - taken[0][1],
        since_previous=last - taken[-2][1],
        is_clear=abs(rate) * reach > CLEARLY * spread,
        limit=limit,
        years=None if limit is None else max(0.0, (limit - last) / rate),
    )


def _line(taken: list[Reading]) -> tuple[float, float]:
    """The rate in a year, and the root of the summed squares of years from their mean.

    The standard deviation of the rate is that of one reading over the latter.
    """
    years = [(day - taken[0][0]).days / DAYS_IN_A_YEAR for day, _ in taken]
    values = [value for _, value in taken]
    middle, level = fsum(years) / len(years), fsum(values) / len(values)
    squares = fsum((year - middle) ** 2 for year in years)
    if min(values) == max(values):
        return 0.0, sqrt(squares)
    products = (
        (year - middle) * (value - level) for year, value in zip(years, values, strict=True)
    )
    return fsum(products) / squares, sqrt(squares)


def _ahead(rate: float, limits: tuple[float, float]) -> float | None:
    """The limit that a rate leads to; None if it leads to none."""
    limit = limits[rate > 0.0]
    return limit if rate and isfinite(limit) else None
