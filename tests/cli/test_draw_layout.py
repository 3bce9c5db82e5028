"""A net as a ladder, a sequence as a graph, a row of a call: the model alone decides."""

from dataclasses import replace
from itertools import combinations
from pathlib import Path
from xml.etree import ElementTree

import pytest
from hypothesis import given
from hypothesis import strategies as st
from schemdraw import elements

from lightoff.cli.draw import ladder_svg, ladder_text, sequence_svg, symbols
from lightoff.cli.draw.canvas import Canvas, rows_of
from lightoff.cli.draw.flow import flow
from lightoff.cli.draw.ladder import Ladder, ladders, laid_out, strays
from lightoff.cli.draw.marks import Marks, marks
from lightoff.cli.draw.timing_svg import stretches
from lightoff.cli.timing_chart import rows, stays
from lightoff.engine.machine.kinds import KINDS
from lightoff.engine.machine.trace import Trace
from lightoff.engine.model import Furnace, Knowledge, Wire
from tests.small_knowledge import SMALL, write

FED = Wire("transformer", "secondary", "R", "C")


def contact(start: str, end: str) -> Wire:
    return Wire("thermostat", "contacts", start, end)


def check(ladder: Ladder, wires: list[Wire]) -> None:
    """What must hold of any ladder."""
    pieces = [piece for rung in ladder.rungs for piece in rung.pieces]
    assert sorted(map(str, (piece.wire for piece in pieces))) == sorted(map(str, wires))
    for piece in pieces:
        assert {piece.left, piece.right} == {piece.wire.start, piece.wire.end}
        assert ladder.columns[piece.left] < ladder.columns[piece.right]
    for one, other in combinations(ladder.bars, 2):
        (a, b), (c, d) = ladder.bars[one], ladder.bars[other]
        assert ladder.columns[one] != ladder.columns[other] or b < c or d < a
    assert ladder.columns[ladder.left] == 0
    assert ladder.columns[ladder.right] == max(ladder.columns.values())


def test_every_branch_lies_once_on_a_rung_and_runs_from_left_to_right(
    knowledge: Knowledge,
) -> None:
    for furnace in knowledge.furnaces.values():
        drawn = ladders(furnace)
        assert [each.net for each in drawn] == list(furnace.nets)
        for ladder in drawn:
            check(ladder, list(furnace.nets[ladder.net]))


def test_parts_in_series_share_a_rung_in_the_order_of_the_wiring(furnace: Furnace) -> None:
    control = next(each for each in ladders(furnace) if each.net == "control")
    chains = [[piece.wire.part for piece in rung.pieces] for rung in control.rungs]
    assert [
        "thermostat-cable",
        "float-switch",
        "thermostat",
        "thermostat-cable-w",
        "board",
    ] in chains
    assert ["gas-relay", "gas-valve-wire", "gas-valve"] in chains


def test_the_source_lies_on_the_first_rung_between_the_rails(knowledge: Knowledge) -> None:
    for furnace in knowledge.furnaces.values():
        for ladder in ladders(furnace):
            (piece,) = ladder.rungs[0].pieces
            assert (piece.left, piece.right) == (ladder.left, ladder.right)


def test_what_carries_nothing_comes_after_what_does(furnace: Furnace) -> None:
    for ladder in ladders(furnace):
        stray = strays(furnace, furnace.nets[ladder.net])
        for rung in ladder.rungs:
            assert not any(piece.wire in stray for piece in rung.pieces[1:])


@given(st.lists(st.tuples(st.sampled_from("RABDEFC"), st.sampled_from("RABDEFC")), max_size=12))
def test_any_net_can_be_laid_out_with_dead_ends_and_islands(ends: list[tuple[str, str]]) -> None:
    wires = [FED, *(contact(a, b) for a, b in ends if a != b)]
    check(laid_out("control", wires, 0), wires)


def test_a_third_net_is_drawn_like_the_others(furnace: Furnace) -> None:
    wires = (
        Wire("thermocouple", "source", "TC", "TC-RETURN"),
        Wire("high-limit", "contacts", "TC", "ECO"),
        Wire("gas-valve", "hold-coil", "ECO", "TC-RETURN"),
    )
    ladder = laid_out("millivolt", wires, 0)
    check(ladder, list(wires))
    part = replace(furnace.parts["igniter"], id="thermocouple")
    known = replace(furnace, millivolt=wires, parts={**furnace.parts, "thermocouple": part})
    lines = [
        "".join(text for text, _ in line) for line in ladder_text.draw(ladder, marks(known, ()), 80)
    ]
    assert any("ECO" in line and "gas-valve" in line for line in lines)
    ElementTree.fromstring(ladder_svg.draw("T", [], [ladder], marks(known, ())))


def test_a_small_furnace_is_drawn_whole(tmp_path: Path) -> None:
    from lightoff.engine import library

    furnace = library.load(write(tmp_path, SMALL)).furnaces["small"]
    for ladder in ladders(furnace):
        check(ladder, list(furnace.nets[ladder.net]))
    drawn = sequence_svg.draw("Small", [], flow(furnace.sequence), frozenset(), "")
    assert all(step in drawn for step in furnace.sequence.steps)


@pytest.mark.parametrize("name", ["<script>", "a&b", "$\\frac{1}{2}$", "{}", "\x1b[0m", "a_b^c"])
def test_a_terminal_of_any_name_is_only_text(name: str, furnace: Furnace) -> None:
    wires = [FED, contact("R", name), contact(name, "C")]
    ladder = laid_out("control", wires, 0)
    shown = ladder_svg.draw(name, [name], [ladder], Marks(replace(furnace, control=tuple(wires))))
    root = ElementTree.fromstring(shown)
    words = ["".join(each.itertext()) for each in root.iter("{http://www.w3.org/2000/svg}text")]
    assert words.count(name.replace("\x1b", "\\x1b")) == 3  # title, note, terminal


# --- symbols -------------------------------------------------------------------------


def test_every_element_of_the_table_exists() -> None:
    for each in (*symbols.SYMBOLS.values(), symbols.BOX):
        assert each.element in ladder_svg.OWN or hasattr(elements, each.element)


def test_the_table_names_only_kinds_and_branches_that_there_are() -> None:
    branches = {branch for kind in KINDS.values() for branch in kind.branches}
    for kind, branch in symbols.SYMBOLS:
        assert branch in (KINDS[kind].branches if kind else branches)


def test_a_kind_that_is_not_in_the_table_is_a_box() -> None:
    assert symbols.symbol("brand-new-kind", "brand-new-branch") is symbols.BOX


def test_every_symbol_on_the_terminal_is_explained() -> None:
    plain = {symbols.BOND.text}
    signs = {each.text for each in (*symbols.SYMBOLS.values(), symbols.BOX)}
    assert signs - plain == set(ladder_text.SIGNS)


# --- the sequence and the chart ------------------------------------------------------


def test_every_way_out_is_told_by_its_step_or_as_shared(knowledge: Knowledge) -> None:
    for furnace in knowledge.furnaces.values():
        laid = flow(furnace.sequence)
        own = {(place.step.id, way.leave) for place in laid.places for way in place.ways}
        shared = {(step, each.leave) for each in laid.common for step in each.steps}
        every = {(s.id, leave) for s in furnace.sequence.steps.values() for leave in s.leaves}
        assert own | shared == every
        assert not own & shared


def test_a_row_is_on_as_long_as_the_trace_says(any_trace: Trace) -> None:
    for row in rows(any_trace.machine):
        for stay in stays(any_trace):
            length = stay.visit.end - stay.visit.start
            if length:
                drawn = sum(end - start for start, end in stretches(row, stay))
                on = sum(s.end - s.start for s in stay.segments if row.is_on(s))
                assert drawn * length == pytest.approx(on, abs=1e-6)


def test_a_canvas_holds_all_that_was_drawn_on_it() -> None:
    canvas = Canvas("T")
    canvas.text((10, 500), "far down")
    canvas.box((700, 20), 100, 30)
    root = ElementTree.fromstring(canvas.written())
    assert float(root.attrib["width"]) >= 800
    assert float(root.attrib["height"]) >= 500


def test_names_are_broken_at_hyphens_only_where_asked() -> None:
    assert rows_of("to igniter-warm-up", 100, 10) == ["to", "igniter-warm-up"]
    assert rows_of("6 igniter-warm-up", 84, 10, hyphens=True) == ["6 igniter-", "warm-up"]
