"""The electrical net: laws it must keep, islands, meters, and wrong use."""

import math
from itertools import pairwise

import hypothesis.strategies as st
import networkx
import pytest
from hypothesis import given

from lightoff.engine.machine import circuit
from lightoff.engine.machine.circuit import Net, Solution

CONTACT = 50.0
ROUNDING = 1e-14
"""Share of the emf that the difference of two nearly equal potentials may be off."""

siemens = st.floats(math.log(1e-8), math.log(CONTACT)).map(math.exp)
open_or_siemens = st.one_of(st.just(0.0), siemens, st.just(CONTACT))
emfs = st.sampled_from([24.0, 85.0, 120.0])


@st.composite
def circuits(draw: st.DrawFn) -> tuple[list[tuple[str, str]], list[float]]:
    """Random branches and their conductances; the first branch is the source."""
    terminals = [f"T{k}" for k in range(draw(st.integers(2, 8)))]
    terminal = st.sampled_from(terminals)
    ends = st.tuples(terminal, terminal).filter(lambda pair: pair[0] != pair[1])
    others = draw(st.lists(st.tuples(ends, open_or_siemens), min_size=1, max_size=16))
    branches = [("T0", "T1"), *(pair for pair, _ in others)]
    return branches, [draw(siemens), *(conductance for _, conductance in others)]


def solved(branches: list[tuple[str, str]], conductances: list[float]) -> Solution:
    return Net(branches, 0).solve(tuple(conductances))


# --- laws -----------------------------------------------------------------------------


@given(circuits(), emfs)
def test_the_currents_at_every_terminal_add_up_to_nothing(
    drawn: tuple[list[tuple[str, str]], list[float]], emf: float
) -> None:
    branches, conductances = drawn
    solution = solved(branches, conductances)
    leaving = dict.fromkeys(solution.net.terminals, 0.0)
    through = dict.fromkeys(solution.net.terminals, 0.0)
    for index, (start, end) in enumerate(branches):
        # The source delivers into the terminal where it starts.
        amperes = solution.current(index, emf) * (-1 if index == 0 else 1)
        leaving[start] += amperes
        leaving[end] -= amperes
        for terminal in (start, end):
            through[terminal] += conductances[index]
    for terminal, rest in leaving.items():
        assert abs(rest) <= ROUNDING * emf * through[terminal]


@given(circuits(), st.tuples(open_or_siemens, open_or_siemens), siemens, st.data())
def test_closing_a_switch_never_lowers_the_current_of_the_load_in_series_with_it(
    drawn: tuple[list[tuple[str, str]], list[float]],
    positions: tuple[float, float],
    load: float,
    data: st.DataObject,
) -> None:
    branches, conductances = drawn
    names = st.sampled_from(Net(branches, 0).terminals)
    switch, loaded = (data.draw(names), "SWITCHED"), ("SWITCHED", data.draw(names))
    net = Net([*branches, switch, loaded], 0)
    before, after = (
        abs(net.solve((*conductances, position, load)).current(len(branches) + 1, 24.0))
        for position in sorted(positions)
    )
    assert after >= before * (1 - 1e-12) - ROUNDING * 24.0 * load


@given(circuits(), st.data())
def test_a_source_moved_to_another_branch_drives_the_same_current_back(
    drawn: tuple[list[tuple[str, str]], list[float]], data: st.DataObject
) -> None:
    branches, conductances = drawn
    other = data.draw(st.integers(1, len(branches) - 1))
    there = Net(branches, 0).solve(tuple(conductances)).current(other, 1.0)
    back = Net(branches, other).solve(tuple(conductances)).current(0, 1.0)
    assert there == pytest.approx(
        back, rel=1e-9, abs=ROUNDING * max(conductances[0], conductances[other])
    )


@given(circuits(), st.data())
def test_resistance_is_the_same_from_either_end(
    drawn: tuple[list[tuple[str, str]], list[float]], data: st.DataObject
) -> None:
    branches, conductances = drawn
    names = st.sampled_from(Net(branches, 0).terminals)
    a, b = data.draw(names), data.draw(names)
    there = solved(branches, conductances).resistance(a, b)
    assert there == Net(branches, 0).solve(tuple(conductances)).resistance(b, a)
    assert there >= 0.0


@given(circuits(), st.floats(0.1, 1000.0), st.data())
def test_everything_scales_with_the_emf(
    drawn: tuple[list[tuple[str, str]], list[float]], emf: float, data: st.DataObject
) -> None:
    solution = solved(*drawn)
    names = st.sampled_from(solution.net.terminals)
    a, b = data.draw(names), data.draw(names)
    index = data.draw(st.integers(0, len(drawn[0]) - 1))
    assert solution.volts(a, b, emf) == pytest.approx(emf * solution.volts(a, b, 1.0), rel=1e-12)
    assert solution.current(index, emf) == pytest.approx(emf * solution.current(index, 1.0))
    assert solution.volts(a, b, 0.0) == 0.0


# --- meters ---------------------------------------------------------------------------


@given(circuits(), st.floats(1e3, 1e9), st.data())
def test_a_meter_lowers_what_it_reads_and_never_raises_it(
    drawn: tuple[list[tuple[str, str]], list[float]], meter_ohms: float, data: st.DataObject
) -> None:
    solution = solved(*drawn)
    names = st.sampled_from(solution.net.terminals)
    a, b = data.draw(names), data.draw(names)
    unloaded = abs(solution.potential(a) - solution.potential(b))
    coarse = abs(solution.volts(a, b, 1.0, meter_ohms))
    fine = abs(solution.volts(a, b, 1.0, 10 * meter_ohms))
    assert coarse <= fine * (1 + 1e-12)
    assert fine <= unloaded * (1 + 1e-12)


@given(circuits(), st.floats(1e5, 1e8), st.data())
def test_a_reading_is_the_voltage_with_the_meter_wired_in_as_a_branch(
    drawn: tuple[list[tuple[str, str]], list[float]], meter_ohms: float, data: st.DataObject
) -> None:
    branches, conductances = drawn
    solution = solved(branches, conductances)
    names = st.sampled_from(solution.net.terminals)
    a, b = data.draw(st.tuples(names, names).filter(lambda pair: pair[0] != pair[1]))
    loaded = solved([*branches, (a, b)], [*conductances, 1 / meter_ohms])
    expected = (loaded.potential(a) - loaded.potential(b)) * 24.0
    assert solution.volts(a, b, 24.0, meter_ohms) == pytest.approx(
        expected, rel=1e-9, abs=ROUNDING * 24.0
    )


def test_a_meter_behind_as_much_resistance_as_its_own_reads_half() -> None:
    solution = solved([("R", "C"), ("R", "X"), ("X", "Y")], [CONTACT, 1 / 10e6, CONTACT])
    assert solution.volts("Y", "C", 24.0) == pytest.approx(12.0, rel=1e-6)


def test_a_reading_changes_sign_with_the_leads_swapped() -> None:
    solution = solved([("R", "C"), ("R", "X"), ("X", "C")], [CONTACT, 0.1, 0.1])
    assert solution.volts("R", "C", 24.0) > 23.9
    assert solution.volts("C", "R", 24.0) == -solution.volts("R", "C", 24.0)
    assert solution.volts("R", "R", 24.0) == 0.0


# --- islands --------------------------------------------------------------------------

STRING = [("R", "C"), ("R", "A"), ("A", "B"), ("B", "W"), ("W", "C")]


def test_two_opens_in_a_string_read_nothing_across_each_and_all_across_both() -> None:
    solution = solved(STRING, [CONTACT, 0.0, CONTACT, 0.0, 0.01])
    assert solution.volts("R", "A", 24.0) == 0.0
    assert solution.volts("B", "W", 24.0) == 0.0
    assert solution.volts("R", "W", 24.0) == pytest.approx(24.0, rel=1e-4)


def test_one_open_in_a_string_has_the_whole_voltage_across_it() -> None:
    solution = solved(STRING, [CONTACT, CONTACT, 0.0, CONTACT, 0.01])
    assert solution.volts("A", "B", 24.0) == pytest.approx(24.0, rel=1e-4)
    assert solution.volts("R", "A", 24.0) == 0.0
    assert solution.volts("B", "W", 24.0) == 0.0


def test_nothing_flows_and_nothing_reads_in_an_island() -> None:
    branches = [*STRING, ("A", "B")]
    solution = solved(branches, [CONTACT, 0.0, 0.1, 0.0, 0.01, 2.0])
    assert [solution.current(index, 24.0) for index in range(len(branches))] == [0.0] * 6
    assert solution.volts("A", "B", 24.0) == 0.0
    assert solution.resistance("A", "B") == pytest.approx(1 / 2.1)


def test_a_source_that_is_open_leaves_everything_dead() -> None:
    solution = solved(STRING, [0.0, CONTACT, CONTACT, CONTACT, 0.01])
    assert [solution.potential(each) for each in solution.net.terminals] == [0.0] * 5
    assert [solution.current(index, 24.0) for index in range(5)] == [0.0] * 5
    assert solution.volts("R", "C", 24.0) == 0.0


@pytest.mark.parametrize("own", [0.0, 3.0])
def test_a_net_of_opens_has_only_what_its_source_gives(own: float) -> None:
    solution = solved(STRING, [own, 0.0, 0.0, 0.0, 0.0])
    assert solution.volts("R", "C", 24.0) == pytest.approx(24.0 if own else 0.0, rel=1e-6)
    assert solution.volts("A", "C", 24.0) == 0.0
    assert solution.current(0, 24.0) == 0.0


@given(circuits(), st.data())
def test_islands_are_the_connected_parts_of_the_ladder_without_its_opens(
    drawn: tuple[list[tuple[str, str]], list[float]], data: st.DataObject
) -> None:
    branches, conductances = drawn
    conductances[0] = data.draw(open_or_siemens)
    net = Net(branches, 0)
    solution = net.solve(tuple(conductances))
    graph = net.ladder()
    graph.remove_edges_from(
        [(*edge, key) for *edge, key in graph.edges(keys=True) if conductances[key] == 0.0]
    )
    for a in net.terminals:
        joined = networkx.node_connected_component(graph, a)
        for b in net.terminals:
            assert math.isinf(solution.resistance(a, b)) == (b not in joined)


# --- figures known in closed form -----------------------------------------------------


def test_resistances_in_series_add_and_conductances_in_parallel_add() -> None:
    solution = solved(
        [("R", "C"), ("R", "A"), ("A", "B"), ("A", "B")], [1 / 2.0, 1 / 5.0, 1 / 30.0, 1 / 60.0]
    )
    assert solution.resistance("R", "B") == pytest.approx(25.0)
    assert solution.resistance("C", "B") == pytest.approx(27.0)


def test_a_voltage_divider_divides_by_its_resistances() -> None:
    solution = solved([("R", "C"), ("R", "A"), ("A", "C")], [1 / 2.0, 1 / 15.0, 1 / 60.0])
    assert solution.potential("A") == pytest.approx(60 / 77)
    assert solution.potential("C") == 0.0
    assert solution.current(0, 24.0) == pytest.approx(24 / 77)
    assert solution.current(1, 24.0) == pytest.approx(24 / 77)


@pytest.mark.parametrize("flame_ohms", [1e6, 12e6, 100e6])
@pytest.mark.parametrize("contacts", [1, 4, 12])
def test_the_flame_current_keeps_its_digits_beside_contacts_and_motors(
    flame_ohms: float, contacts: int
) -> None:
    wires = [f"W{k}" for k in range(contacts)]
    path = ["L", "SENSE", *wires, "TIP", "N"]
    branches = [("L", "N"), ("L", "N"), *pairwise(path)]
    ohms = [0.3, 6.0, 1e6, *[0.02] * contacts, 1e5, flame_ohms]
    flame = solved(branches, [1 / each for each in ohms]).current(len(branches) - 1, 120.0)
    behind = sum(ohms[2:])
    at_the_motor = 120.0 / (1 + 0.3 / 6.0 + 0.3 / behind)
    assert flame == pytest.approx(at_the_motor / behind, rel=1e-12)


def test_a_current_hidden_between_two_weak_paths_keeps_its_digits() -> None:
    path = ["L", *(f"W{k}" for k in range(14)), "N"]
    branches = [("L", "N"), *pairwise(path)]
    ohms = [0.3, 1e8, *[0.02] * 13, 1e8]
    solution = solved(branches, [1 / each for each in ohms])
    assert solution.current(len(branches) - 1, 120.0) == pytest.approx(120.0 / sum(ohms), rel=1e-12)


# --- memory ---------------------------------------------------------------------------


def test_the_same_conductances_give_the_remembered_solution() -> None:
    net = Net(STRING, 0)
    assert net.solve((1.0,) * 5) is net.solve((1.0,) * 5)
    assert net.solve((1.0,) * 5) is not net.solve((2.0,) * 5)


def test_a_net_forgets_the_oldest_solution_when_it_holds_too_many(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(circuit, "REMEMBERED", 2)
    net = Net(STRING, 0)
    first, second, third = (net.solve((float(own), 1.0, 1.0, 1.0, 1.0)) for own in (1, 2, 3))
    assert net.solve((3.0, 1.0, 1.0, 1.0, 1.0)) is third
    assert net.solve((2.0, 1.0, 1.0, 1.0, 1.0)) is second
    assert net.solve((1.0, 1.0, 1.0, 1.0, 1.0)) is not first


# --- the ladder, and wrong use --------------------------------------------------------


def test_the_ladder_has_every_terminal_and_one_edge_for_each_branch() -> None:
    graph = Net([*STRING, ("A", "B")], 0).ladder()
    assert sorted(graph.nodes) == ["A", "B", "C", "R", "W"]
    assert sorted(key for _, _, key in graph.edges(keys=True)) == [0, 1, 2, 3, 4, 5]
    assert [key for _, _, key, source in graph.edges(keys=True, data="source") if source] == [0]


def test_an_unknown_terminal_is_named_together_with_the_known_ones() -> None:
    solution = solved(STRING, [1.0] * 5)
    for ask in (
        lambda: solution.potential("Q"),
        lambda: solution.volts("R", "Q", 24.0),
        lambda: solution.volts("Q", "R", 24.0),
        lambda: solution.resistance("Q", "R"),
    ):
        with pytest.raises(KeyError, match="no terminal Q in this net; it has R, C, A, B, W"):
            ask()


@pytest.mark.parametrize("wrong", [-1.0, math.nan, math.inf])
def test_a_conductance_that_no_branch_can_have_is_refused(wrong: float) -> None:
    with pytest.raises(ValueError, match="between A and B"):
        Net(STRING, 0).solve((1.0, 1.0, wrong, 1.0, 1.0))


@pytest.mark.parametrize("count", [0, 4, 6])
def test_a_wrong_number_of_conductances_is_refused(count: int) -> None:
    with pytest.raises(ValueError, match=f"{count} conductances for 5 branches"):
        Net(STRING, 0).solve((1.0,) * count)


@pytest.mark.parametrize("source", [-1, 5])
def test_a_source_that_is_not_a_branch_is_refused(source: int) -> None:
    with pytest.raises(ValueError, match="not one of the 5 branches"):
        Net(STRING, source)


def test_a_branch_that_starts_where_it_ends_is_refused() -> None:
    with pytest.raises(ValueError, match="starts and ends at A"):
        Net([*STRING, ("A", "A")], 0)
