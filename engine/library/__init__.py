"""Knowledge files -> Knowledge; every mistake with file, line and a mend.

`load` gives all of it or raises; `check` and `check_over` list all mistakes and give what is
without.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from pathlib import Path

from lightoff.engine.entries.furnaces import FeatureEntry
from lightoff.engine.entries.lists import CautionEntry, SourceEntry
from lightoff.engine.library.checks import resolve_checks, standing_so
from lightoff.engine.library.files import Files, Layer, read_folders, read_lists
from lightoff.engine.library.furnaces import resolve_furnace
from lightoff.engine.library.identifying import check_features, read_features
from lightoff.engine.library.overlay import chosen, layers, shipped
from lightoff.engine.library.parts import read_parts
from lightoff.engine.library.proving import apart, check_guards, check_proofs, check_ratings
from lightoff.engine.library.rated import NOTHING_READ, Read, known_figures
from lightoff.engine.library.references import References
from lightoff.engine.library.report import Report
from lightoff.engine.library.rules import resolve_rules
from lightoff.engine.model import Knowledge, Place
from lightoff.engine.strict_yaml import Problem

__all__ = ["KnowledgeError", "Problem", "check", "check_over", "load", "load_over", "shipped"]

Checked = tuple[Knowledge | None, list[Problem]]
"""What is without mistakes, and all mistakes."""


class KnowledgeError(Exception):
    """A knowledge folder with mistakes; one line for each."""

    def __init__(self, problems: list[Problem]) -> None:
        super().__init__("\n".join(map(str, problems)))
        self.problems = problems


def load(folder: Path | None = None) -> Knowledge:
    """Read a knowledge folder; KnowledgeError if it has mistakes.

    If None, the shipped one, with the person's own laid over if one is chosen.
    """
    return load_over(chosen()) if folder is None else _without_mistakes(check(folder))


def load_over(overlay: Path | None) -> Knowledge:
    """Read the shipped folder with another laid over, or alone if None; KnowledgeError."""
    return _without_mistakes(check_over(overlay))


def load_lists() -> tuple[dict[str, SourceEntry], dict[str, CautionEntry]]:
    """Sources and cautions as `load` gives them, for who needs no more; KnowledgeError."""
    report = Report()
    sources, cautions = read_lists(layers(chosen()), report)
    if report.noted:
        raise KnowledgeError(report.problems())
    return sources.entries(), cautions.entries()


def _without_mistakes(checked: Checked) -> Knowledge:
    knowledge, problems = checked
    if problems or knowledge is None:
        raise KnowledgeError(problems)
    return knowledge


def check(folder: Path) -> Checked:
    """What is without mistakes in a folder, and all its mistakes in the order of files.

    The knowledge is None if there is no file of any kind.
    """
    return _check((Layer(folder),))


def check_over(overlay: Path | None) -> Checked:
    """The same of the shipped folder with another laid over, or alone if None."""
    return _check(layers(overlay))


def load_rated(known: Knowledge, furnace: str, figures: Iterable[tuple[str, str]]) -> Knowledge:
    """What `load` gave, with what was read off one furnace (rating and figure) in its place.

    A figure that cannot be read off it today is left out.
    """
    kept = known_figures(known, known.furnaces[furnace], figures)
    if not kept:
        return known
    return _without_mistakes(_check(layers(chosen()), Read(furnace, kept)))


def _check(layers: Sequence[Layer], off_the_furnace: Read = NOTHING_READ) -> Checked:
    report, top = Report(), layers[-1]
    files = read_folders(layers, report)
    if not any(top.folder.glob("*.yaml")) and not any(top.folder.glob("*/*.yaml")):
        return None, [_nothing_there(top)]
    references = References(files)
    features: dict[str, FeatureEntry] = {}
    for layer in layers:
        features |= _features(layer, report, references)
    check_features(files.furnaces.items.values(), features)
    knowledge = replace(_resolve(files, references, off_the_furnace), features=features)
    if not report.noted:
        references.note_unused_sources(top.prefix)
    return knowledge, report.problems()


def _nothing_there(layer: Layer) -> Problem:
    there = layer.folder.is_dir()
    what = "there are no knowledge files" if there else "there is no such folder"
    mend = "name a folder with sources.yaml, parts/, furnaces/"
    if layer.prefix:
        mend = "name a folder with furnaces/, parts/ or other files of your own"
    return Problem(Place(layer.folder.name or str(layer.folder), 1), what, mend)


def _features(layer: Layer, report: Report, references: References) -> dict[str, FeatureEntry]:
    """The features of one folder; mistakes are told with the name its files have here."""
    own = Report()
    features = read_features(layer.folder, own, references)
    for problem in own.problems():
        place = replace(problem.place, file=layer.prefix + problem.place.file)
        report.add(replace(problem, place=place))
    return features


def _resolve(files: Files, references: References, off_the_furnace: Read) -> Knowledge:
    references.check_all()
    parts = read_parts(files, references)
    found = {
        id_: resolve_furnace(item, files, parts, references, off_the_furnace)
        for id_, item in files.furnaces.items.items()
    }
    resolved = {id_: each for id_, each in found.items() if each is not None}
    all_checks = resolve_checks(files, resolved, references)
    checks, proving = apart(all_checks)
    check_proofs(files, references)
    check_guards(files, (each.furnace for each in resolved.values()), all_checks)
    check_ratings(files, references)
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
        proofs=files.proofs.entries(),
        proving={id_: proving[id_] for id_, each in resolved.items() if each.whole},
        ratings=files.ratings.entries(),
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
        "proof": files.proofs,
        "rating": files.ratings,
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
