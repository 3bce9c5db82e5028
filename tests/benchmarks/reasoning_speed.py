"""How long the reasoning takes with single faults and with pairs; prints figures.

    python -m tests.benchmarks.reasoning_speed

One finding and the next choice, with rollout; and the posterior against a general library
for exact inference (pyagrum) on the same table with the same findings, in the same run.
The pairs are as many as a job may have at most; what they predict is made up from their
two single faults, since only the size of the table matters here.
"""

from __future__ import annotations

import random
import statistics
import time
from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pyagrum

from lightoff.engine import library
from lightoff.engine.reasoning.belief import Belief, Finding, posterior, prior
from lightoff.engine.reasoning.diagnosis import Diagnosis, SimulatedFurnace
from lightoff.engine.reasoning.planning.choice import decide
from lightoff.engine.reasoning.table import Hypothesis, Table
from tests.reference.inference import naive_bayes

FURNACE = "two-pipe-condensing"
HYPOTHESES = 2500
PAIRS_SHARE = 0.04
FINDINGS = 60


def milliseconds(work: Callable[[], object]) -> float:
    start = time.perf_counter()
    work()
    return 1e3 * (time.perf_counter() - start)


def with_pairs(table: Table) -> Table:
    """The table with pairs up to `HYPOTHESES` in all."""
    chance = random.Random(1)
    numbers = [n for n, each in enumerate(table.hypotheses) if each.faults and each.showing]
    pairs = [chance.sample(numbers, 2) for _ in range(HYPOTHESES - len(table.hypotheses))]
    columns = [table.likelihood[:, pair].mean(1) for pair in pairs]
    added = [
        Hypothesis(
            f"pair {n}",
            (a.faults[0], b.faults[0]),
            f"{a.repair}+{b.repair}",
            PAIRS_SHARE / len(pairs),
        )
        for n, (a, b) in enumerate(
            (table.hypotheses[one], table.hypotheses[other]) for one, other in pairs
        )
    ]
    return replace(
        table,
        hypotheses=(*table.hypotheses, *added),
        likelihood=np.hstack([table.likelihood, np.array(columns).T]),
    )


def choices(diagnosis: Diagnosis, table: Table) -> list[float]:
    """Milliseconds of one finding and the next choice, along jobs with many faults."""
    times = []
    for fault in list(diagnosis.furnace.faults.values())[::6]:
        furnace, belief, setup = SimulatedFurnace(diagnosis.furnace, [fault]), prior(table), {}
        decision = decide(belief, diagnosis.costs, setup)
        while decision.check is not None:
            finding = furnace.answer(diagnosis.checks[decision.check])
            index = table.checks.index(decision.check)
            setup = {**setup, **diagnosis.costs.setups[index]}
            start = time.perf_counter()
            belief = belief.given(finding)
            decision = decide(belief, diagnosis.costs, setup)
            times.append(1e3 * (time.perf_counter() - start))
    return times


def compared(table: Table) -> tuple[float, float]:
    """Milliseconds of the posterior of all findings: here, and by the general library."""
    chosen = sorted(random.Random(2).sample(range(len(table.checks)), FINDINGS))
    findings = [Finding(table.checks[each], table.outcomes[each][0]) for each in chosen]
    network = naive_bayes(table)

    def general() -> None:
        engine = pyagrum.LazyPropagation(network)
        for index in chosen:
            engine.addEvidence(f"c{index}", 0)
        engine.makeInference()
        engine.posterior("hypothesis")

    def own() -> Belief:
        belief = posterior(table, findings)
        assert belief.probabilities.any()
        return belief

    return (
        statistics.median(milliseconds(own) for _ in range(200)),
        statistics.median(milliseconds(general) for _ in range(20)),
    )


def main() -> None:
    diagnosis = Diagnosis.of(library.load(), FURNACE)
    for table in (diagnosis.table, with_pairs(diagnosis.table)):
        times = sorted(choices(diagnosis, table))
        own, general = compared(table)
        print(
            f"{len(table.hypotheses)} hypotheses: one finding and the next choice "
            f"{statistics.median(times):.0f} ms in the median, nine of ten within "
            f"{times[len(times) * 9 // 10]:.0f} ms, {times[-1]:.0f} ms at most; "
            f"posterior of {FINDINGS} findings "
            f"{own:.3f} ms, general library {general:.2f} ms, {general / own:.0f} times as long"
        )


if __name__ == "__main__":
    main()
