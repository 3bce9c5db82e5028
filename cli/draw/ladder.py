"""A net laid out as a ladder: terminals are upright lines, parts in series lie on rungs.

The ends of the source are the rails: its start on the left, its return on the right. Every
other terminal stands between them, further right the nearer it is to the return, so that
current runs from left to right on every rung.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from itertools import combinations

import numpy as np

from lightoff.cli.draw.symbols import symbol
from lightoff.engine.machine.plan import Plan
from lightoff.engine.model import Furnace, Wire

SETTLED = 9
"""Digits of a potential that count; terminals that differ by less are level."""
STRAY = 1e-4
"""What a branch that should carry nothing counts for against any other."""


@dataclass(frozen=True, slots=True)
class Piece:
    """A branch of a part as it lies on a rung: between the terminals on its left and right."""

    wire: Wire
    left: str
    right: str


@dataclass(frozen=True, slots=True)
class Rung:
    """Parts in series, from a terminal that stands already to the next one that does."""

    pieces: tuple[Piece, ...]

    @property
    def left(self) -> str:
        return self.pieces[0].left

    @property
    def right(self) -> str:
        return self.pieces[-1].right

    @property
    def terminals(self) -> tuple[str, ...]:
        """All terminals on it, from left to right."""
        return self.left, *(piece.right for piece in self.pieces)


@dataclass(frozen=True, slots=True)
class Ladder:
    """One net: its rails, its rungs from the top down, and where its terminals stand."""

    net: str
    left: str
    right: str
    rungs: tuple[Rung, ...]
    columns: Mapping[str, int]
    """Terminal -> its column, counted from the left rail."""
    bars: Mapping[str, tuple[int, int]]
    """Terminal -> first and last rung that its upright line touches."""


def ladders(furnace: Furnace) -> tuple[Ladder, ...]:
    """The nets that a furnace has, in their order."""
    plan = Plan(furnace)
    return tuple(
        laid_out(net, wires, getattr(plan, net).source, strays(furnace, wires))
        for net, wires in furnace.nets.items()
    )


def strays(furnace: Furnace, wires: Sequence[Wire]) -> frozenset[Wire]:
    """The branches that carry nothing in a sound furnace, such as leaks to earth."""
    return frozenset(
        wire for wire in wires if symbol(furnace.parts[wire.part].kind, wire.branch).stray
    )


def laid_out(net: str, wires: Sequence[Wire], source: int, stray: Collection[Wire] = ()) -> Ladder:
    """A net as a ladder; `source` is the index of the branch that feeds it.

    What is stray does not count for where terminals stand, and comes last.
    """
    fed, others = wires[source], [*wires[:source], *wires[source + 1 :]]
    others.sort(key=lambda wire: wire in stray)
    order = _by_level(fed, others, stray)
    pieces = _pieces(others, order)
    rungs = (Rung((Piece(fed, fed.start, fed.end),)), *_rungs(fed, pieces))
    bars = _bars(rungs)
    columns = _columns(order, pieces, bars)
    left, right = fed.start, fed.end
    return Ladder(net, left, right, rungs, columns, bars)


# --- from left to right --------------------------------------------------------------


def _by_level(fed: Wire, others: Sequence[Wire], stray: Collection[Wire]) -> list[str]:
    """The terminals by what their potential were if every branch had the same resistance.

    The rails are first and last. Such potentials never rise along a way to the return, so
    no rung can run in a circle.
    """
    terminals = list(dict.fromkeys(t for wire in (fed, *others) for t in (wire.start, wire.end)))
    index = {terminal: number for number, terminal in enumerate(terminals)}
    laplacian = np.zeros((len(terminals), len(terminals)))
    for wire in others:
        one, other = index[wire.start], index[wire.end]
        weight = STRAY if wire in stray else 1.0
        laplacian[[one, other], [one, other]] += weight
        laplacian[[one, other], [other, one]] -= weight
    held = np.zeros(len(terminals))
    for terminal, volts in ((fed.start, 1.0), (fed.end, 0.0)):
        laplacian[index[terminal]] = 0.0
        laplacian[index[terminal], index[terminal]] = 1.0
        held[index[terminal]] = volts
    potentials, *_ = np.linalg.lstsq(laplacian, held, rcond=None)  # islands have no potential
    falling = dict(zip(terminals, -potentials.round(SETTLED), strict=True))
    between = [terminal for terminal in terminals if terminal not in (fed.start, fed.end)]
    return [fed.start, *sorted(between, key=falling.__getitem__), fed.end]


def _pieces(others: Sequence[Wire], order: Sequence[str]) -> Mapping[str, Sequence[Piece]]:
    """Terminal -> what lies to its right."""
    found: dict[str, list[Piece]] = {terminal: [] for terminal in order}
    for wire in others:
        left, right = sorted((wire.start, wire.end), key=order.index)
        found[left].append(Piece(wire, left, right))
    return found


# --- rungs ---------------------------------------------------------------------------


def _rungs(fed: Wire, pieces: Mapping[str, Sequence[Piece]]) -> Iterator[Rung]:
    """Rungs from the top down: what branches off furthest right comes right below."""
    waiting = {terminal: list(onward) for terminal, onward in pieces.items()}
    standing = {fed.start, fed.end}

    def below(terminal: str) -> Iterator[Rung]:
        while waiting[terminal]:
            walked = [waiting[terminal].pop(0)]
            while (end := walked[-1].right) not in standing:
                standing.add(end)
                if waiting[end]:
                    walked.append(waiting[end].pop(0))
            yield Rung(tuple(walked))
            for piece in reversed(walked):
                yield from below(piece.right)

    for terminal in pieces:  # all hang on the first, unless the net is in islands
        yield from below(terminal)


def _bars(rungs: Sequence[Rung]) -> dict[str, tuple[int, int]]:
    bars: dict[str, tuple[int, int]] = {}
    for number, rung in enumerate(rungs):
        for terminal in rung.terminals:
            first, _ = bars.get(terminal, (number, number))
            bars[terminal] = (first, number)
    return bars


# --- columns -------------------------------------------------------------------------


def _columns(
    order: Sequence[str],
    pieces: Mapping[str, Sequence[Piece]],
    bars: Mapping[str, tuple[int, int]],
) -> dict[str, int]:
    """As far left as can be: left of all they lead to, and no upright line upon another."""
    after = {terminal: {piece.right for piece in onward} for terminal, onward in pieces.items()}
    while True:
        columns = dict.fromkeys(order, 0)
        for terminal in order:
            for other in after[terminal]:
                columns[other] = max(columns[other], columns[terminal] + 1)
        columns[order[-1]] = max(columns.values())
        clash = next(filter(partial(_clash, columns, bars), combinations(order, 2)), None)
        if clash is None:
            return columns
        after[clash[0]].add(clash[1])


def _clash(
    columns: Mapping[str, int], bars: Mapping[str, tuple[int, int]], both: tuple[str, str]
) -> bool:
    (one, other), (first, second) = both, (bars[both[0]], bars[both[1]])
    return columns[one] == columns[other] and first[0] <= second[1] and second[0] <= first[1]
