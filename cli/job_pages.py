"""One past job as it happened: questions, answers, repairs, and what each changed."""

from __future__ import annotations

from typing import Any

import msgspec
import numpy as np

from lightoff.cli import screen, wording
from lightoff.cli.experience_pages import counted_data, counted_line
from lightoff.cli.job_list import leading_data
from lightoff.cli.past_jobs import Past, moment_in_words, plain
from lightoff.cli.today import Leading, Today
from lightoff.engine.reasoning.advice import Advice
from lightoff.engine.reasoning.job import Started, Undone, replay
from lightoff.engine.reasoning.retrace import Moment, moments
from lightoff.engine.reasoning.second_look import Misfit, misfits, sufficiency
from lightoff.engine.reasoning.table import Floats

Data = dict[str, Any]

DAY = 10
"""Characters of an ISO 8601 time that are the day."""
ROUNDING = 1e-9
"""Difference in a probability that is none."""
MARGIN = 12
"""Columns before what happened: its number and its time."""

UNEXPLAINED = (
    "No suspect explains all findings as well as it should: an answer is wrong, or there is a "
    "second fault, or one that is not known here."
)


def _are_alike(before: Floats, after: Floats) -> bool:
    """Whether probabilities are the same, of the same hypotheses: pairs may come in."""
    return before.shape == after.shape and np.allclose(before, after, rtol=0.0, atol=ROUNDING)


class JobPages:
    """The page of one job, on the screen and as data."""

    def __init__(self, past: Past) -> None:
        self.past = past
        self.job = past.job
        self.today = Today(past.path.parent, past.id)
        self.known = self.today.furnace(self.job) is not None
        self.words = self.today.words(self.job)
        self.restated = self.today.restated(past.events)
        self.end = replay(event for _, event in self.restated.lines)
        self.moments = moments(tuple(enumerate(past.events, start=1)))
        self.restated_moments = {moment.number: moment for moment in moments(self.restated.lines)}
        self.taken_back = {moment.taken_back for moment in self.moments}

    # --- as data ------------------------------------------------------------------

    def data(self) -> Data:
        """The page for JSON."""
        job = self.job
        return {
            "id": self.past.id,
            "number": self.past.number,
            "started": job.started,
            "version": job.version,
            "furnace": job.furnace or None,
            "lacks": job.lacks,
            "licence": job.licence,
            "closed": job.closed,
            "stopped": job.stopped,
            "stands": self.words.stands(job),
            "findings": len(job.findings),
            "cured_by": job.cured_by or None,
            "leading": leading_data(self.leading()),
            "experience": counted_data(self.today.experience, job.furnace),
            "rules": self.rules(),
            "misfits": [misfit.finding.check for misfit in self.misfits()],
            "explained": self.is_explained(),
            "problem": self.past.notice or None,
            "events": [self._event(moment) for moment in self.moments],
        }

    def _event(self, moment: Moment) -> Data:
        return {
            "number": moment.number,
            **msgspec.to_builtins(moment.event),
            "question": self.question(moment),
            "answer": self.words.answer(moment.event),
            "changed": self.change(moment),
            "leading": leading_data(self.leading_after(moment)),
            "taken_back": moment.number in self.taken_back,
        }

    # --- on the screen ------------------------------------------------------------

    def show(self) -> None:
        """Write the page."""
        self._show_head()
        day = self.job.started[:DAY]
        for moment in self.moments[1:]:
            if moment.event.time[:DAY] != day:
                day = moment.event.time[:DAY]
                screen.say(plain(day), "note")
            self._show_moment(moment)
        self._show_end()

    def _show_head(self) -> None:
        job = self.job
        screen.say(f"Job {self.past.number} ({self.past.id})", "head")
        screen.field("Begun", f"{moment_in_words(job.started)}, version {plain(job.version)}")
        furnace = self.words.furnace(job.furnace) if job.furnace else "not found out"
        screen.field("Furnace", furnace)
        without = [plain(tool) for tool in job.lacks]
        if without or job.licence == "none":
            licence = "no licence for gas" if job.licence == "none" else "licence for gas"
            screen.field("Person", "; without ".join([licence, *without]))
        screen.field("Stands", self.words.stands(job))
        counted = counted_line(self.today.experience, job.furnace)
        screen.field("Weights", *([counted] if counted else []))
        screen.say()

    def _show_moment(self, moment: Moment) -> None:
        clock = plain(moment.event.time[DAY + 1 : DAY + 6])
        head = f"{moment.number:>4}  {clock:<5}".ljust(MARGIN)
        later = " (taken back later)" if moment.number in self.taken_back else ""
        question = screen.text((head, "note"), self.question(moment), (later, "note"))
        screen.say(question, hang=MARGIN)
        for words, style in ((self.words.answer(moment.event), "name"), (self.change(moment), "")):
            if words:
                screen.say(words, style, indent=MARGIN, hang=2)

    def _show_end(self) -> None:
        leading = self.leading()
        if leading is not None and self.job.closed != "found":
            screen.say()
            screen.say(f"Leading: {in_words(leading)} by today's knowledge.", "next")
        self._show_doubts()
        rules = self.rules()
        if rules:
            screen.say()
            screen.say("What the rules say of it today:", "head")
        for rule in rules:
            screen.say(f"- {rule['says']}", indent=2, hang=2)

    def _show_doubts(self) -> None:
        for misfit in self.misfits():
            diagnosis = self.today.diagnoses.of(self.end)
            finding = plain(wording.finding_in_words(diagnosis, misfit.finding))
            screen.say(f"Fits none of the suspects well: {finding}.", "warn")
        if not self.is_explained():
            screen.say(UNEXPLAINED, "warn")

    # --- facts --------------------------------------------------------------------

    def question(self, moment: Moment) -> str:
        """What was asked or done."""
        if isinstance(moment.event, Undone):
            return f"Taken back: {moment.taken_back or 'nothing'}"
        return self.words.question(moment.event)

    def change(self, moment: Moment) -> str:
        """What an event changed, as far as it is known today; "" if nothing."""
        restated = self.restated_moments.get(moment.number)
        if restated is None:
            return "" if isinstance(moment.event, Undone) else "Left out: it is not known today."
        if not (self.known and restated.before.furnace) or isinstance(moment.event, Started):
            return ""
        before = self.today.advice(restated.before).belief
        after = self.today.advice(restated.after).belief
        if _are_alike(before.probabilities, after.probabilities):
            return ""
        diagnosis = self.today.diagnoses.of(restated.after)
        return wording.change(diagnosis, before, after)

    def leading_after(self, moment: Moment) -> Leading | None:
        """The repair that leads after an event; None for one that is left out."""
        restated = self.restated_moments.get(moment.number)
        return None if restated is None else self.today.leading(restated.after)

    def leading(self) -> Leading | None:
        """The repair that leads at the end, by today's knowledge."""
        return self.today.leading(self.end)

    @property
    def advice(self) -> Advice | None:
        """What the rules conclude at the end; None while the furnace is not known."""
        return self.today.advice(self.end) if self.known and self.end.furnace else None

    def rules(self) -> list[dict[str, str]]:
        """Every rule that fires at the end, with its words."""
        fired = self.advice.fired if self.advice else ()
        return [{"id": rule.id, "says": rule.entry.says} for rule in fired]

    def misfits(self) -> tuple[Misfit, ...]:
        """Findings that fit no suspect well, all taken together."""
        return misfits(self.advice.belief) if self.advice else ()

    def is_explained(self) -> bool:
        """Whether some suspect explains all findings about as well as it should."""
        return self.advice is None or sufficiency(self.advice.belief).suffices


def in_words(leading: Leading) -> str:
    """The repair that leads, with its probability."""
    return f"{leading.title}, {wording.percent(leading.probability)}"
