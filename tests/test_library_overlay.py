"""A folder laid over the shipped knowledge: what replaces, what is added, whose mistake it is."""

from __future__ import annotations

from collections import Counter
from pathlib import Path

import pytest

from lightoff.engine import library
from lightoff.engine.library.overlay import (
    ENVIRONMENT,
    NEEDED,
    chosen,
    is_whole,
    layers,
    path_of,
)
from lightoff.engine.library.starting import CopyError, copied, started
from lightoff.engine.model import Knowledge, Place
from lightoff.engine.strict_yaml import parse
from tests.small_knowledge import SMALL, write

SHIPPED = library.shipped()
TYPE = "two-pipe-condensing"
TOOLS = (SHIPPED / "tools.yaml").read_text(encoding="utf-8")
METER = "- {id: meter, name: Meter of ours}\n"
MODELINE = "# modeline"


@pytest.fixture
def ours(tmp_path: Path) -> Path:
    folder = tmp_path / "ours"
    folder.mkdir()
    return folder


def lay(folder: Path, **texts: str) -> tuple[Knowledge | None, list[str]]:
    """The shipped knowledge with these files over it; `parts__all` is parts/all.yaml."""
    for name, text in texts.items():
        path = folder / f"{name.replace('__', '/')}.yaml"
        path.parent.mkdir(exist_ok=True)
        path.write_text(text, encoding="utf-8")
    known, problems = library.check_over(folder)
    return known, list(map(str, problems))


def own_furnace(id_: str = "attic-unit", old: str = "", new: str = "") -> str:
    text = (SHIPPED / "furnaces" / f"{TYPE}.yaml").read_text(encoding="utf-8")
    made = started(text, id_, MODELINE)
    assert old in made
    return made.replace(old, new, 1)


# --- what replaces and what is added --------------------------------------------------


def test_an_entry_of_a_known_id_takes_its_place_and_all_others_stay(
    ours: Path, knowledge: Knowledge
) -> None:
    known, problems = lay(ours, tools=METER)
    assert problems == []
    assert known is not None
    assert known.tools["meter"].name == "Meter of ours"
    assert list(known.tools) == list(knowledge.tools)
    assert known.furnaces == knowledge.furnaces
    assert known.parts == knowledge.parts


def test_an_entry_of_a_new_id_is_added(ours: Path, knowledge: Knowledge) -> None:
    known, problems = lay(ours, tools="- {id: ladder, name: Ladder}\n")
    assert problems == []
    assert known is not None
    assert set(known.tools) == {*knowledge.tools, "ladder"}


def test_an_own_part_changes_the_furnaces_that_have_it(ours: Path, knowledge: Knowledge) -> None:
    place = knowledge.places["part", "igniter"]
    text = copied(path_of(place, None).read_text(encoding="utf-8"), "igniter", MODELINE)
    changed = text.replace("resistance: 60 ohm", "resistance: 45 ohm", 1)
    assert changed != text
    known, problems = lay(ours, parts__own=changed)
    assert problems == []
    assert known is not None
    assert known.furnaces[TYPE].parts["igniter"].values["resistance"] == 45.0


def test_an_own_furnace_stands_beside_the_shipped_one(ours: Path, knowledge: Knowledge) -> None:
    known, problems = lay(ours, furnaces__attic=own_furnace())
    assert problems == []
    assert known is not None
    assert set(known.furnaces) == {*knowledge.furnaces, "attic-unit"}
    assert known.furnaces["attic-unit"].faults.keys() == known.furnaces[TYPE].faults.keys()
    assert known.checks["attic-unit"].keys() == known.checks[TYPE].keys()


def test_an_own_feature_tells_own_furnaces_apart(ours: Path, knowledge: Knowledge) -> None:
    feature = (
        "- id: cabinet\n  ask: What colour?\n  values: {red: Red, grey: Grey}\n"
        "  source: common-practice\n"
    )
    furnace = own_furnace(old="features:\n", new="features:\n  cabinet: red\n")
    known, problems = lay(ours, identify=feature, furnaces__attic=furnace)
    assert problems == []
    assert known is not None
    assert set(known.features) == {*knowledge.features, "cabinet"}


def test_shipped_sources_may_fall_out_of_use_and_own_ones_may_not(
    ours: Path, knowledge: Knowledge
) -> None:
    named = Counter(
        each.source
        for entries in (knowledge.cautions, knowledge.repairs, knowledge.parts)
        for each in entries.values()
    )
    once = next(
        each
        for each in knowledge.cautions.values()
        if named[each.source] == 1 and knowledge.sources[each.source].kind == "published"
    )
    text = f"- {{id: {once.id}, title: T, text: [Words.], short: S, source: common-practice}}\n"
    _, problems = lay(ours, cautions=text)
    assert problems == []
    _, problems = lay(ours, sources="- {id: ours, kind: published, title: Ours}\n")
    assert [each.split(";")[0] for each in problems] == [
        "ours/sources.yaml:1: nothing comes from the source ours"
    ]


# --- mistakes -------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("name", "text", "told"),
    [
        (
            "tools",
            "- {id: meter, name: x, nam: x}\n",
            "ours/tools.yaml:1: there is no key 'nam' here",
        ),
        ("tools", "- {id: No Id, name: x}\n", "ours/tools.yaml:1: 'No Id' is no id"),
        ("tools", "meter\n", "ours/tools.yaml:1: this file is not a list"),
        ("tools", "\n- [\n", "ours/tools.yaml:3: not YAML:"),
        ("tols", METER, "ours/tols.yaml:1: nothing reads this file"),
        ("identify", "- {id: vent}\n", "ours/identify.yaml:1: the key 'ask' is missing"),
        (
            "furnaces__attic",
            own_furnace(old="  fuse: {}\n", new="  fuse: {}\n  fusible-link: {}\n"),
            "no part is called 'fusible-link'",
        ),
    ],
)
def test_a_mistake_is_told_with_the_folder_file_and_line(
    ours: Path, name: str, text: str, told: str
) -> None:
    _, problems = lay(ours, **{name: text})
    assert told in problems[0]
    assert problems[0].startswith("ours/")
    assert len(problems) == 1


def test_an_id_that_is_twice_in_one_folder_is_a_mistake(ours: Path) -> None:
    _, problems = lay(ours, tools=METER + METER)
    assert problems == [
        "ours/tools.yaml:2: the id meter is taken by ours/tools.yaml:1; give it another id"
    ]


def test_an_entry_with_a_mistake_is_not_a_mistake_of_what_refers_to_it(ours: Path) -> None:
    _, problems = lay(ours, tools="- {id: meter, name: 3}\n")
    assert len(problems) == 1
    assert problems[0].startswith("ours/tools.yaml:1: ")


def test_a_shipped_entry_that_no_longer_fits_is_told_without_the_name_of_the_folder(
    ours: Path, knowledge: Knowledge
) -> None:
    place = knowledge.places["part", "igniter"]
    text = copied(path_of(place, None).read_text(encoding="utf-8"), "igniter", MODELINE)
    _, problems = lay(ours, parts__own=text.replace("- id: aged", "- id: worn", 1))
    assert problems
    assert not any(each.startswith("ours/") for each in problems)
    assert any("igniter.aged" in each for each in problems)


@pytest.mark.parametrize("name", ["parts", "furnaces", "checks"])
def test_a_folder_with_the_name_of_a_shipped_one_is_told_apart(tmp_path: Path, name: str) -> None:
    folder = tmp_path / name
    folder.mkdir()
    _, problems = lay(folder, tools="- {id: 1}\n")
    assert all(each.startswith(f"./{name}/tools.yaml:1") for each in problems)
    assert problems
    for layer in layers(folder):
        path = layer.folder / "parts" / "air.yaml"
        assert path_of(Place(layer.name(path), 1), folder) == path


def test_a_folder_without_files_or_none_at_all_is_a_mistake(ours: Path) -> None:
    known, problems = library.check_over(ours)
    assert known is None
    assert problems[0].what == "there are no knowledge files"
    known, problems = library.check_over(ours / "gone")
    assert known is None
    assert problems[0].what == "there is no such folder"


@pytest.mark.parametrize("text", ["", "[]", "{}", "- 1", "- {id: [a]}", "a: &a [*a]", "\0"])
@pytest.mark.parametrize("name", sorted(name.removesuffix(".yaml") for name in SMALL))
def test_no_odd_file_raises(ours: Path, name: str, text: str) -> None:
    path = ours / f"{name}.yaml"
    path.parent.mkdir(exist_ok=True)
    path.write_text(text)
    _, problems = library.check_over(ours)
    assert all(problem.place.file == f"ours/{name}.yaml" for problem in problems)
    assert problems or text == "[]", "a list without entries changes nothing"


# --- which folder ---------------------------------------------------------------------


def test_the_environment_names_the_folder_that_is_laid_over(
    ours: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (ours / "tools.yaml").write_text(METER)
    monkeypatch.setenv(ENVIRONMENT, str(ours))
    assert library.load().tools["meter"].name == "Meter of ours"
    monkeypatch.setenv(ENVIRONMENT, "")
    assert chosen() is None
    assert library.load().tools["meter"].name != "Meter of ours"


def test_a_lone_folder_is_read_alone_whatever_the_environment_says(
    tmp_path: Path, ours: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv(ENVIRONMENT, str(ours))
    folder = write(tmp_path / "small", SMALL)
    assert set(library.load(folder).furnaces) == {"small"}
    assert is_whole(folder)
    assert not is_whole(ours)


@pytest.mark.parametrize("pattern", NEEDED)
def test_a_folder_is_whole_only_with_all_that_the_reader_needs(
    tmp_path: Path, pattern: str
) -> None:
    folder = write(tmp_path / "small", SMALL)
    for path in folder.glob(pattern):
        path.unlink()
    assert not is_whole(folder)
    missing = [problem.place.file for problem in library.check(folder)[1]]
    assert pattern in missing


# --- copies ---------------------------------------------------------------------------


def test_a_started_furnace_differs_in_id_and_name_and_keeps_every_line_else() -> None:
    text = (SHIPPED / "furnaces" / f"{TYPE}.yaml").read_text(encoding="utf-8")
    made = started(text, "attic-unit", MODELINE)
    before, after = parse(text.encode(), "a").data, parse(made.encode(), "b").data
    assert made.splitlines()[0] == MODELINE
    assert {key for key in before if before[key] != after[key]} == {"id", "name"}
    kept = [line for line in made.splitlines() if not line.startswith("#")]
    lines = [line for line in text.splitlines() if not line.startswith("#")]
    assert [line for line in lines if line not in kept] == [
        line for line in lines if line.startswith(("id:", "name:"))
    ]


def test_a_name_over_several_lines_is_replaced_whole() -> None:
    made = started("id: a\nname: >-\n  one\n  two\n# kept\nabout: b\n", "c", MODELINE)
    assert parse(made.encode(), "c").data == {
        "id": "c",
        "like": "a",
        "name": "one two (c)",
        "about": "b",
    }
    assert "# kept" in made


@pytest.mark.parametrize("text", ["{id: a, name: b}\n", "[]\n", "- [\n", ""])
def test_a_text_without_keys_of_their_own_lines_is_refused(text: str) -> None:
    with pytest.raises(CopyError):
        started(text, "c", MODELINE)


def test_every_part_of_the_shipped_files_can_be_copied_alone(knowledge: Knowledge) -> None:
    for (kind, id_), place in knowledge.places.items():
        if kind in ("part", "check", "rule", "repair"):
            text = copied(path_of(place, None).read_text(encoding="utf-8"), id_, MODELINE)
            (entry,) = parse(text.encode(), id_).data
            assert entry["id"] == id_


@pytest.mark.parametrize("text", ["[{id: a}, {id: b}]\n", "a: b\n", "- {id: c}\n", "- [\n"])
def test_an_entry_that_is_not_there_or_on_no_lines_of_its_own_is_refused(text: str) -> None:
    with pytest.raises(CopyError):
        copied(text, "a", MODELINE)
