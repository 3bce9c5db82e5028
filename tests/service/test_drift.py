"""How a reading moves from visit to visit: rate, what is clear, and the limit ahead."""

from __future__ import annotations

from datetime import date, timedelta
from math import inf, isclose

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from lightoff.engine.service.drift import DAYS_IN_A_YEAR, SHORTEST, Reading, drift

BAND = (1.0, 8.0)
SPREAD = 0.1
TODAY = date(2026, 11, 27)


def years_ago(years: float) -> date:
    return TODAY - timedelta(days=round(years * DAYS_IN_A_YEAR))


values = st.floats(0.1, 100.0)
days = st.dates(date(1990, 1, 1), date(2090, 1, 1))
series = st.lists(st.tuples(days, values), min_size=2, max_size=12)


def test_two_readings_move_by_their_difference_in_a_year() -> None:
    found = drift([(years_ago(1), 3.1), (TODAY, 2.4)], SPREAD, BAND)
    assert found is not None
    assert found.per_year == pytest.approx(-0.7, rel=1e-3)
    assert found.is_clear
    assert found.is_falling
    assert found.limit == 1.0
    assert found.years == pytest.approx(2.0, rel=1e-2)


def test_it_is_told_against_the_earliest_and_against_the_one_before() -> None:
    found = drift([(years_ago(2), 3.9), (years_ago(1), 3.1), (TODAY, 2.4)], SPREAD, BAND)
    assert found is not None
    assert found.since_first == pytest.approx(-1.5)
    assert found.since_previous == pytest.approx(-0.7)


def test_what_rises_moves_to_the_upper_limit() -> None:
    found = drift([(years_ago(1), 6.0), (TODAY, 7.0)], SPREAD, BAND)
    assert found is not None
    assert (found.limit, found.is_falling) == (8.0, False)
    assert found.years == pytest.approx(1.0, rel=1e-2)


def test_towards_a_side_without_a_limit_no_limit_is_ahead() -> None:
    found = drift([(years_ago(1), 6.0), (TODAY, 5.0)], SPREAD, (-inf, 8.0))
    assert found is not None
    assert (found.limit, found.years) == (None, None)


def test_a_limit_that_is_passed_is_no_years_away() -> None:
    found = drift([(years_ago(1), 2.0), (TODAY, 0.5)], SPREAD, BAND)
    assert found is not None
    assert found.years == 0.0


@pytest.mark.parametrize(("change", "is_clear"), [(0.28, False), (0.29, True), (-0.29, True)])
def test_two_readings_differ_clearly_past_two_spreads_of_a_difference(
    change: float, is_clear: bool
) -> None:
    """The spread of a difference is the root of two times that of a reading: here 0.141."""
    found = drift([(years_ago(1), 4.0), (TODAY, 4.0 + change)], SPREAD, BAND)
    assert found is not None
    assert found.is_clear is is_clear


@pytest.mark.parametrize(
    "readings",
    [
        [],
        [(TODAY, 3.0)],
        [(TODAY, 3.0), (TODAY, 1.0)],
        [(TODAY - timedelta(days=SHORTEST - 1), 3.0), (TODAY, 1.0)],
        [(years_ago(1), inf), (TODAY, 3.0)],
    ],
)
def test_too_few_or_too_close_in_time_tells_no_rate(readings: list[Reading]) -> None:
    assert drift(readings, SPREAD, BAND) is None


@given(st.lists(days, min_size=2, max_size=12), values, st.floats(0.0, 10.0))
def test_constant_readings_show_no_drift(when: list[date], value: float, spread: float) -> None:
    found = drift([(day, value) for day in when], spread, BAND)
    assert found is None or (found.per_year, found.is_clear, found.limit) == (0.0, False, None)


@given(series, st.randoms())
def test_the_order_of_readings_does_not_matter(readings, random) -> None:
    shuffled = list(readings)
    random.shuffle(shuffled)
    assert drift(shuffled, SPREAD, BAND) == drift(readings, SPREAD, BAND)


@given(series)
def test_time_reversed_flips_the_sign(readings) -> None:
    turned = [(date(1990, 1, 1) + (date(2090, 1, 1) - day), value) for day, value in readings]
    one, other = drift(readings, SPREAD, BAND), drift(turned, SPREAD, BAND)
    assert (one is None) == (other is None)
    if one is not None and other is not None:
        assert isclose(one.per_year, -other.per_year, rel_tol=1e-6, abs_tol=1e-9)
        assert one.is_clear == other.is_clear or isclose(one.per_year, 0.0, abs_tol=1e-6)


@given(series)
def test_the_rate_is_the_slope_that_numpy_fits(readings) -> None:
    # Reference: numpy.polyfit, least squares by singular values.
    found = drift(readings, SPREAD, BAND)
    if found is not None:
        first = min(day for day, _ in readings)
        years = [(day - first).days / DAYS_IN_A_YEAR for day, _ in readings]
        slope = np.polyfit(years, [value for _, value in readings], 1)[0]
        assert isclose(found.per_year, slope, rel_tol=1e-6, abs_tol=1e-7)


@given(series, st.floats(0.0, 5.0), st.floats(0.0, 5.0))
def test_what_is_clear_to_a_coarse_meter_is_clear_to_a_fine_one(readings, one, other) -> None:
    fine, coarse = sorted((one, other))
    if (found := drift(readings, coarse, BAND)) is not None and found.is_clear:
        sharper = drift(readings, fine, BAND)
        assert sharper is not None
        assert sharper.is_clear
