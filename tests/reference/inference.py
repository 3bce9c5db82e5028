"""Posteriors by an independent exact inference library (pyagrum), for any table."""

from collections.abc import Iterable

import numpy as np
import pyagrum

from lightoff.engine.reasoning.belief import Finding
from lightoff.engine.reasoning.table import Floats, Table


def naive_bayes(table: Table) -> pyagrum.BayesNet:
    """A network with one node for the hypothesis and one child per check (c0, c1, ...)."""
    network = pyagrum.BayesNet("table")
    weights = np.array([each.prior for each in table.hypotheses])
    network.add(pyagrum.LabelizedVariable("hypothesis", "", len(weights)))
    network.cpt("hypothesis").fillWith((weights / weights.sum()).tolist())
    for index, outcomes in enumerate(table.outcomes):
        network.add(pyagrum.LabelizedVariable(f"c{index}", "", len(outcomes)))
        network.addArc("hypothesis", f"c{index}")
        rows = table.likelihood[table.start[index] : table.start[index + 1]]
        network.cpt(f"c{index}")[:] = np.ascontiguousarray(rows.T)
    return network


def reference_posterior(table: Table, findings: Iterable[Finding]) -> tuple[Floats, float]:
    """P(hypothesis | findings) and P(findings); each check asked once, "don't know" left out."""
    engine = pyagrum.LazyPropagation(naive_bayes(table))
    answers = [each for each in findings if each.outcome is not None]
    for finding in answers:
        index = table.checks.index(finding.check)
        engine.addEvidence(f"c{index}", table.outcomes[index].index(finding.outcome))
    engine.makeInference()
    return engine.posterior("hypothesis").toarray(), engine.evidenceProbability()
