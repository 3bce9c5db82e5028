"""The posterior of the real furnace's table against pyagrum, an exact inference library."""

import random

import numpy as np
import pytest

from lightoff.engine import library
from lightoff.engine.reasoning.belief import Finding, posterior
from lightoff.engine.reasoning.diagnosis import Diagnosis
from lightoff.engine.reasoning.table import Table
from tests.reference.inference import reference_posterior

SHOWN = 12


@pytest.fixture(scope="module")
def table() -> Table:
    """The real table, cut to a dozen checks: a network of all of them is large."""
    diagnosis = Diagnosis.of(library.load(), "two-pipe-condensing")
    chosen = sorted(random.Random(7).sample(range(len(diagnosis.table.checks)), SHOWN))
    whole = diagnosis.table
    rows = [whole.likelihood[whole.rows(whole.checks[index])] for index in chosen]
    return Table(
        hypotheses=whole.hypotheses,
        checks=tuple(whole.checks[index] for index in chosen),
        outcomes=tuple(whole.outcomes[index] for index in chosen),
        start=np.cumsum([0, *map(len, rows)]).astype(np.int64),
        likelihood=np.vstack(rows),
    )


@pytest.mark.parametrize("seed", range(8))
def test_posterior_agrees_with_exact_inference_on_the_real_table(table: Table, seed: int):
    chance = random.Random(seed)
    findings = [
        Finding(check, chance.choice([*outcomes, None]))
        for check, outcomes in zip(table.checks, table.outcomes, strict=True)
        if chance.random() < 0.7
    ]
    expected, _ = reference_posterior(table, findings)
    np.testing.assert_allclose(
        posterior(table, findings).probabilities, expected, rtol=1e-6, atol=1e-12
    )
