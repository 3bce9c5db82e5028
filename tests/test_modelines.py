"""Editors find the schema of every shipped file: its first line names it, and it is up to date."""

from __future__ import annotations

from pathlib import Path, PurePath

import pytest

from lightoff.engine.library.schema import FILES, FOLDER, kind_of, modeline, text_of

ROOT = Path(__file__).parents[1]
KNOWLEDGE = ROOT / "knowledge"
SCHEMAS = f"knowledge/{FOLDER}"
SHIPPED = sorted([*KNOWLEDGE.glob("**/*.yaml"), *ROOT.glob("scenarios/*.yaml")])
MEND = f"write them again: lightoff knowledge schema --all {SCHEMAS}"


def first_line_of(path: Path) -> str:
    if path.is_relative_to(KNOWLEDGE):
        return modeline(path.relative_to(KNOWLEDGE))
    return modeline(path.relative_to(ROOT), SCHEMAS)


def test_the_schemas_kept_for_editors_are_those_of_the_entries() -> None:
    kept = {path.name: path.read_text(encoding="utf-8") for path in (ROOT / SCHEMAS).iterdir()}
    made = {f"{kind}.json": text_of(kind) for kind in FILES}
    assert kept.keys() == made.keys(), MEND
    assert [name for name in made if kept[name] != made[name]] == [], MEND


def test_every_shipped_file_names_its_schema_in_its_first_line() -> None:
    assert SHIPPED
    lacking = {}
    for path in SHIPPED:
        wanted = first_line_of(path)
        with path.open(encoding="utf-8") as lines:
            if next(lines, "").rstrip("\n") != wanted:
                lacking[str(path.relative_to(ROOT))] = wanted
    assert lacking == {}, "write these as the first lines"


def test_the_schema_that_a_first_line_names_is_there() -> None:
    for path in SHIPPED:
        _, _, named = first_line_of(path).partition("$schema=")
        assert (path.parent / named).resolve().parent == (ROOT / SCHEMAS).resolve()
        assert (path.parent / named).is_file()


@pytest.mark.parametrize(
    ("path", "line"),
    [
        ("furnaces/x.yaml", "../.schema/furnace.json"),
        ("knowledge/parts/tools.yaml", "../../.schema/parts.json"),
        ("tools.yaml", ".schema/tools.json"),
        ("scenarios/tools.yaml", "../.schema/scenario.json"),
    ],
)
def test_a_folder_says_the_kind_before_the_name_of_the_file(path: str, line: str) -> None:
    assert modeline(PurePath(path)) == f"# yaml-language-server: $schema={line}"


def test_a_file_of_no_kind_has_no_schema() -> None:
    with pytest.raises(KeyError):
        kind_of(PurePath("notes/x.yaml"))
