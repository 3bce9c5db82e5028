"""The furnace works now: what brings a hidden fault out, and what to leave recording.

A call that goes well is evidence, but it proves little: a fault that comes and goes may be
hidden in it. Then the job goes on: provoke, run another call, or leave a meter recording.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from lightoff.engine.model import NO_FAULT, Check
from lightoff.engine.reasoning.belief import Belief
from lightoff.engine.reasoning.leave_out import belonging, likeliest
from lightoff.engine.reasoning.planning.separation import ec2_shares
from lightoff.engine.reasoning.suspects import Suspect
from lightoff.engine.reasoning.table import coming_and_going

WORKS_NOW = 0.5
"""Share of no fault and hidden faults together from which the furnace counts as working."""
MATTERS = 0.01
"""Share of a hidden fault, among what may be the case, from which it is named."""
RECORDED = 3
"""Quantities named for recording."""
TELLS = 0.05
"""Least share of the doubt that a record must be expected to settle (both from memory: a
person has few channels)."""


@dataclass(frozen=True, slots=True)
class Recorded:
    """A quantity to leave recording, by the check that reads it."""

    check: str
    gain: float
    """Share of the doubt that it is expected to settle once the fault shows, 0 to 1."""
    shows: tuple[tuple[str, str], ...]
    """Hidden suspect -> the outcome that the record most likely shows with it."""


@dataclass(frozen=True, slots=True)
class WorksNow:
    """The furnace works now, as far as can be told."""

    sound: float
    """Probability that nothing is wrong."""
    hidden: tuple[Suspect, ...]
    """Faults that come and go and may be hidden now; with the probability of just that."""
    provoke: tuple[str, ...]
    """Checks that may bring one out and were not made in this call, the best first."""
    record: tuple[Recorded, ...]
    """What to leave recording, the best first."""

    @property
    def share(self) -> float:
        """Probability of no fault and hidden faults together."""
        return self.sound + sum(each.probability for each in self.hidden)


def works_now(
    belief: Belief, checks: Mapping[str, Check], left_out: Collection[str] = ()
) -> WorksNow | None:
    """What to do about a furnace that works now; None if it most likely does not.

    `left_out` are checks that may not or cannot be done.
    """
    sound, hidden = _sound(belief), hidden_suspects(belief)
    found = WorksNow(sound, hidden, (), ())
    if found.share < WORKS_NOW or not hidden:
        return None
    return replace(
        found,
        provoke=tuple(each for each in provoking(belief, checks) if each not in left_out),
        record=tuple(each for each in to_record(belief, checks) if each.check not in left_out),
    )


def _sound(belief: Belief) -> float:
    names = [each.id for each in belief.table.hypotheses]
    return float(belief.probabilities[names.index(NO_FAULT)]) if NO_FAULT in names else 0.0


def hidden_suspects(belief: Belief) -> tuple[Suspect, ...]:
    """Faults that come and go with the probability that they are there, and hidden now."""
    hidden = coming_and_going(belief.origin).hidden
    shares = belief.probabilities
    suspects = [
        Suspect(each.faults[0], each.faults, each.repair, float(shares[column]))
        for column in hidden
        for each in [belief.table.hypotheses[column]]
        if shares[column] >= MATTERS
    ]
    return tuple(sorted(suspects, key=lambda suspect: -suspect.probability))


# --- bringing it out --------------------------------------------------------------


def provoking(belief: Belief, checks: Mapping[str, Check]) -> list[str]:
    """Checks that provoke and may tell a hidden fault now, the most telling first."""
    gains = dict(zip(belief.table.checks, ec2_shares(belief).tolist(), strict=True))
    open_now = [
        check.id
        for check in checks.values()
        if check.entry.provokes and check.id not in belief.asked and gains[check.id] >= TELLS
    ]
    return sorted(open_now, key=lambda check: -gains[check])


# --- recording --------------------------------------------------------------------


def to_record(belief: Belief, checks: Mapping[str, Check]) -> list[Recorded]:
    """The quantities that tell hidden faults apart best once one of them shows.

    They are chosen as the next check is, but for the furnace in which it shows.
    """
    later = showing(belief)
    gains = ec2_shares(later)
    best = [
        belief.table.checks[number]
        for number in np.argsort(-gains, kind="stable")
        if gains[number] >= TELLS and can_be_recorded(checks[belief.table.checks[number]])
    ]
    of = dict(zip(belief.table.checks, gains.tolist(), strict=True))
    suspects = hidden_suspects(belief)
    told: dict[object, Recorded] = {}
    for check in best:
        recorded = Recorded(check, of[check], _shows(later, check, suspects))
        if _tells_apart(recorded):
            told.setdefault(_what_it_tells(recorded, checks[check]), recorded)
    return list(told.values())[:RECORDED]


def showing(belief: Belief) -> Belief:
    """The belief about a call in which the fault that is hidden now shows."""
    both, weights = coming_and_going(belief.origin), belief.log_weights.copy()
    weights[both.showing] = np.logaddexp(weights[both.showing], weights[both.hidden])
    weights[both.hidden] = -np.inf
    weights[[each.id == NO_FAULT for each in belief.table.hypotheses]] = -np.inf
    return replace(belief, log_weights=weights)


def can_be_recorded(check: Check) -> bool:
    """Whether an instrument left connected reads it, with nobody doing anything meanwhile."""
    reads = check.entry.reads
    measured = (reads.volts, reads.amps, reads.microamps, reads.pressure, reads.temperature)
    alone = not reads.after_trying and not check.entry.provokes
    return alone and any(each is not None for each in measured)


def _shows(later: Belief, check: str, suspects: Sequence[Suspect]) -> tuple[tuple[str, str], ...]:
    """What the record of a check most likely shows with each suspect."""
    return tuple(
        (suspect.id, likeliest(later.table, check, later.log_weights, own)[0])
        for suspect in suspects
        for own in [belonging(later.table, suspect.id)]
    )


def _tells_apart(recorded: Recorded) -> bool:
    """Whether the record shows anything else with one suspect than with another."""
    return len(recorded.shows) < 2 or len({outcome for _, outcome in recorded.shows}) > 1


def _what_it_tells(recorded: Recorded, check: Check) -> object:
    """Alike for records of which the second adds nothing: which suspects it tells apart.

    Of a single suspect, where it is read: a record runs through all steps.
    """
    shown = [outcome for _, outcome in recorded.shows]
    if len(shown) > 1:
        return tuple(map(shown.index, shown))
    reads = check.entry.reads
    return (reads.volts, reads.amps, reads.microamps, reads.pressure, reads.temperature)
