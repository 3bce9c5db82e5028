"""One type of furnace: everything it refers to resolved, every figure in SI units."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import TypeVar

from lightoff.engine.entries.furnaces import AcceptedEntry, CallEntry, FurnaceEntry
from lightoff.engine.library.files import Files, Item
from lightoff.engine.library.options import as_chosen, check_options
from lightoff.engine.library.parts import ReadPart, fit_faults, fit_parts
from lightoff.engine.library.rated import NOTHING_READ, Read, as_read, scaled
from lightoff.engine.library.references import References
from lightoff.engine.library.report import Spot
from lightoff.engine.library.sequences import resolve_sequence
from lightoff.engine.library.values import figure, figures
from lightoff.engine.library.ways import check_all_used, check_ports, check_ways
from lightoff.engine.library.wiring import check_one_each, resolve_nets
from lightoff.engine.model import Call, Fault, Furnace

T = TypeVar("T")

SITE = {"room": "temperature", "outdoors": "temperature", "altitude": "length"}
"""What is known of the place a furnace stands in -> dimension."""

PLATE = {
    "input": "power",
    "temperature-rise": "temperature-rise",
    "manifold": "pressure",
    "inlet": "pressure",
    "external-static": "pressure",
}
"""Ranges on the rating plate -> dimension."""


@dataclass(frozen=True, slots=True)
class Resolved:
    """A furnace without its mistakes, so that checks can be looked at all the same.

    It may be used only if it is `whole`: if there were no mistakes.
    """

    furnace: Furnace
    whole: bool


def resolve_furnace(
    item: Item[FurnaceEntry],
    files: Files,
    read: Mapping[str, ReadPart],
    references: References,
    off_the_furnace: Read = NOTHING_READ,
) -> Resolved | None:
    """The furnace; None if it has a part that cannot be told for a mistake in its entry."""
    spot = item.spot
    noted = spot.report.noted
    ratings = files.ratings.entries()
    chosen = as_chosen(item.entry, spot)
    entry = as_read(chosen, ratings, off_the_furnace)
    references.source(entry.source, spot.at("source"))
    if entry.like and entry.like not in files.furnaces.named:
        spot.at("like").unknown("furnace", entry.like, files.furnaces.named)
    call = _call(entry.call, spot.at("call"))
    site = _figures(entry.site, SITE, spot.at("site"), figure)
    plate = _figures(entry.plate, PLATE, spot.at("plate"), figures)
    parts = fit_parts(entry, spot, files, read, references)
    if parts is None:
        return None
    if off_the_furnace.furnace == entry.id:
        before = fit_parts(chosen, spot, files, read, references) or parts
        parts = scaled(entry, chosen, parts, before, ratings, off_the_furnace)
    check_one_each(parts, spot)
    nets = resolve_nets(entry, parts, spot)
    taps = check_ways(entry, parts, spot)
    faults = fit_faults(entry, parts, read)
    check_options(item.entry, parts, faults, SITE, spot)
    hoses = check_ports(parts, faults, taps, spot)
    check_all_used(entry, parts, nets, hoses, spot)
    _check_accepted(entry.accepted_unseen, faults, spot.at("accepted-unseen"))
    _check_accepted(entry.accepted_alike, faults, spot.at("accepted-alike"))
    sequence = resolve_sequence(entry.sequence, parts, nets, spot.at("sequence"))
    _check_legend(entry, spot.at("legend"))
    furnace = Furnace(
        id=entry.id,
        entry=entry,
        parts=parts,
        faults=faults,
        line=nets.line,
        control=nets.control,
        sequence=sequence,
        call=call,
        site=site,
        plate=plate,
        millivolt=nets.millivolt,
    )
    sound = all(read[part.entry.id].whole for part in parts.values())
    return Resolved(furnace, sound and spot.report.noted == noted)


def _call(entry: CallEntry, spot: Spot) -> Call:
    before = spot.report.noted
    starts = figure(entry.starts, "time", spot.at("starts")) or 0.0
    satisfied = figure(entry.satisfied, "time", spot.at("satisfied")) or 0.0
    watched = figure(entry.watched, "time", spot.at("watched")) or 0.0
    if spot.report.noted == before and not 0.0 <= starts < satisfied < watched:
        mend = "let it start, be satisfied and be watched to its end in this order"
        spot.wrong("the times of the call are out of order", mend)
    second = float("inf")
    if entry.second_stage:
        second = figure(entry.second_stage, "time", spot.at("second-stage")) or second
        if not starts < second < satisfied:
            mend = "let it come between the start and the end of the call"
            spot.at("second-stage").wrong("second-stage heat is called at no time", mend)
    return Call(starts, satisfied, watched, second)


def _figures(
    given: Mapping[str, str],
    known: Mapping[str, str],
    spot: Spot,
    read: Callable[[str, str, Spot], T | None],
) -> dict[str, T]:
    """Read all the known figures; unknown and missing ones are noted."""
    for name in given.keys() - known.keys():
        spot.at(name).unknown("figure here", name, known)
    for name in known.keys() - given.keys():
        spot.wrong(f"the key {name!r} is missing", f"add its {known[name]}")
    found = {
        name: read(given[name], dimension, spot.at(name))
        for name, dimension in known.items()
        if name in given
    }
    return {name: value for name, value in found.items() if value is not None}


def _check_legend(entry: FurnaceEntry, spot: Spot) -> None:
    known = {step.light for step in entry.sequence.steps.values() if step.light}
    for sign, meaning in entry.legend.items():
        if meaning not in known:
            spot.at(sign).unknown("word for the light in a step", meaning, known)


def _check_accepted(accepted: list[AcceptedEntry], faults: Mapping[str, Fault], spot: Spot) -> None:
    for index, entry in enumerate(accepted):
        for place, fault in enumerate(entry.faults):
            if fault not in faults:
                spot.at(index, "faults", place).unknown("fault", fault, faults)
