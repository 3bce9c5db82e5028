"""The shop's experience on the screen: what counts, what it changes, what does not count."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from shlex import quote
from typing import Any

from lightoff.cli import screen
from lightoff.engine.model import Knowledge
from lightoff.engine.reasoning.experience import (
    PRIOR_JOBS,
    Experience,
    shares_after,
    shares_of,
)
from lightoff.engine.reasoning.experience_folder import Gathered
from lightoff.engine.reasoning.prediction import predict

Data = dict[str, Any]


def counted_line(
    experience: Experience | None, furnace: str = "", folder: Path | None = None
) -> str:
    """What counts besides the shipped weights and how to switch it off; "" if nothing does.

    On one furnace, or on all while it is not known; `folder` is that of the jobs where it
    is not the usual one.
    """
    own, others = experience.jobs(furnace) if experience else (0, 0)
    if not own + others:
        return ""
    words = f"Counts {own} of this shop's jobs" + (f", {others} of others" if others else "")
    where = f" --journal-folder {quote(str(folder))}" if folder else ""
    return f"{words} (off: lightoff experience use off{where})"


def counted_data(experience: Experience | None, furnace: str) -> Data | None:
    """The jobs that count on a furnace, for JSON; None if none does."""
    own, others = experience.jobs(furnace) if experience else (0, 0)
    return {"own_jobs": own, "imported_jobs": others} if own + others else None


@dataclass(frozen=True, slots=True)
class FaultRow:
    """A fault with its share of all faults as shipped and now, and the jobs it was the cause of."""

    fault: str
    shipped: float
    jobs: float
    now: float


class ExperiencePage:
    """All that there is, of one furnace or ("") of all, on the screen and as data."""

    def __init__(self, knowledge: Knowledge, gathered: Gathered, furnace: str) -> None:
        self.knowledge = knowledge
        self.gathered = gathered
        self.experience = gathered.experience
        self.furnaces = [each for each in knowledge.furnaces if furnace in ("", each)]

    def rows(self, furnace: str) -> list[FaultRow]:
        """The faults of a furnace, those with most jobs first, then the most frequent."""
        model = self.knowledge.furnaces[furnace]
        needed = any(each.findings for each in self.experience.own if each.furnace == furnace)
        table = predict(model, list(self.knowledge.checks[furnace].values()) if needed else [])
        counts, shipped = self.experience.counts(furnace, table), shares_of(table)
        now = shares_after(shipped, counts)
        rows = [FaultRow(each, shipped[each], counts.get(each, 0.0), now[each]) for each in shipped]
        return sorted(rows, key=lambda row: (-row.jobs, -row.now, row.fault))

    # --- as data ------------------------------------------------------------------

    def data(self) -> Data:
        """The page for JSON."""
        found = self.gathered
        return {
            "use": found.use,
            "prior_jobs": PRIOR_JOBS,
            "own_jobs": [each.job for each in found.own if each.furnace in self.furnaces],
            "imported": [
                {"name": name, "jobs": self._of_these(shared.jobs)}
                for name, shared in found.imported.items()
            ],
            "left_out": found.left_out,
            "set_aside": found.set_aside,
            "not_known": found.not_known,
            "furnaces": [self._furnace_data(each) for each in self.furnaces],
        }

    def _of_these(self, jobs: Mapping[str, int]) -> dict[str, int]:
        return {furnace: count for furnace, count in jobs.items() if furnace in self.furnaces}

    def _furnace_data(self, furnace: str) -> Data:
        own, others = self.experience.jobs(furnace)
        return {
            "id": furnace,
            "own_jobs": own,
            "imported_jobs": others,
            "faults": [
                {"id": row.fault, "shipped": row.shipped, "jobs": row.jobs, "now": row.now}
                for row in self.rows(furnace)
            ],
        }

    # --- on the screen ------------------------------------------------------------

    def show(self, every: bool) -> None:
        """Write the page; faults without a job only if `every` one is wanted."""
        if not self.gathered.use:
            screen.say("Switched off: the shipped weights are used alone.", "warn")
        for furnace in self.furnaces:
            self._show_furnace(furnace, every)
        self._show_sources()

    def _show_furnace(self, furnace: str, every: bool) -> None:
        own, others = self.experience.jobs(furnace)
        worth = f"the shipped weights are worth {PRIOR_JOBS:.0f}"
        screen.say(screen.text((furnace, "head"), f"  {own} own jobs, {others} of others; {worth}"))
        rows = self.rows(furnace)
        shown = [row for row in rows if row.jobs or every]
        if shown:
            screen.table(("fault", "shipped", "jobs", "now"), map(_cells, shown))
        if left := len(rows) - len(shown):
            screen.say(f"{left} faults without a job (--all lists them)", "note")
        screen.say()

    def _show_sources(self) -> None:
        found = self.gathered
        imported = [
            f"{name}, {sum(self._of_these(shared.jobs).values())} jobs"
            for name, shared in found.imported.items()
        ]
        screen.field("Own jobs", _listed([job.job for job in found.own]))
        screen.field("Imported", *(imported or ["none"]))
        screen.field("Left out", *([_listed(found.left_out)] if found.left_out else []))
        screen.field("Not known", *found.not_known)
        screen.field("Set aside", *found.set_aside)


def _cells(row: FaultRow) -> tuple[str, ...]:
    return row.fault, f"{row.shipped:.2%}", f"{round(row.jobs, 3):g}", f"{row.now:.2%}"


FEW = 3
"""Jobs that are named one by one."""


def _listed(jobs: list[str]) -> str:
    if len(jobs) <= FEW:
        return ", ".join(jobs) or "none"
    return f"{jobs[0]} to {jobs[-1]}, {len(jobs)} in all"
