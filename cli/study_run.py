"""Working a study out, task after task, kept in a file as it goes."""

from __future__ import annotations

import signal
from collections.abc import Iterable, Iterator, Sequence
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass
from pathlib import Path
from threading import current_thread, main_thread
from types import FrameType
from typing import Any

import click

from lightoff.cli import screen
from lightoff.cli.study_places import Place, as_they_finish, check_stamp
from lightoff.engine.model import Furnace
from lightoff.engine.reasoning.study.difference import Comparison, Difference
from lightoff.engine.reasoning.study.outcome import Outcome
from lightoff.engine.reasoning.study.records import StudyError, StudyFile, outcomes
from lightoff.engine.reasoning.study.summary import Summary, summary_of
from lightoff.engine.reasoning.study.sums import Tally
from lightoff.engine.reasoning.study.tasks import Task
from lightoff.engine.reasoning.study.work import stamp_now


class WrongFileError(click.ClickException):
    """A file of outcomes that cannot be used; the message names the line."""

    exit_code = 2


@dataclass(frozen=True, slots=True)
class Study:
    """What came of a study: one summary per furnace, and what differs from before."""

    summaries: tuple[Summary, ...]
    differences: tuple[Difference, ...] | None
    done: int
    left: int
    """Diagnoses that were not done because it was stopped."""
    problem: str = ""
    """What went wrong in the first diagnosis that broke down, "" if none did."""

    @property
    def failed(self) -> int:
        return sum(summary.failed for summary in self.summaries)

    @property
    def became_wrong(self) -> bool:
        return any(each.became_wrong for each in self.differences or ())


class Counting:
    """The outcomes of a study counted as they come, each task once."""

    def __init__(self, furnaces: Sequence[Furnace], asked: Sequence[Task]) -> None:
        self.left = dict.fromkeys(asked)
        self.problem = ""
        self._asked = len(self.left)
        self._tallies = {furnace.id: Tally(furnace) for furnace in furnaces}
        self._comparisons: dict[str, Comparison] = {}

    def compare_with(self, furnaces: Sequence[Furnace], before: Iterable[Outcome]) -> None:
        """Take the outcomes of before, ahead of those of now."""
        self._comparisons = {each.id: Comparison(each, self.left) for each in furnaces}
        for outcome in before:
            if outcome.task.furnace in self._comparisons:
                self._comparisons[outcome.task.furnace].add_before(outcome)

    @property
    def compared(self) -> int:
        """How many tasks were done before as well."""
        return sum(each.compared for each in self._comparisons.values())

    def add(self, outcome: Outcome) -> bool:
        """Count an outcome; whether it was asked for and not there yet."""
        if outcome.task not in self.left:
            return False
        del self.left[outcome.task]
        self.problem = self.problem or _problem(outcome)
        self._tallies[outcome.task.furnace].add(outcome)
        if self._comparisons:
            self._comparisons[outcome.task.furnace].add_now(outcome)
        return True

    def study(self) -> Study:
        comparisons = self._comparisons.values()
        return Study(
            summaries=tuple(summary_of(tally) for tally in self._tallies.values()),
            differences=tuple(each.difference() for each in comparisons) if comparisons else None,
            done=self._asked - len(self.left),
            left=len(self.left),
            problem=self.problem,
        )


def _problem(outcome: Outcome) -> str:
    name = " + ".join(outcome.task.faults)
    return f"{outcome.task.furnace}, {name}: {outcome.problem}" if outcome.problem else ""


def study(
    furnaces: Sequence[Furnace],
    asked: Sequence[Task],
    place: Place,
    out: Path | None = None,
    against: Path | None = None,
) -> Study:
    """Work out what was asked for and is not in the file yet.

    Ctrl-C ends it after the diagnoses on their way. WrongFileError for a file that cannot
    be used.
    """
    counting = Counting(furnaces, asked)
    try:
        if against:
            _compare(counting, furnaces, against)
        with ExitStack() as stack:
            file = stack.enter_context(StudyFile.open(out, stamp_now())) if out else None
            _take_earlier(counting, file)
            _work_out(counting, place, file)
    except StudyError as error:
        raise WrongFileError(str(error)) from None
    return counting.study()


def _compare(counting: Counting, furnaces: Sequence[Furnace], against: Path) -> None:
    counting.compare_with(furnaces, outcomes(against))
    if not counting.compared:
        what = "none of its diagnoses is one of this study"
        mend = "give --furnace, --fault, --pairs, --seeds and --errors as they were then"
        raise StudyError(str(against), what, mend)


def _take_earlier(counting: Counting, file: StudyFile | None) -> None:
    if file is None:
        return
    if file.notice:
        _tell(file.notice)
    known = sum(counting.add(outcome) for outcome in file.earlier())
    if known:
        _tell(f"{file.path}: {known} diagnoses are there already; {len(counting.left)} to do.")


def _work_out(counting: Counting, place: Place, file: StudyFile | None) -> None:
    if not counting.left:
        return
    todo = list(counting.left)
    with _stopping() as stop, place.open() as opened, _progress(len(todo)) as advance:
        for outcome in as_they_finish(opened, todo, stop):
            check_stamp(outcome.stamp)
            if file:
                file.add(outcome)
            counting.add(outcome)
            advance()


class Stop:
    """Whether somebody pressed Ctrl-C."""

    def __init__(self) -> None:
        self.pressed = False

    def __call__(self, signal_number: int, frame: FrameType | None) -> None:
        """End after the diagnoses on their way; pressed again, at once."""
        if self.pressed:
            raise KeyboardInterrupt
        self.pressed = True

    def __bool__(self) -> bool:
        return self.pressed


@contextmanager
def _stopping() -> Iterator[Stop]:
    """Ctrl-C noted instead of raised, where signals can be heard."""
    stop = Stop()
    if current_thread() is not main_thread():
        yield stop
        return
    before: Any = signal.signal(signal.SIGINT, stop)
    try:
        yield stop
    finally:
        signal.signal(signal.SIGINT, before)


@contextmanager
def _progress(total: int) -> Iterator[Any]:
    """A bar on a terminal's stderr; the function to call as each diagnosis is done."""
    from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn
    from rich.progress import TimeRemainingColumn as TimeLeft

    console = screen.console(stderr=True)
    # The house's theme holds none of rich's own styles.
    drawn = BarColumn(30, style="note", complete_style="bar", finished_style="bar")
    columns = (TextColumn("Diagnoses"), drawn, MofNCompleteColumn(), TimeLeft())
    with Progress(*columns, console=console, disable=not console.is_terminal) as bar:
        task = bar.add_task("", total=total)
        yield lambda: bar.advance(task)


def _tell(line: str) -> None:
    click.echo(screen.clean(line), err=True)
