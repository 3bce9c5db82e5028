"""The repairs as a whole: what every one of them must say, whatever it mends."""

import re
from collections.abc import Iterable, Iterator
from pathlib import Path

import pytest

from lightoff.cli import pages
from lightoff.cli.lines import HEADS, numbered, section_lines
from lightoff.engine.entries.lists import REPAIR_SECTIONS, RepairEntry
from lightoff.engine.model import Furnace, Knowledge
from tests.conftest import loaded
from tests.small_knowledge import edited, mistakes, write

REPAIRS = loaded().repairs
STAND_IN = {"no-repair", "refer"}
REPLACEMENTS = sorted(id_ for id_ in REPAIRS if "replace-" in id_)
FUEL_GAS = sorted(id_ for id_, repair in REPAIRS.items() if "fuel-gas" in repair.hazards)

GAS_SHUT = re.compile(r"\bcock\b.*\bclosed\b|\bclose the gas cock\b|\bknob at off\b", re.I)
JOINT_CLOSED = re.compile(r"\b(seal(s|ed)?|sealant|tight\w*|locked|screw(s|ed)|listed)\b", re.I)
"""How a joint is closed: sealed in plastic, screwed or locked in a listed metal vent."""
POWER_OFF = re.compile(r"\bpower\b.*\boff\b", re.I)
BEFORE_POWER_OFF = re.compile(r"First (prove|read) ")
"""What can only be proved or read while the power is on."""
SAFETY_DEFEATED = re.compile(r"\b(reset\w*|bypass\w*|jumper\w*|taped|defeat\w*)\b", re.I)
FORBIDDEN = re.compile(r"\b(never|no|not|comes out|only now that the cause is mended)\b", re.I)
FIGURE_OF_THE_PLATE = re.compile(r"\d (inwc|F|microamps)\b|\d ppm|\d % commonly")
PLATE_FIRST = re.compile(r"\b(plate|instructions|printed)\b", re.I)


def said(repair: RepairEntry, *sections: str) -> str:
    """The lines of these sections, all of them if none is named, one to a line."""
    wanted = sections or REPAIR_SECTIONS
    return "\n".join(line for name, lines in repair.sections if name in wanted for line in lines)


def all_lines(repair: RepairEntry) -> Iterator[str]:
    yield from said(repair).split("\n")
    yield repair.replaced_whole


def repairs_of(furnaces: Iterable[Furnace], parts: set[str]) -> set[str]:
    """The repairs of the faults of these parts."""
    return {
        fault.repair
        for furnace in furnaces
        for fault in furnace.faults.values()
        if fault.part in parts
    }


def parts_in(furnace: Furnace, *ways: Iterable[str]) -> set[str]:
    """The parts named along a way, without the taps between them."""
    return {name for way in ways for name in way if name in furnace.parts}


# --- properties of the whole set --------------------------------------------------------


def power_off_first(repair: RepairEntry) -> bool:
    """Power goes off in `isolate`, before anything but what must be read with it on."""
    for line in repair.isolate:
        if POWER_OFF.search(line):
            return True
        if not BEFORE_POWER_OFF.match(line):
            return False
    return False


def test_every_repair_of_a_part_on_line_voltage_isolates_power_first(knowledge: Knowledge) -> None:
    for furnace in knowledge.furnaces.values():
        wired = {wire.part for wire in furnace.line}
        asked = repairs_of([furnace], wired)
        assert len(asked) > 5
        assert {id_ for id_ in asked if not power_off_first(REPAIRS[id_])} == set()


def test_every_repair_of_a_part_on_line_voltage_names_the_hazard(knowledge: Knowledge) -> None:
    for furnace in knowledge.furnaces.values():
        asked = repairs_of([furnace], {wire.part for wire in furnace.line})
        lacking = {id_ for id_ in asked if "live-line-voltage" not in REPAIRS[id_].hazards}
        assert lacking == set()


def test_every_repair_of_the_gas_train_shuts_gas_and_leak_tests(knowledge: Knowledge) -> None:
    for furnace in knowledge.furnaces.values():
        asked = repairs_of([furnace], parts_in(furnace, furnace.entry.gas_train))
        assert len(asked) > 3
        for id_ in asked:
            repair = REPAIRS[id_]
            assert GAS_SHUT.search(said(repair, "isolate")), id_
            assert "leak-test" in said(repair, "restore", "before-it-runs").lower(), id_
            assert "fuel-gas" in repair.hazards, id_
            assert "leak-solution" in repair.tools, id_


@pytest.mark.parametrize("id_", FUEL_GAS)
def test_whatever_has_the_hazard_of_fuel_gas_shuts_gas(id_: str) -> None:
    assert GAS_SHUT.search(said(REPAIRS[id_], "isolate"))


@pytest.mark.parametrize(
    "id_", [id_ for id_ in REPAIRS if "union" in said(REPAIRS[id_], "take-out").lower()]
)
def test_whatever_opens_a_gas_joint_holds_back_with_a_wrench_and_leak_tests(id_: str) -> None:
    repair = REPAIRS[id_]
    assert {"pipe-wrenches", "leak-solution"} <= set(repair.tools)
    assert "fuel-gas" in repair.hazards
    assert "leak-test" in said(repair, "restore", "before-it-runs").lower()


@pytest.mark.parametrize("id_", REPLACEMENTS)
def test_every_replacement_takes_out_looks_refits_and_says_what_is_replaced(id_: str) -> None:
    repair = REPAIRS[id_]
    lacking = {"take-out", "look", "refit", "restore"} - {name for name, _ in repair.sections}
    assert (lacking, bool(repair.replaced_whole)) == (set(), True)


@pytest.mark.parametrize("id_", sorted(REPAIRS))
def test_none_tells_to_reset_or_bypass_a_safety(id_: str) -> None:
    told = [line for line in all_lines(REPAIRS[id_]) if SAFETY_DEFEATED.search(line)]
    assert [line for line in told if not FORBIDDEN.search(line)] == []


def test_a_reset_roll_out_switch_comes_after_its_cause_and_says_so() -> None:
    repair = REPAIRS["find-roll-out-cause"]
    assert "Never just reset" in said(repair, "isolate")
    assert "only now that the cause is mended" in said(repair, "refit")


def test_every_repair_that_opens_the_flue_path_checks_the_seal_and_co(knowledge: Knowledge) -> None:
    for furnace in knowledge.furnaces.values():
        parts = parts_in(furnace, furnace.entry.combustion_air, furnace.entry.leaks.values())
        # An opening in a wall holds no flue gas and has nothing to seal.
        parts.discard("air-opening")
        asked = repairs_of([furnace], parts)
        assert len(asked) > 4
        for id_ in asked:
            repair = REPAIRS[id_]
            assert JOINT_CLOSED.search(said(repair)), id_
            assert re.search(r"\bCO\b", said(repair, "before-it-runs")), id_
            assert "carbon-monoxide" in repair.hazards, id_


@pytest.mark.parametrize("id_", ["replace-board", "replace-board-and-stop-water"])
def test_a_board_is_proved_bad_before_it_goes_and_kept_from_static_discharge(id_: str) -> None:
    repair = REPAIRS[id_]
    assert re.search(r"\bproves?\b", said(repair, "isolate"), re.I)
    assert "static discharge" in said(repair, "take-out")
    assert "static-strap" in repair.tools


@pytest.mark.parametrize(
    "id_", [id_ for id_ in REPAIRS if "wires" in said(REPAIRS[id_], "take-out")]
)
def test_wires_are_photographed_before_they_come_off_and_a_camera_is_brought(id_: str) -> None:
    take_out = said(REPAIRS[id_], "take-out")
    assert "hotograph" in take_out
    assert "camera" in REPAIRS[id_].tools


@pytest.mark.parametrize("id_", sorted(REPAIRS))
def test_a_figure_that_the_plate_may_overrule_is_shown_with_the_plate_before_it(id_: str) -> None:
    checked = said(REPAIRS[id_], "before-it-runs")
    if FIGURE_OF_THE_PLATE.search(checked):
        assert PLATE_FIRST.search(checked)


@pytest.mark.parametrize("id_", sorted(set(REPAIRS) - STAND_IN))
def test_a_repair_can_be_followed_at_the_furnace(id_: str) -> None:
    repair = REPAIRS[id_]
    assert 4 <= len(said(repair).split("\n")) <= 21
    assert all(len(line) <= 100 and line.endswith((".", "?")) for line in said(repair).split("\n"))


def test_each_tool_for_repairs_is_brought_for_some_repair_or_check(knowledge: Knowledge) -> None:
    entries = [repair.tools for repair in knowledge.repairs.values()]
    entries += [
        check.entry.tools for found in knowledge.checks.values() for check in found.values()
    ]
    assert {tool for tools in entries for tool in tools} == set(knowledge.tools)


# --- what the library refuses -----------------------------------------------------------

REPAIRS_FILE = "repairs/all.yaml"


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ("isolate: [Open it.], ", "", "this repair has no isolate; say how the furnace is made"),
        ("before-it-runs: [Try it.], ", "", "this repair has no before-it-runs; say what is"),
        ("take-out: [Take it out.], ", "", "take-out and refit go together; give both"),
        ("refit: [Put it in.],", "", "take-out and refit go together; give both"),
        ("replaced-whole: The part., ", "", "it costs parts and does not say which; say in"),
        (
            "price: low",
            "price: low, tools: [metre]",
            "no tool is called 'metre'; did you mean meter",
        ),
        ("isolate: [Open it.]", "how: [Open it.]", "there is no key 'how' here"),
    ],
)
def test_a_repair_that_leaves_a_person_alone_is_a_mistake(
    tmp_path: Path, old: str, new: str, words: str
) -> None:
    found = mistakes(write(tmp_path, edited(REPAIRS_FILE, old, new)))
    assert any(words in each and each.startswith(f"{REPAIRS_FILE}:") for each in found), found


def with_another(sections: str) -> dict[str, str]:
    """The small knowledge with one more repair, for which no fault asks."""
    more = f"- {{id: watch, title: Watch, minutes: 5, price: none{sections}, source: invented}}\n"
    whole = edited(REPAIRS_FILE, "- {id: mend", "- {id: mend")
    return {**whole, REPAIRS_FILE: whole[REPAIRS_FILE] + more}


def test_what_no_fault_asks_for_needs_no_isolating(tmp_path: Path) -> None:
    assert mistakes(write(tmp_path, with_another(", look: [Look.]"))) == []


def test_a_repair_without_a_line_is_a_mistake(tmp_path: Path) -> None:
    (told,) = mistakes(write(tmp_path, with_another("")))
    assert "this repair says nothing to do" in told


# --- sections ---------------------------------------------------------------------------


def test_sections_come_in_the_order_of_doing_and_empty_ones_are_left_out() -> None:
    entry = RepairEntry(
        id="r", title="R", minutes=1, price="none", source="invented",
        before_it_runs=["c"], isolate=["a"], take_out=["b", "d"],
    )  # fmt: skip
    assert entry.sections == (
        ("isolate", ("a",)), ("take-out", ("b", "d")), ("before-it-runs", ("c",)),
    )  # fmt: skip


# --- on the screen ----------------------------------------------------------------------


def test_lines_are_numbered_through_under_the_heads_of_their_sections() -> None:
    lines = section_lines((("isolate", ("Off.", "Shut.")), ("before-it-runs", ("Try.",))))
    assert [line.words for line in lines] == [
        "Isolate",
        "1. Off.",
        "2. Shut.",
        "Before it is left to run",
        "3. Try.",
    ]


def test_further_lines_of_a_step_stand_under_its_words_whatever_its_number() -> None:
    steps = numbered(["Do."] * 10)
    assert (steps[8].hang, steps[9].hang) == (3, 4)


def test_every_section_has_a_head() -> None:
    assert set(HEADS) == set(REPAIR_SECTIONS)


def test_the_page_of_a_repair_shows_tools_parts_and_sections_within_80_columns(
    knowledge: Knowledge, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("COLUMNS", "80")
    pages.show_repair(knowledge, knowledge.repairs["replace-gas-valve"])
    shown = capsys.readouterr().out
    assert max(map(len, shown.split("\n"))) <= 80
    heads = ["Caution ", "Tools ", "Replaced ", *(f"\n{head}\n" for head in HEADS.values())]
    assert [shown.find(head) for head in heads] == sorted(shown.find(head) for head in heads)
    assert -1 not in [shown.find(head) for head in heads]


def test_the_data_of_a_repair_have_a_key_for_each_section(knowledge: Knowledge) -> None:
    data = pages.repair_data(knowledge, knowledge.repairs["clean-flame-sensor"])
    assert {name.replace("-", "_") for name in REPAIR_SECTIONS} | {"tools", "faults"} <= set(data)
