"""Small tables and costs for the tests of the reasoning."""

from collections.abc import Mapping, Sequence

import numpy as np
from hypothesis import strategies as st

from lightoff.engine.reasoning.planning.costs import Costs
from lightoff.engine.reasoning.table import Hypothesis, Table

Rows = Sequence[Sequence[float]]


def hypotheses(repairs: Sequence[str], priors: Sequence[float]) -> tuple[Hypothesis, ...]:
    """Faults h0, h1, ... with these repairs and prior weights."""
    return tuple(
        Hypothesis(f"h{index}", (f"h{index}",), repair, prior)
        for index, (repair, prior) in enumerate(zip(repairs, priors, strict=True))
    )


def table(kinds: tuple[Hypothesis, ...], checks: Mapping[str, Rows]) -> Table:
    """A table from check -> rows of P(outcome | hypothesis); the outcomes are a, b, c, ..."""
    blocks = [np.array(rows, dtype=float) for rows in checks.values()]
    return Table(
        hypotheses=kinds,
        checks=tuple(checks),
        outcomes=tuple(tuple("abcdefgh"[: len(block)]) for block in blocks),
        start=np.cumsum([0, *(len(block) for block in blocks)]).astype(np.int64),
        likelihood=np.vstack(blocks),
    )


def binary(column: Sequence[float]) -> Rows:
    """Rows of a check with outcomes a and b from P(a | hypothesis)."""
    return [list(column), [1.0 - chance for chance in column]]


def costs(
    of: Table,
    repair: float = 75.0,
    minutes: Sequence[float] | None = None,
    setups: Sequence[Mapping[str, str]] | None = None,
    hazards: Sequence[float] | None = None,
    tools: Sequence[frozenset[str]] | None = None,
) -> Costs:
    """Costs of a table: every check 2 minutes, every repair the same."""
    count = len(of.checks)
    return Costs(
        minutes=np.array(minutes or [2.0] * count),
        setups=tuple(setups or [{}] * count),
        transitions={"door": {"on": 1.0, "off": 2.0}, "power": {"on": 0.5, "off": 1.0}},
        start={"door": "on", "power": "on"},
        hazard_minutes=np.array(hazards or [0.0] * count),
        repair_minutes={each.repair: repair for each in of.hypotheses},
        tools=tuple(tools or [frozenset()] * count),
    )


def xor_table() -> Table:
    """Two fair bits, two checks that read one each; the repair is their exclusive or."""
    kinds = hypotheses(["same", "different", "different", "same"], [1, 1, 1, 1])
    return table(kinds, {"first": binary([1, 1, 0, 0]), "second": binary([1, 0, 1, 0])})


@st.composite
def tables(draw: st.DrawFn, floor: float = 0.01) -> Table:
    """Random tables; every outcome has at least about `floor` of a chance."""
    generator = np.random.default_rng(draw(st.integers(0, 2**32 - 1)))
    faults = draw(st.integers(2, 8))
    repairs = [f"r{index}" for index in generator.integers(0, 4, faults)]
    checks = {}
    for index in range(draw(st.integers(1, 6))):
        rows = generator.dirichlet(np.full(draw(st.integers(2, 4)), 0.4), faults).T + floor
        checks[f"c{index}"] = rows / rows.sum(0)
    return table(hypotheses(repairs, generator.uniform(0.1, 3.0, faults)), checks)
