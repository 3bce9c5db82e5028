"""Every fault of a furnace diagnosed against the simulated furnace; prints figures.

    python -m tests.benchmarks.every_fault [--errors 0.03] [--seeds 3]

Per fault: checks, price in minutes and the first repair advised. In the mean: the ratio to
walking the sequence front to back, and to repairing in order of probability over cost. The
price counts checks with their set-up and hazards, and every repair done with its part and a
verifying call, as the advice itself counts them; a job that was not cured is referred.
`lightoff study` tells more of the program's own choice.
"""

from __future__ import annotations

import argparse
from collections.abc import Callable

from lightoff.engine import library
from lightoff.engine.model import Fault
from lightoff.engine.reasoning.belief import Belief
from lightoff.engine.reasoning.diagnosis import Diagnosis
from lightoff.engine.reasoning.job import JobState
from lightoff.engine.reasoning.planning.choice import Decision
from lightoff.engine.reasoning.planning.repairing import repair_probabilities
from lightoff.engine.reasoning.play import Choose
from lightoff.engine.reasoning.study.outcome import Outcome, outcome_of
from lightoff.engine.reasoning.study.tasks import Task
from lightoff.engine.reasoning.study.work import stamp_now

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


def diagnose(
    diagnosis: Diagnosis,
    fault: Fault,
    errors: float = 0.0,
    seed: int = 0,
    choose: Choose | None = None,
) -> Outcome:
    task = Task(furnace=diagnosis.furnace.id, faults=(fault.id,), seed=seed, errors=errors)
    return outcome_of(diagnosis, task, stamp_now(), choose)


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


def weighted(
    diagnosis: Diagnosis, outcomes: list[Outcome], value: Callable[[Outcome], float]
) -> float:
    """The mean, each fault counted by how often it occurs."""
    weights = [diagnosis.furnace.faults[each.task.faults[0]].entry.weight for each in outcomes]
    values = map(value, outcomes)
    return sum(w * v for w, v in zip(weights, values, strict=True)) / sum(weights)


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
    outcomes = {
        name: [diagnose(diagnosis, fault, chosen.errors, seed, way) for fault, seed in runs]
        for name, way in ways.items()
    }
    for outcome in outcomes["own choice"]:
        print_run(outcome)
    print(f"\n{len(runs)} diagnoses, {chosen.errors:.0%} of answers wrong; weighted by frequency")
    lowest = weighted(diagnosis, outcomes["own choice"], lambda each: each.price)
    for name, of_way in outcomes.items():
        print_mean(diagnosis, name, of_way, lowest)


def print_run(outcome: Outcome) -> None:
    mark = "  " if outcome.right else "! "
    figures = f"{len(outcome.checks):4} checks{outcome.price:6.0f} min"
    print(f"{mark}{outcome.task.faults[0]:36}{figures}  {outcome.advised_first}")


def print_mean(diagnosis: Diagnosis, name: str, outcomes: list[Outcome], lowest: float) -> None:
    right = weighted(diagnosis, outcomes, lambda each: float(each.right))
    checks = weighted(diagnosis, outcomes, lambda each: float(len(each.checks)))
    price = weighted(diagnosis, outcomes, lambda each: each.price)
    print(
        f"{name:16} right {right:6.1%}  checks {checks:5.1f}  price {price:6.1f} min"
        f"  ratio to own choice {price / lowest:5.2f}"
    )


if __name__ == "__main__":
    main()
