"""What finding costs on the full table, as a ratio to what no way of choosing can beat.

    python -m tests.benchmarks.lower_bound [--furnace ID]... [--draws 300]

A check takes away no more bits of doubt about the repair than its capacity: the most bits
any suspicion lets it tell. So dH bits cost at least dH / max(capacity / price); and, as no
check is made twice, at least what the checks with the most bits per minute cost together,
up to dH. Prices are those with the set-up there already. Truths are drawn from the whole
table, and answers by its chances, so dH is what was really taken away.
"""

from __future__ import annotations

import argparse
from dataclasses import dataclass

import numpy as np

from lightoff.engine import library
from lightoff.engine.reasoning.belief import Belief, Finding, repair_class
from lightoff.engine.reasoning.diagnosis import Diagnosis
from lightoff.engine.reasoning.planning.repairing import repair_probabilities
from lightoff.engine.reasoning.play import Course, play
from lightoff.engine.reasoning.table import repairs_in

ROUNDS = 60


def capacity(rows: np.ndarray) -> float:
    """No fewer bits than a channel of shape (outcomes, inputs) can carry (Blahut, Arimoto)."""
    inputs = np.unique(rows, axis=1)
    share = np.full(inputs.shape[1], 1.0 / inputs.shape[1])
    for _ in range(ROUNDS):
        outputs = inputs @ share
        told = _divergence(inputs, outputs)
        share *= np.exp2(told)
        share /= share.sum()
    return float(_divergence(inputs, inputs @ share).max())


def _divergence(inputs: np.ndarray, outputs: np.ndarray) -> np.ndarray:
    ratio = np.where(inputs > 0.0, inputs / outputs[:, None], 1.0)
    return (inputs * np.log2(ratio)).sum(0)


def least_minutes(diagnosis: Diagnosis, bits: float) -> tuple[float, float]:
    """What so many bits cost at least: at the best rate there is, and each check once."""
    table, costs = diagnosis.table, diagnosis.costs
    prices = costs.minutes + costs.hazard_minutes
    told = np.array([capacity(table.likelihood[table.rows(check)]) for check in table.checks])
    order = np.argsort(-told / prices)
    upto = np.cumsum(told[order])
    shares = np.clip((bits - upto + told[order]) / np.maximum(told[order], 1e-9), 0.0, 1.0)
    return bits / float((told / prices).max()), float(shares @ prices[order])


def doubt(belief: Belief) -> float:
    """Bits of doubt about the repair."""
    shares = np.array(list(repair_probabilities(belief).values()))
    likely = shares[shares > 0.0]
    return float(-(likely * np.log2(likely)).sum())


@dataclass
class Drawn:
    """A furnace that answers by the chances of the table."""

    diagnosis: Diagnosis
    truth: int
    chance: np.random.Generator

    def answer(self, check: object) -> Finding:
        table = self.diagnosis.table
        name = check.id  # type: ignore[attr-defined]
        chances = table.likelihood[table.rows(name), self.truth]
        outcome = self.chance.choice(len(chances), p=chances / chances.sum())
        return Finding(name, table.outcomes[table.checks.index(name)][outcome])

    def works_after(self, repair: str) -> bool:
        return repair_class(self.diagnosis.table.hypotheses[self.truth]) in repairs_in(repair)


def spent_on_finding(diagnosis: Diagnosis, course: Course) -> float:
    hazards = dict(
        zip(diagnosis.table.checks, diagnosis.costs.hazard_minutes.tolist(), strict=True)
    )
    return sum(
        step.minutes + step.setup + hazards[step.finding.check]
        for step in course.steps
        if step.finding is not None
    )


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--furnace", action="append")
    options.add_argument("--draws", type=int, default=300)
    chosen = options.parse_args()
    knowledge = library.load()
    for furnace in chosen.furnace or knowledge.furnaces:
        diagnosis = Diagnosis.of(knowledge, furnace)
        chance = np.random.default_rng(1)
        priors = np.array([each.prior for each in diagnosis.table.hypotheses])
        spent, taken = [], []
        for truth in chance.choice(len(priors), chosen.draws, p=priors / priors.sum()):
            course = play(diagnosis, Drawn(diagnosis, int(truth), chance))
            spent.append(spent_on_finding(diagnosis, course))
            taken.append(doubt(course.steps[0].belief) - doubt(course.steps[-1].belief))
        bits, minutes = float(np.mean(taken)), float(np.mean(spent))
        loose, bound = least_minutes(diagnosis, bits)
        print(
            f"{furnace}: {bits:.2f} bits taken away for {minutes:.1f} min in the mean; no way "
            f"does it under {bound:.1f} min, each check made once: ratio {minutes / bound:.2f} "
            f"(at the best rate throughout {loose:.1f} min, ratio {minutes / loose:.2f})"
        )


if __name__ == "__main__":
    main()
