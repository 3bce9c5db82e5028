"""The circuit against an independent solver, and against published meter examples."""

import math
import random
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from itertools import pairwise

import pytest

from lightoff.engine.machine.circuit import METER_OHMS, Net
from tests.reference.spice import independent_voltages

CONTACT = 50.0
"""Siemens of a sound contact, 0.02 ohm."""

FLAME = 1e-8
"""Siemens of the weakest flame, 100 Mohm."""


@dataclass(frozen=True)
class Circuit:
    branches: list[tuple[str, str]]
    conductances: list[float]
    emf: float


def anything(chance: random.Random) -> float:
    """Open, a contact, a flame, or anything between those two."""
    between = math.exp(chance.uniform(math.log(FLAME), math.log(CONTACT)))
    return chance.choice([0.0, 0.0, CONTACT, FLAME, between, between])


def ladder(chance: random.Random) -> list[tuple[str, str]]:
    """A string from the hot side with loads to common, as in a wiring diagram."""
    string = ["HOT", *(f"T{k}" for k in range(chance.randint(3, 12)))]
    rungs = [(terminal, "COMMON") for terminal in string if chance.random() < 0.5]
    return [*pairwise(string), *rungs, (string[-1], "COMMON")]


def mesh(chance: random.Random) -> list[tuple[str, str]]:
    """Terminals joined at random, some of them twice."""
    terminals = ["HOT", "COMMON", *(f"T{k}" for k in range(chance.randint(2, 9)))]
    ends = [
        (chance.choice(terminals), chance.choice(terminals)) for _ in range(chance.randint(4, 20))
    ]
    return [(start, end) for start, end in ends if start != end]


def generated(seed: int) -> Circuit:
    chance = random.Random(seed)
    branches = (ladder if seed % 2 else mesh)(chance)
    conductances = [anything(chance) for _ in branches]
    source = 1.0 / chance.uniform(0.2, 20.0)
    emf = chance.choice([24.0, 26.5, 85.0, 120.0])
    return Circuit([("HOT", "COMMON"), *branches], [source, *conductances], emf)


@cache
def expected_volts(seed: int) -> dict[str, Fraction]:
    circuit = generated(seed)
    return independent_voltages(circuit.branches, circuit.conductances, 0, circuit.emf)


@pytest.mark.parametrize("seed", range(240))
def test_node_voltages_agree_with_the_independent_solver(seed: int) -> None:
    circuit = generated(seed)
    solution = Net(circuit.branches, 0).solve(tuple(circuit.conductances))
    expected = expected_volts(seed)
    for terminal in solution.net.terminals:
        volts = solution.potential(terminal) * circuit.emf
        assert volts == pytest.approx(float(expected.get(terminal, 0)), rel=1e-12, abs=0)


@pytest.mark.parametrize("seed", range(240))
def test_branch_currents_agree_with_the_independent_solver(seed: int) -> None:
    circuit = generated(seed)
    solution = Net(circuit.branches, 0).solve(tuple(circuit.conductances))
    volts = expected_volts(seed)
    ends_and_conductances = zip(circuit.branches, circuit.conductances, strict=True)
    for index, ((start, end), siemens) in list(enumerate(ends_and_conductances))[1:]:
        drop = volts.get(start, 0) - volts.get(end, 0) if siemens else 0
        # Two nearly equal potentials leave their last digits: 1e-15 of the emf.
        assert solution.current(index, circuit.emf) == pytest.approx(
            siemens * float(drop), rel=1e-12, abs=1e-15 * circuit.emf * siemens
        )


@pytest.mark.parametrize("seed", range(80))
def test_a_reading_is_what_the_independent_solver_finds_with_the_meter_wired_in(seed: int) -> None:
    circuit = generated(seed)
    solution = Net(circuit.branches, 0).solve(tuple(circuit.conductances))
    a, b = random.Random(seed).sample(solution.net.terminals, 2)
    volts = independent_voltages(
        [*circuit.branches, (a, b)], [*circuit.conductances, 1 / METER_OHMS], 0, circuit.emf
    )
    expected = float(volts[a] - volts[b]) if a in volts and b in volts else 0.0
    reading = solution.volts(a, b, circuit.emf)
    assert reading == pytest.approx(expected, rel=1e-9, abs=1e-14 * circuit.emf)


def test_the_generated_circuits_hold_opens_islands_and_the_whole_range() -> None:
    circuits = [generated(seed) for seed in range(240)]
    used = {siemens for circuit in circuits for siemens in circuit.conductances}
    nets = [Net(circuit.branches, 0) for circuit in circuits]
    with_islands = sum(len(expected_volts(k)) < len(nets[k].terminals) for k in range(240))
    assert {0.0, CONTACT, FLAME} <= used
    assert 60 < with_islands < 180


# --- published worked examples --------------------------------------------------------

OPEN = 0.0
STIFF = 1 / 0.05
"""Siemens of a source whose own drop does not show in a reading."""


def readings(net: Net, conductances: list[float], emf: float, common: str) -> dict[str, float]:
    solution = net.solve(tuple(conductances))
    return {terminal: solution.volts(terminal, common, emf) for terminal in net.terminals}


HOPSCOTCH = Net([("L1", "N"), ("L1", "1"), ("1", "2"), ("2", "3"), ("3", "N")], source=0)


def test_hopscotch_reads_115_up_to_the_open_contact_and_0_behind_it() -> None:
    """Trade press: one lead on the far line, the other hops from contact to contact."""
    volts = readings(HOPSCOTCH, [STIFF, CONTACT, CONTACT, OPEN, 1 / 200], 115.0, "N")
    hopped = [volts[each] for each in ("L1", "1", "2", "3")]
    assert hopped == pytest.approx([115, 115, 115, 0], abs=0.1)


def test_hopscotch_reads_115_before_and_after_every_closed_contact() -> None:
    """Trade press: the same reading on both sides means closed."""
    volts = readings(HOPSCOTCH, [STIFF, CONTACT, CONTACT, CONTACT, 1 / 200], 115.0, "N")
    hopped = [volts[each] for each in ("L1", "1", "2", "3")]
    assert hopped == pytest.approx([115] * 4, abs=0.1)


BUTTON_AND_COIL = Net(
    [("A", "F"), ("A", "B"), ("B", "C"), ("C", "D"), ("D", "E"), ("E", "F")], source=0
)
COIL = 1 / 100


def button_and_coil(
    *,
    pressed: bool,
    supply: float = 24.0,
    wire: float = CONTACT,
    coil: float = COIL,
    stuck: bool = False,
) -> str:
    """The worksheet's six readings against F, rounded, in the order of its points."""
    button = CONTACT if pressed or stuck else OPEN
    conductances = [STIFF, CONTACT, button, wire, coil, CONTACT]
    volts = readings(BUTTON_AND_COIL, conductances, supply, "F")
    return " ".join(f"{volts[point] + 0.0:.0f}" for point in "ABCDEF")


@pytest.mark.parametrize(
    ("case", "released", "pressed"),
    [
        ({}, "24 24 0 0 0 0", "24 24 24 24 0 0"),
        ({"wire": OPEN}, "24 24 0 0 0 0", "24 24 24 0 0 0"),
        ({"supply": 0.0}, "0 0 0 0 0 0", "0 0 0 0 0 0"),
        ({"stuck": True}, "24 24 24 24 0 0", "24 24 24 24 0 0"),
        ({"coil": 10 * COIL}, "24 24 0 0 0 0", "24 24 24 24 0 0"),
    ],
    ids=["sound", "wire C-D broken", "supply dead", "button stuck closed", "wrong coil"],
)
def test_button_and_coil_read_as_in_the_worksheet(
    case: dict[str, float], released: str, pressed: str
) -> None:
    """Educational worksheets on troubleshooting electrical devices."""
    assert button_and_coil(pressed=False, **case) == released
    assert button_and_coil(pressed=True, **case) == pressed


SERIES = Net([("P", "M"), ("P", "1"), ("1", "2"), ("2", "3"), ("3", "M")], source=0)
ACROSS = [("P", "1"), ("1", "2"), ("2", "3"), ("3", "M")]
SERIES_OHMS = [22.0, 3.3, 0.5, 50.0]


def series_drops(changed: dict[int, float]) -> list[float]:
    """Readings across R1 to R4 at 12 V with 0.6 ohm in the source; `changed` in siemens."""
    conductances = [changed.get(k, 1 / ohms) for k, ohms in enumerate(SERIES_OHMS, 1)]
    solution = SERIES.solve((1 / 0.6, *conductances))
    return [solution.volts(a, b, 12.0) for a, b in ACROSS]


SHORTED = 1e7


@pytest.mark.parametrize(
    ("changed", "published"),
    [
        ({}, [3.456, 0.518, 0.079, 7.853]),
        ({1: SHORTED}, [0.0, 0.728, 0.110, 11.03]),
        ({4: SHORTED}, [10.00, 1.500, 0.227, 0.0]),
        ({1: OPEN}, [12.00, 0, 0, 0]),
        ({2: OPEN}, [0, 12.00, 0, 0]),
        ({3: OPEN}, [0, 0, 12.00, 0]),
        ({4: OPEN}, [0, 0, 0, 12.00]),
    ],
)
def test_series_resistors_read_as_in_the_published_problem(
    changed: dict[int, float], published: list[float]
) -> None:
    """Series circuit problem, 12 V, 22/3.3/0.5/50 ohm; figures recomputed with 0.6 ohm."""
    drops = series_drops(changed)
    assert drops == pytest.approx(published, rel=5e-4, abs=0.0005)


@pytest.mark.parametrize("place", [1, 2, 3, 4])
def test_an_open_element_drops_the_whole_source_voltage_and_good_ones_none(place: int) -> None:
    """FAA AMT Handbook; NAVEDTRA 14259 p. 14-18: voltage across a path means open."""
    drops = series_drops({place: OPEN})
    assert drops.pop(place - 1) == pytest.approx(12.0, abs=0.001)
    assert drops == pytest.approx([0.0, 0.0, 0.0], abs=1e-9)


@pytest.mark.parametrize("place", [1, 2, 3, 4])
def test_a_shorted_element_reads_0_while_the_others_share(place: int) -> None:
    """FAA AMT Handbook."""
    sound, drops = series_drops({}), series_drops({place: SHORTED})
    assert drops.pop(place - 1) == pytest.approx(0.0, abs=0.0005)
    sound.pop(place - 1)
    assert all(now > before for now, before in zip(drops, sound, strict=True))


def test_a_voltmeter_cannot_find_one_open_parallel_branch() -> None:
    """FAA AMT Handbook."""
    lamps = Net([("P", "M"), ("P", "M"), ("P", "M"), ("P", "M")], source=0)
    all_good = lamps.solve((STIFF, 0.1, 0.1, 0.1)).volts("P", "M", 24.0)
    one_open = lamps.solve((STIFF, 0.1, OPEN, 0.1)).volts("P", "M", 24.0)
    assert one_open == pytest.approx(all_good, rel=0.01)
    assert one_open > 23


def test_two_opens_in_a_string_read_0_across_each_and_24_across_both() -> None:
    """Computed trap: 0 V proves closed only with current flowing or a reading to common."""
    solution = SERIES.solve((STIFF, OPEN, CONTACT, OPEN, 1 / 60))
    assert solution.volts("P", "1", 24.0) == 0.0
    assert solution.volts("2", "3", 24.0) == 0.0
    assert solution.volts("P", "3", 24.0) == pytest.approx(24.00, abs=0.005)


def test_a_15_ohm_contact_takes_4_79_volts_from_a_60_ohm_load() -> None:
    """Computed trap, 24 V. The 0.15 ohm of the source is chosen to fit: none is stated."""
    string = Net([("R", "C"), ("R", "1"), ("1", "C")], source=0)
    solution = string.solve((1 / 0.15, 1 / 15, 1 / 60))
    assert solution.volts("R", "1", 24.0) == pytest.approx(4.79, abs=0.005)
    assert solution.volts("1", "C", 24.0) == pytest.approx(19.16, abs=0.005)
