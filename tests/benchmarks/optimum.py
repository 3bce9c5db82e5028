"""How near the choice of checks comes to the best there is; prints figures.

    python -m tests.benchmarks.optimum [--furnace ID]... [--problems 200] [--seed 1]

Problems are drawn from the real table of a furnace: 16 to 18 faults in fewer repairs, 12
checks, each answered as is likeliest, with the real minutes, set-ups, hazards and prices.
Exact dynamic programming over checks and repairs in any order gives the optimum. The cost
of the program's own way is worked out over all its branches, so there is no luck in it.
"""

from __future__ import annotations

import argparse
import random
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np

from lightoff.engine import library
from lightoff.engine.model import Knowledge
from lightoff.engine.reasoning.belief import prior
from lightoff.engine.reasoning.diagnosis import Diagnosis
from lightoff.engine.reasoning.planning.choice import decide
from lightoff.engine.reasoning.planning.costs import (
    WRONG_REPAIR_MINUTES,
    Costs,
    Setup,
    all_minutes,
    price_of_repair,
)
from lightoff.engine.reasoning.planning.exact import solve
from lightoff.engine.reasoning.planning.problem import Problem, problem_of
from lightoff.engine.reasoning.planning.repairing import RepairPlan
from lightoff.engine.reasoning.table import Hypothesis, Table

CHECKS = 12
FAULTS = (16, 18)
MOST_REPAIRS = 12
Alive = frozenset[int]
State = tuple[Alive, tuple[tuple[str, str], ...]]


@dataclass(frozen=True)
class Drawn:
    """A problem: a table without misread answers, and its costs."""

    table: Table
    costs: Costs

    @cached_property
    def problem(self) -> Problem:
        return problem_of(prior(self.table), self.costs, self.costs.start, unlikely=0.0)

    @cached_property
    def optimum(self) -> float:
        return solve(self.problem).price

    @cached_property
    def finding(self) -> float:
        """What of the optimum is spent on finding: the repair needed is paid for anyway."""
        return self.optimum - float(self.problem.known(self.problem.shares))


def draw(diagnosis: Diagnosis, chance: random.Random) -> Drawn:
    """A problem of some faults in fewer repairs and some checks that tell at least two apart."""
    faults = [
        number
        for number, each in enumerate(diagnosis.table.hypotheses)
        if each.faults and each.showing
    ]
    while True:
        count = chance.randint(*FAULTS)
        kept = _by_weight(diagnosis, faults, count, chance)
        repairs = {diagnosis.table.hypotheses[each].repair for each in kept}
        if len(repairs) <= MOST_REPAIRS:
            break
    useful = [check for check in diagnosis.table.checks if _tells(diagnosis.table, check, kept)]
    return _restricted(diagnosis, kept, sorted(chance.sample(useful, CHECKS)))


def _by_weight(
    diagnosis: Diagnosis, faults: list[int], count: int, chance: random.Random
) -> list[int]:
    """Faults drawn without putting back, likelier ones more often; two of a repair at least."""
    left, kept = list(faults), []
    while len(kept) < count:
        weights = [diagnosis.table.hypotheses[each].prior for each in left]
        kept.append(left.pop(chance.choices(range(len(left)), weights)[0]))
    return sorted(kept)


def _answers(table: Table, check: str, kept: list[int]) -> np.ndarray:
    return np.asarray(table.likelihood[table.rows(check)][:, kept].argmax(0))


def _tells(table: Table, check: str, kept: list[int]) -> bool:
    return len(set(_answers(table, check, kept).tolist())) > 1


def _restricted(diagnosis: Diagnosis, kept: list[int], checks: list[str]) -> Drawn:
    table, costs = diagnosis.table, diagnosis.costs
    numbers = [table.checks.index(check) for check in checks]
    blocks = [
        np.eye(len(table.outcomes[number]))[:, _answers(table, check, kept)]
        for number, check in zip(numbers, checks, strict=True)
    ]
    return Drawn(
        Table(
            hypotheses=tuple(table.hypotheses[each] for each in kept),
            checks=tuple(checks),
            outcomes=tuple(table.outcomes[number] for number in numbers),
            start=np.cumsum([0, *map(len, blocks)]).astype(np.int64),
            likelihood=np.vstack(blocks),
        ),
        replace(
            costs,
            minutes=costs.minutes[numbers],
            setups=tuple(costs.setups[number] for number in numbers),
            hazard_minutes=costs.hazard_minutes[numbers],
            tools=tuple(costs.tools[number] for number in numbers),
            # The rule that a live test gives way to a safer one is no matter of cost.
            live=frozenset(),
        ),
    )


@dataclass
class Policy:
    """The expected cost of following the program's choice, branch by branch."""

    drawn: Drawn
    exact: bool
    known: dict[State, float] = field(default_factory=dict)

    @property
    def cost(self) -> float:
        every = frozenset(range(len(self.drawn.table.hypotheses)))
        return self._cost(every, self.drawn.costs.start)

    def _cost(self, alive: Alive, setup: Setup) -> float:
        state = alive, tuple(sorted(setup.items()))
        if state not in self.known:
            self.known[state] = self._worked_out(alive, setup)
        return self.known[state]

    def _worked_out(self, alive: Alive, setup: Setup) -> float:
        table, costs = self._table(alive), self.drawn.costs
        shares = prior(table).probabilities
        decision = decide(prior(table), costs, setup, exact=self.exact)
        if decision.check is not None:
            return self._checked(alive, shares, setup, table.checks.index(decision.check))
        if decision.repair is None:
            plan = RepairPlan.of([each.repair for each in table.hypotheses], costs)
            return float(shares @ plan.give_up)
        return self._repaired(alive, shares, decision.repair)

    def _table(self, alive: Alive) -> Table:
        whole, kept = self.drawn.table, sorted(alive)
        hypotheses = tuple(whole.hypotheses[each] for each in kept)
        return replace(whole, hypotheses=hypotheses, likelihood=whole.likelihood[:, kept])

    def _checked(self, alive: Alive, shares: np.ndarray, setup: Setup, check: int) -> float:
        costs, table = self.drawn.costs, self.drawn.table
        cost = float(all_minutes(costs, setup)[check] + costs.hazard_minutes[check])
        then = {**setup, **costs.setups[check]}
        rows = table.likelihood[table.start[check] : table.start[check + 1]]
        for row in rows:
            chance, part = 0.0, []
            for share, each in zip(shares, sorted(alive), strict=True):
                if row[each]:
                    chance += float(share)
                    part.append(each)
            cost += chance * self._cost(frozenset(part), then) if part else 0.0
        return cost

    def _repaired(self, alive: Alive, shares: np.ndarray, repair: str) -> float:
        cured = [self._hypothesis(each).repair == repair for each in sorted(alive)]
        fails = 1.0 - float(shares[cured].sum())
        cost = price_of_repair(self.drawn.costs, repair) + WRONG_REPAIR_MINUTES * fails
        left = frozenset(each for each in alive if self._hypothesis(each).repair != repair)
        return cost + (fails * self._cost(left, self.drawn.costs.start) if left else 0.0)

    def _hypothesis(self, number: int) -> Hypothesis:
        return self.drawn.table.hypotheses[number]


def problems(knowledge: Knowledge, furnace: str, count: int, seed: int) -> Iterator[Drawn]:
    chance = random.Random(f"{furnace} {seed}")
    diagnosis = Diagnosis.of(knowledge, furnace)
    for _ in range(count):
        yield draw(diagnosis, chance)


def excesses(drawn: Drawn) -> Mapping[str, tuple[float, float]]:
    """Excess over the optimum, as a share of it and of what it spends on finding."""
    ways = {"rollout": False, "with the exact stage": True}
    excess = {way: Policy(drawn, exact).cost - drawn.optimum for way, exact in ways.items()}
    return {way: (each / drawn.optimum, each / drawn.finding) for way, each in excess.items()}


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--furnace", action="append")
    options.add_argument("--problems", type=int, default=200)
    options.add_argument("--seed", type=int, default=1)
    chosen = options.parse_args()
    knowledge = library.load()
    for furnace in chosen.furnace or knowledge.furnaces:
        found = [
            excesses(drawn) for drawn in problems(knowledge, furnace, chosen.problems, chosen.seed)
        ]
        for way in found[0]:
            whole, finding = np.array([one[way] for one in found]).T
            print(
                f"{furnace}, {way}: mean cost {whole.mean():.2%} over the optimum, worst "
                f"{whole.max():.1%} (of what is spent on finding {finding.mean():.1%} and "
                f"{finding.max():.1%}); at the optimum in {(whole < 1e-9).mean():.0%} of "
                f"{len(whole)} problems"
            )


if __name__ == "__main__":
    main()
