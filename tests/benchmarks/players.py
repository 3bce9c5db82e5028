"""The scenarios played and marked: by the program, by a fixed-order walk, and at random.

The fixed-order walk makes every check down the sequence until one repair is clear. The
random player makes any check that the tools allow, and repairs once one is clear. The
minutes of the latter are the mean of several attempts, of which the first is marked.
Prints marks and minutes per scenario, and how well the figure of difficulty orders
the scenarios as the mean minutes of the two weaker players do (Spearman).

    python -m tests.benchmarks.players [--seeds 6] [SCENARIO...]
"""

from __future__ import annotations

import argparse
import random
from collections.abc import Sequence
from statistics import fmean

from scipy.stats import spearmanr

from lightoff.engine import library
from lightoff.engine.library.scenarios import read_scenario, scenario_files
from lightoff.engine.model import Knowledge, Scenario
from lightoff.engine.reasoning.belief import Belief
from lightoff.engine.reasoning.diagnosis import Diagnosis
from lightoff.engine.reasoning.job import JobState
from lightoff.engine.reasoning.planning.choice import Decision
from lightoff.engine.reasoning.planning.repairing import repair_probabilities
from lightoff.engine.reasoning.play import Choose
from lightoff.engine.teaching.check import check_scenario
from lightoff.engine.teaching.leverage import down_the_sequence
from lightoff.engine.teaching.practice.bench import Bench
from lightoff.engine.teaching.practice.marks import mark
from lightoff.engine.teaching.practice.player import attempt
from tests.benchmarks.every_fault import SURE


def walker(diagnosis: Diagnosis, scenario: Scenario, order: Sequence[str]) -> Choose:
    """Check after check in an order, until one repair is clear or no check is left."""
    can = [c for c in order if set(diagnosis.checks[c].entry.tools) <= scenario.tools]

    def choose(belief: Belief, state: JobState) -> Decision:
        done = {finding.check for finding in state.findings}
        left = [check for check in can if check not in done]
        shares = {
            repair: share
            for repair, share in repair_probabilities(belief).items()
            if repair in diagnosis.costs.repair_minutes and repair not in state.repaired
        }
        if not shares:
            return Decision("refer", None, None, "", 0.0, 0.0)
        repair = next(iter(shares))
        if left and shares[repair] < SURE:
            return Decision("check", left[0], None, repair, shares[repair], 0.0)
        return Decision("repair", None, repair, repair, shares[repair], 0.0)

    return choose


def measured(diagnosis: Diagnosis, scenario: Scenario) -> list[str]:
    """All checks that the furnace answers, down the sequence."""
    order = down_the_sequence(scenario.furnace, diagnosis)
    return [check for check in order if not diagnosis.checks[check].entry.reads.told]


def shuffled(diagnosis: Diagnosis, scenario: Scenario, seed: int) -> list[str]:
    order = measured(diagnosis, scenario)
    random.Random(f"{scenario.id} {seed}").shuffle(order)
    return order


def by_chance(diagnosis: Diagnosis, scenario: Scenario, seeds: int) -> list[Bench]:
    return [
        attempt(
            scenario,
            diagnosis,
            seed,
            walker(diagnosis, scenario, shuffled(diagnosis, scenario, seed)),
        )
        for seed in range(seeds)
    ]


def show(knowledge: Knowledge, wanted: Sequence[str], seeds: int) -> None:
    diagnoses = {name: Diagnosis.of(knowledge, name) for name in knowledge.furnaces}
    print(f"{'scenario':22}{'difficulty':>11}{'program':>14}{'fixed order':>14}{'random':>14}")
    print(f"{'':33}" + f"{'marks':>8}{'min':>6}" * 3)
    figures, minutes, totals = [], [], []
    for path in scenario_files():
        scenario, problems = read_scenario(path, knowledge)
        if scenario is None or (wanted and scenario.id not in wanted):
            assert not problems
            continue
        diagnosis = diagnoses[scenario.furnace.id]
        hard = check_scenario(scenario, diagnosis).difficulty
        own = attempt(scenario, diagnosis, 0)
        walk = walker(diagnosis, scenario, measured(diagnosis, scenario))
        fixed = attempt(scenario, diagnosis, 0, walk)
        chance = by_chance(diagnosis, scenario, seeds)
        figure = hard.figure if hard else 0.0
        row = [
            (mark(side[0]).total, fmean(each.standing.minutes for each in side))
            for side in ([own], [fixed], chance)
        ]
        print(f"{scenario.id:22}{figure:11.1f}" + "".join(f"{t:8.0f}{m:6.0f}" for t, m in row))
        totals.append([total for total, _ in row])
        if hard:
            figures.append(figure)
            minutes.append(fmean((row[1][1], row[2][1])))
    means = [fmean(column) for column in zip(*totals, strict=True)]
    print(f"{'mean marks':33}" + "".join(f"{each:8.1f}{'':6}" for each in means))
    if len(figures) > 2:
        rank = float(spearmanr(figures, minutes).statistic)
        print(f"rank correlation of difficulty and mean minutes of the weaker two: {rank:.2f}")


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    parser.add_argument("scenarios", nargs="*")
    parser.add_argument("--seeds", type=int, default=6)
    chosen = parser.parse_args()
    show(library.load(), chosen.scenarios, chosen.seeds)


if __name__ == "__main__":
    main()
