"""What a probe is expected to tell, in bits, on two published circuits.

The circuit of adders and multipliers: de Kleer & Williams, Diagnosing multiple faults,
AIJ 32, 1987 (circuit, inputs and outputs as published; the figures recomputed exactly with
fault probability 0.01 and a faulty output uniform over 33 values). Sets of faulty parts
are the hypotheses; a table holds what is to be expected given what was seen already.
"""

from itertools import product

import numpy as np
import pytest

from lightoff.engine.reasoning.belief import Belief, Finding, prior
from lightoff.engine.reasoning.table import Hypothesis, Table

VALUES = 33


def entropy(shares: np.ndarray) -> float:
    likely = shares[shares > 0.0]
    return float(-(likely * np.log2(likely)).sum())


def bits(belief: Belief, check: str) -> float:
    """Mutual information of a check and the hypotheses."""
    table = belief.table
    chances = table.likelihood[table.rows(check)] @ belief.probabilities
    outcomes = table.outcomes[table.checks.index(check)]
    left = sum(
        chance * entropy(belief.given(Finding(check, outcome)).probabilities)
        for outcome, chance in zip(outcomes, chances, strict=True)
        if chance > 0.0
    )
    return entropy(belief.probabilities) - float(left)


def table_of(joint: np.ndarray, sets: list[tuple[str, ...]], probes: list[str]) -> Table:
    """From P(set of faulty parts, value at each probe): shape (sets, values, values, ...)."""
    weights = joint.sum(axis=tuple(range(1, joint.ndim)))
    blocks = []
    for axis in range(1, joint.ndim):
        others = tuple(each for each in range(1, joint.ndim) if each != axis)
        share = joint.sum(axis=others) / np.where(weights > 0.0, weights, 1.0)[:, None]
        blocks.append(np.where(weights[:, None] > 0.0, share, 1.0 / share.shape[1]).T)
    return Table(
        hypotheses=tuple(
            Hypothesis("+".join(faults) or "none", faults, "+".join(faults), float(weight))
            for faults, weight in zip(sets, weights, strict=True)
        ),
        checks=tuple(probes),
        outcomes=tuple(tuple(map(str, range(len(block)))) for block in blocks),
        start=np.cumsum([0, *map(len, blocks)]).astype(np.int64),
        likelihood=np.vstack(blocks),
    )


# --- X = A*C, Y = B*D, Z = C*E, F = X + Y, G = Y + Z; inputs 3, 2, 2, 3, 3 ----------------

PARTS = ("M1", "M2", "M3", "A1", "A2")


def seen(f: int, g: int | None = None) -> Belief:
    """What is known of the five parts once F, or F and G, are measured."""
    sets, joint = [], []
    x, y, z = np.ogrid[:VALUES, :VALUES, :VALUES]
    for faulty in product((False, True), repeat=5):
        chances = output(faulty[0])[x] * output(faulty[1])[y] * output(faulty[2])[z]
        chances = chances * np.where(faulty[3], 1 / VALUES, x + y == f)
        if g is not None:
            chances = chances * np.where(faulty[4], 1 / VALUES, y + z == g)
        weight = np.prod([0.01 if each else 0.99 for each in faulty])
        sets.append(tuple(part for part, bad in zip(PARTS, faulty, strict=True) if bad))
        joint.append(weight * chances)
    return prior(table_of(np.array(joint), sets, ["X", "Y", "Z"]))


def output(faulty: bool) -> np.ndarray:
    """What a multiplier puts out: 6 when it is good, anything when it is not."""
    return np.full(VALUES, 1 / VALUES) if faulty else np.eye(VALUES)[6]


def test_after_the_first_output_x_and_y_tell_alike_and_z_next_to_nothing():
    belief = seen(10)
    assert entropy(belief.probabilities) == pytest.approx(1.8118, abs=5e-5)
    assert bits(belief, "X") == pytest.approx(0.9508, abs=5e-5)
    assert bits(belief, "Y") == pytest.approx(0.9508, abs=5e-5)
    assert bits(belief, "Z") == pytest.approx(0.0768, abs=5e-5)


def test_after_both_outputs_only_x_is_worth_measuring():
    belief = seen(10, 12)
    assert entropy(belief.probabilities) == pytest.approx(1.0567, abs=5e-5)
    told = [bits(belief, probe) for probe in "XYZ"]
    assert told == pytest.approx([1.0366, 0.0041, 0.0023], abs=5e-5)


def test_the_probe_settles_which_single_part_it_is():
    belief = seen(10, 12)
    assert leading(belief.given(Finding("X", "4"))) == "M1"
    assert leading(belief.given(Finding("X", "6"))) == "A1"


def leading(belief: Belief) -> str:
    return belief.table.hypotheses[int(belief.probabilities.argmax())].id


# --- four parts in a row, 1 in, 0 out -----------------------------------------------------


def row(chances: list[float]) -> Belief:
    """What is known once 0 is read at the end; a faulty part puts out 0 or 1 alike."""
    sets, joint = [], []
    for faulty in product((False, True), repeat=4):
        cell = np.zeros((2, 2, 2))
        for values in product((0, 1), repeat=3):
            inputs, outputs = (1, *values), (*values, 0)
            steps = [
                0.5 if bad else float(before == after)
                for bad, before, after in zip(faulty, inputs, outputs, strict=True)
            ]
            cell[values] = np.prod(steps)
        weights = [p if bad else 1.0 - p for bad, p in zip(faulty, chances, strict=True)]
        sets.append(tuple(f"part{n}" for n, bad in enumerate(faulty, 1) if bad))
        joint.append(np.prod(weights) * cell)
    return prior(table_of(np.array(joint), sets, ["after1", "after2", "after3"]))


def told_in_row(chances: list[float]) -> list[float]:
    belief = row(chances)
    return [bits(belief, probe) for probe in belief.table.checks]


def test_in_a_row_of_equal_parts_the_middle_is_probed_first():
    told = told_in_row([0.01] * 4)
    assert told == pytest.approx([0.8038, 0.9900, 0.8038], abs=5e-5)


def test_the_probe_moves_towards_the_unreliable_part():
    told = told_in_row([0.01, 0.01, 0.01, 0.025])
    assert told == pytest.approx([0.6745, 0.9318, 0.9808], abs=5e-5)
