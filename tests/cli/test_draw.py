"""`lightoff draw`: everything of the model is in the drawing, and the figures are the solver's."""

import json
from dataclasses import replace
from pathlib import Path
from xml.etree import ElementTree

import msgspec
import pytest
from click.testing import CliRunner, Result

from lightoff.cli import names
from lightoff.cli.main import lightoff
from lightoff.engine.model import Furnace, Knowledge

SVG = "{http://www.w3.org/2000/svg}"
DRAWINGS = ("sequence", "ladder", "timing")
HOSTILE = 'A <script>alert(1)</script> & "$x$" \x1b[31m \u202e ]]>'


@pytest.fixture(autouse=True)
def loaded(monkeypatch: pytest.MonkeyPatch, knowledge: Knowledge) -> None:
    monkeypatch.setattr(names, "load_knowledge", lambda: knowledge)
    monkeypatch.setenv("COLUMNS", "80")


def draw(*arguments: str) -> Result:
    return CliRunner().invoke(lightoff, ["draw", *arguments], catch_exceptions=False)


def lightoff_read(*arguments: str) -> dict[str, object]:
    result = CliRunner().invoke(lightoff, ["read", "--json", *arguments], catch_exceptions=False)
    return json.loads(result.stdout)


def svg_of(file: Path, *arguments: str) -> ElementTree.Element:
    result = draw(*arguments, "--svg", str(file))
    assert result.exit_code == 0, result.output
    return ElementTree.fromstring(file.read_text(encoding="utf-8"))


def texts(root: ElementTree.Element) -> list[str]:
    return ["".join(each.itertext()).strip() for each in root.iter(f"{SVG}text")]


def terminals(furnace: Furnace) -> set[str]:
    return {terminal for wire in furnace.wires for terminal in (wire.start, wire.end)}


# --- all of them ---------------------------------------------------------------------


@pytest.mark.parametrize("drawing", DRAWINGS)
def test_every_drawing_of_every_furnace_fits_80_columns_without_colour(
    drawing: str, knowledge: Knowledge
) -> None:
    for furnace in knowledge.furnaces:
        result = draw(drawing, "--furnace", furnace)
        assert result.exit_code == 0
        assert "\x1b" not in result.stdout
        assert max(map(len, result.stdout.splitlines())) <= 80, furnace


@pytest.mark.parametrize("drawing", DRAWINGS)
def test_an_svg_file_is_xml_and_leads_nowhere(drawing: str, tmp_path: Path) -> None:
    root = svg_of(tmp_path / "a.svg", drawing)
    assert root.tag == f"{SVG}svg"
    for element in root.iter():
        assert element.tag.removeprefix(SVG) not in ("script", "image", "style", "use", "a")
        for name, value in element.attrib.items():
            assert "href" not in name
            assert not name.startswith("on")
            assert "url(" not in value
            assert "://" not in value


@pytest.mark.parametrize("drawing", DRAWINGS)
def test_hostile_names_are_only_text(
    drawing: str, tmp_path: Path, knowledge: Knowledge, monkeypatch: pytest.MonkeyPatch
) -> None:
    furnace = knowledge.furnaces["two-pipe-condensing"]
    fault = furnace.faults["igniter.open"]
    named = replace(fault, entry=msgspec.structs.replace(fault.entry, name=HOSTILE))
    hostile = replace(
        furnace,
        entry=msgspec.structs.replace(furnace.entry, name=HOSTILE),
        faults={**furnace.faults, "igniter.open": named},
    )
    known = replace(knowledge, furnaces={furnace.id: hostile})
    monkeypatch.setattr(names, "load_knowledge", lambda: known)
    root = svg_of(tmp_path / "a.svg", drawing, "--fault", "igniter.open")
    assert not list(root.iter(f"{SVG}script"))
    shown = [text for text in texts(root) if "<script>alert(1)</script>" in text]
    assert len(shown) >= 2  # the furnace and the fault
    assert all("$x$" in text and "\\x1b" in text and "\\u202e" in text for text in shown)
    onscreen = draw(drawing, "--fault", "igniter.open").stdout
    assert "\x1b" not in onscreen
    assert "\u202e" not in onscreen


@pytest.mark.parametrize("drawing", DRAWINGS)
def test_a_file_that_is_there_is_left_alone(drawing: str, tmp_path: Path) -> None:
    file = tmp_path / "mine.svg"
    file.write_text("mine")
    result = draw(drawing, "--svg", str(file))
    assert result.exit_code == 2
    assert "is there already" in result.stderr
    assert file.read_text() == "mine"


@pytest.mark.parametrize("drawing", DRAWINGS)
def test_it_says_where_a_drawing_was_written(drawing: str, tmp_path: Path) -> None:
    file = tmp_path / "a.svg"
    assert str(file) in draw(drawing, "--svg", str(file)).stdout.replace("\n", "")


def test_a_folder_that_is_not_there_is_told(tmp_path: Path) -> None:
    result = draw("ladder", "--svg", str(tmp_path / "none" / "a.svg"))
    assert result.exit_code == 2
    assert "cannot be written" in result.stderr


@pytest.mark.parametrize("drawing", DRAWINGS)
def test_a_wrong_fault_is_told_with_the_nearest(drawing: str) -> None:
    result = draw(drawing, "--fault", "igniter.opn")
    assert result.exit_code == 2
    assert "did you mean igniter.open" in result.stderr


# --- the ladder ----------------------------------------------------------------------


def test_every_part_and_terminal_of_every_net_is_in_the_ladder(
    knowledge: Knowledge, tmp_path: Path
) -> None:
    for furnace in knowledge.furnaces.values():
        drawn = draw("ladder", "--furnace", furnace.id).stdout
        words = set(drawn.translate({ord(sign): " " for sign in "()[]<>"}).split())
        assert terminals(furnace) <= words
        assert {wire.part for wire in furnace.wires} <= words
        in_file = set(
            texts(svg_of(tmp_path / f"{furnace.id}.svg", "ladder", "--furnace", furnace.id))
        )
        assert terminals(furnace) <= in_file
        assert {wire.part for wire in furnace.wires} <= in_file


@pytest.mark.parametrize("fault", ["igniter.open", "pressure-switch.failed-open"])
def test_the_volts_at_every_terminal_are_those_that_read_shows(
    fault: str, knowledge: Knowledge, tmp_path: Path
) -> None:
    furnace = knowledge.furnaces["two-pipe-condensing"]
    asked = ("--fault", fault, "--step", "proving-draft")
    drawn = draw("ladder", *asked).stdout
    in_file = texts(svg_of(tmp_path / "a.svg", "ladder", *asked))
    for wires, rail in ((furnace.line, "NEUTRAL-IN"), (furnace.control, "C")):
        for terminal in {t for wire in wires for t in (wire.start, wire.end)}:
            shown = str(lightoff_read(*asked, terminal, rail)["shown"])
            assert f"{terminal} {shown}" in drawn or f"{terminal} ({shown})" in drawn, terminal
            assert in_file[in_file.index(terminal) + 1] == shown, terminal


def test_a_faulty_part_is_marked_in_words_and_signs(tmp_path: Path) -> None:
    drawn = draw("ladder", "--fault", "igniter.open").stdout
    assert drawn.count("! <igniter> !") == 1
    assert "! ! faulty" in drawn
    assert "! " not in draw("ladder").stdout
    assert (
        texts(svg_of(tmp_path / "a.svg", "ladder", "--fault", "igniter.open")).count("FAULTY") == 1
    )
    assert "FAULTY" not in texts(svg_of(tmp_path / "b.svg", "ladder"))


def test_a_faulty_part_without_wires_is_told_not_to_be_drawn() -> None:
    assert "vent-pipe lies in no net" in draw("ladder", "--fault", "vent-pipe.blocked").stdout


def test_a_contact_is_told_open_or_closed_as_the_step_has_it() -> None:
    proving = draw("ladder", "--step", "proving-draft").stdout
    heating = draw("ladder", "--step", "heating").stdout
    assert "gas-relay open" in proving
    assert "gas-relay closed" in heating


def test_a_step_that_is_never_reached_is_told_and_nothing_written(tmp_path: Path) -> None:
    file = tmp_path / "a.svg"
    asked = ("ladder", "--fault", "igniter.open", "--step", "heating")
    result = draw(*asked)
    assert result.exit_code == 1
    assert "heating is never reached: the call stalls in trial-for-ignition" in result.stdout
    assert draw(*asked, "--svg", str(file)).exit_code == 1
    assert not file.exists()


def test_a_wrong_step_is_told_with_the_nearest() -> None:
    result = draw("ladder", "--step", "heatin")
    assert result.exit_code == 2
    assert "did you mean heating" in result.stderr


# --- the sequence --------------------------------------------------------------------


def test_every_step_and_every_way_out_is_in_the_sequence(
    knowledge: Knowledge, tmp_path: Path
) -> None:
    for furnace in knowledge.furnaces.values():
        drawn = draw("sequence", "--furnace", furnace.id).stdout
        root = svg_of(tmp_path / f"{furnace.id}.svg", "sequence", "--furnace", furnace.id)
        whole = " ".join(texts(root))
        heads = set(texts(root))
        for step in furnace.sequence.steps.values():
            assert any(line.split()[-1:] == [step.id] for line in drawn.splitlines()), step.id
            assert step.id in heads
            for leave in step.leaves:
                assert f"\u2192 {leave.to}" in drawn
                assert f"\u2192 {leave.to}" in whole


def test_the_healthy_path_stands_apart_and_in_order(furnace: Furnace) -> None:
    lines = draw("sequence", "--furnace", furnace.id).stdout.splitlines()
    healthy = lines[lines.index("The healthy path") + 1 : lines.index("Beside it")]
    heads = [line.split()[1] for line in healthy if line[:2].strip().isdigit()]
    assert tuple(heads) == furnace.sequence.path


def test_retries_and_the_lockout_are_called_so() -> None:
    lines = [" ".join(line.split()) for line in draw("sequence").stdout.splitlines()]
    assert "retry after 30 s \u2192 igniter-warm-up" in lines
    assert "locks out tries spent \u2192 lockout" in lines
    assert "counts tries (of 3)" in lines
    assert "lockout, may stay here" in lines


def test_a_call_with_a_fault_is_marked_where_it_stalls(tmp_path: Path) -> None:
    drawn = draw("sequence", "--fault", "igniter.open").stdout
    assert "trial-for-ignition  < the call stalls here" in drawn
    assert "pre-purge  < passed" in drawn
    assert "heating  <" not in drawn
    assert "passed" not in draw("sequence").stdout
    root = svg_of(tmp_path / "a.svg", "sequence", "--fault", "igniter.open")
    assert texts(root).count("the call stalls here") == 1


# --- the timing chart ----------------------------------------------------------------


def test_the_timing_chart_is_that_of_run() -> None:
    chart = [line for line in draw("timing").stdout.splitlines() if "\u2502" in line]
    run = CliRunner().invoke(lightoff, ["run"]).stdout.splitlines()
    assert chart == [line for line in run if "\u2502" in line]


def test_the_timing_file_has_a_row_for_each_thing_and_a_head_for_each_stay(
    tmp_path: Path, furnace: Furnace
) -> None:
    shown = texts(svg_of(tmp_path / "a.svg", "timing", "--furnace", furnace.id))
    for label in ("call", "inducer", "gas valve", "flame seen", "high limit", "starts", "lasts"):
        assert label in shown
    assert "2 standby" in shown
    assert "25 s" in shown


def test_rounds_that_repeat_are_drawn_once_unless_all_are_asked_for(tmp_path: Path) -> None:
    fault = ("--fault", "pressure-switch.failed-open")
    once = texts(svg_of(tmp_path / "a.svg", "timing", *fault))
    assert "3 to 5 come 3x again" in " ".join(once)
    every = texts(svg_of(tmp_path / "b.svg", "timing", "--all", *fault))
    assert "again" not in " ".join(every)
    assert len(every) > len(once)
