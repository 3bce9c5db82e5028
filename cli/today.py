"""What today's knowledge makes of past jobs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import click

from lightoff.cli import names, wording
from lightoff.cli.job_state import Diagnoses
from lightoff.cli.past_words import PastWords
from lightoff.engine.library import load_rated
from lightoff.engine.model import Furnace
from lightoff.engine.reasoning.advice import Advice
from lightoff.engine.reasoning.diagnosis import Diagnosis
from lightoff.engine.reasoning.experience import Experience
from lightoff.engine.reasoning.experience_folder import in_use
from lightoff.engine.reasoning.interview import person_of
from lightoff.engine.reasoning.job import AnyEvent, JobState, replay
from lightoff.engine.reasoning.journal import JobError
from lightoff.engine.reasoning.planning.repairing import repair_probabilities
from lightoff.engine.reasoning.restate import Restated, furnace_of, restated


@dataclass(frozen=True, slots=True)
class Leading:
    """The likeliest repair, or "no-fault" and the like, with its probability."""

    repair: str
    title: str
    probability: float


class Today:
    """The knowledge of today, with what a folder of jobs adds, and the diagnoses made with it."""

    def __init__(self, folder: Path, apart_from: str = "") -> None:
        self.knowledge = names.load_knowledge()
        self.experience = self._experience(folder, apart_from)
        self.diagnoses = Diagnoses(
            self.knowledge,
            lambda furnace: Diagnosis.of(self.knowledge, furnace, self.experience),
            lambda furnace, ratings: Diagnosis.of(
                load_rated(self.knowledge, furnace, ratings), furnace, self.experience
            ),
        )

    def _experience(self, folder: Path, apart_from: str) -> Experience | None:
        """A job that is looked at again does not speak for its own repair."""
        try:
            return in_use(self.knowledge, folder, apart_from=apart_from)
        except JobError as error:
            raise click.ClickException(str(error)) from None

    def furnace(self, job: JobState) -> Furnace | None:
        """The furnace of a job, any while it is not known; None if it is not known today."""
        return furnace_of(self.knowledge, job)

    def words(self, job: JobState) -> PastWords:
        return PastWords(self.knowledge, self.furnace(job))

    def restated(self, events: Sequence[AnyEvent]) -> Restated:
        return restated(self.knowledge, events)

    def advice(self, job: JobState) -> Advice:
        """What the rules conclude of a restated job."""
        return self.diagnoses.of(job).advise(job, person_of(job))

    def leading(self, job: JobState) -> Leading | None:
        """The repair that leads in a restated job; None while the furnace is not known.

        None at a yearly visit too: no fault is looked for.
        """
        if job.purpose == "yearly" or not job.furnace or self.furnace(job) is None:
            return None
        repair, share = next(iter(repair_probabilities(self.advice(job).belief).items()))
        return Leading(repair, wording.repair_title(self.knowledge, repair), share)

    def leading_of(self, events: Sequence[AnyEvent]) -> Leading | None:
        """The repair that leads after the events of a journal."""
        if self.furnace(replay(events)) is None:
            return None
        return self.leading(replay(event for _, event in self.restated(events).lines))
