"""`lightoff calc`: the calculations of a service call."""

from __future__ import annotations

import sys
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

import click

from lightoff.cli import names
from lightoff.cli.options import json_option

if TYPE_CHECKING:
    from lightoff.engine.service.calculations.entry import Calculation, ImpossibleError
    from lightoff.engine.service.calculations.working import Answer


@click.command()
@click.argument("name", metavar="[NAME]", required=False)
@click.argument("inputs", metavar="[INPUT=FIGURE]...", nargs=-1)
@click.option(
    "--units",
    type=click.Choice(["trade", "si"]),
    default="trade",
    show_default=True,
    help="Which units are shown first.",
)
@json_option
@click.pass_context
def calc(
    context: click.Context, name: str | None, inputs: Sequence[str], units: str, as_json: bool
) -> None:
    """Work out input, airflow, flue gas, pipes and such.

    Alone it lists what can be worked out. With a NAME it says what that needs, and at a
    terminal asks for it. Every figure has its unit, in trade or SI units. Exit 1 if a
    limit is not kept.

    \b
      lightoff calc clock dial=0.5 ft3 time=29 s plate=60000 Btu/h
      lightoff calc co-air-free co=50 ppm o2=7 %
    """  # noqa: D301
    from lightoff.cli import calc_pages
    from lightoff.engine.service.calculations import CALCULATIONS

    si = units == "si"
    if name is None:
        calc_pages.show_list(as_json)
        return
    calculation = names.find("calculation", name, CALCULATIONS)
    typed = _typed(calculation, inputs)
    asks = not as_json and is_at_a_terminal()
    if not typed:
        calc_pages.show_needs(calculation, si, as_json)
        if not asks:
            return
    if asks:
        from lightoff.cli.calc_asking import asked_for

        typed = asked_for(calculation, typed, si)
    answer = _worked_out(calculation, typed, again=asks)
    calc_pages.show_answer(calculation, answer, si, as_json)
    context.exit(1 if answer.is_out else 0)


def is_at_a_terminal() -> bool:
    """Whether somebody sits there who can be asked."""
    return sys.stdin.isatty() and sys.stdout.isatty()


def _typed(calculation: Calculation, words: Sequence[str]) -> dict[str, str]:
    """Figures by input; words without `=` go on with the figure before them."""
    known = {each.name: each for each in calculation.inputs}
    typed: dict[str, str] = {}
    name = ""
    for word in words:
        before, equals, figure = word.partition("=")
        if equals:
            name = names.find(f"input of {calculation.name}", before.strip(), known).name
            if name in typed:
                raise click.UsageError(f"{name} is given twice; give it once")
            typed[name] = figure.strip()
        elif name:
            typed[name] = f"{typed[name]} {word}".strip()
        else:
            example = next(iter(calculation.example.items()))
            raise click.UsageError(
                f"{word[: names.LONGEST_QUOTED]!r} is no input; write it as {'='.join(example)}"
            )
    return typed


def _worked_out(calculation: Calculation, typed: Mapping[str, str], again: bool) -> Answer:
    """The answer; one line of what is wrong and how to mend it, and `again` what was typed."""
    from lightoff.engine.service.calculations import working
    from lightoff.engine.service.calculations.entry import ImpossibleError

    try:
        return working.answer(calculation, typed)
    except ImpossibleError as error:
        mend = f"\nmend it in: {as_command(calculation, typed)}" if again else ""
        raise names.WrongNameError(f"{in_words(error)}{mend}") from None


def in_words(error: ImpossibleError) -> str:
    """Which input is wrong, what is wrong with it, how to mend it."""
    return f"{error.input}: {error}" if error.input else str(error)


def as_command(calculation: Calculation, typed: Mapping[str, str]) -> str:
    """The command that works it out with what was typed so far."""
    from shlex import quote

    return " ".join(
        [f"lightoff calc {calculation.name}"]
        + [f"{name}={quote(figure)}" for name, figure in typed.items()]
    )
