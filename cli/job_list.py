"""The list of past jobs."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from lightoff.cli import screen
from lightoff.cli.past_jobs import Damaged, Past, moment_in_words, plain
from lightoff.cli.today import Leading, Today
from lightoff.cli.wording import count, percent

if TYPE_CHECKING:
    from rich.text import Text

Data = dict[str, Any]

MARGIN = 6
"""Columns before a job: its number."""


def rows(jobs: Sequence[Past | Damaged]) -> list[Data]:
    """The jobs for JSON; knowledge is loaded only if there are any."""
    if not jobs:
        return []
    today = Today(jobs[0].path.parent)
    return [_damaged(each) if isinstance(each, Damaged) else _row(today, each) for each in jobs]


def _damaged(journal: Damaged) -> Data:
    return {
        "id": journal.id,
        "number": journal.number,
        "started": None,
        "purpose": None,
        "furnace": None,
        "closed": None,
        "stopped": [],
        "stands": "cannot be read",
        "findings": None,
        "cured_by": None,
        "leading": None,
        "problem": journal.why,
    }


def _row(today: Today, past: Past) -> Data:
    job = past.job
    leading = None if job.closed == "found" else today.leading_of(past.events)
    return {
        "id": past.id,
        "number": past.number,
        "started": job.started,
        "purpose": job.purpose,
        "furnace": job.furnace or None,
        "closed": job.closed,
        "stopped": list(job.stopped),
        "stands": today.words(job).stands(job),
        "findings": len(job.findings),
        "cured_by": job.cured_by or None,
        "leading": leading_data(leading),
        "problem": past.notice or None,
    }


def leading_data(leading: Leading | None) -> Data | None:
    """The repair that leads, for JSON."""
    if leading is None:
        return None
    return {
        "repair": leading.repair,
        "title": leading.title,
        "probability": leading.probability,
    }


def show_list(jobs: Sequence[Data]) -> None:
    """Write the list: two lines a job, which one and how it stands."""
    for job in jobs:
        screen.say(_which(job), hang=MARGIN)
        for words in filter(None, (job["stands"], _leading(job))):
            screen.say(words, indent=MARGIN, hang=2)


def _which(job: Data) -> Text:
    number = str(job["number"]).rjust(MARGIN - 2)
    if job["findings"] is None:
        return screen.text((f"{number}  {job['id']}", "name"))
    furnace = plain(job["furnace"] or "furnace not found out")
    begun, found = moment_in_words(job["started"]), count(job["findings"], "finding")
    what = "yearly visit" if job["purpose"] == "yearly" else found
    return screen.text((f"{number}  {begun}", "name"), f"  {furnace}, {what}")


def _leading(job: Data) -> str:
    leading = job["leading"]
    return f"leading: {leading['title']}, {percent(leading['probability'])}" if leading else ""
