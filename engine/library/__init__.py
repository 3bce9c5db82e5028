"""Knowledge files -> Knowledge; every mistake with file, line and a mend.

`load` gives all of it or raises; `check` lists all mistakes and gives what is without.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from lightoff.engine.library.checks import resolve_checks, standing_so
from lightoff.engine.library.files import Files, read_folder
from lightoff.engine.library.furnaces import resolve_furnace
from lightoff.engine.library.identifying import check_features, read_features
from lightoff.engine.library.parts import read_parts
from lightoff.engine.library.references import References
from lightoff.engine.library.report import Report
from lightoff.engine.library.rules import resolve_rules
from lightoff.engine.model import Knowledge, Place
from lightoff.engine.strict_yaml import Problem

__all__ = ["KnowledgeError", "Problem", "check", "load", "shipped"]


class KnowledgeError(Exception):
    """A knowledge folder with mistakes; one line for each."""

    def __init__(self, problems: list[Problem]) -> None:
        super().__init__("\n".join(map(str, problems)))
        self.problems = problems


def shipped() -> Path:
    """The knowledge folder that comes with the program."""
    from importlib.resources import files

    return Path(str(files("lightoff.knowledge")))


def load(folder: Path | None = None) -> Knowledge:
    """Read a knowledge folder (the shipped one if None); KnowledgeError if it has mistakes."""
    knowledge, problems = check(folder or shipped())
    if problems or knowledge is None:
        raise KnowledgeError(problems)
    return knowledge


def check(folder: Path) -> tuple[Knowledge | None, list[Problem]]:
    """What is without mistakes in a folder, and all its mistakes in the order of files.

    The knowledge is None if there is no file of any kind.
    """
    report = Report()
    files = read_folder(folder, report)
    if not any(folder.glob("*.yaml")) and not any(folder.glob("*/*.yaml")):
        what = "there are no knowledge files" if folder.is_dir() else "there is no such folder"
        place = Place(folder.name or str(folder), 1)
        return None, [Problem(place, what, "name a folder with sources.yaml, parts/, furnaces/")]
    references = References(files)
    features = read_features(folder, report, references)
    check_features(files.furnaces.items.values(), features)
    knowledge = replace(_resolve(files, references), features=features)
    if not report.noted:
        references.note_unused_sources()
    return knowledge, report.problems()


def _resolve(files: Files, references: References) -> Knowledge:
    references.check_all()
    parts = read_parts(files, references)
    found = {
        id_: resolve_furnace(item, files, parts, references)
        for id_, item in files.furnaces.items.items()
    }
    resolved = {id_: each for id_, each in found.items() if each is not None}
    checks = resolve_checks(files, resolved, references)
    return Knowledge(
        sources=files.sources.entries(),
        cautions=files.cautions.entries(),
        tools=files.tools.entries(),
        aspects=files.aspects.entries(),
        repairs=files.repairs.entries(),
        parts=files.parts.entries(),
        furnaces={id_: each.furnace for id_, each in resolved.items() if each.whole},
        checks={id_: checks[id_] for id_, each in resolved.items() if each.whole},
        rules=resolve_rules(files, resolved, checks, references),
        places=_places(files),
        standing={
            id_: standing_so(each.furnace, files) for id_, each in resolved.items() if each.whole
        },
    )


def _places(files: Files) -> dict[tuple[str, str], Place]:
    """Where each entry stands, and each fault of a part as PART.FAULT."""
    sections = {
        "source": files.sources,
        "caution": files.cautions,
        "tool": files.tools,
        "aspect": files.aspects,
        "repair": files.repairs,
        "part": files.parts,
        "furnace": files.furnaces,
        "check": files.checks,
        "rule": files.rules,
    }
    places = {
        (kind, id_): item.spot.place
        for kind, section in sections.items()
        for id_, item in section.items.items()  # type: ignore[attr-defined]
    }
    for part in files.parts.items.values():
        for index, fault in enumerate(part.entry.faults):
            place = part.spot.at("faults", index).place
            places["fault", f"{part.entry.id}.{fault.id}"] = place
    return places
