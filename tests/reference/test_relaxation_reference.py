"""Closed-form crossings against numerical integration (scipy solve_ivp with events)."""

import random
from math import exp, inf

import pytest
from scipy.integrate import solve_ivp

from lightoff.engine.machine.airgas import crossing_time, relaxed

CASES = 300
WATCHED = 6.0
"""Time constants for which a case is integrated."""


def integrated(now, target, tau, seconds, *levels):
    """Times of the crossings of each level and the last value, by integration.

    The step is bounded: with scipy's own choice, a crossing between two steps can be lost.
    """

    def crosses(level):
        return lambda _, y: y[0] - level

    solution = solve_ivp(
        lambda _, y: [(target - y[0]) / tau],
        (0.0, seconds),
        [now],
        method="DOP853",
        events=[crosses(level) for level in levels],
        rtol=1e-9,
        atol=1e-9,
        max_step=tau / 2.0,
    )
    return [list(times) for times in solution.t_events], solution.y[0, -1]


def random_case(seed):
    """Start, target, lag, and levels short of, along and past the way of the quantity."""
    draw = random.Random(seed)
    now, target = draw.uniform(-500.0, 500.0), draw.uniform(-500.0, 500.0)
    tau = 10.0 ** draw.uniform(-1.0, 3.0)
    ways = [draw.uniform(-1.0, -0.01), draw.uniform(0.01, 0.99), draw.uniform(1.01, 2.0)]
    return now, target, tau, [now + way * (target - now) for way in ways]


@pytest.mark.parametrize("block", range(10))
def test_every_crossing_is_where_integration_finds_it(block):
    for seed in range(block * CASES // 10, (block + 1) * CASES // 10):
        now, target, tau, levels = random_case(seed)
        seconds = WATCHED * tau
        found, _ = integrated(now, target, tau, seconds, *levels)
        for level, times in zip(levels, found, strict=True):
            expected = crossing_time(now, target, level, tau)
            assert (expected == inf) == (times == []), f"seed {seed}"
            if times:
                assert times == [pytest.approx(expected, rel=1e-6)], f"seed {seed}"


@pytest.mark.parametrize("seed", range(50))
def test_the_value_after_any_time_is_what_integration_gives(seed):
    now, target, tau, _ = random_case(seed)
    seconds = random.Random(seed).uniform(0.0, WATCHED) * tau
    _, value = integrated(now, target, tau, seconds)
    assert relaxed(now, target, tau, seconds) == pytest.approx(value, rel=1e-6, abs=1e-6)


def cycle(turning, opens, closes, targets, tau, count):
    """Switching times of a limit that opens above one level and closes below another."""
    value, heating, clock, times = turning, True, 0.0, []
    for _ in range(count):
        level = opens if heating else closes
        clock += crossing_time(value, targets[heating], level, tau)
        value, heating = level, not heating
        times.append(clock)
    return times


def test_a_cycling_limit_does_not_drift_from_integration():
    opens, closes, tau, targets = 366.0, 350.0, 60.0, {True: 420.0, False: 293.0}
    expected, value, heating, clock = [], 293.0, True, 0.0
    for _ in range(20):
        level = opens if heating else closes
        found, _ = integrated(value, targets[heating], tau, 4.0 * tau, level)
        clock += found[0][0]
        value, heating = level, not heating
        expected.append(clock)
    assert cycle(293.0, opens, closes, targets, tau, 20) == pytest.approx(expected, rel=1e-7)


def test_half_a_time_constant_by_hand():
    level = 100.0 * (1.0 - exp(-0.5))
    assert crossing_time(0.0, 100.0, level, 8.0) == pytest.approx(4.0)
