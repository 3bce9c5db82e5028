"""The program's choice against three plain ways, on every fault of every furnace; prints a table.

    python -m tests.benchmarks.against_tree [--furnace ID] [--samples 20000] [--errors 0.03]

The three: repairs one after another by probability over cost, the sequence walked front to
back, and a decision tree (scikit-learn) trained on simulated cases of the same furnace:
hypotheses drawn by their priors, every answer by the prediction table, the class is the
repair. Depth and leaf size of the tree are those that cost least on cases held out. It asks
as it was grown; an answer that is not known goes the way of most cases; at a leaf it
repairs in order of the leaf's probability over cost.

Minutes are those to the right repair as the advice counts them: checks with set-up and
hazards, every repair with the price of its part and a verifying call. They are weighted by
how often each fault occurs.
"""

from __future__ import annotations

import argparse
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import product

import numpy as np
from numpy.typing import NDArray
from sklearn.tree import DecisionTreeClassifier

from lightoff.engine import library
from lightoff.engine.model import Knowledge
from lightoff.engine.reasoning.belief import Belief, Finding, counted, repair_class
from lightoff.engine.reasoning.diagnosis import Diagnosis
from lightoff.engine.reasoning.job import JobState
from lightoff.engine.reasoning.planning.choice import Decision
from lightoff.engine.reasoning.planning.costs import minutes_of, price_of_repair, setup_after
from lightoff.engine.reasoning.play import Choose
from lightoff.engine.reasoning.table import Table
from tests.benchmarks.every_fault import diagnose, front_to_back, repairs_only, weighted

DEPTHS = (4, 8, 12, 16, 20, 30, 40, None)
LEAVES = (1, 3, 5, 10, 20)
HELD_OUT = 0.25
UNSEEN = 1e-6
"""Share of its prior that a repair keeps at a leaf that saw none of its cases."""

Cases = NDArray[np.float32]
Names = NDArray[np.str_]


# --- simulated cases --------------------------------------------------------------


def asked_of(diagnosis: Diagnosis) -> list[str]:
    """The checks that a simulated furnace answers."""
    checks = diagnosis.checks
    return [name for name in diagnosis.table.checks if not checks[name].entry.reads.told]


def questions_of(table: Table, checks: Sequence[str]) -> list[tuple[str, str]]:
    """(check, outcome) of every column of the cases: is it that outcome?"""
    outcomes = dict(zip(table.checks, table.outcomes, strict=True))
    return [(check, outcome) for check in checks for outcome in outcomes[check]]


def cases_of(
    table: Table, checks: Sequence[str], count: int, chance: np.random.Generator
) -> tuple[Cases, Names]:
    """Cases of shape (count, questions), 1.0 where the answer is yes, and their repairs."""
    weights = np.array([each.prior for each in table.hypotheses])
    drawn = chance.choice(len(weights), count, p=weights / weights.sum())
    classes = np.array([repair_class(each) for each in table.hypotheses])
    blocks = [_answers(table.likelihood[table.rows(check)][:, drawn], chance) for check in checks]
    return np.hstack(blocks), classes[drawn]


def _answers(chances: NDArray[np.float64], chance: np.random.Generator) -> Cases:
    """One outcome for each column of chances of shape (outcomes, cases), as (cases, outcomes)."""
    edges = np.cumsum(chances, axis=0)
    outcome = (chance.random(chances.shape[1]) * edges[-1] > edges).sum(axis=0)
    return np.eye(len(chances), dtype=np.float32)[outcome]


# --- the tree ---------------------------------------------------------------------


@dataclass(frozen=True)
class Grown:
    """A tree with what it takes to follow it."""

    tree: DecisionTreeClassifier
    questions: Sequence[tuple[str, str]]
    prices: Mapping[str, float]
    priors: Mapping[str, float]

    def step(self, node: int, outcome: str | None) -> int:
        """The node below after the answer to its question."""
        inner = self.tree.tree_
        no, yes = int(inner.children_left[node]), int(inner.children_right[node])
        if outcome is None:
            return max(no, yes, key=lambda child: inner.n_node_samples[child])
        return yes if outcome == self.question(node)[1] else no

    def question(self, node: int) -> tuple[str, str]:
        return self.questions[int(self.tree.tree_.feature[node])]

    def is_leaf(self, node: int) -> bool:
        return bool(self.tree.tree_.children_left[node] < 0)

    def order(self, leaf: int) -> list[str]:
        """All repairs in order of probability at the leaf over cost."""
        shares = dict(zip(self.tree.classes_, self.tree.tree_.value[leaf][0], strict=True))
        worth = {
            repair: (shares.get(repair, 0.0) + UNSEEN * self.priors[repair]) / price
            for repair, price in self.prices.items()
        }
        return sorted(worth, key=lambda repair: -worth[repair])

    def leaves(self, node: int = 0, path: tuple[str, ...] = ()) -> Iterator[tuple[int, list[str]]]:
        """Each leaf below a node with the checks made on the way to it."""
        if self.is_leaf(node):
            yield node, list(dict.fromkeys(path))
            return
        inner = self.tree.tree_
        for child in (inner.children_left[node], inner.children_right[node]):
            yield from self.leaves(int(child), (*path, self.question(node)[0]))


def grown(diagnosis: Diagnosis, samples: int, seed: int) -> tuple[Grown, float]:
    """The tree that costs least on cases held out, and its minutes there."""
    checks = asked_of(diagnosis)
    chance = np.random.default_rng(seed)
    cases, repairs = cases_of(diagnosis.table, checks, samples, chance)
    cut = int(samples * (1.0 - HELD_OUT))
    held_out = cases[cut:], repairs[cut:]
    tried = []
    for depth, leaf in product(DEPTHS, LEAVES):
        tree = DecisionTreeClassifier(max_depth=depth, min_samples_leaf=leaf, random_state=seed)
        tree.fit(cases[:cut], repairs[:cut])
        candidate = _grown(diagnosis, tree, checks)
        tried.append((minutes_on(diagnosis, candidate, *held_out), candidate))
    minutes, best = min(tried, key=lambda each: each[0])
    return best, minutes


def _grown(diagnosis: Diagnosis, tree: DecisionTreeClassifier, checks: Sequence[str]) -> Grown:
    priors: dict[str, float] = {}
    for each in diagnosis.table.hypotheses:
        if each.faults:
            priors[each.repair] = priors.get(each.repair, 0.0) + each.prior
    prices = {repair: price_of_repair(diagnosis.costs, repair) for repair in priors}
    return Grown(tree, questions_of(diagnosis.table, checks), prices, priors)


def minutes_on(diagnosis: Diagnosis, grown: Grown, cases: Cases, repairs: Names) -> float:
    """Mean minutes to the right repair on cases; those that no repair cures do not count."""
    reached = grown.tree.apply(cases)
    total, count = 0.0, 0
    for leaf, path in grown.leaves():
        checking = minutes_of_checks(diagnosis, path)
        repairing = dict(zip(order := grown.order(leaf), _summed(grown, order), strict=True))
        mended = [repair for repair in repairs[reached == leaf] if repair in repairing]
        total += sum(checking + repairing[repair] for repair in mended)
        count += len(mended)
    return total / count


def _summed(grown: Grown, order: Sequence[str]) -> list[float]:
    return list(np.cumsum([grown.prices[repair] for repair in order]))


def minutes_of_checks(diagnosis: Diagnosis, path: Sequence[str]) -> float:
    """Minutes of checks one after another from arrival, with set-up and hazards."""
    table, costs = diagnosis.table, diagnosis.costs
    minutes = 0.0
    for place, check in enumerate(path):
        setup = setup_after(table, costs, path[:place])
        minutes += minutes_of(table, costs, check, setup)
        minutes += float(costs.hazard_minutes[table.checks.index(check)])
    return minutes


def by_tree(grown: Grown) -> Choose:
    """Ask as the tree does, then repair as its leaf says."""

    def choose(belief: Belief, state: JobState) -> Decision:
        answers: Mapping[str, Finding] = counted(state.findings)
        asked = {finding.check for finding in state.findings}
        node = 0
        while not grown.is_leaf(node):
            check, _ = grown.question(node)
            if check not in asked:
                return Decision("check", check, None, "", 0.0, 0.0)
            node = grown.step(node, answers[check].outcome if check in answers else None)
        left = [each for each in grown.order(node) if each not in state.repaired]
        return Decision("repair", None, left[0], left[0], 0.0, 0.0)

    return choose


# --- the table --------------------------------------------------------------------


@dataclass(frozen=True)
class Row:
    """Means of one way over all faults of a furnace, weighted by how often they occur."""

    way: str
    minutes: float
    checks: float
    right: float


def row(diagnosis: Diagnosis, way: str, choose: Choose | None, errors: float, seeds: int) -> Row:
    faults = diagnosis.furnace.faults.values()
    results = [
        diagnose(diagnosis, fault, errors, seed, choose)
        for fault in faults
        for seed in range(seeds)
    ]
    broken = [result.problem for result in results if result.problem]
    if broken:
        raise SystemExit(f"{way}: {len(broken)} diagnoses broke down, the first: {broken[0]}")
    return Row(
        way,
        weighted(diagnosis, results, lambda each: each.price),
        weighted(diagnosis, results, lambda each: float(len(each.checks))),
        weighted(diagnosis, results, lambda each: float(each.right_at_first)),
    )


def rows_of(knowledge: Knowledge, furnace: str, chosen: argparse.Namespace) -> list[Row]:
    diagnosis = Diagnosis.of(knowledge, furnace)
    tree, held_out = grown(diagnosis, chosen.samples, chosen.seed)
    inner = tree.tree
    print(
        f"{furnace}: tree of depth {inner.get_depth()}, {inner.get_n_leaves()} leaves "
        f"(depth limit {inner.max_depth}, leaves of {inner.min_samples_leaf} or more), "
        f"{held_out:.1f} minutes on cases held out"
    )
    ways: dict[str, Choose | None] = {
        "own choice": None,
        "repairs by probability/cost": repairs_only(diagnosis),
        "front to back": front_to_back(diagnosis),
        "decision tree": by_tree(tree),
    }
    return [row(diagnosis, way, how, chosen.errors, chosen.seeds) for way, how in ways.items()]


def show(rows: Sequence[Row]) -> None:
    print(f"  {'':28}minutes  ratio  checks  right at first")
    for each in rows:
        ratio = each.minutes / rows[0].minutes
        print(f"  {each.way:28}{each.minutes:7.1f}{ratio:7.2f}{each.checks:8.1f}{each.right:16.1%}")
    least = all(rows[0].minutes < each.minutes for each in rows[1:])
    print(f"  own choice takes {'' if least else 'NOT '}the least\n")


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__.partition("\n")[0])
    options.add_argument("--furnace", help="one furnace instead of all")
    options.add_argument("--samples", type=int, default=20_000)
    options.add_argument("--seed", type=int, default=1)
    options.add_argument("--errors", type=float, default=0.0)
    options.add_argument("--seeds", type=int, default=1)
    chosen = options.parse_args()
    knowledge = library.load()
    for furnace in [chosen.furnace] if chosen.furnace else knowledge.furnaces:
        show(rows_of(knowledge, furnace, chosen))


if __name__ == "__main__":
    main()
