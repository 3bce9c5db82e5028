"""Whole traces against numerical integration: scipy's solve_ivp with events.

From a trace are taken only the discrete states: what each lagging quantity heads for and
how fast, which contacts are closed, which step it is. The values and the clock are the
integration's own from the first second to the last, and so are all crossings; nothing is
put back onto the trace in between, so that a drift of either would add up and show.
"""

from math import inf

import numpy as np
import pytest
from scipy.integrate import solve_ivp

ROUNDING = 1e-6
LONGEST_STEP = 0.7
"""Seconds; under half the shortest lag, since longer steps can jump over a crossing."""
DRAIN_CLEARS_AT = 0.6
"""Share of the flooding level below which a flooded drain runs clear again."""

FAULTS = [
    "filter.plugged",
    "blower.motor-failed",
    "blower.wheel-dirty",
    "cooling-coil.plugged",
    "drain.blocked",
    "vent-pipe.blocked",
    "intake-pipe.draws-flue-gas",
    "collector-hose.pulled-off",
    "pressure-switch.failed-open",
    "igniter.open",
    "igniter.aged",
    "flame-sensor.coated",
    "gas-valve.leaking-by",
    "gas-valve.regulator-high",
    "primary-exchanger.cracked",
    "primary-exchanger.blocked",
    "secondary-exchanger.plugged",
    "thermostat.drops-out",
]


def watched_levels(segment):
    """(quantity, level, +1 rising or -1 falling) of all that would change something."""
    machine = segment.electrics.machine
    for part, threshold in machine.thresholds.items():
        closes_rising = 1 if threshold.closes > threshold.opens else -1
        if segment.standing.positions[part]:
            yield threshold.quantity, threshold.opens, -closes_rising
        elif not threshold.manual_reset:
            yield threshold.quantity, threshold.closes, closes_rising
    yield "igniter.temperature", machine.number("igniter", "lights-at"), 1
    floods = machine.number("drain", "floods-at")
    clears = DRAIN_CLEARS_AT * floods
    yield ("drain.level", clears, -1) if segment.drive.flooded else ("drain.level", floods, 1)


def next_timer(segment, entered, now):
    """The next time at which the call or a timer of the step has something to say."""
    machine = segment.electrics.machine
    call, step = machine.furnace.call, machine.furnace.sequence.steps[segment.step]
    holds = machine.number("thermostat", "holds")
    times = [call.starts, min(call.satisfied, call.starts + holds), call.watched]
    times += [entered + leave.after for leave in step.leaves]
    times += [entered + seconds for _, seconds in step.energise_for]
    return min((time for time in times if time > now + ROUNDING), default=inf)


def events_of(levels, names, values):
    """Terminal events of solve_ivp; none for a level at which a quantity stands already."""
    events = []
    for name, level, direction in levels:
        index = names.index(name)
        if abs(values[index] - level) > ROUNDING * max(1.0, abs(level)):

            def crosses(_, now, index=index, level=level):
                return now[index] - level

            crosses.terminal, crosses.direction = True, direction
            events.append(crosses)
    return events


def integrate(segment, names, values, now, until):
    """(time, values) at the first crossing of a watched level, or at `until`."""
    targets = np.array([segment.steady.targets[name][0] for name in names])
    lags = np.array([segment.steady.targets[name][1] for name in names])
    solution = solve_ivp(
        lambda _, y: (targets - y) / lags,
        (now, until),
        values,
        method="DOP853",
        events=events_of(watched_levels(segment), names, values) or None,
        rtol=1e-9,
        atol=1e-9,
        max_step=LONGEST_STEP,
    )
    return solution.t[-1], solution.y[:, -1]


def differences(trace):
    """(segment, its end as integrated, values as integrated) for each that lasts."""
    names = list(trace.segments[0].quantities)
    values = np.array([trace.segments[0].quantities[name] for name in names])
    now, entered, visit = 0.0, 0.0, trace.segments[0].visit
    for segment in trace.segments:
        if segment.visit != visit:
            visit, entered = segment.visit, now
        if segment.end > segment.start:
            until = next_timer(segment, entered, now)
            now, values = integrate(segment, names, values, now, until)
            yield segment, now, dict(zip(names, values, strict=True))


def assert_agrees(trace, within=ROUNDING):
    last = 0.0
    for segment, end, values in differences(trace):
        assert segment.end == pytest.approx(end, rel=ROUNDING), segment.step
        for name, value in values.items():
            # Draft in Pa and water in m come to rest at 0, where a share means nothing.
            reached = segment.quantity(name, segment.end)
            assert reached == pytest.approx(value, rel=within, abs=1e-8), (segment.step, name)
        last = end
    assert last == trace.call.watched


@pytest.mark.filterwarnings("ignore:invalid value:RuntimeWarning:scipy")  # all at rest: 0/0
@pytest.mark.parametrize("faults", [(), *((fault,) for fault in FAULTS)], ids=lambda f: "".join(f))
def test_events_and_quantities_of_a_trace_are_those_of_the_integration(trace_of, faults):
    assert_agrees(trace_of(*faults))


def test_a_drain_that_floods_and_runs_clear_does_so_where_integration_finds_it(trace_of):
    resistance = 4 * trace_of().machine.number("drain", "resistance")
    trace = trace_of(overrides={("drain", "resistance"): resistance})
    flooded = [segment.drive.flooded for segment in trace.segments]
    assert True in flooded
    assert not flooded[-1]
    # The level is set 1e-9 m past what it crosses: some 10 microseconds of a slow drain.
    assert_agrees(trace, within=1e-5)


def test_the_traces_hold_crossings_of_every_watched_quantity(trace_of):
    """Otherwise the comparison would say nothing of some of them."""
    crossed = set()
    for fault in FAULTS:
        for segment in trace_of(fault).segments:
            for name, level, _ in watched_levels(segment):
                if segment.quantity(name, segment.end) == pytest.approx(level, rel=1e-8):
                    crossed.add((name, level))
    assert {name for name, _ in crossed} == {
        "pressure-switch.draft",
        "exchanger",
        "rollout",
        "igniter.temperature",
        "drain.level",
    }
