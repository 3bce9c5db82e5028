"""What proves a repair, and what is read off the furnace: mistakes in their entries."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from lightoff.engine.entries.checks import CheckEntry, ReadsEntry
from lightoff.engine.entries.proving import DriftEntry, ProofEntry, RatingEntry
from lightoff.engine.library.files import Files, Item
from lightoff.engine.library.furnaces import PLATE
from lightoff.engine.library.references import References
from lightoff.engine.library.report import Spot
from lightoff.engine.machine.kinds import KINDS
from lightoff.engine.model import Check, Furnace
from lightoff.engine.units import DIMENSIONS, UnitError, parse_as

PROVE = "prove"

Checks = Mapping[str, Mapping[str, Check]]
"""Furnace id -> check id -> check."""

WAYS = ("combustion-air", "house-air", "gas-train")
"""Ways along which a rating may scale all figures of a dimension."""


def apart(checks: Checks) -> tuple[Checks, Checks]:
    """The checks of a diagnosis, and those that only prove."""
    return (
        {id_: _of(own, proving=False) for id_, own in checks.items()},
        {id_: _of(own, proving=True) for id_, own in checks.items()},
    )


def _of(checks: Mapping[str, Check], proving: bool) -> dict[str, Check]:
    return {id_: check for id_, check in checks.items() if (check.entry.phase == PROVE) is proving}


def check_proofs(files: Files, references: References) -> None:
    """Note mistakes in what proves a repair."""
    areas = {item.entry.area for item in files.parts.items.values()}
    for item in files.proofs.items.values():
        _check_proof(item, files, areas, references)
    named = {name for item in files.proofs.items.values() for name in item.entry.checks}
    for id_, check in files.checks.items.items():
        if check.entry.phase == PROVE and id_ not in named:
            check.spot.wrong(f"nothing is proved by {id_}", "name it in proving.yaml")


def check_guards(files: Files, furnaces: Iterable[Furnace], checks: Checks) -> None:
    """Note a safety of a furnace that nothing proves, where anything is proved at all."""
    proofs = files.proofs.entries().values()
    for furnace in furnaces:
        known = checks[furnace.id]
        proved = {
            part
            for proof in proofs
            if not known.keys().isdisjoint(proof.checks)
            for part in proof.safety
        }
        for part in furnace.parts.values():
            if proofs and KINDS[part.kind].guards and part.id not in proved:
                spot = files.furnaces.items[furnace.id].spot.at("parts", part.id)
                mend = "name it in `safety` of an entry of proving.yaml, with a check it has"
                spot.wrong(f"nothing proves that {part.id} shuts the burner down", mend)


def _check_proof(
    item: Item[ProofEntry], files: Files, areas: set[str], references: References
) -> None:
    entry, spot = item.entry, item.spot
    references.source(entry.source, spot.at("source"))
    for index, area in enumerate(entry.after):
        if area not in areas:
            spot.at("after", index).unknown("area of a part", area, areas)
    fitted = {name for furnace in files.furnaces.items.values() for name in furnace.entry.parts}
    for index, part in enumerate(entry.safety):
        if part not in fitted:
            spot.at("safety", index).unknown("part of a furnace", part, fitted)
    if not entry.checks:
        spot.wrong("this proves nothing", "name the check that proves it")
    for index, name in enumerate(entry.checks):
        if name not in files.checks.named:
            spot.at("checks", index).unknown("check", name, files.checks.named)
        elif name in files.checks.items:
            _check_good(entry, files.checks.items[name].entry, spot)
    if entry.drift is not None:
        _check_drift(entry.drift, entry.checks, files, references, spot.at("drift"))


def _check_good(entry: ProofEntry, check: CheckEntry, spot: Spot) -> None:
    """What is told has no sound outcome but the one that is named."""
    if check.reads.told and not entry.good:
        spot.wrong(f"the model knows nothing of {check.id}", "name its outcomes that are `good`")
    if entry.good and check.outcomes.keys().isdisjoint(entry.good):
        spot.at("good").unknown(f"outcome of {check.id}", entry.good[0], check.outcomes)


def _check_drift(
    drift: DriftEntry, checks: Iterable[str], files: Files, references: References, spot: Spot
) -> None:
    references.source(drift.source, spot.at("source"))
    if not drift.falling and not drift.rising:
        spot.wrong("this drift means nothing", "say what `falling` or `rising` means")
    for name in checks:
        if name in files.checks.items and not _is_figure(files.checks.items[name].entry.reads):
            spot.wrong(f"no figure is read by {name}", "leave out `drift`: only figures drift")
    try:
        share = parse_as(drift.varies or "0 %", "fraction")
    except UnitError as error:
        spot.at("varies").wrong(error.what, error.mend)
        return
    if not 0.0 <= share < 1.0:
        spot.at("varies").wrong(f"{drift.varies} is no share", "write a share such as 5 %")


def _is_figure(reads: ReadsEntry) -> bool:
    """Whether a figure is read, not something told, seen, heard or shown."""
    shown = (reads.sight, reads.sound, reads.condition)
    return not (
        reads.told or reads.light or reads.stalls or any(each is not None for each in shown)
    )


def check_ratings(files: Files, references: References) -> None:
    """Note mistakes in what is read off the furnace."""
    options = {name for item in files.furnaces.items.values() for name in item.entry.options}
    parts = {name for item in files.furnaces.items.values() for name in item.entry.parts}
    for item in files.ratings.items.values():
        entry, spot = item.entry, item.spot
        references.source(entry.source, spot.at("source"))
        if sum(map(bool, (entry.plate, entry.value, entry.option))) != 1:
            spot.wrong("this rating is not one thing", "give one of plate, value and option")
        if entry.plate and entry.plate not in PLATE:
            spot.at("plate").unknown("figure of the plate", entry.plate, PLATE)
        if entry.value and entry.value.partition(".")[0] not in parts:
            spot.at("value").unknown("part", entry.value.partition(".")[0], parts)
        if entry.option and entry.option not in options:
            spot.at("option").unknown("option", entry.option, options)
        _check_scales(entry, parts, spot)


def _check_scales(entry: RatingEntry, parts: set[str], spot: Spot) -> None:
    values = {name for kind in KINDS.values() for name in kind.values}
    for place in entry.scales:
        where, _, value = place.partition(".")
        here = spot.at("scales", place)
        if where not in WAYS and where not in parts:
            here.unknown("way or part", where, {*WAYS, *parts})
        elif value not in (known := DIMENSIONS if where in WAYS else values):
            here.unknown("dimension" if where in WAYS else "value of a part", value, known)
