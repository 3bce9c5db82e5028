"""JSON Schema of the YAML files, made from the entries, for editors that complete and check.

A schema knows the shape of a file only: whether names are known, units fit and circuits
close is for `knowledge check`.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from pathlib import PurePath
from typing import Any

import msgspec

from lightoff.engine.entries.checks import CheckEntry
from lightoff.engine.entries.furnaces import FeatureEntry, FurnaceEntry
from lightoff.engine.entries.lists import (
    AspectEntry,
    CautionEntry,
    RepairEntry,
    SourceEntry,
    ToolEntry,
)
from lightoff.engine.entries.parts import PartEntry
from lightoff.engine.entries.proving import ProofEntry, RatingEntry
from lightoff.engine.entries.rules import RuleEntry
from lightoff.engine.entries.scenarios import ScenarioEntry

DRAFT = "https://json-schema.org/draft/2020-12/schema"

FILES: Mapping[str, Any] = {
    "furnace": FurnaceEntry,
    "parts": list[PartEntry],
    "checks": list[CheckEntry],
    "rules": list[RuleEntry],
    "proving": list[ProofEntry],
    "ratings": list[RatingEntry],
    "repairs": list[RepairEntry],
    "setups": list[AspectEntry],
    "cautions": list[CautionEntry],
    "tools": list[ToolEntry],
    "sources": list[SourceEntry],
    "identify": list[FeatureEntry],
    "scenario": ScenarioEntry,
}
"""Kind of file -> what stands in it: one entry, or a list of them."""

FOLDER = ".schema"
"""The folder of a knowledge folder in which editors find the schemas."""
_ONE_TO_A_FILE = {"furnaces": "furnace", "scenarios": "scenario"}
"""Folder whose files hold one entry each -> their kind."""


def schema_of(kind: str) -> dict[str, Any]:
    """The JSON Schema (draft 2020-12) of a kind of file; KeyError for an unknown one."""
    made = msgspec.json.schema(FILES[kind])
    return {"$schema": DRAFT, "title": f"lightoff {kind}", **made}


def text_of(kind: str) -> str:
    """The schema of a kind of file as the text of KIND.json."""
    return json.dumps(schema_of(kind), indent=2) + "\n"


def kind_of(path: PurePath) -> str:
    """The kind of a file by its folder or else by its name; KeyError if it is of no kind."""
    for name in (path.parent.name, path.stem):
        kind = _ONE_TO_A_FILE.get(name, name)
        if kind in FILES:
            return kind
    raise KeyError(str(path))


def modeline(path: PurePath, schemas: str = FOLDER) -> str:
    """The first line of a file that tells editors its schema.

    Both the path and `schemas` are seen from one folder, by default a knowledge folder.
    """
    up = "../" * (len(path.parts) - 1)
    return f"# yaml-language-server: $schema={up}{schemas}/{kind_of(path)}.json"
