"""`lightoff run`: one call of a furnace, drawn as a timing chart or written as JSON."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from functools import partial
from typing import TYPE_CHECKING, Any

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
    from lightoff.cli.timing_chart import Again, Column, Stay
    from lightoff.engine.machine.probe import Moment
    from lightoff.engine.machine.trace import Segment, Trace
    from lightoff.engine.model import Fault, Furnace, Knowledge

UNITS_OF_SUFFIX = {"draft": "Pa", "level": "m", "position": "share", "emf": "V"}
"""Unit of a lagging quantity by the last word of its name; all others are in K."""


@click.command()
@furnace_option
@choices_option
@faults_option
@click.option("--all", "every", is_flag=True, help="Show every step, also rounds that repeat.")
@si_option
@json_option
def run(
    furnace_id: str | None, fault_ids: Sequence[str], every: bool, si: bool, as_json: bool
) -> None:
    """Play one call for heat and show what the furnace does.

    Without --fault the furnace is healthy.

    \b
      lightoff run --fault pressure-switch.failed-open
      lightoff run --fault igniter.aged --fault filter.plugged
    """  # noqa: D301
    knowledge = names.load_knowledge()
    furnace = names.find_furnace(knowledge, furnace_id)
    faults = names.find_faults(furnace, fault_ids)
    trace = names.simulated(furnace, faults)
    if as_json:
        screen.json_out(as_data(trace, faults))
    else:
        _show(knowledge, trace, faults, every, si)


# --- on the screen -------------------------------------------------------------------


def _show(
    knowledge: Knowledge, trace: Trace, faults: Sequence[Fault], every: bool, si: bool
) -> None:
    from lightoff.cli import timing_chart

    furnace = trace.machine.furnace
    stays = timing_chart.stays(trace)
    columns = list(stays) if every else timing_chart.folded(stays)
    screen.say(furnace.entry.name, "head")
    screen.say(faults_in_words(faults))
    screen.say()
    for line in timing_chart.draw(trace, columns, screen.width()):
        screen.say_pieces(line)
    screen.say(timing_chart.legend(columns), "note")
    screen.say()
    _list_steps(trace, columns, si)
    screen.say()
    screen.say(in_words(knowledge, trace), "next")


def faults_in_words(faults: Sequence[Fault]) -> str:
    """The faults of a furnace on one line."""
    if not faults:
        return "Healthy: no fault."
    return "With: " + "; ".join(f"{fault.entry.name} ({fault.id})" for fault in faults)


def in_words(knowledge: Knowledge, trace: Trace) -> str:
    """Where the call stalled, and what the status light says as it is found."""
    from lightoff.engine.machine import probe
    from lightoff.engine.machine.trace import SATISFIED

    step = trace.stalls_in()
    ran = step == SATISFIED
    how = "The call ran until it was satisfied" if ran else f"The call stalled in {step}"
    light = probe.light(trace, None) or "nothing"
    return f"{how}; status light: {light_in_words(knowledge, trace.machine.furnace, light)}."


def light_in_words(knowledge: Knowledge, furnace: Furnace, light: str) -> str:
    """A state of the status light as the check that asks for it puts it."""
    for check in knowledge.checks[furnace.id].values():
        if check.entry.reads.light and check.entry.reads.during is None:
            for outcome in check.outcomes:
                if light in outcome.band.words:
                    return outcome.text[0].lower() + outcome.text[1:]
    return light


def _list_steps(trace: Trace, columns: Sequence[Column], si: bool) -> None:
    from lightoff.cli.timing_chart import Stay

    heads = ["", "step", "starts", "lasts", "light", *(name for name, _, _ in _read_at_end(trace))]
    rows = [
        _step_row(trace, column, si) if isinstance(column, Stay) else _again_row(column)
        for column in columns
    ]
    screen.table(heads, rows)


def _step_row(trace: Trace, stay: Stay, si: bool) -> list[str]:
    """Number, step, start, how long, light; and what is read at its end."""
    from lightoff.engine.machine.probe import Moment
    from lightoff.engine.units import show

    visit = stay.visit
    step = trace.machine.furnace.sequence.steps[visit.step]
    lasting = [segment for segment in stay.segments if segment.end > segment.start]
    moment = Moment((lasting or stay.segments)[-1], visit.end)
    return [
        str(stay.number),
        visit.step,
        clock(visit.start),
        show(visit.end - visit.start, "time", si),
        step.entry.light or "as before",
        *(show(read(moment), dimension, si) for _, dimension, read in _read_at_end(trace)),
    ]


def _read_at_end(trace: Trace) -> Sequence[tuple[str, str, Callable[[Moment], float]]]:
    """(what, its dimension, how it is read) of what a furnace proves as a call goes on."""
    plan, found = trace.machine.plan, []
    switch = next((q for q in trace.segments[0].quantities if q.endswith(".draft")), None)
    if switch is not None:
        found.append(("draft", "pressure", partial(_quantity, switch)))
    if plan.flame_sensor is not None:
        found.append(("flame", "current", partial(_flame_current, plan.flame_sensor)))
    if "thermocouple" in plan.roles:
        couple = f"{plan.roles['thermocouple']}.emf"
        found.append(("pilot", "voltage", partial(_quantity, couple)))
    return found


def _quantity(name: str, moment: Moment) -> float:
    return moment.quantity(name)


def _flame_current(sensor: str, moment: Moment) -> float:
    return moment.segment.electrics.flame_current(sensor)


def _again_row(again: Again) -> list[str]:
    what = f"{again.first}-{again.last} {again.times}x again"
    return ["~", what, f"to {clock(again.end)}"] + [""] * 4


def clock(seconds: float) -> str:
    """Minutes and seconds since the watching began."""
    whole = round(seconds)
    return f"{whole // 60}:{whole % 60:02d}"


# --- as data -------------------------------------------------------------------------


def as_data(trace: Trace, faults: Sequence[Fault]) -> dict[str, Any]:
    """The trace for JSON: times in seconds, figures in SI units with the unit in the key."""
    from lightoff.engine.machine import probe

    return {
        "furnace": trace.machine.furnace.id,
        "faults": [fault.id for fault in faults],
        "stalls_in": trace.stalls_in(),
        "light": probe.light(trace, None),
        "visits": [
            {"step": visit.step, "start": visit.start, "end": visit.end} for visit in trace.visits()
        ],
        "segments": [_segment(trace, segment) for segment in trace.segments],
    }


def _segment(trace: Trace, segment: Segment) -> dict[str, Any]:
    return {
        "start": segment.start,
        "end": segment.end,
        "step": segment.step,
        "inputs": segment.inputs,
        "contacts": _contacts(trace, segment),
        "turning": segment.standing.turning,
        "relays": segment.standing.energised,
        "drive": segment.drive._asdict(),
        "quantities": _quantities(trace, segment),
    }


def _contacts(trace: Trace, segment: Segment) -> dict[str, bool]:
    """Whether the contacts of each part that has some are closed."""
    from lightoff.cli.timing_chart import closed
    from lightoff.engine.machine.kinds import KINDS

    parts = trace.machine.furnace.parts.values()
    return {
        part.id: closed(part.id, segment)
        for part in parts
        if "contacts" in KINDS[part.kind].branches
    }


def _quantities(trace: Trace, segment: Segment) -> Mapping[str, float]:
    """Figures at the start of a segment: what lags, pressures at the taps, flame current."""
    sensor = trace.machine.plan.flame_sensor
    lagging = {f"{name}_{_unit(name)}": value for name, value in segment.quantities.items()}
    pressures = {f"{tap}_Pa": value for tap, value in segment.steady.pressures.items()}
    flame = {} if sensor is None else {f"{sensor}_A": segment.electrics.flame_current(sensor)}
    return {**lagging, **pressures, **flame}


def _unit(name: str) -> str:
    return UNITS_OF_SUFFIX.get(name.rpartition(".")[2], "K")
