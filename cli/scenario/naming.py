"""The file of a new scenario: a name that can be one, and never over another one unasked."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from lightoff.cli import screen
from lightoff.cli.prompts import ask
from lightoff.cli.scenario.drafts import SUFFIX, Drafts, file_name, read_back
from lightoff.cli.scenario.prompts import refuse, show
from lightoff.engine.teaching import draft

if TYPE_CHECKING:
    from lightoff.engine.model import Knowledge

OVERWRITE = "o"
LONGEST_NAME = 200
"""Bytes of a file's name: file systems take 255, and a draft's name is longer."""


def chosen(title: str, known: Knowledge, drafts: Drafts) -> Path:
    """Ask for the name of the file, made from the title if nothing is typed."""
    usual = file_name(title)
    screen.say()
    show("File to write it to", usual)
    path = None
    while path is None:
        path = _named(ask() or usual, known, drafts)
    return path


def settled(path: Path, known: Knowledge, drafts: Drafts) -> tuple[Path, bool]:
    """Ask until the file is a new one, or may be written over: the file, and whether so."""
    while path.exists():
        screen.say(f"{path} is there already.", "warn")
        screen.say(f"Type another name, or {OVERWRITE} to write over it at the end.")
        typed = ask()
        if typed == OVERWRITE:
            return path, True
        path = _named(typed, known, drafts) or path
    return path, False


def _named(typed: str, known: Knowledge, drafts: Drafts) -> Path | None:
    """The file of a name; None after saying why it cannot be one."""
    path = Path(typed)
    problem = not_a_scenario_file(path, known) if typed else "type a name"
    if not problem and drafts.of(path).exists():
        problem = f"{drafts.of(path)} is an unfinished one; type another name"
    if problem:
        refuse(problem)
        return None
    return path


def not_a_scenario_file(path: Path, known: Knowledge) -> str:
    """Why a scenario cannot be written to this path; "" if it can."""
    if len(path.name.encode()) > LONGEST_NAME:
        return f"this name is too long; give one like attic-office{SUFFIX}"
    if path.suffix != SUFFIX:
        return f"{str(path)[:60]} is no name for a scenario; give one like attic-office{SUFFIX}"
    if not path.parent.is_dir():
        return f"there is no folder {path.parent}; make it first, or give another name"
    if path.is_dir():
        return f"{path} is a folder; give another name"
    furnace = next(iter(known.furnaces.values()))
    text = draft.as_yaml(draft.scenario_data(path.stem, {}, furnace, list(known.tools)))
    try:
        _, problems = read_back(text, path.stem, known)
    except (OSError, ValueError) as error:
        return f"this name cannot be used ({getattr(error, 'strerror', error)}); give another one"
    return f"{problems[0].what}; {problems[0].mend}" if problems else ""
