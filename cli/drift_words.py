"""Readings of the years before, and how they move, in words."""

from __future__ import annotations

from datetime import date
from math import isfinite

from lightoff.engine import units
from lightoff.engine.reasoning.visits import SOON, Course, Taken

EARLIER = 3
"""Earlier readings named behind a new one."""
DAYS_OLD, MONTHS_OLD = 45, 320
"""Days up to which an age is told in days, and in months."""
A_MONTH, A_YEAR = 30.44, 365.25


def earlier_rows(course: Course) -> tuple[str, ...]:
    """What was read before the present visit, how it moves, and what that means."""
    if len(course.readings) < 2 or course.readings[-1].visit:
        return ()
    *before, last = course.readings
    named = ", ".join(
        f"{ago((last.day - each.day).days)} {in_words(course, each)}"
        for each in reversed(before[-EARLIER:])
    )
    moves = "put right, so it begins anew" if last.anew else drift_in_words(course)
    said = f"{named[:1].upper()}{named[1:]}{': ' if moves else ''}{moves}."
    return (said, course.meaning) if course.matters and course.meaning else (said,)


def drift_in_words(course: Course) -> str:
    """How the readings since the last repair move; "" if there are too few to say."""
    moves = course.drift
    if moves is None:
        return ""
    if not moves.is_clear:
        return "no clear drift"
    way = "falling" if moves.is_falling else "rising"
    rate = difference_in_words(moves.per_year, course.item.check.dimension)
    return f"{way} {rate} a year{_ahead(course)}"


def _ahead(course: Course) -> str:
    """The limit ahead, and when it is reached."""
    moves = course.drift
    if moves is None or moves.limit is None or moves.years is None or moves.years > SOON:
        return ""
    limit = units.show(moves.limit, course.item.check.dimension)
    if moves.years == 0.0:
        return f", past the limit of {limit}"
    if moves.years < 1.0:
        return f", at the limit of {limit} within a year"
    about = round(moves.years)
    return f", at the limit of {limit} in about {'a year' if about == 1 else f'{about} years'}"


def in_words(course: Course, taken: Taken) -> str:
    """A reading as the trade writes it."""
    return units.show(taken.value, course.item.check.dimension)


def limits_in_words(course: Course) -> str:
    """What is good, in the units of the readings."""
    low, high = course.item.limits
    dimension = course.item.check.dimension
    if isfinite(low) and isfinite(high) and low:
        first, last = units.show(low, dimension), units.show(high, dimension)
        unit = last.partition(" ")[2]
        return f"{first.removesuffix(f' {unit}')} to {last}"
    if isfinite(high):
        return f"below {units.show(high, dimension)}"
    return f"above {units.show(low, dimension)}"


def difference_in_words(difference: float, dimension: str) -> str:
    """How far two readings are apart, without a sign."""
    of_degrees = "temperature-rise" if dimension == "temperature" else dimension
    return units.show(abs(difference), of_degrees).removesuffix(" rise")


def ago(days: int) -> str:
    """How long ago something was."""
    if days < 1:
        return "the same day"
    if days < DAYS_OLD:
        return "the day before" if days == 1 else f"{days} days ago"
    if days < MONTHS_OLD:
        return f"{days / A_MONTH:.0f} months ago"
    years = round(days / A_YEAR)
    return "a year ago" if years == 1 else f"{years} years ago"


def day_in_words(day: date) -> str:
    """A day as it stands in lists."""
    return day.isoformat()
