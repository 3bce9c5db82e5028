"""The person's path drawn beside the program's own, by the same clock."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import zip_longest

from lightoff.cli import screen
from lightoff.cli.practice.screens import act_in_words
from lightoff.engine.teaching.practice.acts import Checked, SetUp
from lightoff.engine.teaching.practice.bench import Bench
from lightoff.engine.teaching.practice.player import attempt


def show_beside(bench: Bench) -> None:
    """Both paths in two columns, without set-up and talk; their minutes include both."""
    from rich.table import Table

    own = attempt(bench.scenario, bench.diagnosis, bench.seed)
    grid = Table(box=None, pad_edge=False, padding=(0, 1, 0, 0), header_style="head", expand=True)
    for head in ("Your path", "The program's own path"):
        grid.add_column(screen.text(head), ratio=1, overflow="fold")
    for left, right in zip_longest(_steps(bench), _steps(own), fillvalue=""):
        grid.add_row(screen.text(left), screen.text(right))
    grid.add_row(*(f"{each.standing.minutes:4.0f} min in all" for each in (bench, own)))
    out = screen.console()
    with out.capture() as drawn:
        out.print(grid)
    for line in drawn.get().splitlines():
        print(line.rstrip(), file=out.file)


def _steps(bench: Bench) -> Iterator[str]:
    minutes = 0.0
    for act in bench.acts:
        minutes += act.minutes
        if not isinstance(act, SetUp) and not _is_talk(bench, act):
            yield f"{minutes:4.0f} min  {act_in_words(bench, act)}"


def _is_talk(bench: Bench, act: object) -> bool:
    return isinstance(act, Checked) and (bench.diagnosis.checks[act.answer.check].entry.reads.told)
