"""Drafts of scenarios on disk, and the names and the reading back of scenario files."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping
from contextlib import suppress
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING

import click

from lightoff.cli import screen
from lightoff.cli.scenario.files import write_over
from lightoff.engine import strict_yaml
from lightoff.engine.teaching import draft

if TYPE_CHECKING:
    from lightoff.engine.model import Knowledge, Scenario
    from lightoff.engine.strict_yaml import Problem

SUFFIX = ".yaml"
LONGEST_NAME = 40


class Drafts:
    """Where answers are kept until the scenario is written: FILE.draft beside FILE."""

    def __init__(self) -> None:
        self.has_warned = False
        self.reason = ""

    def of(self, path: Path | None) -> Path:
        """The draft that belongs to a scenario file."""
        return Path(f"{path}.draft")

    def recall(self, path: Path) -> dict[str, str]:
        """The answers of a draft, none if there is no draft; one line if it has mistakes."""
        kept = self.of(path)
        if not kept.exists():
            return {}
        document = strict_yaml.read(kept, str(kept))
        answers = document.data if isinstance(document.data, dict) else {}
        wrong = [name for name, each in answers.items() if isinstance(each, dict | list)]
        if document.problems or wrong or not answers:
            what = str(document.problems[0]) if document.problems else f"{kept}: no answers"
            what = f"{kept}: {wrong[0]} is no line of text" if wrong else what
            raise click.ClickException(f"{what}; mend it, or move it away to begin anew")
        return {name: str(each) for name, each in answers.items()}

    def free(self, path: Path) -> Path:
        """The file, or the next one by number, of which there is neither file nor draft."""
        number, found = 1, path
        while found.exists() or self.of(found).exists():
            number += 1
            found = path.with_stem(f"{path.stem}-{number}")
        return found

    def save(self, path: Path, answers: Mapping[str, str]) -> bool:
        """Keep the answers; whether that could be done."""
        try:
            write_over(self.of(path), draft.as_yaml(answers))
        except OSError as error:
            self.reason = error.strerror or str(error)
            return False
        return True

    def drop(self, path: Path) -> None:
        """Take the draft away."""
        with suppress(OSError):
            self.of(path).unlink()

    def warn(self) -> None:
        """Say once that answers are not on disk."""
        if not self.has_warned:
            line = (
                f"The draft cannot be saved ({self.reason}): make room, or finish in this window."
            )
            screen.say(line, "warn", stderr=True)
        self.has_warned = True


def file_name(title: str) -> str:
    """A name for a scenario file, made from its title."""
    plain = unicodedata.normalize("NFKD", title).encode("ascii", "ignore").decode().lower()
    words = re.findall(r"[a-z0-9]+", plain.replace("'", ""))
    name = "-".join(words)[:LONGEST_NAME].strip("-")
    return (name if name[:1].isalpha() else f"scenario-{name}".strip("-")) + SUFFIX


def read_back(text: str, id_: str, known: Knowledge) -> tuple[Scenario | None, list[Problem]]:
    """The scenario that a text is once it stands in a file, and its mistakes."""
    from lightoff.engine.library.scenarios import read_scenario

    with TemporaryDirectory(prefix="lightoff-") as folder:
        path = Path(folder) / f"{id_}{SUFFIX}"
        path.write_text(text, encoding="utf-8")
        return read_scenario(path, known, path.name)
