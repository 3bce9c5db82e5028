"""Nodal analysis of one net with a single source: voltages, currents, meter readings.

The nodal equations are solved by eliminating one terminal after another: a terminal
whose arms have the conductances g1, g2, ... is replaced by a mesh of conductances
gi * gj / (g1 + g2 + ...) between its neighbours (the star-mesh transform). That is
Gaussian elimination of the conductance matrix, written so that it never subtracts.
So no digit is lost between a 50 S contact and a 10 nS flame in the same net, and a
terminal left without any arm is known, without a tolerance, to have lost its path to
the source. The order of elimination is worked out once for each net.

Magnitudes of in-phase AC are enough here, so everything is real. Units: volts,
amperes, ohms, siemens.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations
from math import inf
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import networkx

METER_OHMS = 10e6
"""Input resistance of a usual digital voltmeter (common practice)."""

REMEMBERED = 1024
"""Solutions a net keeps; a call visits a few dozen distinct ones."""

_Star = tuple[int, tuple[tuple[int, int], ...], tuple[tuple[int, int, int], ...]]
"""(node, its arms as (slot, neighbour), its mesh as (slot, first arm, second arm))."""

_Eliminated = tuple[int, float, tuple[tuple[float, int], ...]]
"""(node, sum of its arms in siemens, its neighbours with their share of that sum)."""


class Net:
    """Terminals joined by branches, one of which is the source.

    `branches` holds the (start, end) terminals of each; `source` is the index of the
    one that is a Thevenin source: an electromotive force, positive at its start, in
    series with the resistance of its own conductance. Its end is the reference.
    Raises ValueError for a branch that starts where it ends or a source not in the net.
    """

    def __init__(self, branches: Sequence[tuple[str, str]], source: int) -> None:
        if not 0 <= source < len(branches):
            raise ValueError(f"source {source} is not one of the {len(branches)} branches")
        for start, end in branches:
            if start == end:
                raise ValueError(f"a branch starts and ends at {start}")
        self.branches = tuple(branches)
        self.source = source
        self.reference = branches[source][1]
        names = dict.fromkeys(name for branch in branches for name in branch)
        self.terminals = tuple(names)
        self._nodes = {name: node for node, name in enumerate(names)}
        self._ends = tuple((self._nodes[start], self._nodes[end]) for start, end in branches)
        self._slots: dict[tuple[int, int], int] = {}
        self._branch_slots = tuple(self._slot(*ends) for ends in self._ends)
        self._stars = self._plan()
        self._solutions: dict[tuple[float, ...], Solution] = {}

    def ladder(self) -> networkx.MultiGraph:
        """The terminals and branches as a graph; each edge's key is its branch's index."""
        import networkx

        graph: networkx.MultiGraph = networkx.MultiGraph()
        graph.add_nodes_from(self.terminals)
        for index, (start, end) in enumerate(self.branches):
            graph.add_edge(start, end, key=index, source=index == self.source)
        return graph

    def node(self, terminal: str) -> int:
        """The number of a terminal. Raises KeyError if the net has no such terminal."""
        try:
            return self._nodes[terminal]
        except KeyError:
            known = ", ".join(self.terminals)
            raise KeyError(f"no terminal {terminal} in this net; it has {known}") from None

    def solve(self, conductances: tuple[float, ...]) -> Solution:
        """The state of the net with these branch conductances in siemens; 0 is open.

        The last solutions are remembered. Raises ValueError for a wrong number of
        conductances or one that is negative or not finite.
        """
        solution = self._solutions.get(conductances)
        if solution is None:
            if len(self._solutions) >= REMEMBERED:
                del self._solutions[next(iter(self._solutions))]
            solution = self._solutions[conductances] = self._fresh(conductances)
        return solution

    def _fresh(self, conductances: tuple[float, ...]) -> Solution:
        self._check(conductances)
        slots = [0.0] * len(self._slots)
        for index, conductance in enumerate(conductances):
            # The source stays out, so that what loads it is known by itself.
            if index != self.source:
                slots[self._branch_slots[index]] += conductance
        eliminated = [_eliminate(star, slots) for star in self._stars]
        return Solution(self, conductances, eliminated)

    def _check(self, conductances: tuple[float, ...]) -> None:
        if len(conductances) != len(self.branches):
            raise ValueError(f"{len(conductances)} conductances for {len(self.branches)} branches")
        for branch, conductance in zip(self.branches, conductances, strict=True):
            if not 0.0 <= conductance < inf:
                raise ValueError(f"conductance {conductance} between {' and '.join(branch)}")

    def _slot(self, one: int, other: int) -> int:
        """Where the conductance between two nodes is kept during elimination."""
        return self._slots.setdefault((min(one, other), max(one, other)), len(self._slots))

    def _plan(self) -> tuple[_Star, ...]:
        """The order of elimination: fewest neighbours first, the source's start last."""
        neighbours: dict[int, set[int]] = {node: set() for node in range(len(self.terminals))}
        for start, end in self._ends:
            neighbours[start].add(end)
            neighbours[end].add(start)
        start, reference = self._ends[self.source]
        waiting = set(neighbours) - {start, reference}
        stars = []
        while waiting:
            node = min(waiting, key=lambda each: (len(neighbours[each]), each))
            waiting.remove(node)
            stars.append(self._star(node, neighbours))
        return (*stars, self._star(start, neighbours))

    def _star(self, node: int, neighbours: dict[int, set[int]]) -> _Star:
        """Take a node out of `neighbours` and join those it had with one another."""
        around = sorted(neighbours.pop(node))
        for one in around:
            neighbours[one] |= set(around) - {one}
            neighbours[one].discard(node)
        arms = tuple((self._slot(node, each), each) for each in around)
        mesh = tuple(
            (self._slot(around[one], around[other]), one, other)
            for one, other in combinations(range(len(around)), 2)
        )
        return node, arms, mesh


def _eliminate(star: _Star, slots: list[float]) -> _Eliminated:
    """Spread a node's arms over the mesh between its neighbours (changes `slots`)."""
    node, arms, mesh = star
    values = [slots[slot] for slot, _ in arms]
    total = sum(values)
    if total == 0.0:
        return node, 0.0, ()
    shares = [value / total for value in values]
    for slot, one, other in mesh:
        slots[slot] += values[one] * shares[other]
    around = tuple(
        (share, neighbour)
        for share, (_, neighbour) in zip(shares, arms, strict=True)
        if share > 0.0
    )
    return node, total, around


class Solution:
    """A net with given conductances: everything a meter could find in it.

    Terminals that no closed path joins to the source form islands. Nothing flows in
    an island; each is held at the reference's potential, and a meter that joins two
    islands closes no loop and reads exactly 0.
    """

    def __init__(
        self, net: Net, conductances: tuple[float, ...], eliminated: list[_Eliminated]
    ) -> None:
        start, reference = net._ends[net.source]
        own = conductances[net.source]
        self.net = net
        self._conductances = conductances
        self._load = eliminated[-1][1]
        """Conductance of all that hangs on the source."""
        around = ((1.0, reference),) if own + self._load > 0.0 else ()
        self._eliminated = (*eliminated[:-1], (start, own + self._load, around))
        self._islands = self._find_islands()
        self._responses: dict[int, list[float]] = {}
        self._resistances: dict[tuple[int, int], float] = {}
        self._potentials = [own * each for each in self._response(start)]

    def potential(self, terminal: str) -> float:
        """Potential against the reference per volt of the source."""
        return self._potentials[self.net.node(terminal)]

    def volts(self, a: str, b: str, emf: float, meter_ohms: float = METER_OHMS) -> float:
        """What a meter reads from `b` to `a` with a source of `emf` volts."""
        one, other = self.net.node(a), self.net.node(b)
        if self._islands[one] != self._islands[other]:
            return 0.0
        unloaded = (self._potentials[one] - self._potentials[other]) * emf
        if unloaded == 0.0:
            return 0.0
        return unloaded * meter_ohms / (meter_ohms + self._between(one, other))

    def current(self, branch: int, emf: float) -> float:
        """Amperes from a branch's start to its end; for the source, what it delivers.

        Off by at most some 1e-15 of emf times conductance: a few picoamperes in a
        contact, far less than that in a flame.
        """
        conductance = self._conductances[branch]
        if conductance == 0.0:
            return 0.0
        if branch == self.net.source:
            return emf * conductance * self._load / (conductance + self._load)
        start, end = self.net._ends[branch]
        return emf * conductance * (self._potentials[start] - self._potentials[end])

    def resistance(self, a: str, b: str) -> float:
        """Ohms between two terminals with the source's emf at rest; inf between islands.

        Off by at most some 1e-15 of what either terminal has to the reference.
        """
        one, other = self.net.node(a), self.net.node(b)
        return self._between(one, other) if self._islands[one] == self._islands[other] else inf

    def _between(self, one: int, other: int) -> float:
        """Thevenin resistance of two nodes of the same island."""
        pair = (one, other) if one < other else (other, one)
        ohms = self._resistances.get(pair)
        if ohms is None:
            here, there = self._response(one), self._response(other)
            ohms = max(0.0, (here[one] - here[other]) + (there[other] - there[one]))
            self._resistances[pair] = ohms
        return ohms

    def _find_islands(self) -> list[int]:
        """For every node the node that its island hangs on."""
        islands = list(range(len(self.net.terminals)))
        for node, _, around in reversed(self._eliminated):
            if around:
                islands[node] = islands[around[0][1]]
        return islands

    def _response(self, node: int) -> list[float]:
        """Volts at every node per ampere sent in at this one and out where its island hangs."""
        response = self._responses.get(node)
        if response is None:
            response = self._responses[node] = self._spread(node)
        return response

    def _spread(self, entry: int) -> list[float]:
        inflow = [0.0] * len(self._islands)
        inflow[entry] = 1.0
        for node, _, around in self._eliminated:
            arriving = inflow[node]
            if arriving > 0.0:
                for share, neighbour in around:
                    inflow[neighbour] += share * arriving
        volts = [0.0] * len(inflow)
        for node, total, around in reversed(self._eliminated):
            if around:
                volts[node] = inflow[node] / total + sum(
                    share * volts[neighbour] for share, neighbour in around
                )
        return volts
