"""A job at the terminal: reads a line, puts down what happened, shows what comes next.

What is asked and what follows is decided in interview.py; here is only input and output.
Every event is on disk before the next question is shown, so the end of the input, Ctrl-C
and a closed terminal lose nothing.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Callable
from concurrent.futures import Future
from contextlib import suppress
from datetime import datetime
from pathlib import Path
from shlex import quote
from threading import Thread
from typing import TYPE_CHECKING, Generic, TypeVar

import click

from lightoff.cli import screen
from lightoff.cli.lines import show
from lightoff.cli.main import STOPPED
from lightoff.engine.reasoning.job import AnyEvent, JobState, Purpose, Started, replay
from lightoff.engine.reasoning.journal import JobError, Journal, latest, number_of, read

if TYPE_CHECKING:
    from lightoff.cli.job_state import Diagnoses
    from lightoff.engine.model import Furnace, Knowledge
    from lightoff.engine.reasoning.advice import Person
    from lightoff.engine.reasoning.diagnosis import Diagnosis
    from lightoff.engine.reasoning.experience import Experience

T = TypeVar("T")

PROMPT = "> "
RESUME = "lightoff diagnose --resume"


class InputEnded(Exception):  # noqa: N818
    """There is nobody left to type."""


# --- commands ---------------------------------------------------------------------


def new_job(
    knowledge: Knowledge, furnace: Furnace | None, folder: Path | None, person: Person
) -> int:
    """Diagnose from the beginning; the exit code. The furnace is found out if not given."""
    return Conversation(knowledge, folder).guarded(lambda talk: talk.anew(furnace, person))


def resumed_job(knowledge: Knowledge, folder: Path | None, to_prove: bool = False) -> int:
    """Take up the last unfinished job of a folder, only one `to_prove`; the exit code."""
    return Conversation(knowledge, folder).guarded(lambda talk: talk.resume(to_prove))


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
        self.given_folder = folder
        self.folder = folder or usual_folder()
        self.experience: Experience | None = None
        self.in_folder = f" --journal-folder {quote(str(folder))}" if folder else ""
        self.resume_command = RESUME + self.in_folder
        self.journal: Journal | None = None

    def guarded(self, talk: Callable[[Conversation], None]) -> int:
        """Talk, and end in plain words however the talk ends."""
        prepare_input()
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

    def anew(self, furnace: Furnace | None, person: Person) -> None:
        """The furnace is predicted while the person makes safe."""
        self.tell_of_unfinished()
        self.start(furnace, (begun(furnace, person),))

    def start(self, furnace: Furnace | None, events: tuple[AnyEvent, ...]) -> None:
        """A new job from its first events on."""
        self._count_jobs("" if furnace is None else furnace.id)
        first = furnace or next(iter(self.knowledge.furnaces.values()))
        self._talk(self._diagnoses(first), events)

    def resume(self, to_prove: bool = False) -> None:
        path = latest(self.folder)
        if path is None:
            raise click.ClickException(
                f"there is no unfinished job in {self.folder}; start one with: lightoff diagnose"
            )
        if to_prove and not replay(read(path)[0]).to_prove:
            raise click.ClickException(
                "the last unfinished job has no repair to prove yet; go on with it: "
                f"{self.resume_command}"
            )
        self.journal = Journal.open(path)
        if self.journal.notice:
            screen.say(self.journal.notice, "warn", stderr=True)
        job = self.journal.state
        furnaces = self.knowledge.furnaces
        if job.furnace and job.furnace not in furnaces:
            raise _outdated(path, f"furnace {job.furnace}")
        furnace = furnaces[job.furnace] if job.furnace else next(iter(furnaces.values()))
        on = f", on {furnace.entry.name}" if job.furnace else ""
        screen.say(f"{job_in_words(path, job)}{on}.", "head")
        self._count_jobs(job.furnace)
        diagnoses = self._diagnoses(furnace)
        _check_known(path, diagnoses, job)
        self._talk(diagnoses, self.journal.events)

    def _diagnoses(self, first: Furnace) -> Diagnoses:
        """The diagnoses of all furnaces; that of the first is begun ahead of being needed."""
        from lightoff.cli.job_state import Diagnoses, Ratings
        from lightoff.engine.library import load_rated
        from lightoff.engine.reasoning.diagnosis import Diagnosis

        def of(furnace: str) -> Diagnosis:
            return Diagnosis.of(self.knowledge, furnace, self.experience)

        self.ahead = ahead = Ahead(lambda: of(first.id))

        def make(furnace: str) -> Diagnosis:
            return ahead.result() if furnace == first.id else of(furnace)

        def rated(furnace: str, ratings: Ratings) -> Diagnosis:
            return Diagnosis.of(
                load_rated(self.knowledge, furnace, ratings), furnace, self.experience
            )

        return Diagnoses(self.knowledge, make, rated)

    def _count_jobs(self, furnace: str) -> None:
        """Let the shop's closed jobs count, and say so if there are any."""
        from lightoff.cli.experience_pages import counted_line
        from lightoff.engine.reasoning.experience_folder import in_use

        self.experience = in_use(self.knowledge, self.folder)
        if line := counted_line(self.experience, furnace, self.given_folder):
            screen.say(line, "note")

    def tell_of_unfinished(self) -> None:
        # A journal that cannot be read does not stand in the way of a new job.
        try:
            path = latest(self.folder)
            if path is not None:
                job = job_in_words(path, replay(read(path)[0]))
                screen.say(f"{job}, is not finished. To go on with it, type q, then:", "note")
                screen.say(self.resume_command, "note", indent=2)
        except JobError as error:
            screen.say(str(error), "warn", stderr=True)

    def _talk(self, diagnoses: Diagnoses, so_far: tuple[AnyEvent, ...]) -> None:
        """Question by question; a new job is on disk from its first answer on."""
        from lightoff.cli import job_screens
        from lightoff.cli.interview import begin, step
        from lightoff.cli.job_state import Ended
        from lightoff.cli.labels import visits_in

        own = "" if self.journal is None else self.journal.path.stem
        state, events, view = begin(diagnoses, so_far, visits_in(self.folder, own))
        self._put_down(so_far, events)
        show(job_screens.view_lines(view))
        # Not before: it would slow down the way to the first question.
        self.ahead.begin()
        while not isinstance(state.mode, Ended):
            state, events, view = step(state, ask(), now())
            self._put_down(so_far, events)
            show(job_screens.view_lines(view))
        if state.mode.how is None:
            self._say_saved()
        else:
            self._say_report()

    def _put_down(self, so_far: tuple[AnyEvent, ...], events: tuple[AnyEvent, ...]) -> None:
        """Events on disk; the first of a new job bring its journal about, with those so far."""
        if events:
            self.put_down((*so_far, *events) if self.journal is None else events)

    def put_down(self, events: tuple[AnyEvent, ...]) -> None:
        """Events on disk; a new job's first one is its start."""
        if self.journal is None:
            start, *rest = events
            assert isinstance(start, Started)
            self.journal, events = Journal.create(self.folder, start), tuple(rest)
        for event in events:
            assert self.journal is not None
            self.journal.append(event)

    def _interrupted(self) -> None:
        print()
        if self.journal is None or self.journal.state.closed is None:
            self._say_saved()

    def _say_report(self) -> None:
        """How a closed job is written down for others; nothing is said behind a stop."""
        if self.journal is None or self.journal.state.stopped:
            return
        number = number_of(self.journal.path)
        screen.say("For the customer and the shop:", "next")
        screen.say(f"lightoff job report {number}{self.in_folder}", "next", indent=2)

    def _say_saved(self) -> None:
        from lightoff.cli import job_screens

        if self.journal is None:
            screen.say("Stopped before the first question; there is nothing to save.")
        else:
            show([job_screens.saved_line(self.resume_command)])


# --- a resumed journal against what is known now ----------------------------------


def _check_known(path: Path, diagnoses: Diagnoses, job: JobState) -> None:
    """JobError if the journal speaks of what this version does not know."""
    from lightoff.engine.reasoning.answers import ReadingError

    try:
        diagnosis = diagnoses.of(job)
    except ReadingError as error:
        raise _outdated(path, f"a reading that was told ({error})") from None
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


def ask() -> str:
    """The next line that the person types, spaces trimmed; InputEnded if there is none."""
    try:
        return " ".join(input(PROMPT).split())
    except (EOFError, OSError, RuntimeError):
        raise InputEnded from None


def prepare_input() -> None:
    """Bytes that are no text become signs of a question; arrow keys edit the line."""
    if hasattr(sys.stdin, "reconfigure"):
        with suppress(OSError):
            sys.stdin.reconfigure(errors="replace")
    with suppress(ImportError):
        import readline  # noqa: F401


class Ahead(Generic[T]):
    """A result that is computed while the person reads and types, once it is begun."""

    def __init__(self, compute: Callable[[], T]) -> None:
        self._compute = compute
        self._future: Future[T] = Future()
        self._begun = False

    def begin(self) -> None:
        """Compute in the background; nothing more if that has begun."""
        if not self._begun:
            self._begun = True
            Thread(target=self._run, daemon=True).start()

    def result(self) -> T:
        """The result, as soon as it is there; raises what the computation raised."""
        self.begin()
        return self._future.result()

    def _run(self) -> None:
        try:
            self._future.set_result(self._compute())
        except Exception as error:
            self._future.set_exception(error)


def begun(furnace: Furnace | None, person: Person, purpose: Purpose = "fault") -> Started:
    """The first event of a job that begins now."""
    return Started(
        time=now(),
        furnace="" if furnace is None else furnace.id,
        version=version(),
        lacks=tuple(sorted(person.lacks)),
        licence=person.licence,
        purpose=purpose,
    )


def now() -> str:
    """Local time with its offset, ISO 8601."""
    return datetime.now().astimezone().isoformat(timespec="seconds")


def version() -> str:
    """Version of the program, noted in each job."""
    from importlib.metadata import version as installed

    return installed("lightoff")
