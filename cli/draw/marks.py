"""What is written beside a ladder: faulted parts, and in a step volts and open branches."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from lightoff.cli.draw.ladder import Ladder
from lightoff.cli.draw.symbols import symbol
from lightoff.engine.machine import probe
from lightoff.engine.machine.kinds import KINDS
from lightoff.engine.machine.trace import Trace
from lightoff.engine.model import Fault, Furnace, Wire
from lightoff.engine.units import show


@dataclass(frozen=True, slots=True)
class Marks:
    """The marks of a furnace; without a step nothing is told of volts and contacts."""

    furnace: Furnace
    faulted: frozenset[str] = frozenset()
    """Parts."""
    step: str = ""
    volts: Mapping[str, float] = field(default_factory=dict)
    """Terminal -> magnitude against the right rail of its net."""
    is_open: Mapping[Wire, bool] = field(default_factory=dict)

    def name(self, wire: Wire) -> str:
        """A part, with the branch where it has several."""
        branches = Counter(each.part for each in self.furnace.wires)
        return f"{wire.part} {wire.branch}" if branches[wire.part] > 1 else wire.part

    def told(self, terminal: str) -> str:
        """The volts at a terminal, "" without a step."""
        return show(self.volts[terminal], "voltage") if terminal in self.volts else ""

    def state(self, wire: Wire) -> str:
        """Whether a branch is open; "closed" only of what makes and breaks, "" if all is usual."""
        drawn = symbol(self.furnace.parts[wire.part].kind, wire.branch)
        if wire not in self.is_open or drawn.stray:
            return ""
        return "open" if self.is_open[wire] else "closed" if drawn.opens else ""


def marks(furnace: Furnace, faults: Sequence[Fault]) -> Marks:
    """The marks of a furnace at no time in particular."""
    return Marks(furnace, frozenset(fault.part for fault in faults))


def marks_in(
    trace: Trace, step: str, faults: Sequence[Fault], drawn: Sequence[Ladder]
) -> Marks | None:
    """The marks as things stand when a step is read; None if it is never reached."""
    moment = probe.at(trace, step)
    if moment is None:
        return None
    furnace, standing = trace.machine.furnace, moment.segment.standing
    volts = {
        terminal: moment.volts(terminal, ladder.right)
        for ladder in drawn
        for terminal in ladder.columns
    }
    is_open = {
        wire: KINDS[furnace.parts[wire.part].kind].conductance(
            wire.part, trace.machine.values[wire.part], wire.branch, standing
        )
        == 0.0
        for wire in furnace.wires
    }
    return Marks(furnace, frozenset(fault.part for fault in faults), step, volts, is_open)


def not_drawn(furnace: Furnace, faults: Sequence[Fault]) -> list[Fault]:
    """Faults of parts that lie in no net."""
    wired = {wire.part for wire in furnace.wires}
    return [fault for fault in faults if fault.part not in wired]
