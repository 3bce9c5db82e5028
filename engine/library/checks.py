"""Checks: resolved for every furnace that has what they read."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from msgspec.structs import replace as replace_entry

from lightoff.engine.entries.base import Scalar
from lightoff.engine.entries.checks import CheckEntry, Method
from lightoff.engine.library.bands import OTHERWISE, listed, read_bands
from lightoff.engine.library.files import Files, Item, check_id
from lightoff.engine.library.furnaces import Resolved
from lightoff.engine.library.parts import PROVOCATIONS
from lightoff.engine.library.rated import of_plate, plate_in_place
from lightoff.engine.library.readings import (
    LacksError,
    Reading,
    ReadingError,
    check_timing,
    part_of,
    reading,
    step_of,
)
from lightoff.engine.library.references import References, check_minutes
from lightoff.engine.library.report import Spot, suggestion
from lightoff.engine.library.values import apply, read_change
from lightoff.engine.machine.kinds import KINDS
from lightoff.engine.model import NOT_REACHED, Band, Check, Furnace, Outcome, Overrides, Part, Value
from lightoff.engine.units import UnitError, parse_as

MISREAD: Mapping[Method, float] = {
    "ask": 0.08,
    "look": 0.03,
    "listen": 0.04,
    "meter": 0.015,
    "gauge": 0.015,
    "try": 0.02,
}
"""Usual chance of a wrong answer by method (from memory)."""

NORMAL = "normal"
"""In a trial: the value that the part has in a sound furnace."""

NOT_REACHED_TEXT = "could not be tested: the furnace never got there"

_Checks = dict[str, dict[str, Check]]


def resolve_checks(
    files: Files, furnaces: Mapping[str, Resolved], references: References
) -> _Checks:
    """Furnace -> check id -> check; mistakes are noted and left out."""
    resolved: _Checks = {id_: {} for id_ in furnaces}
    for item in files.checks.items.values():
        if _is_sound(item, files, references):
            for furnace, check in _fitting(item, furnaces, files).items():
                resolved[furnace][item.entry.id] = check
    if files.checks.whole:
        for each in furnaces.values():
            _note_unread_steps(each.furnace, files)
    return resolved


# --- what holds for any furnace ----------------------------------------------------


def _is_sound(item: Item[CheckEntry], files: Files, references: References) -> bool:
    entry, spot = item.entry, item.spot
    before = spot.report.noted
    references.source(entry.source, spot.at("source"))
    references.tools(entry.tools, spot.at("tools"))
    references.cautions(entry.hazards, spot.at("hazards"))
    references.setup(entry.setup, spot.at("setup"))
    check_minutes(entry.minutes, spot.at("minutes"))
    _check_names(entry, files, spot)
    _check_outcomes(entry, spot)
    for name in ("varies", "misread"):
        _share(getattr(entry, name), 0.0, spot.at(name))
    try:
        check_timing(entry.reads)
    except ReadingError as error:
        spot.at("reads").wrong(error.what, error.mend)
    return spot.report.noted == before


def _check_names(entry: CheckEntry, files: Files, spot: Spot) -> None:
    for key, names in (("only-on", entry.only_on), ("not-on", entry.not_on)):
        for index, name in enumerate(names):
            if name not in files.furnaces.named:
                spot.at(key, index).unknown("furnace", name, files.furnaces.named)
    for index, name in enumerate(entry.provokes):
        if name not in PROVOCATIONS:
            spot.at("provokes", index).unknown("provocation", name, PROVOCATIONS)


def _check_outcomes(entry: CheckEntry, spot: Spot) -> None:
    for id_ in entry.outcomes:
        check_id(spot.at("outcomes", id_), id_)
    if NOT_REACHED in entry.outcomes:
        mend = "take it out: it is added by itself"
        spot.at("outcomes", NOT_REACHED).wrong(f"{NOT_REACHED} is no outcome of yours", mend)
    if len(entry.outcomes) < 2:
        spot.at("outcomes").wrong("one outcome tells nothing", "give two or more")
    if entry.reads.told:
        _check_told(entry, spot.at("outcomes"))
    for gas, outcomes in entry.burning.items():
        for id_ in outcomes.keys() - entry.outcomes.keys():
            spot.at("burning", gas, id_).unknown("outcome", id_, entry.outcomes)
    for id_ in entry.answers:
        if id_ not in entry.outcomes:
            spot.at("answers", id_).unknown("outcome", id_, entry.outcomes)


def _check_told(entry: CheckEntry, spot: Spot) -> None:
    """What is told has no band: each outcome stands for itself."""
    for id_, words in entry.outcomes.items():
        if words != id_:
            spot.at(id_).wrong(f"{id_} is told, not read", f"write `{id_}: {id_}`")


def _share(text: str, usual: float, spot: Spot) -> float:
    """A share of 0 to below 1; the usual one if nothing is given."""
    if not text:
        return usual
    try:
        share = parse_as(text, "fraction")
    except UnitError as error:
        spot.wrong(error.what, error.mend)
        return usual
    if not 0.0 <= share < 1.0:
        spot.wrong(f"{text} is no share", "give a part of the whole, such as 15 %")
    return share


# --- on one furnace ---------------------------------------------------------------


def _fitting(
    item: Item[CheckEntry], furnaces: Mapping[str, Resolved], files: Files
) -> dict[str, Check]:
    """The check on every furnace it is for."""
    entry, spot = item.entry, item.spot
    found: dict[str, Check] = {}
    lacking: dict[str, LacksError] = {}
    before = spot.report.noted
    elsewhere = _words_anywhere(entry, furnaces)
    for id_, each in furnaces.items():
        if not _is_for(entry, each.furnace):
            continue
        try:
            check = _resolve(entry, each.furnace, elsewhere, files, spot)
            if len(check.outcomes) > 1:
                found[id_] = check
        except LacksError as error:
            if each.whole:
                lacking[id_] = error
        except ReadingError as error:
            spot.at("reads").wrong(error.what, error.mend)
    _note_lacking(item, lacking, nowhere=len(lacking) == len(files.furnaces.named))
    return found if spot.report.noted == before else {}


def _is_for(entry: CheckEntry, furnace: Furnace) -> bool:
    if furnace.is_among(entry.not_on):
        return False
    return not entry.only_on or furnace.is_among(entry.only_on)


def _words_anywhere(entry: CheckEntry, furnaces: Mapping[str, Resolved]) -> frozenset[str]:
    """The words that what it reads may be told in, on all furnaces together."""
    words: set[str] = set()
    for each in furnaces.values():
        try:
            words |= reading(entry.reads, each.furnace).words
        except ReadingError:
            continue
    return frozenset(words)


def _note_lacking(item: Item[CheckEntry], lacking: Mapping[str, LacksError], nowhere: bool) -> None:
    """A missing thing is a mistake on a furnace the check is for, or if it is so on all."""
    if item.entry.only_on or nowhere:
        for furnace, error in lacking.items():
            item.spot.at("reads").wrong(f"{furnace} has {error.what}", error.mend)


def _resolve(
    entry: CheckEntry, furnace: Furnace, elsewhere: frozenset[str], files: Files, spot: Spot
) -> Check:
    """The check on a furnace; LacksError or ReadingError if it cannot be read there."""
    _has_all_tried(entry.reads.after_trying, furnace)
    entry = _by_legend(_by_plate(_burning(entry, furnace), furnace), furnace)
    trying = {
        **_held(entry.setup, furnace, files),
        **_trying(entry.reads.after_trying, furnace, spot.at("reads", "with")),
    }
    found = replace(reading(entry.reads, furnace), elsewhere=elsewhere)
    bands = _bands(entry, found, spot.at("outcomes"))
    return Check(
        id=entry.id,
        entry=entry,
        outcomes=_outcomes(entry, bands),
        dimension=found.dimension,
        trying=trying,
        varies=_share(entry.varies, 0.0, spot.at("varies")),
        misread=_share(entry.misread, MISREAD[entry.by], spot.at("misread")),
        setup=entry.setup,
    )


def _burning(entry: CheckEntry, furnace: Furnace) -> CheckEntry:
    """The check with the bands that hold for the gas of a furnace."""
    own = entry.burning.get(furnace.entry.gas)
    return replace_entry(entry, outcomes={**entry.outcomes, **own}) if own else entry


def _by_plate(entry: CheckEntry, furnace: Furnace) -> CheckEntry:
    """The check with the figures of the rating plate in its bands."""
    plate = plate_in_place(furnace)
    try:
        bands = {
            id_: of_plate(text, plate, furnace.parts) if isinstance(text, str) else text
            for id_, text in entry.outcomes.items()
        }
    except KeyError as error:
        raise LacksError(f"no {error}", suggestion(str(error), plate)) from None
    except UnitError as error:
        raise ReadingError(error.what, error.mend) from None
    return replace_entry(entry, outcomes=bands)


def _by_legend(entry: CheckEntry, furnace: Furnace) -> CheckEntry:
    """A check of the status light that says how this furnace's own light tells each outcome."""
    legend = furnace.entry.legend
    if not entry.reads.light or not legend:
        return entry
    answers = dict(entry.answers)
    for id_, words in entry.outcomes.items():
        shown = [sign for sign, meaning in legend.items() if meaning in listed(words)]
        if shown:
            answers[id_] = f"{_text(entry, id_)} (on this board: {', '.join(shown)})"
    return replace_entry(entry, answers=answers)


def _bands(entry: CheckEntry, found: Reading, spot: Spot) -> dict[str, Band]:
    if entry.reads.told:
        return {id_: Band(words=frozenset((id_,))) for id_ in entry.outcomes}
    return read_bands(entry.outcomes, found, spot)


def _held(setup: Mapping[str, str], furnace: Furnace, files: Files) -> Overrides:
    """What the set-up itself does to the parts that the furnace has."""
    overrides: dict[tuple[str, str], Value] = {}
    for name, state in setup.items():
        aspect = files.aspects.items.get(name)
        if aspect is not None:
            sets = aspect.entry.sets.get(state, {})
            overrides.update(_fitted(sets, furnace, aspect.spot.at("sets", state)))
    return overrides


def standing_so(furnace: Furnace, files: Files) -> dict[tuple[str, str], Overrides]:
    """(aspect, state) -> what the parts of the furnace are while the set-up is so."""
    return {
        (name, state): {
            **_fitted(item.entry.sets.get(state, {}), furnace, item.spot.at("sets", state)),
            **_fitted(item.entry.makes.get(state, {}), furnace, item.spot.at("makes", state)),
        }
        for name, item in files.aspects.items.items()
        for state in item.entry.minutes
    }


def _fitted(changes: Mapping[str, Scalar], furnace: Furnace, spot: Spot) -> Overrides:
    """The changes to those parts that the furnace has."""
    fitted = {p: v for p, v in changes.items() if p.partition(".")[0] in furnace.parts}
    return _trying(fitted, furnace, spot)


def _has_all_tried(changes: Mapping[str, Scalar], furnace: Furnace) -> None:
    """LacksError if what is tried needs a part, or a kind of part, that is not fitted."""
    for place in changes:
        name, dot, value = place.partition(".")
        part = part_of(name, furnace)
        if dot and value not in (known := KINDS[part.kind].values):
            raise LacksError(f"no value '{value}' of a {part.kind}", suggestion(value, known))


def _trying(changes: Mapping[str, Scalar], furnace: Furnace, spot: Spot) -> Overrides:
    overrides: dict[tuple[str, str], Value] = {}
    for place, given in changes.items():
        name, dot, value = place.partition(".")
        if not dot:
            spot.at(place).wrong(f"{place!r} names no value", "write PART.VALUE")
            continue
        result = _tried(part_of(name, furnace), value, given, spot.at(place))
        if result is not None:
            overrides[name, value] = result
    return overrides


def _tried(part: Part, name: str, given: Scalar, spot: Spot) -> Value | None:
    if given == NORMAL and name in part.values:
        return part.values[name]
    change = read_change(part.kind, name, given, spot)
    if change is None or name not in part.values:
        return None
    return apply(change, part.values[name], spot)


def _outcomes(entry: CheckEntry, bands: Mapping[str, Band]) -> tuple[Outcome, ...]:
    own = tuple(Outcome(id_, band, _text(entry, id_)) for id_, band in bands.items())
    if step_of(entry.reads) is None:
        return own
    return (*own, Outcome(NOT_REACHED, Band(), NOT_REACHED_TEXT))


def _text(entry: CheckEntry, outcome: str) -> str:
    if outcome in entry.answers:
        return entry.answers[outcome]
    name, band = outcome.replace("-", " "), entry.outcomes[outcome]
    if entry.by not in ("meter", "gauge") or not isinstance(band, str):
        return name
    return f"{name}: {'anything else' if band == OTHERWISE else band}"


def _note_unread_steps(furnace: Furnace, files: Files) -> None:
    """Every step of a sequence must be looked at by some check."""
    read: set[str] = set()
    for item in files.checks.items.values():
        entry = item.entry
        if _is_for(entry, furnace):
            read.update(_steps_read(entry))
    spot = files.furnaces.items[furnace.id].spot.at("sequence", "steps")
    for step in furnace.sequence.steps:
        if step not in read:
            spot.at(step).wrong(f"no check reads step {step}", "add a check with `during` it")


def _steps_read(entry: CheckEntry) -> set[str]:
    step = step_of(entry.reads)
    steps = set() if step is None else {step}
    if entry.reads.stalls:
        for words in entry.outcomes.values():
            steps.update([words] if isinstance(words, str) else words)
    return steps
