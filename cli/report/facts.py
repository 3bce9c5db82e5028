"""What a report says of a job, as plain facts in words; both pages are made from these."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from functools import cached_property
from itertools import pairwise

from lightoff.cli.job_pages import JobPages
from lightoff.cli.past_jobs import Past, moment_in_words
from lightoff.cli.proof_views import expected_in_words, good_in_words, said_in_words
from lightoff.cli.wording import MATTERS, percent, suspect_name
from lightoff.engine.entries.lists import CautionEntry
from lightoff.engine.reasoning.diagnosis import Diagnosis
from lightoff.engine.reasoning.job import Found, JobState, Noted, NoteKind, Proved, Repaired, Undone
from lightoff.engine.reasoning.open_list import open_items
from lightoff.engine.reasoning.retrace import Moment
from lightoff.engine.reasoning.suspects import Suspect, suspects_of
from lightoff.engine.reasoning.table import repairs_in
from lightoff.engine.service.proving import Item, demanded, yearly

PAUSE = 60.0
"""Minutes between two events from which nobody was at work in between (from memory)."""
SHOWN = 8
"""Suspects named at the end."""


@dataclass(frozen=True, slots=True)
class Tried:
    """Something that was to be proved: what came of it, and what is good."""

    title: str
    found: str
    good: str
    verdict: str
    """good, out, not-done, or "" for what nobody came to."""


class Facts:
    """A job as reports tell of it. A furnace that is not known today has no suspects."""

    def __init__(self, past: Past) -> None:
        self.pages = JobPages(past)
        self.past = past
        self.job: JobState = past.job
        self.words = self.pages.words

    @cached_property
    def diagnosis(self) -> Diagnosis | None:
        """Of the furnace with its own rating plate; None if it is not known today."""
        end = self.pages.end
        return self.pages.today.diagnoses.of(end) if self.pages.known and end.furnace else None

    # --- who, where, when ---------------------------------------------------------

    @property
    def label(self) -> str:
        """What the furnace is called; "" if nobody said."""
        return "; ".join(dict.fromkeys(self.noted("label")))

    def noted(self, about: NoteKind) -> tuple[str, ...]:
        """What was noted about something."""
        return self.job.said(about)

    @property
    def furnace(self) -> str:
        """The type of furnace."""
        known = self.pages.today.knowledge.furnaces.get(self.job.furnace)
        if known is not None:
            return known.entry.name
        return self.words.not_known(self.job.furnace) if self.job.furnace else "not found out"

    @property
    def begun(self) -> str:
        return moment_in_words(self.job.started)

    @property
    def ended(self) -> str:
        """When the job was closed; "" if it is not."""
        return moment_in_words(self._work[-1]) if self.job.closed else ""

    @property
    def minutes(self) -> float | None:
        """Minutes at work, long pauses left out; None where the times cannot be read."""
        try:
            times = [datetime.fromisoformat(each) for each in self._work]
            gaps = [(b - a).total_seconds() / 60 for a, b in pairwise(times)]
        except (ValueError, TypeError):
            return None
        return sum(gap for gap in gaps if 0.0 < gap <= PAUSE)

    @property
    def _work(self) -> list[str]:
        """Times of what was done; notes may come much later."""
        return [each.time for each in self.past.events if not isinstance(each, Noted)]

    # --- what was found -----------------------------------------------------------

    @property
    def standing(self) -> tuple[Moment, ...]:
        """What happened and was not taken back."""
        pages = self.pages
        return tuple(
            each
            for each in pages.moments
            if each.number not in pages.taken_back and not isinstance(each.event, Undone)
        )

    @property
    def findings(self) -> tuple[Moment, ...]:
        """What was answered, in order."""
        return tuple(each for each in self.standing if isinstance(each.event, Found))

    @property
    def in_vain(self) -> tuple[str, ...]:
        """Repairs after which it still failed."""
        done = (each.event for each in self.standing)
        return tuple(self.words.repair(each.repair) for each in done if isinstance(each, Repaired))

    @property
    def suspects(self) -> tuple[tuple[str, str], ...]:
        """The likeliest suspects at the end, with their probability."""
        return tuple(
            (self._named(each), percent(each.probability))
            for each in self._last[:SHOWN]
            if each.probability >= MATTERS
        )

    @property
    def cause(self) -> tuple[str, str] | None:
        """The likeliest fault that the repair that cured mends, and why such faults come."""
        if self.diagnosis is None or not self.repair:
            return None
        repairs = set(repairs_in(self.repair))
        mended = (each for each in self._last if each.faults and each.repair in repairs)
        suspect = next(mended, None)
        if suspect is None:
            return None
        faults = [self.diagnosis.furnace.faults[fault] for fault in suspect.faults]
        return self._named(suspect), " ".join(fault.entry.because for fault in faults)

    @property
    def repair(self) -> str:
        """The repair that cured; "" if none did."""
        return self.job.cured_by or self.job.to_prove

    @cached_property
    def _last(self) -> list[Suspect]:
        if self.job.purpose == "yearly" or self.pages.advice is None:
            return []
        return suspects_of(self.pages.advice.belief)

    def _named(self, suspect: Suspect) -> str:
        assert self.diagnosis is not None
        return suspect_name(self.diagnosis, suspect)

    # --- how it was proved --------------------------------------------------------

    @property
    def tried(self) -> tuple[Tried, ...]:
        """All that was to be proved, the last word on each."""
        last = {each.proof: each for each in self.job.proofs}
        return tuple(_tried(item, last.get(item.id)) for item in self._to_prove)

    @property
    def _to_prove(self) -> tuple[Item, ...]:
        if self.diagnosis is None or not self.job.proofs:
            return ()
        known, furnace = self.diagnosis.knowledge, self.diagnosis.furnace.id
        if self.job.purpose == "yearly":
            return yearly(known, furnace)
        return demanded(known, furnace, repairs_in(self.repair)) if self.repair else ()

    @property
    def open_items(self) -> tuple[str, ...]:
        """What is still to be put right."""
        if self.diagnosis is None or self.pages.advice is None:
            return ()
        return open_items(self.diagnosis, self.pages.end, self.pages.advice)

    @property
    def obligations(self) -> tuple[str, ...]:
        """What the rules want besides any repair."""
        advice = self.pages.advice
        return tuple(said.text for said in advice.obligations) if advice else ()

    # --- cautions -----------------------------------------------------------------

    def caution(self, id_: str) -> CautionEntry | None:
        """A safety text; None if it is not known today."""
        return self.pages.today.knowledge.cautions.get(id_)

    @property
    def cautions(self) -> tuple[CautionEntry, ...]:
        """Those that were shown: of the checks that were made, and by rules."""
        made = (each.event.check for each in self.findings if isinstance(each.event, Found))
        hazards = [hazard for check in made for hazard in self._hazards(check)]
        advice = self.pages.advice
        said = [each.text for each in advice.cautions] if advice else []
        found = (self.caution(each) for each in dict.fromkeys([*hazards, *said]))
        return tuple(each for each in found if each is not None)

    def _hazards(self, check: str) -> Iterator[str]:
        known = self.words.checks.get(check)
        yield from known.entry.hazards if known else ()


def _tried(item: Item, said: Proved | None) -> Tried:
    expected = expected_in_words(item)
    good = good_in_words(item) + (f" (about {expected})" if expected else "")
    if said is None:
        return Tried(item.proof.title, "not done", good, "")
    return Tried(item.proof.title, said_in_words(item.check, said), good, said.verdict)
