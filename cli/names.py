"""Names that a person typed -> what they stand for, or one line with the nearest names."""

from __future__ import annotations

import difflib
from collections.abc import Collection, Iterable, Mapping, Sequence
from itertools import combinations
from typing import TYPE_CHECKING, TypeVar

import click

if TYPE_CHECKING:
    from pathlib import Path

    from lightoff.engine.entries.lists import CautionEntry, SourceEntry
    from lightoff.engine.machine.trace import Trace
    from lightoff.engine.model import Fault, Furnace, Knowledge

T = TypeVar("T")

MOST_SUGGESTED = 3
LONGEST_QUOTED = 60
LONGEST_PATH = 200
HARDLY = 0.05
"""Likeness that a second suggestion may lack against the first."""


class WrongNameError(click.UsageError):
    """A name that does not exist or does not fit; the message says all there is to say."""


def load_knowledge() -> Knowledge:
    """The knowledge that comes with the program, with the person's own laid over it.

    Its mistakes end the command with exit 1.
    """
    from lightoff.engine.library import KnowledgeError, load
    from lightoff.engine.library.options import refused

    folder = own_folder()
    try:
        known = load()
    except KnowledgeError as error:
        where = f" (shipped, with {folder} laid over)" if folder else ""
        raise click.ClickException(f"the knowledge has mistakes{where}\n{error}") from None
    if (wrong := refused(furnace.entry for furnace in known.furnaces.values())) is not None:
        raise WrongNameError(wrong)
    return known


def load_lists() -> tuple[dict[str, SourceEntry], dict[str, CautionEntry]]:
    """Sources and cautions alone; their mistakes end the command with exit 1."""
    from lightoff.engine.library import KnowledgeError
    from lightoff.engine.library import load_lists as load

    own_folder()
    try:
        return load()
    except KnowledgeError as error:
        raise click.ClickException(f"the knowledge has mistakes\n{error}") from None


def own_folder() -> Path | None:
    """The folder that is to be laid over the shipped knowledge; WrongNameError if it is none."""
    from lightoff.engine.library.overlay import ENVIRONMENT, chosen

    folder = chosen()
    if folder is not None and not folder.is_dir():
        raise WrongNameError(
            f"{ENVIRONMENT} names no folder: {str(folder)[:LONGEST_PATH]}; mend it, or unset it"
        )
    return folder


def find(what: str, name: str, known: Mapping[str, T]) -> T:
    """What is called `name`; WrongNameError with the nearest names if nothing is."""
    if name in known:
        return known[name]
    raise unknown(what, name, known)


def unknown(what: str, name: str, known: Collection[str]) -> WrongNameError:
    """The complaint about a name that does not exist."""
    near = nearest(name, known)
    if near:
        mend = f"did you mean {' or '.join(near)}?"
    else:
        mend = f"known are {_first_few(sorted(known))}" if known else "there is none"
    return WrongNameError(f"no {what} is called {name[:LONGEST_QUOTED]!r}; {mend}")


def nearest(name: str, known: Iterable[str]) -> list[str]:
    """Up to three names like this one: those that hold it, then those spelt much like it."""
    by_lower = {each.lower(): each for each in known}
    wanted = name.lower()
    holding = [lower for lower in by_lower if len(wanted) > 2 and wanted in lower]
    alike = _spelt_alike(wanted, by_lower)
    found = dict.fromkeys([*(lower for lower in by_lower if lower == wanted), *holding, *alike])
    return [by_lower[lower] for lower in found][:MOST_SUGGESTED]


def _spelt_alike(wanted: str, known: Iterable[str]) -> list[str]:
    """The nearest in spelling, and others hardly further away."""
    close = difflib.get_close_matches(wanted, known, n=MOST_SUGGESTED)
    likeness = {each: difflib.SequenceMatcher(None, wanted, each).ratio() for each in close}
    return [each for each in close if likeness[each] > likeness[close[0]] - HARDLY]


def _first_few(names: Sequence[str]) -> str:
    return ", ".join(names[:8]) + (", ..." if len(names) > 8 else "")


def find_furnace(knowledge: Knowledge, name: str | None) -> Furnace:
    """The furnace of that name, or the only one there is."""
    if name is not None:
        return find("furnace", name, knowledge.furnaces)
    if len(knowledge.furnaces) == 1:
        return next(iter(knowledge.furnaces.values()))
    ids = " or ".join(sorted(knowledge.furnaces))
    raise WrongNameError(f"there are several furnaces; name one with --furnace: {ids}")


def find_faults(furnace: Furnace, names: Sequence[str]) -> tuple[Fault, ...]:
    """Faults by PART.FAULT; WrongNameError if one is unknown or two contradict each other."""
    faults = tuple(find("fault", name, furnace.faults) for name in dict.fromkeys(names))
    for one, other in combinations(faults, 2):
        both = one.overrides.keys() & other.overrides.keys()
        if any(one.overrides[place] != other.overrides[place] for place in both):
            raise WrongNameError(
                f"{one.id} and {other.id} cannot be there at once: both change the same values of "
                f"{one.part}; give one of them"
            )
    return faults


def simulated(furnace: Furnace, faults: Sequence[Fault]) -> Trace:
    """One call of the furnace with the faults; one line if it never settles."""
    from lightoff.engine.machine.plan import Machine, Plan
    from lightoff.engine.machine.simulate import ChatterError, simulate

    overrides = {place: value for fault in faults for place, value in fault.overrides.items()}
    try:
        return simulate(Machine(Plan(furnace), overrides))
    except ChatterError as error:
        raise click.ClickException(f"the furnace never settles: {error}") from None
