"""Every entry with figures or claims says where they come from, and every source is used."""

from pathlib import Path

import pytest
from msgspec.structs import fields

from lightoff.engine import library
from lightoff.engine.entries.base import Entry
from lightoff.engine.library.references import PLAIN_SOURCES
from tests.small_knowledge import CHECKS, FURNACE, PARTS, RULES, SMALL, edited, mistakes, write

DEFAULTS = {
    "FaultEntry": "from-memory",
    "CheckEntry": "common-practice",
    "FittedPart": "invented",
}
"""Entries that may leave their source out, and what is meant then."""

WITHOUT = {"SourceEntry", "ToolEntry"}
"""Sources themselves, and names of tools."""


def _kinds_with_an_id() -> list[type[Entry]]:
    # The library reads all kinds, so all are defined once it is imported.
    return [each for each in Entry.__subclasses__() if "id" in each.__struct_fields__]


@pytest.mark.parametrize("kind", _kinds_with_an_id(), ids=lambda kind: kind.__name__)
def test_a_kind_of_entry_has_a_source_without_which_it_is_refused(kind: type[Entry]) -> None:
    if kind.__name__ in WITHOUT:
        return
    assert "source" in kind.__struct_fields__
    (field,) = [each for each in fields(kind) if each.name == "source"]
    assert field.required or field.default == DEFAULTS[kind.__name__]


@pytest.mark.parametrize(
    ("name", "old", "new"),
    [
        ("cautions.yaml", ", source: a-paper", ""),
        ("repairs/all.yaml", ", source: common-practice", ""),
        (PARTS, "  source: invented\n", ""),
        (FURNACE, "source: invented\n", ""),
        (RULES, "  source: a-paper\n", ""),
    ],
)
def test_an_entry_without_its_source_is_refused(
    tmp_path: Path, name: str, old: str, new: str
) -> None:
    found = mistakes(write(tmp_path, edited(name, old, new)))
    assert any(each.startswith(f"{name}:") and "'source' is missing" in each for each in found)


@pytest.mark.parametrize(
    ("name", "old", "new"),
    [
        (CHECKS, "  minutes: 5\n", "  minutes: 5\n  source: hearsay\n"),
        (PARTS, "because: a reason", "because: a reason, source: hearsay"),
        (FURNACE, "source: a-paper", "source: hearsay"),
        (RULES, "source: a-paper", "source: hearsay"),
        (RULES, "source: a-paper", "source: published"),
    ],
)
def test_a_source_that_does_not_exist_is_refused(
    tmp_path: Path, name: str, old: str, new: str
) -> None:
    found = mistakes(write(tmp_path, edited(name, old, new)))
    assert any(each.startswith(f"{name}:") and "no source is called" in each for each in found)


def test_a_source_that_nothing_names_is_told(tmp_path: Path) -> None:
    more = "- {id: another, kind: published, title: Another paper}\n"
    texts = {**SMALL, "sources.yaml": SMALL["sources.yaml"] + more}
    assert mistakes(write(tmp_path, texts)) == [
        "sources.yaml:2: nothing comes from the source another; "
        "name it where it belongs, or take it out"
    ]


def test_the_plain_sources_may_be_described_and_not_used(tmp_path: Path) -> None:
    more = "".join(f"- {{id: {each}, kind: {each}, title: x}}\n" for each in PLAIN_SOURCES)
    texts = {**SMALL, "sources.yaml": SMALL["sources.yaml"] + more}
    assert mistakes(write(tmp_path, texts)) == []


def test_unused_sources_are_told_only_once_all_else_is_right(tmp_path: Path) -> None:
    texts = edited("cautions.yaml", "id: live", "id: Live!")
    texts["sources.yaml"] += "- {id: another, kind: published, title: Another paper}\n"
    assert not any("another" in each for each in mistakes(write(tmp_path, texts)))


def test_every_source_of_the_shipped_knowledge_is_named_somewhere() -> None:
    assert library.check(library.shipped())[1] == []
