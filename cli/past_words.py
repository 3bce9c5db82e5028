"""What happened in a past job, in words, as far as today's knowledge has the words."""

from __future__ import annotations

from collections.abc import Mapping

from lightoff.cli import wording
from lightoff.cli.past_jobs import plain
from lightoff.engine.model import Check, Furnace, Knowledge
from lightoff.engine.reasoning.answers import is_a_figure, with_unit
from lightoff.engine.reasoning.job import (
    AnyEvent,
    CalledAgain,
    Cleared,
    Closed,
    Cured,
    Found,
    Identified,
    InterviewSkipped,
    JobState,
    Noted,
    NoteKind,
    Proved,
    Rated,
    Repaired,
    Seen,
    Skipped,
    Told,
    TwoFaults,
)
from lightoff.engine.reasoning.table import repairs_in

NOTES: Mapping[NoteKind, str] = {
    "label": "Label of the furnace",
    "who": "Worked on it",
    "part": "Part fitted",
    "told": "The customer was told",
    "note": "Note",
}
"""What a note is about, in words."""


class PastWords:
    """Words for the events of a job on one type of furnace; None if it is not known today."""

    def __init__(self, knowledge: Knowledge, furnace: Furnace | None) -> None:
        self.knowledge = knowledge
        self.checks = knowledge.checks[furnace.id] if furnace else {}
        self.proving = knowledge.proving[furnace.id] if furnace else {}

    def question(self, event: AnyEvent) -> str:
        """What was asked or done."""
        match event:
            case Found(check=check, unasked=unasked):
                return f"Told unasked: {self.ask(check)}" if unasked else self.ask(check)
            case Told(quantity=quantity, places=places, during=during):
                where = " to ".join(places) + (f" in {during}" if during else "")
                return plain(f"Told unasked: {quantity}, {where}")
            case Seen(feature=feature):
                known = self.knowledge.features.get(feature)
                return known.ask if known else self.not_known(feature)
            case Identified():
                return "Type of furnace"
            case Skipped(check=check):
                return f"Skipped: {self.ask(check)}"
            case Repaired(repair=repair):
                return f"Repair done, still fails: {self.repair(repair)}"
            case CalledAgain():
                return "Another call for heat was run."
            case TwoFaults():
                return "From here on two faults at once were reckoned with."
            case InterviewSkipped():
                return "The rest of the interview was left out."
            case Cleared(item=item):
                return f"Put right: {plain(item)}"
            case Rated(rating=rating):
                return plain(f"Read off the furnace: {rating}")
            case Noted(about=about):
                return NOTES[about]
            case Cured(repair=repair):
                return f"Repair done, it runs: {self.repair(repair)}"
            case Proved(check=check):
                return f"Tried: {self.ask(check)}"
            case Closed():
                return f"Closed, {self.closing(event.how, event.repair, event.stopped)}"
            case _:
                return "Begun"

    def answer(self, event: AnyEvent) -> str:
        """What came of it; "" where there is no answer."""
        match event:
            case Found(outcome=None) | Seen(value=None):
                return "not known"
            case Found():
                return self.outcome(event)
            case Told(entered=entered):
                return plain(entered)
            case Rated(entered=entered):
                return plain(entered) or "taken back"
            case Noted(text=text):
                return plain(text)
            case Proved(verdict="not-done", reason=reason):
                return plain(f"not done: {reason}")
            case Proved():
                verdict = "good" if event.verdict == "good" else "not good"
                return f"{self.outcome(event)} ({verdict})"
            case Closed(proof="unproven", reason=reason):
                return plain(f"not proved: {reason}")
            case Closed(proof="tagged", reason=reason):
                return plain(f"shut down and tagged: {reason}") if reason else ""
            case Closed(how="serviced", proof="proven"):
                return "all of it good"
            case Closed(proof="proven"):
                return "proved"
            case Seen(feature=feature, value=value):
                known = self.knowledge.features.get(feature)
                values = known.values if known else {}
                return values.get(str(value)) or self.not_known(str(value))
            case Identified(furnace=furnace):
                return self.furnace(furnace)
            case _:
                return ""

    def ask(self, check: str) -> str:
        """The question of a check."""
        known = self.checks.get(check) or self.proving.get(check)
        return known.entry.ask if known else self.not_known(check)

    def outcome(self, event: Found | Proved) -> str:
        """An outcome in words, with the reading that was typed."""
        check = self.checks.get(event.check) or self.proving.get(event.check)
        words = outcome_in_words(check, str(event.outcome))
        if check is None:
            # What was read is told whatever became of the check.
            return f"{plain(event.entered)}: {words}" if event.entered else words
        if not is_a_figure(check, event.entered):
            return wording.capital(words)
        return f"{plain(with_unit(check, event.entered))}: {words}"

    def repair(self, repair: str) -> str:
        """Title of a repair, or of two."""
        known = self.knowledge.repairs
        titles = [
            known[one].title if one in known else self.not_known(one) for one in repairs_in(repair)
        ]
        return "; and ".join(titles)

    def furnace(self, furnace: str) -> str:
        """Name of a type of furnace."""
        known = self.knowledge.furnaces.get(furnace)
        return f"{known.entry.name} ({furnace})" if known else self.not_known(furnace)

    def closing(self, how: str, repair: str, stopped: tuple[str, ...]) -> str:
        """How a job ended."""
        if stopped:
            return f"stopped: {', '.join(map(self.sign, stopped))}"
        if how == "found":
            end = "off and tagged" if self.knowledge.stays_off(repairs_in(repair)) else "mended"
            return f"{end}: {self.repair(repair)}"
        ends = {"nothing": "nothing found", "serviced": "yearly visit done"}
        return ends.get(how, "left as it is")

    def stands(self, job: JobState) -> str:
        """How a job stands."""
        if job.closed is None:
            return "not finished"
        if job.closed == "left" and job.proof == "tagged":
            return "shut down and tagged"
        if job.closed == "serviced" and job.proof == "unproven":
            return "yearly visit ended, not all of it good"
        return self.closing(job.closed, job.cured_by, job.stopped)

    def sign(self, caution: str) -> str:
        """What stopped the work."""
        known = self.knowledge.cautions.get(caution)
        return known.title.partition(":")[0] if known else self.not_known(caution)

    @staticmethod
    def not_known(name: str) -> str:
        return f"{plain(name)} (not known today)"


def outcome_in_words(check: Check | None, outcome: str) -> str:
    """An outcome as the check has it, or its id."""
    texts = {each.id: each.text for each in check.outcomes} if check else {}
    return texts.get(outcome) or PastWords.not_known(outcome)
