"""Every fault of a furnace diagnosed against the simulated furnace; prints figures.

    python -m tests.benchmarks.every_fault [--errors 0.03] [--seeds 3]

Per fault: checks, minutes and the first repair advised. In the mean: the ratio to walking
the sequence front to back, and to repairing in order of probability over cost. Minutes
count checks with their set-up, and every repair done with the price of its part and a
verifying call, as the advice itself counts them.
"""

from __future__ import annotations

import argparse
import random
from collections.abc import Callable
from dataclasses import dataclass

from lightoff.engine import library
from lightoff.engine.model import Check, Fault
from lightoff.engine.reasoning.belief import Belief, Finding
from lightoff.engine.reasoning.choice import Decision
from lightoff.engine.reasoning.diagnosis import Diagnosis, SimulatedFurnace
from lightoff.engine.reasoning.job import JobState
from lightoff.engine.reasoning.play import Choose, Played, play, repair_reached
from lightoff.engine.reasoning.repairing import repair_probabilities

AREAS = (
    "overview",
    "power",
    "call",
    "limits",
    "inducer",
    "draft",
    "ignition",
    "gas",
    "flame",
    "air",
)
SURE = 0.9


@dataclass(frozen=True)
class Result:
    fault: Fault
    checks: int
    minutes: float
    repair: str

    @property
    def right(self) -> bool:
        return self.repair == self.fault.repair


def answers(
    diagnosis: Diagnosis, fault: Fault, errors: float, seed: int
) -> Callable[[Check], Finding]:
    """What a person would answer who misreads a share of the checks."""
    furnace = SimulatedFurnace(diagnosis.furnace, [fault])
    chance = random.Random(f"{fault.id} {seed}")

    def answer(check: Check) -> Finding:
        finding = furnace.answer(check)
        if chance.random() >= errors:
            return finding
        others = [each.id for each in check.outcomes if each.id != finding.outcome]
        return Finding(check.id, chance.choice(others), "misread")

    return answer


def diagnose(
    diagnosis: Diagnosis,
    fault: Fault,
    errors: float = 0.0,
    seed: int = 0,
    choose: Choose | None = None,
) -> Result:
    steps = play(
        diagnosis,
        answers(diagnosis, fault, errors, seed),
        cured_by=lambda repair: repair == fault.repair,
        choose=choose,
    )
    checks = sum(step.finding is not None for step in steps)
    return Result(fault, checks, sum(map(price(diagnosis), steps)), repair_reached(steps))


def price(diagnosis: Diagnosis) -> Callable[[Played], float]:
    def of(step: Played) -> float:
        if step.decision.repair is None:
            return step.minutes
        return diagnosis.costs.repair_minutes[step.decision.repair]

    return of


def front_to_back(diagnosis: Diagnosis) -> Choose:
    """Walk the sequence: every check in order of its area, until one repair is clear."""
    order = sorted(diagnosis.checks.values(), key=lambda check: AREAS.index(check.entry.area))

    def choose(belief: Belief, state: JobState) -> Decision:
        done = {finding.check for finding in state.findings}
        left = [check.id for check in order if check.id not in done]
        repair = next(iter(_open_repairs(diagnosis, belief)))
        share = repair_probabilities(belief).get(repair, 0.0)
        if left and share < SURE:
            return Decision("check", left[0], None, repair, share, 0.0)
        return Decision("repair", None, repair, repair, share, 0.0)

    return choose


def repairs_only(diagnosis: Diagnosis) -> Choose:
    """Replace part after part, by probability over cost."""

    def choose(belief: Belief, state: JobState) -> Decision:
        shares = _open_repairs(diagnosis, belief)
        best = max(shares, key=lambda each: shares[each] / diagnosis.costs.repair_minutes[each])
        return Decision("repair", None, best, best, shares[best], 0.0)

    return choose


def _open_repairs(diagnosis: Diagnosis, belief: Belief) -> dict[str, float]:
    return {
        repair: share
        for repair, share in repair_probabilities(belief).items()
        if repair in diagnosis.costs.repair_minutes and repair not in belief.repaired
    }


def weighted(results: list[Result], value: Callable[[Result], float]) -> float:
    total = sum(result.fault.entry.weight for result in results)
    return sum(result.fault.entry.weight * value(result) for result in results) / total


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--furnace", default="two-pipe-condensing")
    options.add_argument("--errors", type=float, default=0.0)
    options.add_argument("--seeds", type=int, default=1)
    chosen = options.parse_args()
    diagnosis = Diagnosis.of(library.load(), chosen.furnace)
    faults = diagnosis.furnace.faults.values()
    runs = [(fault, seed) for fault in faults for seed in range(chosen.seeds)]
    ways = {
        "own choice": None,
        "front to back": front_to_back(diagnosis),
        "repairs only": repairs_only(diagnosis),
    }
    results = {
        name: [diagnose(diagnosis, fault, chosen.errors, seed, way) for fault, seed in runs]
        for name, way in ways.items()
    }
    for result in results["own choice"]:
        print_run(result)
    print(f"\n{len(runs)} diagnoses, {chosen.errors:.0%} of answers wrong; weighted by frequency")
    shortest = weighted(results["own choice"], lambda each: each.minutes)
    for name, runs_of_way in results.items():
        print_mean(name, runs_of_way, shortest)


def print_run(result: Result) -> None:
    mark = "  " if result.right else "! "
    figures = f"{result.checks:4} checks{result.minutes:6.0f} min"
    print(f"{mark}{result.fault.id:36}{figures}  {result.repair}")


def print_mean(name: str, results: list[Result], shortest: float) -> None:
    right = weighted(results, lambda each: float(each.right))
    minutes = weighted(results, lambda each: each.minutes)
    checks = weighted(results, lambda each: float(each.checks))
    print(
        f"{name:16} right {right:6.1%}  checks {checks:5.1f}  minutes {minutes:6.1f}"
        f"  ratio to own choice {minutes / shortest:5.2f}"
    )


if __name__ == "__main__":
    main()
