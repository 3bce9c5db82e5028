"""What tells the types of furnace apart: knowledge/identify.yaml, if there is one."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from pathlib import Path

from lightoff.engine.entries.furnaces import FeatureEntry, FurnaceEntry
from lightoff.engine.library.files import Item, check_id
from lightoff.engine.library.references import References
from lightoff.engine.library.report import Report, Spot
from lightoff.engine.library.shape import convert
from lightoff.engine.strict_yaml import read

IDENTIFY = "identify.yaml"
GAS = "gas"
"""The feature that every furnace has: the gas it burns."""


def read_features(folder: Path, report: Report, references: References) -> dict[str, FeatureEntry]:
    """The features by id; mistakes go to the report. Empty if the folder has no such file."""
    path = folder / IDENTIFY
    if not path.exists():
        return {}
    document = read(path, IDENTIFY)
    for problem in document.problems:
        report.add(problem)
    spot = Spot(report, document)
    if not isinstance(document.data, list):
        if document.data is not None:
            spot.wrong("this file is not a list", "write each feature as `- id: ...`")
        return {}
    features: dict[str, FeatureEntry] = {}
    for index, data in enumerate(document.data):
        entry = convert(data, FeatureEntry, spot.at(index))
        if entry is not None and _is_sound(entry, features, spot.at(index), references):
            features[entry.id] = entry
    return features


def _is_sound(
    entry: FeatureEntry, before: Mapping[str, FeatureEntry], spot: Spot, references: References
) -> bool:
    noted = spot.report.noted
    check_id(spot.at("id"), entry.id)
    references.source(entry.source, spot.at("source"))
    if entry.id in before:
        spot.at("id").wrong(f"the id {entry.id} is taken", "give it another id")
    if len(entry.values) < 2:
        spot.at("values").wrong("one value tells nothing apart", "give two or more")
    for value in entry.values:
        check_id(spot.at("values", value), value)
    return spot.report.noted == noted


def check_features(
    furnaces: Iterable[Item[FurnaceEntry]], features: Mapping[str, FeatureEntry]
) -> None:
    """Note what a furnace says of a feature, or of a value, that does not exist."""
    for item in furnaces:
        for feature, value in item.entry.features.items():
            spot = item.spot.at("features", feature)
            if feature == GAS:
                spot.wrong("the gas is said twice", "leave it to the key `gas` of the furnace")
            elif feature not in features:
                spot.unknown("feature", feature, features)
            elif value not in features[feature].values:
                spot.unknown(f"value of {feature}", value, features[feature].values)
