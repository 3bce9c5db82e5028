"""The posterior against an exact inference library (pyagrum) that shares no code with it."""

from math import exp

import numpy as np
import pytest

from lightoff.engine.reasoning.belief import NOT_CURED, Finding, posterior
from lightoff.engine.reasoning.table import Table
from tests.reasoning.tables import hypotheses, table
from tests.reference.inference import reference_posterior


def random_table(seed: int, faults: int = 40, checks: int = 20) -> Table:
    """Skewed likelihoods of 2 to 5 outcomes; one in ten of them below a millionth."""
    generator = np.random.default_rng(seed)
    blocks = {}
    for index in range(checks):
        rows = generator.dirichlet(np.full(generator.integers(2, 6), 0.5), faults).T
        rare = generator.random(rows.shape) < 0.1
        rows = np.where(rare, 1e-7, rows + 1e-9)
        blocks[f"check-{index}"] = rows / rows.sum(0)
    repairs = [f"r{index % 15}" for index in range(faults)]
    return table(hypotheses(repairs, generator.lognormal(0.0, 2.0, faults)), blocks)


def random_findings(of: Table, seed: int, count: int) -> list[Finding]:
    """Findings as the furnace with one random fault would give them, some "don't know"."""
    generator = np.random.default_rng(seed)
    truth = generator.integers(len(of.hypotheses))
    findings = []
    for check in generator.permutation(of.checks)[:count]:
        rows = of.rows(check)
        answer = generator.choice(rows.stop - rows.start, p=of.likelihood[rows, truth])
        outcome = of.outcomes[of.checks.index(check)][answer]
        findings.append(Finding(str(check), outcome if generator.random() < 0.9 else None))
    return findings


def assert_same_posterior(of: Table, findings: list[Finding]) -> None:
    """Belief and library agree on every probability and on that of the evidence."""
    expected, evidence = reference_posterior(of, findings)
    belief = posterior(of, findings)
    assert belief.probabilities == pytest.approx(expected, rel=1e-7, abs=1e-12)
    assert exp(belief.log_evidence) == pytest.approx(evidence, rel=1e-7)


@pytest.mark.parametrize("count", [0, 1, 5, 12, 20])
@pytest.mark.parametrize("seed", range(4))
def test_probabilities_and_evidence_agree_on_random_tables(seed, count):
    of = random_table(seed)
    assert_same_posterior(of, random_findings(of, seed, count))


def test_a_repair_that_did_not_cure_is_a_finding_like_any_other():
    of = random_table(9)
    needs = np.array([each.repair == "r3" for each in of.hypotheses])
    fails = np.where(needs, NOT_CURED, 1.0)
    names = {f"check-{index}": of.likelihood[of.rows(f"check-{index}")] for index in range(20)}
    tried = table(of.hypotheses, {**names, "tried": [fails, 1.0 - fails]})
    findings = random_findings(of, 9, 6)
    expected, _ = reference_posterior(tried, [*findings, Finding("tried", "a")])
    assert posterior(of, findings, ["r3"]).probabilities == pytest.approx(expected, rel=1e-7)
