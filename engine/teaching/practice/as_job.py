"""An attempt as the job of a technician who knows what the apprentice has found."""

from __future__ import annotations

from collections.abc import Iterable

from lightoff.engine.model import Scenario
from lightoff.engine.reasoning.job import (
    AnyEvent,
    CalledAgain,
    Found,
    Repaired,
    Skipped,
    Started,
    Told,
)
from lightoff.engine.teaching.practice.acts import (
    Answer,
    AnyAct,
    Checked,
    Measured,
    Mended,
    Watched,
)


def job_events(
    scenario: Scenario, acts: Iterable[AnyAct], all_tools: Iterable[str]
) -> list[AnyEvent]:
    """The job's events; a reading that the set-up did not fit says nothing of the furnace.

    They end with the repair that mends all of it: what is done then proves it.
    """
    lacks = tuple(sorted(set(all_tools) - scenario.tools))
    events: list[AnyEvent] = [
        Started(time="", furnace=scenario.furnace.id, version="", lacks=lacks)
    ]
    mended: set[str] = set()
    fresh = True
    for act in acts:
        match act:
            case Checked(misfit="", answer=answer):
                events.append(_found(answer))
            case Measured(misfit="", value=float()):
                events.append(_told(act))
            case Watched():
                events += [] if fresh else [CalledAgain(time="")]
                events += map(_found, act.answers)
                fresh = False
            case Mended(repair=repair):
                mended.add(repair)
                if scenario.repairs <= mended:
                    break
                events.append(Repaired(time="", repair=repair))
                fresh = True
            case _:
                pass
    return events


def with_silence(events: list[AnyEvent], told_checks: Iterable[str]) -> list[AnyEvent]:
    """The same with all questions to the customer that were not put left out of account."""
    asked = {event.check for event in events if isinstance(event, Found)}
    skipped = [Skipped(time="", check=check) for check in told_checks if check not in asked]
    return [*events, *skipped]


def _found(answer: Answer) -> Found:
    return Found(
        time="", check=answer.check, outcome=answer.outcome, entered=answer.shown, unasked=False
    )


def _told(act: Measured) -> Told:
    return Told(
        time="",
        quantity=act.quantity,
        places=act.places,
        during=act.during,
        value=act.value or 0.0,
        entered=act.shown,
    )
