"""Options of a furnace: what a choice makes of its entry, before anything is resolved."""

from __future__ import annotations

import os
from collections.abc import Collection, Iterable, Mapping

from msgspec.structs import replace

from lightoff.engine.entries.furnaces import ChoiceEntry, FurnaceEntry
from lightoff.engine.library.report import Spot, suggestion
from lightoff.engine.machine.kinds import KINDS
from lightoff.engine.model import Fault, Part
from lightoff.engine.units import UnitError, parse_as

ENVIRONMENT = "LIGHTOFF_OPTIONS"
"""The variable that names choices, `OPTION=CHOICE` with commas between them."""


def chosen() -> dict[str, str]:
    """Option -> choice for all furnaces that have the option; ValueError if it is no such list."""
    found: dict[str, str] = {}
    for text in filter(None, os.environ.get(ENVIRONMENT, "").split(",")):
        option, equals, choice = text.partition("=")
        if not equals or not option.strip() or not choice.strip():
            raise ValueError(f"{text!r} is no choice; write OPTION=CHOICE")
        found[option.strip()] = choice.strip()
    return found


def as_chosen(entry: FurnaceEntry, spot: Spot) -> FurnaceEntry:
    """The entry as its own choices make it, then as those of this run do.

    A wrong choice of its own is noted; one of this run is left out: see `refused`.
    """
    for name, choice in entry.chosen.items():
        what, known = wrong_choice(entry, name, choice)
        if what:
            spot.at("chosen", name).unknown(what, choice if "choice" in what else name, known)
    for name, choice in {**entry.chosen, **chosen()}.items():
        if not wrong_choice(entry, name, choice)[0]:
            entry = with_choice(entry, name, choice)
    return entry


def with_choice(entry: FurnaceEntry, name: str, choice: str) -> FurnaceEntry:
    """The entry as one choice, which must be right, makes it."""
    option = entry.options[name]
    if option.figure:
        return _with(entry, ChoiceEntry(about="", site={option.figure: choice}))
    return _with(entry, option.choices[choice])


def refused(entries: Iterable[FurnaceEntry]) -> str | None:
    """What is wrong with the choices of this run: none of the furnaces takes one of them."""
    entries = list(entries)
    for name, choice in chosen().items():
        wrong = [wrong_choice(entry, name, choice) for entry in entries]
        if all(what for what, _ in wrong):
            what, known = next((w for w in wrong if "choice" in w[0]), wrong[0])
            named = choice if "choice" in what else name
            return f"no {what} is called {named!r}; {suggestion(named, known)}"
    return None


def wrong_choice(entry: FurnaceEntry, name: str, choice: str) -> tuple[str, Collection[str]]:
    """What a furnace does not have of a choice, and what it has; "" if it has it."""
    option = entry.options.get(name)
    if option is None:
        return "option of this furnace", entry.options
    if option.figure:
        try:
            parse_as(choice, "length")
        except UnitError:
            return f"choice of {name}", ("a figure with its unit, such as 3000 ft",)
        return "", ()
    return ("", ()) if choice in option.choices else (f"choice of {name}", option.choices)


def _with(entry: FurnaceEntry, choice: ChoiceEntry) -> FurnaceEntry:
    parts = dict(entry.parts)
    for place, value in choice.values.items():
        part, _, name = place.partition(".")
        if part in parts:
            fitted = parts[part]
            parts[part] = replace(fitted, values={**fitted.values, name: value})
    for place in choice.without:
        part, _, fault = place.partition(".")
        if part in parts:
            fitted = parts[part]
            parts[part] = replace(fitted, without=[*fitted.without, fault])
    return replace(
        entry,
        parts=parts,
        gas=choice.gas or entry.gas,
        features={**entry.features, **choice.features},
        site={**entry.site, **choice.site},
        plate={**entry.plate, **choice.plate},
    )


def check_options(
    entry: FurnaceEntry,
    parts: Mapping[str, Part],
    faults: Mapping[str, Fault],
    site: Mapping[str, str],
    spot: Spot,
) -> None:
    """Note what no choice may name, be it chosen or not."""
    for name, option in entry.options.items():
        here = spot.at("options", name)
        if bool(option.figure) == bool(option.choices):
            here.wrong(f"{name} leaves nothing to choose", "give either choices or a figure")
        if option.figure and option.figure not in site:
            here.at("figure").unknown("figure of the site", option.figure, site)
        for id_, choice in option.choices.items():
            _check_choice(choice, parts, faults, here.at("choices", id_))


def _check_choice(
    choice: ChoiceEntry, parts: Mapping[str, Part], faults: Mapping[str, Fault], spot: Spot
) -> None:
    for place in choice.values:
        part, _, name = place.partition(".")
        if part not in parts:
            spot.at("values", place).unknown("part of this furnace", part, parts)
        elif name not in (known := KINDS[parts[part].kind].values):
            spot.at("values", place).unknown(f"value of a {parts[part].kind}", name, known)
    known_faults = {f"{part.id}.{each.id}" for part in parts.values() for each in part.entry.faults}
    for index, place in enumerate(choice.without):
        if place not in known_faults:
            spot.at("without", index).unknown("fault of this furnace", place, faults)
