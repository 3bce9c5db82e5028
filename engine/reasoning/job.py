"""One diagnosis: what happened in it, and where it stands then."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Literal

import msgspec

from lightoff.engine.entries.rules import Licence
from lightoff.engine.reasoning.belief import Finding
from lightoff.engine.reasoning.table import repairs_in

Closing = Literal["found", "left", "nothing", "serviced"]

Purpose = Literal["fault", "yearly"]
"""Why the person came: the furnace does not heat, or the yearly visit is due."""

Proven = Literal["", "proven", "unproven", "tagged"]
"""How far a repair was proved: all that it demands; not all, for a reason; or the furnace
was shut down and tagged. "" where nothing was to be proved."""

Verdict = Literal["good", "out", "not-done"]
"""What was proved lies where it should, or does not, or was not tried."""

NoteKind = Literal["label", "who", "part", "told", "note"]
"""What a note is about: whose furnace it is, who worked on it, a part that was fitted, what
the customer was told, or anything else."""

Quantity = Literal["volts", "pressure", "amps", "microamps", "ohms", "seconds"]
"""What a person may have read with no check asking for it."""

AS_READ = "as-read"
"""The outcome of a reading that was told: it is what was read."""


class Event(
    msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, omit_defaults=True
):
    """Something that happened in a job, at `time` (ISO 8601, given by the caller)."""

    time: str


class Started(Event, frozen=True, kw_only=True, tag="started"):
    """The job began, with a version of the program.

    `furnace` is "" while the type of furnace is still to be found out. `lacks` are the
    tools that are not there, `licence` what the person may work on.
    """

    furnace: str
    version: str
    lacks: tuple[str, ...] = ()
    licence: Licence = "gas"
    purpose: Purpose = "fault"


class Seen(Event, frozen=True, kw_only=True, tag="seen"):
    """What tells one type of furnace from another was looked at; None for "don't know"."""

    feature: str
    value: str | None


class Identified(Event, frozen=True, kw_only=True, tag="identified"):
    """The type of furnace was found out."""

    furnace: str


class Found(Event, frozen=True, kw_only=True, tag="finding"):
    """A check was answered; `outcome` is None for "don't know"."""

    check: str
    outcome: str | None
    entered: str = ""
    unasked: bool = False
    """Told without being asked: nobody knows which door is off and what power is on now."""


class Told(Event, frozen=True, kw_only=True, tag="told"):
    """A reading was told that no check asks for.

    `places` are two points, or one part; `during` is the step in which it was read, ""
    where that does not matter. `value` is in SI units.
    """

    quantity: Quantity
    places: tuple[str, ...]
    during: str
    value: float
    entered: str

    @property
    def check(self) -> str:
        """Id of the check that stands for this reading."""
        words = ("told", self.quantity, *self.places, self.during)
        return "-".join(word for word in words if word).lower()


class Skipped(Event, frozen=True, kw_only=True, tag="skipped"):
    """A check will not be done."""

    check: str


class Repaired(Event, frozen=True, kw_only=True, tag="repaired"):
    """A repair, or two as "a+b", was done and the furnace still fails in a new call."""

    repair: str


class CalledAgain(Event, frozen=True, kw_only=True, tag="called-again"):
    """Another call for heat was run: what comes and goes may show in it, or not."""


class TwoFaults(Event, frozen=True, kw_only=True, tag="two-faults"):
    """Two faults at once are reckoned with from here on, whatever single ones explain."""


class InterviewSkipped(Event, frozen=True, kw_only=True, tag="interview-skipped"):
    """The questions that come before measuring were left out."""


class Cleared(Event, frozen=True, kw_only=True, tag="cleared"):
    """Something that had to be put right before the job may be closed was put right."""

    item: str


class Rated(Event, frozen=True, kw_only=True, tag="rated"):
    """A figure was read off the furnace itself, as `entered`; "" for what it is by model."""

    rating: str
    entered: str


class Noted(Event, frozen=True, kw_only=True, tag="noted"):
    """Something was written down in the person's own words, be the job closed or not."""

    about: NoteKind
    text: str


class Cured(Event, frozen=True, kw_only=True, tag="cured"):
    """A repair was done and the furnace runs; that is still to be proved."""

    repair: str


class Proved(Event, frozen=True, kw_only=True, tag="proved"):
    """Something that had to be proved was tried by a check, or left out for a reason.

    The verdict is that of its day: what is known of the furnace may change.
    """

    proof: str
    check: str
    outcome: str | None
    verdict: Verdict
    entered: str = ""
    reason: str = ""


class Undone(Event, frozen=True, kw_only=True, tag="undone"):
    """The last thing done that still stood was taken back."""


class Closed(Event, frozen=True, kw_only=True, tag="closed"):
    """The job ended: fault found and mended, left as it is, or nothing found."""

    how: Closing
    repair: str = ""
    """The repair that cured, for "found"."""
    stopped: tuple[str, ...] = ()
    """Cautions that stopped the work, for "left"."""
    proof: Proven = ""
    reason: str = ""
    """Why it is unproven."""


Undoable = (
    Seen
    | Identified
    | Found
    | Told
    | Skipped
    | Repaired
    | CalledAgain
    | TwoFaults
    | InterviewSkipped
    | Cleared
    | Rated
    | Noted
    | Cured
    | Proved
)
AnyEvent = Started | Undoable | Undone | Closed


@dataclass(frozen=True, slots=True)
class JobState:
    """Where a job stands."""

    furnace: str
    started: str
    version: str
    findings: tuple[Finding, ...] = ()
    skipped: tuple[str, ...] = ()
    repaired: tuple[str, ...] = ()
    """Repairs done that did not cure, one by one."""
    checks_done: tuple[str, ...] = ()
    """Checks since arrival or the last repair, in order: they give the set-up now."""
    closed: Closing | None = None
    cured_by: str = ""
    stopped: tuple[str, ...] = ()
    lacks: tuple[str, ...] = ()
    licence: Licence = "gas"
    seen: tuple[tuple[str, str | None], ...] = ()
    """Features of the furnace that were looked at, in order."""
    readings: tuple[Told, ...] = ()
    """Readings that were told; each is also a finding, on the check that stands for it."""
    interview_skipped: bool = False
    cleared: tuple[tuple[str, int], ...] = ()
    """What was put right, and after how many findings."""
    call: int = 0
    """Calls for heat begun besides the first: by running another one, or by a repair."""
    two_faults: bool = False
    """Two faults at once are reckoned with, whatever single ones explain."""
    purpose: Purpose = "fault"
    ratings: tuple[tuple[str, str], ...] = ()
    """What was read off the furnace itself: rating and figure, each rating once."""
    notes: tuple[Noted, ...] = ()
    to_prove: str = ""
    """The repair after which the furnace runs; "" while none has cured it."""
    proofs: tuple[Proved, ...] = ()
    """What was tried to prove it, in order; the last word on each counts."""
    proof: Proven = ""
    reason: str = ""

    def said(self, about: NoteKind) -> tuple[str, ...]:
        """What was noted about something, in order."""
        return tuple(note.text for note in self.notes if note.about == about)

    def last_found(self, check: str) -> int:
        """How many findings there were once a check was last answered; 0 if it never was."""
        numbers = range(len(self.findings), 0, -1)
        return next((each for each in numbers if self.findings[each - 1].check == check), 0)


def replay(events: Iterable[AnyEvent]) -> JobState:
    """Where a job stands after its events; ValueError if they do not begin with `Started`.

    `Undone` takes back the last undoable event exactly; with nothing to take back it
    changes nothing.
    """
    standing = _standing(events)
    if not standing or not isinstance(standing[0], Started):
        raise ValueError("a job begins with a `started` event")
    start = standing[0]
    state = JobState(
        start.furnace,
        start.time,
        start.version,
        lacks=start.lacks,
        licence=start.licence,
        purpose=start.purpose,
    )
    for event in standing[1:]:
        state = _after(state, event)
    return state


def _standing(events: Iterable[AnyEvent]) -> list[AnyEvent]:
    """The events without those that were taken back, and without the taking back."""
    standing: list[AnyEvent] = []
    for event in events:
        if not isinstance(event, Undone):
            standing.append(event)
        elif standing and isinstance(standing[-1], Undoable):
            standing.pop()
    return standing


def _after(state: JobState, event: AnyEvent) -> JobState:
    match event:
        case Found(check=check, outcome=outcome, entered=entered, unasked=unasked):
            finding = Finding(check, outcome, entered, state.call, len(state.repaired))
            done = state.checks_done if unasked else (*state.checks_done, check)
            return replace(state, findings=(*state.findings, finding), checks_done=done)
        case Told(entered=entered):
            finding = Finding(event.check, AS_READ, entered, state.call, len(state.repaired))
            return replace(
                state,
                findings=(*state.findings, finding),
                readings=(*state.readings, event),
            )
        case Seen(feature=feature, value=value):
            return replace(state, seen=(*state.seen, (feature, value)))
        case Identified(furnace=furnace):
            return replace(state, furnace=furnace)
        case InterviewSkipped():
            return replace(state, interview_skipped=True)
        case Cleared(item=item):
            return replace(state, cleared=(*state.cleared, (item, len(state.findings))))
        case Skipped(check=check):
            return replace(state, skipped=(*state.skipped, check))
        case Repaired(repair=repair):
            repaired = (*state.repaired, *repairs_in(repair))
            return replace(
                state,
                repaired=repaired,
                checks_done=(),
                call=state.call + 1,
                to_prove="",
                proofs=(),
            )
        case CalledAgain():
            return replace(state, call=state.call + 1)
        case TwoFaults():
            return replace(state, two_faults=True)
        case Rated(rating=rating, entered=entered):
            others = {**dict(state.ratings), rating: entered}
            kept = tuple((name, figure) for name, figure in others.items() if figure)
            return replace(state, ratings=kept)
        case Noted():
            return replace(state, notes=(*state.notes, event))
        case Cured(repair=repair):
            return replace(state, to_prove=repair, proofs=())
        case Proved():
            return replace(state, proofs=(*state.proofs, event))
        case Closed(how=how, repair=repair, stopped=stopped, proof=proof, reason=reason):
            return replace(
                state, closed=how, cured_by=repair, stopped=stopped, proof=proof, reason=reason
            )
        case _:
            raise ValueError("a job is started only once")
