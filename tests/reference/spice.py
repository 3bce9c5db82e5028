"""Node voltages by an independent circuit solver: lcapy, exact, from a SPICE netlist.

Nothing of the engine is used here. Conductances go in as the exact fractions that the
floats are, so what comes out has no rounding at all.
"""

from collections.abc import Sequence
from fractions import Fraction

import lcapy
import networkx


def independent_voltages(
    branches: Sequence[tuple[str, str]],
    conductances: Sequence[float],
    source: int,
    emf: float,
) -> dict[str, Fraction]:
    """Volts against the source's end of every terminal that a closed path joins to it.

    `conductances` are in siemens, 0 for an open branch; `source` is the index of the
    branch that holds `emf` volts, positive at its start. Terminals that float are left
    out: their voltage is not defined.
    """
    reference = branches[source][1]
    nodes = _numbered(branches, conductances, reference)
    netlist = _netlist(branches, conductances, source, emf, nodes)
    if len(nodes) == 1:
        return {reference: Fraction(0)}
    circuit = lcapy.Circuit("\n".join(netlist))
    return {terminal: _volts(circuit, node) for terminal, node in nodes.items()}


def _numbered(
    branches: Sequence[tuple[str, str]], conductances: Sequence[float], reference: str
) -> dict[str, str]:
    """Netlist names of the terminals joined to the reference, which is node 0."""
    graph = networkx.Graph()
    graph.add_node(reference)
    graph.add_edges_from(
        ends for ends, siemens in zip(branches, conductances, strict=True) if siemens > 0
    )
    joined = sorted(networkx.node_connected_component(graph, reference) - {reference})
    return {reference: "0"} | {terminal: f"n{k}" for k, terminal in enumerate(joined, 1)}


def _netlist(
    branches: Sequence[tuple[str, str]],
    conductances: Sequence[float],
    source: int,
    emf: float,
    nodes: dict[str, str],
) -> list[str]:
    lines = []
    for index, ((start, end), siemens) in enumerate(zip(branches, conductances, strict=True)):
        if siemens == 0 or start not in nodes:
            continue
        first = nodes[start]
        if index == source:
            lines.append(f"V{index} emf {nodes[end]} {{{Fraction(emf)}}}")
            lines.append(f"R{index} {first} emf {{{1 / Fraction(siemens)}}}")
        else:
            lines.append(f"R{index} {first} {nodes[end]} {{{1 / Fraction(siemens)}}}")
    return lines


def _volts(circuit: lcapy.Circuit, node: str) -> Fraction:
    value = circuit[node].V.dc.sympy
    return Fraction(int(value.p), int(value.q))
