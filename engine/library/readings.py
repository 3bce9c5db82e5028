"""What a check reads on one furnace: its dimension, or the words it may give."""

from __future__ import annotations

from collections.abc import Callable, Collection
from dataclasses import dataclass

from lightoff.engine.entries.checks import ReadsEntry
from lightoff.engine.library.report import suggestion
from lightoff.engine.library.wiring import terminals
from lightoff.engine.machine.kinds import KINDS
from lightoff.engine.model import ROOM, Furnace, Part

TEMPERATURES = {
    "rise": "temperature-rise",
    "flue": "temperature",
    "supply": "temperature",
    "exchanger": "temperature",
}
FLUE_GASES = ("o2", "co2", "co-air-free")
SATISFIED = "satisfied"
"""Where a call stalls that does not stall."""

TIMED = (
    "volts",
    "amps",
    "microamps",
    "pressure",
    "gauge",
    "temperature",
    "flue",
    "input",
    "sight",
    "sound",
)
"""Readings that depend on the step in which they are taken."""
UNTIMED = ("ohms", "condition", "stalls", "seconds", "told")
"""Readings that do not; `light` may be read in a step or at the end."""
READINGS = (*TIMED, *UNTIMED, "light")


@dataclass(frozen=True, slots=True)
class Reading:
    """A figure of a dimension, or one of some words.

    `elsewhere` are the words that the same reading may give on any furnace.
    """

    dimension: str = ""
    words: frozenset[str] = frozenset()
    elsewhere: frozenset[str] = frozenset()


class ReadingError(ValueError):
    """The reading is a mistake on any furnace: what is wrong, and how to mend it."""

    def __init__(self, what: str, mend: str) -> None:
        super().__init__(f"{what}; {mend}")
        self.what = what
        self.mend = mend


class LacksError(ReadingError):
    """The furnace has no such part, step, tap, terminal or net; the check may be for another."""


def given(reads: ReadsEntry) -> list[str]:
    """Names of the readings that are filled in."""
    return [name for name in READINGS if getattr(reads, name) not in (None, False)]


def check_timing(reads: ReadsEntry) -> None:
    """ReadingError unless there is one reading, with a step just where it needs one."""
    names = given(reads)
    if len(names) != 1:
        what = f"a check reads one thing, not {len(names)}"
        raise ReadingError(what, f"give one of {', '.join(READINGS)}")
    if names[0] in TIMED and reads.during is None:
        raise ReadingError(f"{names[0]} differ from step to step", "add `during: STEP`")
    if names[0] in UNTIMED and reads.during is not None:
        raise ReadingError(f"{names[0]} does not depend on a step", "take `during` out")


def step_of(reads: ReadsEntry) -> str | None:
    """The step that must be reached for the reading, if it needs one."""
    return reads.seconds or reads.during


def reading(reads: ReadsEntry, furnace: Furnace) -> Reading:
    """What is read on a furnace; LacksError if it is not there, ReadingError if it is wrong."""
    step = step_of(reads)
    if step is not None:
        _has("step", step, furnace.sequence.steps)
    return _READERS[given(reads)[0]](reads, furnace)


def part_of(name: str, furnace: Furnace) -> Part:
    """A fitted part; LacksError if the furnace has none of that name."""
    _has("part", name, furnace.parts)
    return furnace.parts[name]


def _has(what: str, name: str, known: Collection[str]) -> None:
    if name not in known:
        raise LacksError(f"no {what} {name}", suggestion(name, known))


def _volts(reads: ReadsEntry, furnace: Furnace) -> Reading:
    assert reads.volts is not None
    nets = [terminals(wires) for wires in furnace.nets.values()]
    for terminal in reads.volts:
        _has("terminal", terminal, frozenset().union(*nets))
    if not any(set(reads.volts) <= net for net in nets):
        what = f"two nets there, {reads.volts[0]} and {reads.volts[1]} are not in one net"
        raise LacksError(what, "name two terminals of one net")
    return Reading("voltage")


def _branch(text: str, furnace: Furnace) -> None:
    """Check a wired branch; a part named without one means its first in the wiring."""
    name, _, branch = text.partition("/")
    part = part_of(name, furnace)
    known = KINDS[part.kind].branches
    if branch and branch not in known:
        raise LacksError(f"no branch {branch!r} of a {part.kind}", suggestion(branch, known))
    wired = [w.branch for w in furnace.wires if w.part == name]
    _has(f"wiring to {name},", branch or "".join(wired[:1]) or "a branch", wired)


def _ohms(reads: ReadsEntry, furnace: Furnace) -> Reading:
    _branch(str(reads.ohms), furnace)
    return Reading("resistance")


def _amps(reads: ReadsEntry, furnace: Furnace) -> Reading:
    _branch(str(reads.amps), furnace)
    return Reading("current")


def _microamps(reads: ReadsEntry, furnace: Furnace) -> Reading:
    part = part_of(str(reads.microamps), furnace)
    if "flame" not in KINDS[part.kind].branches:
        raise ReadingError(f"{part.id} is a {part.kind}", "name a flame sensor")
    return Reading("current")


def _pressure(reads: ReadsEntry, furnace: Furnace) -> Reading:
    assert reads.pressure is not None
    entry = furnace.entry
    links = {*entry.combustion_air, *entry.house_air, *entry.gas_train, ROOM}
    for tap in reads.pressure:
        _has("tap", tap, {link for link in links if link.isupper()})
    return Reading("pressure")


def _shown(text: str, furnace: Furnace) -> Reading:
    name, dot, shown = text.partition(".")
    if not dot:
        raise ReadingError(f"{text!r} names no place", "write PART.SHOWN")
    kind = part_of(name, furnace).kind
    shows = KINDS[kind].shows
    if shown not in shows:
        raise ReadingError(f"a {kind} shows no {shown!r}", suggestion(shown, shows))
    return Reading(shows[shown])


def _gauge(reads: ReadsEntry, furnace: Furnace) -> Reading:
    return _shown(str(reads.gauge), furnace)


def _sight(reads: ReadsEntry, furnace: Furnace) -> Reading:
    return _shown(str(reads.sight), furnace)


def _sound(reads: ReadsEntry, furnace: Furnace) -> Reading:
    return _shown(str(reads.sound), furnace)


def _temperature(reads: ReadsEntry, furnace: Furnace) -> Reading:
    name = str(reads.temperature)
    if name not in TEMPERATURES:
        raise ReadingError(f"no temperature is called {name!r}", suggestion(name, TEMPERATURES))
    return Reading(TEMPERATURES[name])


def _flue(reads: ReadsEntry, furnace: Furnace) -> Reading:
    if reads.flue not in FLUE_GASES:
        what = f"the flue gas is not read for {reads.flue!r}"
        raise ReadingError(what, suggestion(str(reads.flue), FLUE_GASES))
    return Reading("fraction")


def _input(reads: ReadsEntry, furnace: Furnace) -> Reading:
    return Reading("power")


def _condition(reads: ReadsEntry, furnace: Furnace) -> Reading:
    name, dot, value = str(reads.condition).partition(".")
    if not dot:
        raise ReadingError(f"{reads.condition!r} names no value", "write PART.VALUE")
    part = part_of(name, furnace)
    spec = KINDS[part.kind].values.get(value)
    if spec is None:
        known = KINDS[part.kind].values
        raise ReadingError(f"a {part.kind} has no {value!r}", suggestion(value, known))
    if spec.dimension:
        return Reading(spec.dimension)
    return Reading(words=looks_of(part, value) if spec.any_word else frozenset(spec.words))


def looks_of(part: Part, value: str) -> frozenset[str]:
    """The words a part may be described with: its own, its faults', and once tripped."""
    values = (value, f"tripped-{value}")
    own = {str(part.values[name]) for name in values if name in part.values}
    faults = part.entry.faults
    return frozenset(own | {str(f.sets[name]) for f in faults for name in values if name in f.sets})


def _light(reads: ReadsEntry, furnace: Furnace) -> Reading:
    steps = furnace.sequence.steps.values()
    return Reading(words=frozenset(step.entry.light for step in steps if step.entry.light))


def _stalls(reads: ReadsEntry, furnace: Furnace) -> Reading:
    sequence = furnace.sequence
    return Reading(words=frozenset((*sequence.path, sequence.starts, SATISFIED)))


def _seconds(reads: ReadsEntry, furnace: Furnace) -> Reading:
    return Reading("time")


def _told(reads: ReadsEntry, furnace: Furnace) -> Reading:
    """What is told is known by its outcomes alone."""
    return Reading()


_READERS: dict[str, Callable[[ReadsEntry, Furnace], Reading]] = {
    "volts": _volts,
    "ohms": _ohms,
    "amps": _amps,
    "microamps": _microamps,
    "pressure": _pressure,
    "gauge": _gauge,
    "temperature": _temperature,
    "flue": _flue,
    "input": _input,
    "sight": _sight,
    "sound": _sound,
    "condition": _condition,
    "light": _light,
    "stalls": _stalls,
    "seconds": _seconds,
    "told": _told,
}
