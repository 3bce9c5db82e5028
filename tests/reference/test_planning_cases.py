"""The best way on, against published and recomputed cases and against brute force.

Order of repairs: Heckerman, Breese, Rommelse, CACM 38(3), 1995; Kalagnanam & Henrion,
arXiv 1304.2362. Set-up shared by some: cost clusters (Ottosen & Jensen, arXiv 1203.3502).
Test sequencing: Pattipati & Alexandridis, IEEE Trans. SMC 20(4), 1990. The numbers of the
shared panel and of the question are our own, worked out by hand and by enumeration.
"""

from functools import cache

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lightoff.engine.reasoning.planning.exact import Actions, TooManyStatesError, solve
from lightoff.engine.reasoning.planning.lookahead import separation_in
from lightoff.engine.reasoning.planning.problem import Problem
from lightoff.engine.reasoning.planning.repairing import RepairPlan
from lightoff.engine.reasoning.planning.rollout import rollout

NEVER = 1e6


def problem(shares, checks=(), prices=(), changes=None) -> Problem:
    """Every hypothesis with a repair of its own, and checks from their outcome rows."""
    count, blocks = len(shares), [np.array(rows, dtype=float) for rows in checks]
    changes = np.zeros((0, 1)) if changes is None else np.array(changes)
    aspects = len(changes)
    return Problem(
        shares=np.array(shares),
        first=np.arange(count),
        likelihood=np.vstack(blocks) if blocks else np.zeros((0, count)),
        start=np.cumsum([0, *map(len, blocks)]).astype(np.int64),
        checks=np.arange(len(blocks)),
        prices=np.array(prices, dtype=float),
        needs=np.full((len(blocks), aspects), -1, dtype=np.int64),
        changes=changes,
        setup=np.zeros(aspects, dtype=np.int64),
        arrival=np.zeros(aspects, dtype=np.int64),
        plan=RepairPlan(
            tuple(map(str, range(count))), np.zeros(count), NEVER, np.full(count, NEVER)
        ),
    )


def actions(prices, cures, on_cure=None, needs=None, give_up=NEVER, to_arrival=True) -> Actions:
    cures = np.array(cures, dtype=float)
    count = len(prices)
    return Actions(
        prices=np.array(prices, dtype=float),
        on_cure=np.zeros(count) if on_cure is None else np.array(on_cure, dtype=float),
        cures=cures,
        needs=np.zeros((count, 0), dtype=np.int64) if needs is None else np.array(needs),
        give_up=np.full(cures.shape[1], give_up),
        to_arrival=to_arrival,
    )


def best(found: dict[int, float]) -> int:
    return min(found, key=found.__getitem__)


# --- order of repairs -----------------------------------------------------------------


def test_four_suspects_are_best_repaired_beginning_with_the_third_at_13_30():
    four = actions([5, 15, 1, 2], np.eye(4), on_cure=[0, 0, 0, 30])
    solution = solve(problem([0.4, 0.3, 0.2, 0.1]), four)
    assert best(solution.actions) == 2
    assert solution.price == pytest.approx(13.30)


def test_parts_behind_one_panel_wait_for_those_that_need_no_opening():
    behind = [[1], [1], [-1], [-1], [1]]
    shared = actions([4, 2, 3, 5, 6], np.eye(5), needs=behind, to_arrival=False)
    solution = solve(problem([0.25, 0.15, 0.20, 0.25, 0.15], changes=[[0.0, 6.0]]), shared)
    assert best(solution.actions) == 2
    assert solution.price == pytest.approx(13.90)
    assert solution.actions[1] == pytest.approx(16.05), "by probability over cost alone"


# --- test sequencing ------------------------------------------------------------------

STATES = ("00000", "01001", "00110", "10011", "11000", "11110")
CHANCES = [0.70, 0.01, 0.02, 0.10, 0.05, 0.12]


def sequencing() -> Problem:
    ones = [[float(state[check]) for state in STATES] for check in range(5)]
    return problem(CHANCES, [[one, [1.0 - each for each in one]] for one in ones], [1.0] * 5)


def test_the_published_sequencing_case_needs_2_18_checks_beginning_with_t2_or_t4():
    solution = solve(sequencing())
    assert solution.price == pytest.approx(2.18)
    assert list(solution.checks.values()) == pytest.approx([2.86, 2.18, 2.82, 2.18, 2.89])


def test_one_step_of_rollout_finds_the_optimum_that_ec2_alone_misses():
    prices = rollout(sequencing(), separation_in(sequencing()), np.arange(5))
    assert int(prices.argmin()) in {1, 3}
    assert float(prices.min()) == pytest.approx(2.18)


# --- actions that cure only sometimes, and one question ----------------------------------

SOMETIMES = actions([5, 15, 1], [[0.9, 0, 0, 0], [0.9, 0.9, 0, 0], [0, 0, 0.9, 0]], give_up=40.0)
CAUSES = [0.4, 0.3, 0.2, 0.1]


def test_without_the_question_the_third_action_comes_first_at_18_16():
    solution = solve(problem(CAUSES), SOMETIMES)
    assert best(solution.actions) == 2
    assert solution.price == pytest.approx(18.16)


def test_with_the_question_it_is_asked_first_at_17_06():
    question = [[1, 1, 0, 0], [0, 0, 1, 1]]
    solution = solve(problem(CAUSES, [question], [2.0]), SOMETIMES)
    assert solution.price == pytest.approx(17.06)
    assert solution.checks[0] == pytest.approx(solution.price)
    yes = solve(problem([4 / 7, 3 / 7, 0, 0]), SOMETIMES)
    no = solve(problem([0, 0, 2 / 3, 1 / 3]), SOMETIMES)
    assert (yes.price, no.price) == (pytest.approx(14.2286, abs=5e-5), pytest.approx(17.0))


# --- against plain enumeration -------------------------------------------------------------


@st.composite
def small_problems(draw: st.DrawFn) -> tuple[Problem, Actions]:
    generator = np.random.default_rng(draw(st.integers(0, 2**32 - 1)))
    faults, checks = draw(st.integers(2, 4)), draw(st.integers(0, 3))
    rows = [generator.dirichlet(np.full(2, 0.3), faults).T for _ in range(checks)]
    of = problem(generator.dirichlet(np.ones(faults)), rows, generator.uniform(1, 9, checks))
    doing = actions(
        generator.uniform(5, 50, faults), np.eye(faults), np.full(faults, -5.0), give_up=60.0
    )
    return of, doing


def enumerated(of: Problem, doing: Actions) -> float:
    """The least price over every order of checks and actions, nothing left out."""

    @cache
    def least(shares: tuple[float, ...], done: frozenset[str]) -> float:
        total = sum(shares)
        if total <= 0.0:
            return 0.0
        ways = [total * float(doing.give_up[0])]
        for check in range(len(of.prices)):
            if f"c{check}" not in done:
                rows = of.likelihood[of.start[check] : of.start[check + 1]]
                parts = [tuple((row * np.array(shares)).tolist()) for row in rows]
                then = sum(least(part, done | {f"c{check}"}) for part in parts)
                ways.append(total * float(of.prices[check]) + then)
        for action in range(len(doing.prices)):
            if f"a{action}" not in done:
                cured = np.array(shares) * doing.cures[action]
                left = tuple((np.array(shares) - cured).tolist())
                price = total * float(doing.prices[action])
                price += float(cured.sum()) * float(doing.on_cure[action])
                ways.append(price + least(left, done | {f"a{action}"}))
        return min(ways)

    return least(tuple(of.shares.tolist()), frozenset())


@settings(max_examples=60, deadline=None)
@given(small_problems())
def test_no_order_of_checks_and_repairs_is_cheaper_than_the_solution(case):
    of, doing = case
    assert solve(of, doing).price == pytest.approx(enumerated(of, doing), rel=1e-6)


def test_more_states_than_allowed_are_refused_and_not_waited_for():
    with pytest.raises(TooManyStatesError):
        solve(sequencing(), most_states=3)


# --- regret ---------------------------------------------------------------------------


def left_of(chances):
    """The sequencing case with only some of its states left."""
    ones = [[float(state[check]) for state in STATES] for check in range(5)]
    rows = [[one, [1.0 - each for each in one]] for one in ones]
    total = sum(chances)
    return problem([each / total for each in chances], rows, [1.0] * 5)


def by_chance(chances, open_=frozenset(range(5))):
    """(expected checks, expected sum of regret) of taking any check not made yet."""
    if sum(each > 0.0 for each in chances) == 1:
        return 0.0, 0.0
    solution = solve(left_of(chances))
    told = []
    for check in open_:
        sides = [
            [p if state[check] == side else 0.0 for p, state in zip(chances, STATES, strict=True)]
            for side in "01"
        ]
        price = solution.checks[check] if all(map(sum, sides)) else 1.0 + solution.price
        cost, regret = 1.0, price - solution.price
        for side in filter(sum, sides):
            then = by_chance(side, open_ - {check})
            cost += sum(side) / sum(chances) * then[0]
            regret += sum(side) / sum(chances) * then[1]
        told.append((cost, regret))
    return tuple(sum(column) / len(told) for column in zip(*told, strict=True))


def test_the_cost_of_playing_by_chance_is_the_optimum_and_the_regret_of_its_steps():
    cost, regret = by_chance(CHANCES)
    assert cost == pytest.approx(3.084, abs=5e-4)
    assert regret == pytest.approx(0.904, abs=5e-4)
    assert cost == pytest.approx(solve(sequencing()).price + regret)
