"""`lightoff draw`: the sequence, the wiring and a call of a furnace, drawn from its model."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import click

from lightoff.cli import names, screen
from lightoff.cli.options import choices_option, faults_option, furnace_option

if TYPE_CHECKING:
    from lightoff.cli.draw.ladder import Ladder
    from lightoff.cli.draw.marks import Marks
    from lightoff.engine.machine.trace import Trace
    from lightoff.engine.model import Fault, Furnace

svg_option = click.option(
    "--svg",
    metavar="FILE",
    type=click.Path(dir_okay=False, path_type=Path),
    help="Draw into a new SVG file instead of the terminal.",
)

MODEL = "Drawn from a model: the wiring diagram on the real furnace comes first."
AT_REST = "Switches and contacts are drawn open."
MEASURED = "Volts in {step}, against the right rail. Words tell what is open or closed there."


@click.group()
def draw() -> None:
    """Draw the sequence, the wiring or a call of a furnace."""


@draw.command()
@furnace_option
@choices_option
@faults_option
@svg_option
def sequence(furnace_id: str | None, fault_ids: Sequence[str], svg: Path | None) -> None:
    """Draw the steps of a call for heat, with their ways out.

    With --fault, the steps that a call goes through are marked, and the one it stalls in.

    \b
      lightoff draw sequence
      lightoff draw sequence --fault igniter.open --svg sequence.svg
    """  # noqa: D301
    from lightoff.cli.draw import flow, sequence_svg, sequence_text

    furnace, faults = _asked(furnace_id, fault_ids)
    laid_out = flow.flow(furnace.sequence)
    passed, stall = _passed(furnace, faults)
    notes = _faults(faults)
    if svg is not None:
        _write(svg, sequence_svg.draw(furnace.entry.name, notes, laid_out, passed, stall))
        return
    _head(furnace, notes)
    sequence_text.show(laid_out, passed, stall)


@draw.command()
@furnace_option
@choices_option
@faults_option
@click.option("--step", metavar="STEP", help="Show the volts at every terminal in this step.")
@svg_option
@click.pass_context
def ladder(
    context: click.Context,
    furnace_id: str | None,
    fault_ids: Sequence[str],
    step: str | None,
    svg: Path | None,
) -> None:
    """Draw the electrical nets as ladder diagrams.

    With --fault, the faulty part is marked. Exit 1 if the furnace never gets to the step.

    \b
      lightoff draw ladder --step proving-draft
      lightoff draw ladder --fault igniter.open --step trial-for-ignition
    """  # noqa: D301
    from lightoff.cli.draw.ladder import ladders
    from lightoff.cli.draw.marks import marks, marks_in

    furnace, faults = _asked(furnace_id, fault_ids)
    drawn = ladders(furnace)
    if step is None:
        _ladder(drawn, marks(furnace, faults), faults, svg)
        return
    names.find("step", step, furnace.sequence.steps)
    trace = names.simulated(furnace, faults)
    found = marks_in(trace, step, faults, drawn)
    if found is None:
        stalled = f"{step} is never reached: the {_stalled(trace)}. Give another --step, or none."
        screen.say(stalled, "warn", stderr=svg is not None)
        context.exit(1)
    _ladder(drawn, found, faults, svg)


@draw.command()
@furnace_option
@choices_option
@faults_option
@click.option("--all", "every", is_flag=True, help="Draw every step, also rounds that repeat.")
@svg_option
def timing(furnace_id: str | None, fault_ids: Sequence[str], every: bool, svg: Path | None) -> None:
    """Draw one call for heat as a timing chart.

    \b
      lightoff draw timing --fault igniter.open
      lightoff draw timing --svg healthy.svg
    """  # noqa: D301
    from lightoff.cli import timing_chart
    from lightoff.cli.draw import timing_svg

    furnace, faults = _asked(furnace_id, fault_ids)
    trace = names.simulated(furnace, faults)
    stays = timing_chart.stays(trace)
    columns = list(stays) if every else timing_chart.folded(stays)
    notes = [*_faults(faults, healthy=True), f"The {_stalled(trace)}."]
    if svg is not None:
        _write(svg, timing_svg.draw(furnace.entry.name, notes, trace, columns))
        return
    _head(furnace, notes[:-1])
    for line in timing_chart.draw(trace, columns, screen.width()):
        screen.say_pieces(line)
    for column in columns:
        if isinstance(column, timing_chart.Stay):
            screen.say(f"{column.number:>3} {column.visit.step}", hang=4)
    screen.say(timing_chart.legend(columns), "note")
    screen.say(notes[-1], "next")


# --- what they share -----------------------------------------------------------------


def _asked(furnace_id: str | None, fault_ids: Sequence[str]) -> tuple[Furnace, tuple[Fault, ...]]:
    furnace = names.find_furnace(names.load_knowledge(), furnace_id)
    return furnace, names.find_faults(furnace, fault_ids)


def _faults(faults: Sequence[Fault], *, healthy: bool = False) -> list[str]:
    from lightoff.cli.show_run import faults_in_words

    return [faults_in_words(faults)] if faults or healthy else []


def _passed(furnace: Furnace, faults: Sequence[Fault]) -> tuple[frozenset[str], str]:
    """The steps that a call with the faults goes through, and where it stalls; none without."""
    if not faults:
        return frozenset(), ""
    trace = names.simulated(furnace, faults)
    return frozenset(visit.step for visit in trace.visits()), trace.stalls_in()


def _stalled(trace: Trace) -> str:
    from lightoff.engine.machine.trace import SATISFIED

    step = trace.stalls_in()
    return "call runs until it is satisfied" if step == SATISFIED else f"call stalls in {step}"


def _head(furnace: Furnace, notes: Sequence[str]) -> None:
    screen.say(furnace.entry.name, "head")
    for note in notes:
        screen.say(note)
    screen.say()


def _ladder(
    drawn: Sequence[Ladder], marks: Marks, faults: Sequence[Fault], svg: Path | None
) -> None:
    from lightoff.cli.draw import ladder_svg, ladder_text
    from lightoff.cli.draw.marks import not_drawn

    furnace = marks.furnace
    notes = _faults(faults)
    notes += [f"{fault.part} lies in no net: not drawn." for fault in not_drawn(furnace, faults)]
    if marks.step:
        notes.append(MEASURED.format(step=marks.step))
    notes += [AT_REST, MODEL]
    if svg is not None:
        _write(svg, ladder_svg.draw(furnace.entry.name, notes, drawn, marks))
        return
    _head(furnace, notes)
    for each in drawn:
        screen.say(f"The {each.net} net", "head")
        screen.say(ladder_text.rails(each, marks))
        for line in ladder_text.draw(each, marks, screen.width()):
            screen.say_pieces(line)
        screen.say()
    for signs in ladder_text.legend(drawn, marks, screen.width()):
        screen.say(signs, "note")


def _write(path: Path, text: str) -> None:
    """The drawing in a new file; NotWrittenError if that cannot be."""
    from lightoff.cli.scenario.files import write_sheet

    write_sheet(path, text)
    screen.say(f"Drawn: {path}")
