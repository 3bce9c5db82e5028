"""Random pairs of faults that interact, diagnosed against the simulated furnace.

    python -m tests.benchmarks.pairs [--pairs 200] [--errors 0.03] [--seed 1] [--choose ec2]

Prints how often the right set of repairs was done and no other, and how often the first
suspect was right by the probability shown for it. "ec2" stands in for the program's own
choice with one that looks one step ahead only, and is far quicker.
"""

from __future__ import annotations

import argparse
import random
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from lightoff.engine import library
from lightoff.engine.model import NO_FAULT, SOMETHING_ELSE, Fault
from lightoff.engine.reasoning.belief import Belief
from lightoff.engine.reasoning.diagnosis import Diagnosis, SimulatedFurnace
from lightoff.engine.reasoning.job import JobState
from lightoff.engine.reasoning.misreading import MisreadFurnace
from lightoff.engine.reasoning.planning.choice import Decision
from lightoff.engine.reasoning.planning.costs import all_minutes
from lightoff.engine.reasoning.planning.repairing import repair_probabilities
from lightoff.engine.reasoning.planning.separation import ec2_shares
from lightoff.engine.reasoning.play import Choose, Course, play
from lightoff.engine.reasoning.suspects import suspects_of
from lightoff.engine.reasoning.table import repairs_in

Pair = tuple[Fault, Fault]

EDGES = (0.0, 0.3, 0.5, 0.7, 0.9, 0.99, 1.0001)
"""Of the rows of the calibration table."""
SURE = 0.9
TELLS = 0.01
"""A check that cuts less of the EC2 weight is not made."""


@dataclass(frozen=True)
class Result:
    """One diagnosis; `said` holds (probability, right) of each first suspect at a repair."""

    pair: Pair
    course: Course
    said: tuple[tuple[float, bool], ...]

    @property
    def needed(self) -> set[str]:
        return {fault.repair for fault in self.pair}

    @property
    def done(self) -> set[str]:
        """All repairs that were advised, one by one."""
        return {
            one for step in self.course.steps for one in repairs_in(step.decision.repair or "")
        } - {""}

    @property
    def right(self) -> bool:
        return self.course.ended == "cured" and self.done == self.needed

    @property
    def stopped(self) -> bool:
        """A rule stopped the work, and nothing had been repaired for nothing."""
        return self.course.ended == "stopped" and self.done <= self.needed


# --- pairs ------------------------------------------------------------------------


def interacting_pairs(diagnosis: Diagnosis, count: int, seed: int) -> list[Pair]:
    """So many different pairs of faults that interact."""
    chance, faults = random.Random(seed), list(diagnosis.furnace.faults.values())
    found: dict[frozenset[str], Pair] = {}
    while len(found) < count:
        one, other = chance.sample(faults, 2)
        if interact(diagnosis, one, other):
            found[frozenset((one.id, other.id))] = (one, other)
    return list(found.values())


def interact(diagnosis: Diagnosis, one: Fault, other: Fault) -> bool:
    """Whether some check shows neither what one of the two brings about, nor the other.

    They do not if what differs from a sound furnace with one of them is all that differs
    with both.
    """
    if not one.overrides.keys().isdisjoint(other.overrides):
        return False
    sound, first, second, both = (
        outcomes(diagnosis, faults) for faults in ((), (one,), (other,), (one, other))
    )
    return any(
        together != (a if a != normal else b)
        for normal, a, b, together in zip(sound, first, second, both, strict=True)
    )


def outcomes(diagnosis: Diagnosis, faults: Sequence[Fault]) -> list[str | None]:
    furnace = SimulatedFurnace(diagnosis.furnace, faults)
    return [furnace.answer(check).outcome for check in diagnosis.checks.values()]


# --- diagnoses --------------------------------------------------------------------


def diagnose(
    diagnosis: Diagnosis,
    pair: Pair,
    errors: float = 0.0,
    seed: int = 0,
    choose: Choose | None = None,
) -> Result:
    course = play(diagnosis, MisreadFurnace(diagnosis.furnace, pair, errors, seed), choose)
    needed = {fault.repair for fault in pair}
    said = [
        (first.probability, set(repairs_in(first.repair)) <= needed)
        for step in course.steps
        if step.decision.repair
        for first in suspects_of(step.belief)[:1]
    ]
    return Result(pair, course, tuple(said))


def by_ec2(diagnosis: Diagnosis) -> Choose:
    """The check that cuts most EC2 weight per minute, until one repair is clear."""
    told = np.array([each.entry.reads.told for each in diagnosis.checks.values()])

    def choose(belief: Belief, job: JobState) -> Decision:
        gains = ec2_shares(belief)
        closed = np.array([check in belief.asked for check in belief.table.checks])
        can = (gains > TELLS) & ~closed & ~told
        leading, share = next(iter(repair_probabilities(belief).items()))
        if can.any() and share < SURE:
            minutes = all_minutes(diagnosis.costs, diagnosis.setup_now(job))
            rates = np.where(can, gains / (minutes + diagnosis.costs.hazard_minutes), -1.0)
            best = belief.table.checks[int(rates.argmax())]
            return Decision("check", best, None, leading, share, 0.0)
        return _repair(belief, leading, share)

    return choose


def _repair(belief: Belief, leading: str, share: float) -> Decision:
    if leading == NO_FAULT:
        return Decision("nothing-found", None, None, leading, share, 0.0)
    if leading == SOMETHING_ELSE or leading in belief.repaired:
        return Decision("refer", None, None, leading, share, 0.0)
    return Decision("repair", None, leading, leading, share, 0.0)


# --- figures ----------------------------------------------------------------------


def calibration(results: Sequence[Result]) -> list[tuple[float, float, int, float]]:
    """(from, to, how many, share that was right) of the probabilities of first suspects."""
    said = [each for result in results for each in result.said]
    rows = []
    for low, high in pairwise(EDGES):
        right = [was_right for shown, was_right in said if low <= shown < high]
        if right:
            rows.append((low, min(high, 1.0), len(right), sum(right) / len(right)))
    return rows


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--furnace", default="two-pipe-condensing")
    options.add_argument("--pairs", type=int, default=100)
    options.add_argument("--errors", type=float, default=0.0)
    options.add_argument("--seed", type=int, default=1)
    options.add_argument("--choose", choices=["own", "ec2"], default="own")
    chosen = options.parse_args()
    diagnosis = Diagnosis.of(library.load(), chosen.furnace)
    choose = by_ec2(diagnosis) if chosen.choose == "ec2" else None
    results = []
    for number, pair in enumerate(interacting_pairs(diagnosis, chosen.pairs, chosen.seed)):
        results.append(diagnose(diagnosis, pair, chosen.errors, number, choose))
        if not (results[-1].right or results[-1].stopped):
            print_miss(results[-1])
    print_summary(results, chosen.errors)


def print_miss(result: Result) -> None:
    names = " + ".join(fault.id for fault in result.pair)
    print(f"! {names}: {', '.join(result.course.advised)} ({result.course.ended})")


def print_summary(results: Sequence[Result], errors: float) -> None:
    stopped = sum(result.stopped for result in results)
    right = sum(result.right for result in results)
    checks = [sum(step.finding is not None for step in each.course.steps) for each in results]
    print(f"{len(results)} interacting pairs, {errors:.0%} of answers wrong")
    print(f"right set of repairs and no other: {right / max(len(results) - stopped, 1):.1%}")
    print(f"stopped by a rule before the end (not counted above): {stopped}")
    print(f"checks: {np.mean(checks):.1f} on average, {max(checks)} at most")
    print("first suspect at a repair    how many    all its repairs needed")
    for low, high, count, share in calibration(results):
        print(f"{low:12.0%} to {high:4.0%} {count:15} {share:22.1%}")


if __name__ == "__main__":
    main()
