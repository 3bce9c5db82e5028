"""Both nets of the furnace, in the steps of a call, against the independent exact solver.

From the engine come the branches and their conductances in each standing of the furnace;
the voltages, and the voltage that the transformer hands on, are worked out by lcapy.
"""

from functools import cache

import pytest

from lightoff.engine.machine.plan import Machine
from tests.reference.spice import independent_voltages

FAULTS = [
    "supply.polarity-reversed",
    "supply.neutral-not-bonded",
    "neutral-wire.open",
    "ground-wire.missing",
    "transformer.primary-open",
    "transformer.weak",
    "fuse.poor-contact",
    "high-limit.failed-open",
    "inducer.winding-open",
    "inducer.shorted-to-cabinet",
    "flame-sensor.coated",
    "flame-sensor.insulator-cracked",
    "gas-valve.coil-open",
    "blower.wheel-jammed",
    "thermostat-cable.shorted",
]
CALLS = pytest.mark.parametrize(
    "faults",
    [(), *((fault,) for fault in FAULTS)],
    ids=lambda faults: "".join(faults) or "no-fault",
)


def distinct(trace, conductances):
    """The first segment for each distinct vector of conductances."""
    found = {}
    for segment in trace.segments:
        found.setdefault(conductances(segment.standing), segment)
    return list(found.values())


@cache
def exact(branches, conductances, source, emf):
    """Volts of every terminal against the reference; 0 for one that floats."""
    found = independent_voltages(branches, conductances, source, emf)
    terminals = {terminal for branch in branches for terminal in branch}
    return {terminal: float(found.get(terminal, 0)) for terminal in terminals}


def exact_line(machine: Machine, standing):
    net = machine.plan.line
    emf = machine.number("supply", "volts")
    return exact(net.branches, machine.line_conductances(standing), net.source, emf)


def exact_control(machine: Machine, standing):
    """The 24 V net, fed by the ratio from what the line net holds at the primary."""
    net, line = machine.plan.control, exact_line(machine, standing)
    emf = (line["L1"] - line["N"]) * machine.number("transformer", "ratio")
    if machine.values["transformer"]["primary-resistance"] == "open":
        emf = 0.0
    return exact(net.branches, machine.control_conductances(standing), net.source, emf)


def assert_agrees(solution, emf, expected):
    assert set(expected) == set(solution.net.terminals)
    found = {terminal: solution.potential(terminal) * emf for terminal in expected}
    assert found == pytest.approx(expected, rel=1e-9, abs=1e-9)


@CALLS
def test_line_voltages_agree_in_every_standing_of_the_call(trace_of, faults):
    trace = trace_of(*faults)
    for segment in distinct(trace, trace.machine.line_conductances):
        electrics = segment.electrics
        expected = exact_line(trace.machine, segment.standing)
        assert_agrees(electrics.line, electrics.line_volts, expected)


@CALLS
def test_24_volt_voltages_agree_in_every_standing_of_the_call(trace_of, faults):
    trace = trace_of(*faults)
    for segment in distinct(trace, trace.machine.control_conductances):
        electrics = segment.electrics
        expected = exact_control(trace.machine, segment.standing)
        assert_agrees(electrics.control, electrics.control_volts, expected)


@pytest.mark.parametrize("fault", ["flame-sensor.coated", "flame-sensor.insulator-cracked", ""])
def test_flame_current_agrees(trace_of, fault):
    trace = trace_of(*filter(None, [fault]))
    lit = next(segment for segment in trace.segments if segment.standing.flame > 0)
    volts = exact_line(trace.machine, lit.standing)
    siemens = lit.standing.flame / trace.machine.number("flame-sensor", "flame-resistance")
    rectified = trace.machine.number("flame-sensor", "rectified")
    expected = abs(volts["TIP"] - volts["CHASSIS"]) * siemens * rectified
    assert lit.electrics.flame_current("flame-sensor") == pytest.approx(expected, rel=1e-9)


def test_the_calls_hold_many_distinct_circuits(trace_of):
    """Otherwise the comparison would say little."""
    calls = [trace_of(), *(trace_of(fault) for fault in FAULTS)]
    line = {t.machine.line_conductances(s.standing) for t in calls for s in t.segments}
    control = {t.machine.control_conductances(s.standing) for t in calls for s in t.segments}
    assert len(line) >= 30
    assert len(control) >= 20
