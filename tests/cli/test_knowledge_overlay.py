"""Knowledge of one's own at the command line: every command reads it, and files are started."""

from __future__ import annotations

import json
import os
import re
from collections.abc import Callable, Iterator
from pathlib import Path

import click
import pytest
from click.testing import CliRunner, Result

from lightoff.cli.main import lightoff
from lightoff.engine import library
from lightoff.engine.library import scenarios
from lightoff.engine.library.overlay import ENVIRONMENT
from lightoff.engine.library.schema import FILES, text_of
from tests.small_knowledge import SMALL, write

TYPE = "two-pipe-condensing"
NAME = "attic-unit"
PAGE = library.shipped() / "README.md"
UNREADABLE = not hasattr(os, "geteuid") or os.geteuid() == 0


@pytest.fixture(autouse=True)
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("COLUMNS", "80")
    monkeypatch.setenv("LIGHTOFF_HOME", str(tmp_path / "home"))
    monkeypatch.delenv(ENVIRONMENT, raising=False)


def run(*arguments: str, typed: str | None = None) -> Result:
    return CliRunner().invoke(lightoff, arguments, input=typed, catch_exceptions=False)


def knowing(*arguments: str) -> Result:
    return run("knowledge", *arguments)


@pytest.fixture
def ours() -> Path:
    """A folder with a furnace of one's own."""
    assert knowing("new", "furnace", "--from", TYPE, NAME, "--to", "ours").exit_code == 0
    return Path("ours")


def edited(path: Path, *changes: tuple[str, str]) -> None:
    text = path.read_text(encoding="utf-8")
    for old, new in changes:
        assert old in text, old
        text = text.replace(old, new)
    path.write_text(text, encoding="utf-8")


# --- every command reads it -----------------------------------------------------------

READERS: dict[str, tuple[str, ...]] = {
    "run": ("run", "--furnace", NAME),
    "read": ("read", "--furnace", NAME, "--step", "heating", "R", "C"),
    "diagnose": ("diagnose", "--furnace", NAME, "--findings", "found.yaml"),
    "list": ("knowledge", "list", "faults", "--furnace", NAME),
    "show": ("knowledge", "show", "furnace", NAME),
    "self-test": ("self-test", "--furnace", NAME, "--print"),
}


@pytest.mark.parametrize("name", READERS)
@pytest.mark.parametrize("where", ["before", "after", "environment"])
def test_a_command_knows_the_own_furnace(
    name: str, where: str, ours: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    Path("found.yaml").write_text("igniter-glow: dark\n")
    arguments = READERS[name]
    assert run(*arguments).exit_code == 2
    given = ("--knowledge", str(ours))
    if where == "environment":
        monkeypatch.setenv(ENVIRONMENT, str(ours))
        result = run(*arguments)
    else:
        result = run(*given, *arguments) if where == "before" else run(*arguments, *given)
    assert result.exit_code == 0, result.output
    assert ENVIRONMENT not in os.environ or where == "environment"


def test_what_was_changed_reaches_the_simulator_and_the_diagnosis(ours: Path) -> None:
    edited(
        ours / "furnaces" / f"{NAME}.yaml",
        ("  igniter: {}", "  igniter: {values: {resistance: 100 kohm}}"),
    )
    own = ("--furnace", NAME, "--knowledge", str(ours))
    stalls = json.loads(run("run", "--json", *own).stdout)["stalls_in"]
    assert stalls != json.loads(run("run", "--json", "--furnace", TYPE).stdout)["stalls_in"]


def test_the_option_after_the_command_wins_over_one_before_it(ours: Path) -> None:
    Path("other").mkdir()
    Path("other/tools.yaml").write_text("- {id: ladder, name: Ladder}\n")
    result = run("--knowledge", "other", "run", "--furnace", NAME, "--knowledge", str(ours))
    assert result.exit_code == 0


def test_a_study_and_its_workers_know_the_own_furnace(ours: Path) -> None:
    fault = ("--fault", "igniter.open")
    result = run("study", "--furnace", NAME, *fault, "--json", "--knowledge", str(ours))
    assert result.exit_code == 0, result.output
    assert NAME in result.stdout


def test_a_scenario_can_hide_a_fault_of_the_own_furnace(ours: Path) -> None:
    text = scenarios.scenario_files()[0].read_text(encoding="utf-8")
    id_ = scenarios.scenario_files()[0].stem
    Path(f"{id_}.yaml").write_text(text.replace(f"furnace: {TYPE}", f"furnace: {NAME}"))
    assert run("scenario", "sheet", f"{id_}.yaml").exit_code != 0
    assert run("scenario", "sheet", f"{id_}.yaml", "--knowledge", str(ours)).exit_code == 0
    begun = run("practice", f"{id_}.yaml", "--knowledge", str(ours), typed="quit\n")
    assert begun.exit_code in (0, 130), begun.output
    assert f"no furnace is called '{NAME}'" not in begun.output


def leaves(
    command: click.Command = lightoff, path: tuple[str, ...] = ()
) -> Iterator[tuple[tuple[str, ...], click.Command]]:
    if not isinstance(command, click.Group):
        yield path, command
        return
    context = click.Context(command)
    for name in command.list_commands(context):
        inner = command.get_command(context, name)
        assert inner is not None
        yield from leaves(inner, (*path, name))


def test_every_command_takes_the_option_once() -> None:
    for path, command in [*leaves(), *leaves()]:
        options = [each for each in command.params if "--knowledge" in each.opts]
        assert len(options) == 1, path


def test_mistakes_of_the_own_folder_end_a_command_with_their_lines(ours: Path) -> None:
    edited(ours / "furnaces" / f"{NAME}.yaml", ("gas: natural-gas", "gas: steam"))
    result = run("run", "--furnace", TYPE, "--knowledge", str(ours))
    assert result.exit_code == 1
    assert re.search(rf"^ours/furnaces/{NAME}.yaml:\d+: ", result.stderr, re.MULTILINE)
    assert "Traceback" not in result.output


def test_a_folder_that_is_not_there_is_one_line_and_wrong_use(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    for arguments in (("run", "--knowledge", "gone"), ("--knowledge", "gone", "run")):
        result = run(*arguments)
        assert result.exit_code == 2
        assert len(result.stderr.splitlines()) == 1
    monkeypatch.setenv(ENVIRONMENT, "go\x1bne")
    for arguments in (("run",), ("knowledge", "check")):
        result = run(*arguments)
        assert result.exit_code == 2
        assert ENVIRONMENT in result.stderr
        assert "\x1b" not in result.stderr


# --- check ----------------------------------------------------------------------------


@pytest.mark.parametrize("form", [("--knowledge", "ours"), ("ours",)])
def test_check_says_what_is_new_and_what_takes_whose_place(
    form: tuple[str, ...], ours: Path
) -> None:
    (ours / "tools.yaml").write_text("- {id: meter, name: Meter}\n")
    result = knowing("check", *form)
    assert result.exit_code == 0
    assert f"new: furnace {NAME}" in result.stdout
    assert "replaced: tool meter" in result.stdout
    assert max(map(len, result.stdout.splitlines())) <= 80
    data = json.loads(knowing("check", *form, "--json").stdout)
    assert data["own"] == {"new": [f"furnace {NAME}"], "replaced": ["tool meter"]}


def test_check_names_the_own_folder_in_each_line_of_its_files(ours: Path) -> None:
    edited(ours / "furnaces" / f"{NAME}.yaml", ("  fuse: {}", "  fuse: {}\n  fuze: {}"))
    result = knowing("check", str(ours))
    assert result.exit_code == 1
    assert re.match(rf"ours/furnaces/{NAME}.yaml:\d+: no part is called 'fuze'", result.stdout)
    assert "Lines without" not in result.stderr


def test_check_says_whose_the_lines_are_that_do_not_name_the_folder(ours: Path) -> None:
    edited(ours / "furnaces" / f"{NAME}.yaml", (f"id: {NAME}", f"id: {TYPE}"))
    (ours / "parts").mkdir()
    (ours / "parts" / "own.yaml").write_text(
        "- {id: igniter, kind: igniter, name: N, area: ignition, does: D, senses: S, acts: A,\n"
        "   sits: S, labels: {usual: [I], mistaken-for: M}, source: invented}\n"
    )
    result = knowing("check", str(ours))
    assert result.exit_code == 1
    assert "Lines without ours/ are of shipped files" in " ".join(result.stderr.split())


def test_check_of_a_whole_folder_leaves_the_shipped_one_out() -> None:
    write(Path("whole"), SMALL)
    data = json.loads(knowing("check", "whole", "--json").stdout)
    assert data["problems"] == []
    assert data["counts"]["furnaces"] == 1
    assert "own" not in data


def test_check_of_a_folder_without_tools_lays_it_over_however_much_else_it_has() -> None:
    write(Path("most"), {name: text for name, text in SMALL.items() if name != "tools.yaml"})
    problems = json.loads(knowing("check", "most", "--json").stdout)["problems"]
    assert not any(each["what"] == "there is no such file" for each in problems)
    assert any(each["file"].startswith("most/") for each in problems)


def test_check_takes_a_folder_or_the_option_not_both(ours: Path) -> None:
    result = knowing("check", str(ours), "--knowledge", str(ours))
    assert result.exit_code == 2
    assert "not both" in result.stderr


# --- new ------------------------------------------------------------------------------


def test_a_new_furnace_passes_the_check_that_it_names_at_once() -> None:
    result = knowing("new", "furnace", "--from", TYPE, NAME)
    assert result.exit_code == 0
    last = result.stdout.splitlines()[-1].split()
    assert last[0] == "lightoff"
    assert run(*last[1:]).exit_code == 0
    first = Path("our-knowledge/furnaces/attic-unit.yaml").read_text().splitlines()[0]
    schema = Path("our-knowledge/furnaces") / first.partition("$schema=")[2]
    assert schema.read_text() == text_of("furnace")


def test_a_new_furnace_goes_where_the_own_knowledge_is(ours: Path) -> None:
    assert (
        knowing("new", "furnace", "shed-unit", "--from", NAME, "--knowledge", "ours").exit_code == 0
    )
    text = (ours / "furnaces" / "shed-unit.yaml").read_text()
    assert f"# Started from {NAME}" in text
    assert knowing("check", "--knowledge", "ours").exit_code == 0


@pytest.mark.parametrize(
    ("name", "told"),
    [
        ("../out", "is no id"),
        ("/abs", "is no id"),
        ("Attic", "is no id"),
        ("", "is no id"),
        ("a b", "is no id"),
        ("a\nb", "is no id"),
        ("\x1b[2J\u202e", "is no id"),
        ("a" * 300, "too long"),
    ],
)
def test_a_name_that_is_no_id_is_refused_and_nothing_is_written(name: str, told: str) -> None:
    result = knowing("new", "furnace", "--from", TYPE, "--", name)
    assert result.exit_code == 2
    assert told in result.stderr
    assert not {"\x1b", "\u202e"} & set(result.stderr)
    assert list(Path().iterdir()) == []


def test_a_wrong_type_to_start_from_gets_the_nearest(ours: Path) -> None:
    result = knowing("new", "furnace", "--from", "two-pipe", "new-one", "--to", "ours")
    assert result.exit_code == 2
    assert f"did you mean {TYPE}?" in result.stderr


@pytest.mark.parametrize(
    "make",
    [("new", "furnace", "--from", TYPE, NAME), ("new", "copy", "part", "igniter")],
    ids=lambda words: words[1],
)
def test_a_file_that_is_there_is_never_written_over(make: tuple[str, ...]) -> None:
    assert knowing(*make, "--to", "ours").exit_code == 0
    (path,) = Path("ours").glob("*/*.yaml")
    path.write_text("ours\n")
    result = knowing(*make, "--to", "ours")
    assert result.exit_code == 2
    assert "is there already" in result.stderr
    assert path.read_text() == "ours\n"


def test_a_folder_that_cannot_be_made_or_written_is_one_line() -> None:
    Path("file").write_text("")
    for folder in ("file", "file/inside", "/proc/none"):
        result = knowing("new", "furnace", "--from", TYPE, NAME, "--to", folder)
        assert result.exit_code == 2, result.output
        assert len(result.stderr.splitlines()) == 1


@pytest.mark.skipif(UNREADABLE, reason="nothing is forbidden to this user")
def test_a_folder_without_permission_is_one_line() -> None:
    Path("locked").mkdir(mode=0o500)
    result = knowing("new", "furnace", "--from", TYPE, NAME, "--to", "locked")
    assert result.exit_code == 2
    assert len(result.stderr.splitlines()) == 1


def test_a_name_that_is_known_says_whose_place_it_takes() -> None:
    result = knowing("new", "furnace", "--from", TYPE, TYPE)
    assert result.exit_code == 0
    assert f"It takes the place of the {TYPE}" in result.stdout
    data = json.loads(knowing("check", "--knowledge", "our-knowledge", "--json").stdout)
    assert data["own"] == {"new": [], "replaced": [f"furnace {TYPE}"]}


@pytest.mark.parametrize(
    ("kind", "name"),
    [("part", "igniter"), ("check", "igniter-glow"), ("repair", "replace-igniter")],
)
def test_a_copied_entry_passes_the_check_and_is_not_copied_again(kind: str, name: str) -> None:
    assert knowing("new", "copy", kind, name).exit_code == 0
    data = json.loads(knowing("check", "--knowledge", "our-knowledge", "--json").stdout)
    assert data["own"] == {"new": [], "replaced": [f"{kind} {name}"]}
    again = knowing("new", "copy", kind, name, "--knowledge", "our-knowledge")
    assert again.exit_code == 2
    assert "change it there" in again.stderr
    assert knowing("new", "copy", kind, "nonsense").exit_code == 2


# --- schema ---------------------------------------------------------------------------


def test_all_schemas_are_written_into_a_folder_and_again() -> None:
    for _ in range(2):
        assert knowing("schema", "--all", "editor/schemas").exit_code == 0
        written = {path.stem: path.read_text() for path in Path("editor/schemas").iterdir()}
        assert written == {kind: text_of(kind) for kind in FILES}


@pytest.mark.parametrize("arguments", [(), ("parts", "--all", "editor")])
def test_schema_takes_a_kind_or_a_folder(arguments: tuple[str, ...]) -> None:
    result = knowing("schema", *arguments)
    assert result.exit_code == 2
    assert len(result.stderr.splitlines()) == 1


def test_schemas_that_cannot_be_written_are_one_line() -> None:
    Path("file").write_text("")
    result = knowing("schema", "--all", "file/inside")
    assert result.exit_code == 2
    assert len(result.stderr.splitlines()) == 1


# --- the page that teaches it ---------------------------------------------------------


def test_what_the_page_tells_to_write_passes_the_check() -> None:
    text = PAGE.read_text(encoding="utf-8")
    commands = re.findall(r"^    lightoff (.*)$", text, re.MULTILINE)
    for command in [each for each in commands if each.startswith("knowledge new ")]:
        assert run(*command.split()).exit_code == 0, command
    pages = re.findall(
        r"`(our-knowledge/\S+)`[^`\n]*:\n\n```(yaml|diff)\n(.*?)```", text, re.DOTALL
    )
    assert {language for _, language, _ in pages} == {"yaml", "diff"}
    for file, language, block in pages:
        path = Path(file)
        path.parent.mkdir(exist_ok=True)
        path.write_text(block if language == "yaml" else patched(path.read_text(), block))
        told = json.loads(knowing("check", "--knowledge", "our-knowledge", "--json").stdout)[
            "problems"
        ]
        assert [each["what"] for each in told if "nothing comes from" not in each["what"]] == []
    result = knowing("check", "--knowledge", "our-knowledge")
    assert result.exit_code == 0, result.output
    for new in ("furnace attic-unit", "source attic-manual", "check volts-at-attic-test-points"):
        assert new in " ".join(result.stdout.split())


def patched(text: str, block: str) -> str:
    """The text with each line of a block that begins with `-` gone, and `+` in its place."""
    lines, place = text.splitlines(), 0
    for change in block.splitlines():
        if change.startswith("-"):
            assert lines.count(change[1:]) == 1, change
            place = lines.index(change[1:])
            del lines[place]
        else:
            lines.insert(place, change[1:])
            place += 1
    return "\n".join(lines) + "\n"


def test_every_command_on_the_page_is_one() -> None:
    text = PAGE.read_text(encoding="utf-8")
    known: dict[tuple[str, ...], Callable[..., object]] = dict(leaves())
    for command in re.findall(r"^    lightoff (.*)$", text, re.MULTILINE):
        words = tuple(command.split())
        assert any(words[: len(path)] == path for path in known), command
