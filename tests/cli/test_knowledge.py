"""`lightoff knowledge`: lists, pages and the check of files."""

import json
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from lightoff.cli import names, pages, part_page
from lightoff.cli.knowledge import LISTED, SHOWN
from lightoff.cli.main import lightoff
from lightoff.cli.whereabouts import ladders
from lightoff.engine import library
from lightoff.engine.machine.trace import Trace
from lightoff.engine.model import Furnace, Knowledge


@pytest.fixture(autouse=True)
def loaded(monkeypatch: pytest.MonkeyPatch, knowledge: Knowledge) -> None:
    monkeypatch.setattr(names, "load_knowledge", lambda: knowledge)
    monkeypatch.setenv("COLUMNS", "80")


def knowing(*arguments: str) -> Result:
    return CliRunner().invoke(lightoff, ["knowledge", *arguments], catch_exceptions=False)


def page(kind: str, name: str) -> str:
    result = knowing("show", kind, name)
    assert result.exit_code == 0
    return result.stdout


def on_one_line(text: str) -> str:
    return " ".join(text.split())


# --- list ----------------------------------------------------------------------------


@pytest.mark.parametrize("what", LISTED)
def test_every_list_is_an_array_of_objects_with_their_own_id(what: str) -> None:
    items = json.loads(knowing("list", what, "--json").stdout)
    ids = [item["id"] for item in items]
    assert len(set(ids)) == len(ids)
    assert ids or what == "rules"


@pytest.mark.parametrize("what", LISTED)
def test_every_list_fits_80_columns_and_holds_every_id(what: str) -> None:
    result = knowing("list", what)
    assert result.exit_code == 0
    assert max((len(line) for line in result.stdout.splitlines()), default=0) <= 80
    first_words = {line.split()[0] for line in result.stdout.splitlines() if line[:1].strip()}
    assert {
        item["id"] for item in json.loads(knowing("list", what, "--json").stdout)
    } <= first_words


def test_lists_are_those_of_the_furnace(furnace: Furnace) -> None:
    given = knowing("list", "faults", "--furnace", furnace.id, "--json").stdout
    assert [item["id"] for item in json.loads(given)] == list(furnace.faults)
    assert knowing("list", "faults", "--furnace", "nonsense").exit_code == 2


# --- show ----------------------------------------------------------------------------


def ids_of(knowledge: Knowledge, furnace: Furnace) -> dict[str, list[str]]:
    return {
        "part": list(furnace.parts),
        "fault": list(furnace.faults)[::4],
        "check": list(knowledge.checks[furnace.id])[::6],
        "repair": list(knowledge.repairs)[::4],
        "step": list(furnace.sequence.steps),
        "furnace": list(knowledge.furnaces),
        "source": list(knowledge.sources),
    }


@pytest.mark.parametrize("kind", SHOWN)
def test_pages_fit_80_columns_and_come_as_json_too(
    kind: str, knowledge: Knowledge, furnace: Furnace
) -> None:
    for name in ids_of(knowledge, furnace)[kind]:
        lines = page(kind, name).splitlines()
        assert max(map(len, lines)) <= 80, name
        data = json.loads(knowing("show", kind, name, "--json").stdout)
        assert data["id"] == name


def test_the_page_of_a_part_has_all_that_is_known_of_it(furnace: Furnace) -> None:
    text = on_one_line(page("part", "pressure-switch"))
    entry = furnace.parts["pressure-switch"].entry
    for words in (entry.does, entry.senses, entry.acts, entry.sits, entry.labels.mistaken_for):
        assert words in text
    for label in entry.labels.usual:
        assert label in text
    for words in (
        "closes-at 1 inwc",
        "(source: invented)",
        "before it transformer, fuse, high-limit, limit-plug, rollout-switch",
        "after it pressure-switch-wire; then feeds board and gas-relay",
        "low port feels COLLECTOR through collector-hose",
        "sees it as draft-proved; asks in switch-check, proving-draft",
        "failed-open Pressure switch failed open",
        "The call stalls in proving-draft. Repair: Replace the pressure switch",
        "volts-across-pressure-switch",
    ):
        assert words in text


def test_the_page_of_a_load_says_when_the_sequence_energises_it() -> None:
    text = on_one_line(page("part", "igniter"))
    assert "Energised igniter-warm-up, trial-for-ignition Faults" in text
    assert "after it neutral-wire" in text


def test_si_figures_are_shown_on_demand() -> None:
    assert "closes-at 249 Pa" in knowing("show", "part", "pressure-switch", "--si").stdout


def test_the_page_of_a_repair_names_the_faults_it_mends() -> None:
    text = on_one_line(page("repair", "replace-pressure-switch"))
    assert "pressure-switch.failed-open" in text
    assert "pressure-switch.drifted" in text


def test_the_page_of_a_step_has_its_ways_out() -> None:
    text = on_one_line(page("step", "proving-draft"))
    assert "- to pre-purge when draft-proved - to draft-rest after 60 s" in text
    assert "Comes from switch-check, draft-lost" in text


def test_the_page_of_a_source_names_what_leans_on_it(knowledge: Knowledge) -> None:
    used = pages.source_data(knowledge, knowledge.sources["osha-1910-333"])["used_by"]
    assert "live-line-voltage" in used["cautions"]


# --- whereabouts ---------------------------------------------------------------------


def test_every_wired_part_carries_current_in_a_healthy_call(
    healthy: Trace, furnace: Furnace
) -> None:
    nets = ladders(healthy)
    carrying = {wire.part for ladder in nets.values() for wire in (ladder.source, *ladder.wires)}
    assert carrying == {wire.part for wire in furnace.line + furnace.control}


def test_where_a_part_lies_follows_its_neighbours(knowledge: Knowledge, furnace: Furnace) -> None:
    def circuit(part: str) -> list[part_page.Data]:
        data = part_page.part_data(knowledge, furnace, furnace.parts[part])
        return [place for place in data["circuit"] if place["net"] == "line"]

    assert circuit("inducer")[0]["before"][-1] == "inducer-relay"
    assert circuit("inducer")[0]["after"] == ["neutral-wire"]
    assert "inducer" in circuit("neutral-wire")[0]["fed_by"]
    assert circuit("board-plug")[0]["feeds"] == ["inducer-relay", "igniter-relay", "blower-relay"]


# --- check ---------------------------------------------------------------------------

Mistaken = Callable[[str, str, str], Path]


@pytest.fixture
def mistaken(tmp_path: Path) -> Mistaken:
    """A copy of the shipped knowledge with one text replaced in one file."""

    def make(file: str, old: str, new: str) -> Path:
        folder = tmp_path / "knowledge"
        shutil.copytree(library.shipped(), folder)
        text = (folder / file).read_text()
        assert old in text
        (folder / file).write_text(text.replace(old, new, 1))
        return folder

    return make


def test_the_shipped_knowledge_has_no_mistakes_and_is_counted() -> None:
    result = knowing("check")
    assert result.exit_code == 0
    assert result.stdout.startswith("No mistakes in the files.\nCounted: furnaces ")
    data = json.loads(knowing("check", "--json").stdout)
    assert data["problems"] == []
    assert set(data["counts"]) == set(LISTED)


def test_a_mistake_is_one_line_with_file_line_and_mend_and_exit_1(mistaken: Mistaken) -> None:
    folder = mistaken("parts/draft.yaml", "repair: clear-intake", "repair: clear-intak")
    result = knowing("check", str(folder))
    assert result.exit_code == 1
    line = result.stdout.splitlines()[0]
    assert line.startswith("parts/draft.yaml:")
    assert line.endswith("did you mean clear-intake?")
    problem = json.loads(knowing("check", str(folder), "--json").stdout)["problems"][0]
    assert set(problem) == {"file", "line", "what", "mend"}
    assert line == f"{problem['file']}:{problem['line']}: {problem['what']}; {problem['mend']}"


def test_a_mistake_that_quotes_controls_cannot_steer_the_terminal(mistaken: Mistaken) -> None:
    folder = mistaken("parts/draft.yaml", "repair: clear-intake", 'repair: "\\e[2J\\u202e\\u009b"')
    result = knowing("check", str(folder))
    assert result.exit_code == 1
    assert not {"\x1b", "\x9b", "\u202e"} & set(result.stdout + result.stderr)


def test_a_folder_without_knowledge_is_a_mistake(tmp_path: Path) -> None:
    result = knowing("check", str(tmp_path))
    assert result.exit_code == 1
    assert "no knowledge files" in result.stdout


def test_a_folder_that_is_not_there_is_wrong_use(tmp_path: Path) -> None:
    assert knowing("check", str(tmp_path / "gone")).exit_code == 2
