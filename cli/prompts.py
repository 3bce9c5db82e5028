"""A job at the terminal: reads a line, puts down what happened, shows what comes next.

What is asked and what follows is decided in interview.py; here is only input and output.
Every event is on disk before the next question is shown, so the end of the input, Ctrl-C
and a closed terminal lose nothing.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Callable, Sequence
from concurrent.futures import Future
from contextlib import suppress
from datetime import datetime
from pathlib import Path
from shlex import quote
from threading import Thread
from typing import TYPE_CHECKING, TypeVar

import click

from lightoff.cli import job_screens, safety_screens, screen
from lightoff.cli.danger import (
    ON_ARRIVAL,
    STANDING_NOTE,
    read_signs,
    signs_in_words,
    what_to_do,
)
from lightoff.cli.lines import show
from lightoff.cli.main import STOPPED
from lightoff.engine.reasoning.job import AnyEvent, Closed, JobState, replay
from lightoff.engine.reasoning.journal import JobError, Journal, latest, read

if TYPE_CHECKING:
    from lightoff.engine.model import Furnace, Knowledge
    from lightoff.engine.reasoning.diagnosis import Diagnosis

T = TypeVar("T")

PROMPT = "> "
RESUME = "lightoff diagnose --resume"
NONE = ("n", "no", "none")


class InputEnded(Exception):  # noqa: N818
    """There is nobody left to type."""


# --- commands ---------------------------------------------------------------------


def new_job(knowledge: Knowledge, furnace: Furnace | None, folder: Path | None) -> int:
    """Diagnose from the beginning; the exit code. The furnace is asked for if not given."""
    return Conversation(knowledge, folder).guarded(lambda talk: talk.anew(furnace))


def resumed_job(knowledge: Knowledge, folder: Path | None) -> int:
    """Take up the last unfinished job of a folder; the exit code."""
    return Conversation(knowledge, folder).guarded(Conversation.resume)


def usual_folder() -> Path:
    """Where jobs are kept if nothing is said: in LIGHTOFF_HOME, or with the user's data."""
    home = os.environ.get("LIGHTOFF_HOME")
    if home:
        return Path(home) / "jobs"
    from platformdirs import user_data_path

    return user_data_path("lightoff", appauthor=False) / "jobs"


# --- the conversation -------------------------------------------------------------


class Conversation:
    """One sitting at the terminal, with the journal once there is one.

    `folder` is where jobs are kept, None for the usual one.
    """

    def __init__(self, knowledge: Knowledge, folder: Path | None) -> None:
        self.knowledge = knowledge
        self.folder = folder or usual_folder()
        self.resume_command = RESUME + (f" --journal-folder {quote(str(folder))}" if folder else "")
        self.journal: Journal | None = None

    def guarded(self, talk: Callable[[Conversation], None]) -> int:
        """Talk, and end in plain words however the talk ends."""
        _prepare_input()
        try:
            talk(self)
        except InputEnded:
            self._interrupted()
        except KeyboardInterrupt:
            self._interrupted()
            return STOPPED
        except JobError as error:
            raise click.ClickException(str(error)) from None
        finally:
            if self.journal is not None:
                self.journal.close()
        return 0

    def anew(self, furnace: Furnace | None) -> None:
        """The furnace is predicted while the person makes safe."""
        predicted = None if furnace is None else self._predicted(furnace)
        self._tell_of_unfinished()
        signs = self._make_safe(first=True)
        if furnace is None or predicted is None:
            furnace = choose_furnace(list(self.knowledge.furnaces.values()))
            predicted = self._predicted(furnace)
        self.journal = Journal.create(self.folder, furnace.id, now(), version())
        self._begin(predicted, signs)

    def resume(self) -> None:
        path = latest(self.folder)
        if path is None:
            raise click.ClickException(
                f"there is no unfinished job in {self.folder}; start one with: lightoff diagnose"
            )
        self.journal = Journal.open(path)
        if self.journal.notice:
            screen.say(self.journal.notice, "warn", stderr=True)
        furnace = self.knowledge.furnaces.get(self.journal.state.furnace)
        if furnace is None:
            raise _outdated(path, f"furnace {self.journal.state.furnace}")
        predicted = self._predicted(furnace)
        screen.say(f"{job_in_words(path, self.journal.state)}, on {furnace.entry.name}.", "head")
        signs = self._make_safe(first=False)
        _check_known(path, predicted.result(), self.journal.state)
        self._begin(predicted, signs)

    def _predicted(self, furnace: Furnace) -> Future[Diagnosis]:
        from lightoff.engine.reasoning.diagnosis import Diagnosis

        return in_background(lambda: Diagnosis.of(self.knowledge, furnace.id))

    def _tell_of_unfinished(self) -> None:
        # A journal that cannot be read does not stand in the way of a new job.
        try:
            path = latest(self.folder)
            if path is not None:
                job = job_in_words(path, replay(read(path)[0]))
                screen.say(f"{job}, is not finished. To go on with it, type q, then:", "note")
                screen.say(self.resume_command, "note", indent=2)
        except JobError as error:
            screen.say(str(error), "warn", stderr=True)

    def _make_safe(self, first: bool) -> tuple[str, ...]:
        """Signs to stop work at that the person names; cannot be passed without an answer."""
        standing_note = self.knowledge.cautions[STANDING_NOTE]
        notes = standing_note.text if first else [standing_note.short]
        signs = signs_in_words(self.knowledge.cautions, ON_ARRIVAL)
        show(safety_screens.make_safe_lines(notes, signs))
        while True:
            entered = ask().lower()
            if entered in NONE:
                return ()
            if entered == "q":
                raise InputEnded
            found = read_signs(entered, ON_ARRIVAL)
            if found:
                return found
            screen.say(safety_screens.LOOK_FIRST, "warn")

    def _begin(self, predicted: Future[Diagnosis], signs: tuple[str, ...]) -> None:
        if signs:
            self._put_down(Closed(time=now(), how="left"))
            show(safety_screens.stop_lines(what_to_do(self.knowledge.cautions, signs)))
        else:
            self._question_by_question(predicted.result())

    def _question_by_question(self, diagnosis: Diagnosis) -> None:
        from lightoff.cli.interview import begin, step
        from lightoff.cli.job_state import Ended

        assert self.journal is not None
        state, view = begin(diagnosis, self.journal.events)
        show(job_screens.view_lines(view))
        while not isinstance(state.mode, Ended):
            state, events, view = step(state, ask(), now())
            for event in events:
                self._put_down(event)
            show(job_screens.view_lines(view))
        if state.mode.how is None:
            self._say_saved()

    def _put_down(self, event: AnyEvent) -> None:
        assert self.journal is not None
        self.journal.append(event)

    def _interrupted(self) -> None:
        print()
        if self.journal is None:
            screen.say("Stopped before the first question; there is nothing to save.")
        elif self.journal.state.closed is None:
            self._say_saved()

    def _say_saved(self) -> None:
        show([job_screens.saved_line(self.resume_command)])


# --- a resumed journal against what is known now ----------------------------------


def _check_known(path: Path, diagnosis: Diagnosis, job: JobState) -> None:
    """JobError if the journal speaks of what this version does not know."""
    outcomes = dict(zip(diagnosis.table.checks, diagnosis.table.outcomes, strict=True))
    for finding in job.findings:
        known = outcomes.get(finding.check, ())
        if finding.check not in outcomes or finding.outcome not in (None, *known):
            raise _outdated(path, f"the finding {finding.check}: {finding.outcome}")
    repairs = {hypothesis.repair for hypothesis in diagnosis.table.hypotheses}
    for repair in job.repaired:
        if repair not in repairs:
            raise _outdated(path, f"the repair {repair}")


def _outdated(path: Path, what: str) -> JobError:
    return JobError(
        str(path), f"this version does not know {what}", "start a new job: lightoff diagnose"
    )


def job_in_words(path: Path, job: JobState) -> str:
    """Which job, when it began, how many findings it has."""
    number = path.stem.removeprefix("job-").lstrip("0")
    began = job.started[:16].replace("T", " ")
    found = f"{len(job.findings)} finding{'' if len(job.findings) == 1 else 's'}"
    return f"Job {number}, begun {began}, {found}"


# --- the terminal -----------------------------------------------------------------


def choose_furnace(furnaces: Sequence[Furnace]) -> Furnace:
    """The furnace that the person stands before, by number."""
    if len(furnaces) == 1:
        return furnaces[0]
    show(safety_screens.furnace_lines(furnaces))
    while True:
        entered = ask()
        named = [each for each in furnaces if each.id == entered]
        number = int(entered) if entered.isascii() and entered.isdecimal() else 0
        if named or 1 <= number <= len(furnaces):
            return named[0] if named else furnaces[number - 1]
        screen.say(f"Type a number from 1 to {len(furnaces)}.", "warn")


def ask() -> str:
    """The next line that the person types, spaces trimmed; InputEnded if there is none."""
    try:
        return " ".join(input(PROMPT).split())
    except (EOFError, OSError, RuntimeError):
        raise InputEnded from None


def _prepare_input() -> None:
    """Bytes that are no text become signs of a question; arrow keys edit the line."""
    if hasattr(sys.stdin, "reconfigure"):
        with suppress(OSError):
            sys.stdin.reconfigure(errors="replace")
    with suppress(ImportError):
        import readline  # noqa: F401


def in_background(compute: Callable[[], T]) -> Future[T]:
    """The result of a computation that runs while the person reads and types."""
    future: Future[T] = Future()

    def run() -> None:
        try:
            future.set_result(compute())
        except Exception as error:
            future.set_exception(error)

    Thread(target=run, daemon=True).start()
    return future


def now() -> str:
    """Local time with its offset, ISO 8601."""
    return datetime.now().astimezone().isoformat(timespec="seconds")


def version() -> str:
    """Version of the program, noted in each job."""
    from importlib.metadata import version as installed

    return installed("lightoff")
