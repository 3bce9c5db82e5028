"""A call as a timing chart: rows of what is on, against the steps of the trace.

Every stay in a step gets equal room whatever it lasts, so that a second can be read
beside a quarter of an hour; the time it lasts stands below. A round of steps that comes
again and again is drawn once.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import partial

from lightoff.engine.machine.kinds import KINDS
from lightoff.engine.machine.plan import Machine
from lightoff.engine.machine.trace import Segment, Trace, Visit
from lightoff.engine.model import Input

ON, PARTLY, OFF, AGAIN, BORDER = "\u2588", "\u2592", "\u00b7", "~", "\u2502"

NARROWEST, WIDEST = 4, 9
"""Columns one stay may take, its border included."""
ROUNDS = 3
"""Times in a row that a round of steps must come to be drawn once."""
LEAST_WATTS = 1.0
"""Power in W below which an igniter counts as off: what leaks through a bad contact."""

Piece = tuple[str, str]
"""Text and its style."""


@dataclass(frozen=True, slots=True)
class Row:
    """One thing that is on or off."""

    label: str
    is_on: Callable[[Segment], bool]


@dataclass(frozen=True, slots=True)
class Stay:
    """One stay in a step, numbered from 1, with its stretch of the trace."""

    number: int
    visit: Visit
    segments: tuple[Segment, ...]


@dataclass(frozen=True, slots=True)
class Again:
    """A round of the stays numbered `first` to `last` that comes `times` more, until `end`."""

    first: int
    last: int
    times: int
    end: float


Column = Stay | Again


# --- what is on ----------------------------------------------------------------------


def rows(machine: Machine) -> tuple[Row, ...]:
    """The rows of a furnace, in the order in which a call needs them."""
    plan = machine.plan
    there = {
        "inducer": plan.combustion.fan in plan.motors,
        "igniter": "igniter" in plan.roles,
        "spark": plan.spark is not None,
        "pilot": "pilot" in plan.roles,
        "flame seen": plan.flame_sensor is not None,
    }
    every = (
        Row("call", partial(called, _call_input(machine))),
        Row("inducer", partial(turns, plan.combustion.fan)),
        *_contacts(machine, "vent-damper", "pressure-switch"),
        Row("igniter", lambda segment: segment.drive.igniter_watts > LEAST_WATTS),
        Row("spark", lambda segment: segment.sparks),
        Row("pilot", lambda segment: segment.drive.pilot_lit),
        Row("gas valve", lambda segment: segment.drive.valve),
        Row("flame", lambda segment: segment.drive.first_lit),
        Row("flame seen", partial(_sensed, _flame_input(machine))),
        Row("blower", partial(turns, plan.house_air.fan)),
        *_contacts(machine, "temperature-switch", "fan-switch"),
    )
    return tuple(row for row in every if there.get(row.label, True))


def _contacts(machine: Machine, *kinds: str) -> list[Row]:
    parts = machine.furnace.parts.values()
    names = [part.id for kind in kinds for part in parts if part.kind == kind]
    return [Row(name.replace("-", " "), partial(closed, name)) for name in names]


def called(reading: Input | None, segment: Segment) -> bool:
    """Whether the call reaches the board; whether there is one, if the board has no input."""
    if reading is None or reading.volts is None:
        return segment.standing.calling
    return abs(segment.electrics.volts(*reading.volts)) > reading.above


def turns(motor: str, segment: Segment) -> bool:
    """Whether a motor turns."""
    return motor in segment.standing.turning


def closed(part: str, segment: Segment) -> bool:
    """Whether current could pass the contacts of a part."""
    machine = segment.electrics.machine
    kind = KINDS[machine.furnace.parts[part].kind]
    return kind.conductance(part, machine.values[part], "contacts", segment.standing) > 0.0


def _sensed(reading: Input | None, segment: Segment) -> bool:
    return reading is not None and segment.inputs[reading.id]


def _call_input(machine: Machine) -> Input | None:
    """The input of the sequence that the board's call terminal feeds."""
    sequence = machine.furnace.sequence
    wired = [
        {wire.start, wire.end}
        for wire in machine.furnace.wires
        if (wire.part, wire.branch) == (sequence.board, "call-input")
    ]
    readings = sequence.inputs.values()
    return next((each for each in readings if each.volts and set(each.volts) in wired), None)


def _flame_input(machine: Machine) -> Input | None:
    readings = machine.furnace.sequence.inputs.values()
    return next((each for each in readings if each.microamps is not None), None)


# --- columns -------------------------------------------------------------------------


def stays(trace: Trace) -> tuple[Stay, ...]:
    """All stays of a trace."""
    first = trace.segments[0].visit
    return tuple(
        Stay(number, visit, tuple(s for s in trace.segments if s.visit == first + number - 1))
        for number, visit in enumerate(trace.visits(), start=1)
    )


def folded(all_stays: Sequence[Stay]) -> list[Column]:
    """The stays, with rounds of steps that come at least `ROUNDS` times written once."""
    steps = [stay.visit.step for stay in all_stays]
    columns: list[Column] = []
    here = 0
    while here < len(steps):
        length, times = _round_at(steps, here)
        columns += all_stays[here : here + length]
        if times > 1:
            first, last = all_stays[here], all_stays[here + length - 1]
            end = all_stays[here + length * times - 1].visit.end
            columns.append(Again(first.number, last.number, times - 1, end))
        here += length * times
    return columns


def _round_at(steps: Sequence[str], here: int) -> tuple[int, int]:
    """Length and number of the rounds that begin here and cover most; (1, 1) if none does."""
    best = (1, 1)
    for length in range(2, (len(steps) - here) // ROUNDS + 1):
        times = 1
        while _same(steps, here, here + times * length, length):
            times += 1
        if times >= ROUNDS and length * times > best[0] * best[1]:
            best = (length, times)
    return best


def _same(steps: Sequence[str], one: int, other: int, length: int) -> bool:
    return list(steps[one : one + length]) == list(steps[other : other + length])


# --- drawing -------------------------------------------------------------------------


def draw(trace: Trace, columns: Sequence[Column], width: int) -> Iterator[list[Piece]]:
    """The chart line by line, in bands as wide as `width` allows."""
    things = rows(trace.machine)
    label = max(len(row.label) for row in things) + 1
    most = max(1, (width - label - 1) // (NARROWEST + 1))
    band = -(-len(columns) // -(-len(columns) // most))
    room = min(WIDEST, (width - label - 1) // min(band, len(columns)))
    for start in range(0, len(columns), band):
        if start:
            yield []
        yield from _band(things, columns[start : start + band], label, room)


def legend(columns: Sequence[Column]) -> str:
    """What the signs of the chart mean, on one line."""
    signs = f"{ON} on, turning, lit or closed  {PARTLY} for part of the time  {OFF} not"
    repeats = any(isinstance(column, Again) for column in columns)
    return f"{signs}  {AGAIN} same again" if repeats else signs


def _band(
    things: Sequence[Row], columns: Sequence[Column], label: int, room: int
) -> Iterator[list[Piece]]:
    yield [(" " * label, ""), *((_head(each).ljust(room), "head") for each in columns)]
    for row in things:
        cells = [piece for each in columns for piece in _cells(row, each, room)]
        yield [(row.label.ljust(label), ""), *cells, (BORDER, "note")]
    times = "".join(" " + _short(_lasts(each), room - 1).ljust(room - 1) for each in columns)
    yield [("lasts".ljust(label) + times.rstrip(), "note")]


def _head(column: Column) -> str:
    return f" {column.number}" if isinstance(column, Stay) else f" {column.times}x"


def _lasts(column: Column) -> float | None:
    return column.visit.end - column.visit.start if isinstance(column, Stay) else None


def _cells(row: Row, column: Column, room: int) -> Iterator[Piece]:
    yield BORDER, "note"
    if isinstance(column, Again):
        yield AGAIN * (room - 1), "note"
        return
    marks = "".join(_mark(row, column, cell, room - 1) for cell in range(room - 1))
    yield marks, "bar"


def _mark(row: Row, stay: Stay, cell: int, cells: int) -> str:
    """What a row shows in one cell of a stay: on, off, or on for a part of it."""
    seconds = (stay.visit.end - stay.visit.start) / cells
    start = stay.visit.start + cell * seconds
    within = [s for s in stay.segments if s.start < start + seconds and s.end > start]
    lasting = within or stay.segments[-1:]
    states = {row.is_on(segment) for segment in lasting}
    return PARTLY if len(states) == 2 else ON if True in states else OFF


def _short(seconds: float | None, room: int) -> str:
    """A time in at most `room` characters: 0.4s, 25s, 14m, 2h."""
    if seconds is None:
        return ""
    if 0.0 < seconds < 9.95:
        return f"{seconds:.1f}".removesuffix(".0") + "s"
    for size, unit in ((1.0, "s"), (60.0, "m")):
        text = f"{seconds / size:.0f}{unit}"
        if seconds / size < 99.5 * size and len(text) <= room:
            return text
    return f"{seconds / 3600:.0f}h"
