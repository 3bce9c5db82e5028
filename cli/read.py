"""`lightoff read`: what a meter or a gauge shows between two points in a step."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import click

from lightoff.cli import names, screen
from lightoff.cli.options import (
    choices_option,
    faults_option,
    furnace_option,
    json_option,
    si_option,
)

if TYPE_CHECKING:
    from lightoff.engine.machine.trace import Trace
    from lightoff.engine.model import Furnace, Wire

UNITS = {"voltage": "volts", "pressure": "pascal"}
"""Key of a reading in JSON by its dimension."""


@click.command()
@furnace_option
@choices_option
@faults_option
@click.option("--step", required=True, metavar="STEP", help="The step in which to read.")
@click.argument("start", metavar="FROM")
@click.argument("end", metavar="TO")
@si_option
@json_option
@click.pass_context
def read(
    context: click.Context,
    furnace_id: str | None,
    fault_ids: Sequence[str],
    step: str,
    start: str,
    end: str,
    si: bool,
    as_json: bool,
) -> None:
    """Read volts between two terminals, or the pressure at a tap.

    FROM and TO are two terminals of the wiring, or two taps; the tap ROOM is the room.
    Exit 1 if the furnace never gets to the step.

    \b
      lightoff read --step proving-draft ROLL-OUT PS-OUT
      lightoff read --fault vent-pipe.blocked --step proving-draft COLLECTOR ROOM
    """  # noqa: D301
    furnace = names.find_furnace(names.load_knowledge(), furnace_id)
    faults = names.find_faults(furnace, fault_ids)
    names.find("step", step, furnace.sequence.steps)
    trace = names.simulated(furnace, faults)
    start, end, dimension = points(furnace, start, end)
    value = reading(trace, step, start, end, dimension)
    shown = None if value is None else _shown(value, dimension, si)
    if as_json:
        screen.json_out(
            {
                "furnace": furnace.id,
                "faults": [fault.id for fault in faults],
                "step": step,
                "from": start,
                "to": end,
                "reached": value is not None,
                UNITS[dimension]: value,
                "shown": shown,
                "stalls_in": trace.stalls_in(),
            }
        )
    elif shown is None:
        screen.say(f"{step} is never reached: the call stalls in {trace.stalls_in()}.", "warn")
    else:
        screen.say(f"{start} to {end} in {step}: {shown}")
    context.exit(0 if shown is not None else 1)


def points(furnace: Furnace, start: str, end: str) -> tuple[str, str, str]:
    """Two terminals or two taps, and the dimension read between them; WrongNameError otherwise."""
    nets, taps = [terminals_of(wires) for wires in furnace.nets.values()], taps_of(furnace)
    terminals = frozenset().union(*nets)
    first, second = start.upper(), end.upper()
    if any({first, second} <= net for net in nets):
        return first, second, "voltage"
    if {first, second} <= taps:
        return first, second, "pressure"
    for name in (first, second):
        if name not in terminals | taps:
            raise names.unknown("terminal or tap", name, sorted(terminals | taps))
    what = "not in one net" if {first, second} <= terminals else "a terminal and a tap"
    mend = "name two of the line net, two of the 24 V net, or two taps"
    raise names.WrongNameError(f"{first} and {second} are {what}; {mend}")


def terminals_of(wires: Sequence[Wire]) -> frozenset[str]:
    """All terminals of a net."""
    return frozenset(terminal for wire in wires for terminal in (wire.start, wire.end))


def taps_of(furnace: Furnace) -> frozenset[str]:
    """All taps in the ways of air and gas, and the room."""
    from lightoff.engine.model import ROOM

    entry = furnace.entry
    links = [*entry.combustion_air, *entry.house_air, *entry.gas_train]
    return frozenset(name for name in links if name.isupper()) | {ROOM}


def reading(trace: Trace, step: str, start: str, end: str, dimension: str) -> float | None:
    """Volts, or Pa at `start` above `end`; None if the step is never reached."""
    from lightoff.engine.machine import probe

    moment = probe.at(trace, step)
    if moment is None:
        return None
    return moment.volts(start, end) if dimension == "voltage" else moment.pressure(start, end)


def _shown(value: float, dimension: str, si: bool) -> str:
    from lightoff.engine.units import show

    return show(value, dimension, si)
