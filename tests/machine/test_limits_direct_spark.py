"""What the sound direct-spark furnace reads, held against published and usual figures."""

from collections.abc import Callable

import pytest

from lightoff.engine.machine import probe
from lightoff.engine.machine.trace import SATISFIED, Trace
from lightoff.engine.units import UNITS
from tests.conftest import loaded
from tests.machine.direct_spark import FURNACE, input_rate, longest, trace
from tests.machine.readings import CLOSED, INWC, at, microamps

BTU = UNITS["Btu/h"].factor
NO_GAS = "gas-cock.closed"
"""With no gas every try is as long as the module lets it be."""


def pressure(step: str, high: str, low: str) -> Callable[[], float]:
    return lambda: at(trace(), step).pressure(high, low) / INWC


def volts(step: str, one: str, other: str) -> Callable[[], float]:
    return lambda: at(trace(), step).volts(one, other)


def lasts(step: str, *faults: str) -> Callable[[], float]:
    return lambda: longest(trace(*faults), step)


def fahrenheit(name: str) -> Callable[[], float]:
    return lambda: UNITS["F"].from_si(at(trace(), "heating").temperature(name))


def flame_current(step: str) -> Callable[[], float]:
    return lambda: microamps(trace(), step)


LIMITS = [
    # what, how it is read, lowest, highest, source
    ("seconds of draft proving", lasts("proving-draft"), 0.5, 10, "common practice"),
    ("seconds of pre-purge", lasts("pre-purge"), 15, 30, "common practice"),
    ("seconds until lit", lasts("trial-for-ignition"), 0, 4, "published: duration calculus"),
    ("seconds of a failed trial", lasts("trial-for-ignition", NO_GAS), 4, 7, "common practice"),
    (
        "seconds off between trials",
        lasts("inter-purge", NO_GAS),
        20,
        120,
        "published: exercise 500",
    ),
    ("seconds to the blower", lasts("flame-proved"), 30, 45, "common practice"),
    ("seconds of post-purge", lasts("post-purge"), 5, 30, "common practice"),
    ("seconds of blower run-on", lasts("blower-off-delay"), 60, 180, "common practice"),
    ("line volts", volts("heating", "L1", "N"), 114, 126, "published: ANSI C84.1 range A"),
    ("R to C", volts("heating", "R", "C"), 24, 28, "common practice"),
    ("feed of the module", volts("pre-purge", "TH", "C"), 20.4, 26.4, "from memory: 85 to 110 %"),
    ("valve in the trial", volts("trial-for-ignition", "VALVE", "C"), 20.4, 26.4, "from memory"),
    ("across the high limit", volts("heating", "W", "HL-OUT"), 0, CLOSED, "published: closed is 0"),
    ("across the switch", volts("heating", "ROLL-OUT", "PS-OUT"), 0, CLOSED, "common practice"),
    ("inlet at rest", pressure("standby", "INLET", "ROOM"), 11, 13, "common practice"),
    ("inlet burning", pressure("heating", "INLET", "ROOM"), 11, 13, "published: propane 11"),
    ("manifold", pressure("heating", "MANIFOLD", "ROOM"), 10, 11, "published: propane 10 to 11"),
    ("manifold at rest", pressure("standby", "MANIFOLD", "ROOM"), 0, 0, "common practice"),
    ("suction cold", pressure("pre-purge", "ROOM", "COLLECTOR"), 0.5, 1.2, "from memory"),
    ("suction hot", pressure("heating", "ROOM", "COLLECTOR"), 0.55, 1.2, "opens at 0.50"),
    ("external static", pressure("heating", "SUPPLY", "RETURN"), 0.4, 0.6, "published: App. AA"),
    ("flame current, trial", flame_current("trial-for-ignition"), 1, 6, "common practice"),
    ("flame current, heating", flame_current("heating"), 2, 5, "published: 2 to 5 typical"),
    ("flue gas F", fahrenheit("flue"), 275, 400, "common practice: over 275"),
    ("O2 %", lambda: at(trace(), "heating").flue("o2") * 100, 6, 9, "published: 6 to 9"),
    (
        "CO air-free ppm",
        lambda: at(trace(), "heating").flue("co-air-free") * 1e6,
        0,
        100,
        "published: under 100, 400 a stop (ANSI Z21.47)",
    ),
    (
        "CO2 %",
        lambda: at(trace(), "heating").flue("co2") * 100,
        7.7,
        9.8,
        "published: 13.72 ultimate, at 6 to 9 % O2",
    ),
    (
        "temperature rise F",
        lambda: at(trace(), "heating").temperature("rise") * 1.8,
        35,
        65,
        "common practice",
    ),
    ("tries", lambda: loaded().furnaces[FURNACE].sequence.counters["tries"], 1, 5, "from memory"),
]


@pytest.mark.parametrize(
    ("read", "lowest", "highest", "source"),
    [row[1:] for row in LIMITS],
    ids=[row[0] for row in LIMITS],
)
def test_the_sound_furnace_reads_within(
    read: Callable[[], float], lowest: float, highest: float, source: str
) -> None:
    assert lowest <= round(read(), 6) <= highest, source


def test_the_call_goes_from_start_to_stop() -> None:
    assert trace().stalls_in() == SATISFIED


def test_input_rise_and_pressures_are_those_of_the_plate() -> None:
    plate, heating = loaded().furnaces[FURNACE].plate, at(trace(), "heating")
    read = {
        "input": input_rate(trace(), "heating") * BTU,
        "temperature-rise": heating.temperature("rise"),
        "manifold": heating.pressure("MANIFOLD", "ROOM"),
        "inlet": heating.pressure("INLET", "ROOM"),
        "external-static": heating.pressure("SUPPLY", "RETURN"),
    }
    assert read.keys() == plate.keys()
    for name, value in read.items():
        lowest, highest = plate[name]
        assert lowest <= value <= highest, name


def test_an_orifice_passes_what_the_published_formula_says() -> None:
    """1658.5 A K sqrt(h/s) ft3/h; s 1.522 for propane."""
    machine = trace().machine
    inches = machine.number("burners", "orifice") / 0.0254
    each = 1658.5 * 3.14159265 / 4 * inches**2 * 0.9 * (10 / 1.522) ** 0.5
    assert input_rate(trace(), "heating") == pytest.approx(4 * each * 2516.1, rel=0.01)


def _unlit_seconds(played: Trace) -> float:
    """The longest stretch in which gas flows and nothing burns."""
    longest_so_far = running = 0.0
    for segment in played.segments:
        unlit = segment.steady.gas.flow > 0 and not segment.drive.first_lit
        running = running + segment.end - segment.start if unlit else 0.0
        longest_so_far = max(longest_so_far, running)
    return longest_so_far


SOUND_VALVE = [
    fault.id
    for fault in loaded().furnaces[FURNACE].faults.values()
    if fault.id not in ("gas-valve.leaking-by", "gas-relay.welded")
]
"""All but the two faults that let gas by themselves."""


@pytest.mark.parametrize("fault", SOUND_VALVE)
def test_gas_never_flows_unlit_for_longer_than_a_trial(fault: str) -> None:
    """The form of the published duration-calculus property, with the times of this module."""
    assert _unlit_seconds(trace(fault)) <= 6.0 + 1e-6


@pytest.mark.parametrize("fault", ["gas-valve.leaking-by", "gas-relay.welded"])
def test_where_valve_or_output_leaks_gas_flows_unlit_for_long(fault: str) -> None:
    assert _unlit_seconds(trace(fault)) > 20.0


def test_ohms_of_the_sound_parts() -> None:
    assert 10 <= probe.ohms(trace(), "gas-valve") <= 200
    assert probe.ohms(trace(), "burner-ground-wire") < 1.0
