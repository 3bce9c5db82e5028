"""The shop's own experience: how often faults occur, by the jobs it has closed.

The shipped weights are a Dirichlet prior worth `PRIOR_JOBS` jobs; every closed job with a
proven repair adds one to what it proved. Only priors change: what each fault would show
stays what the machine makes of it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from math import fsum

import numpy as np

from lightoff.engine.reasoning.belief import Finding, log_prior, posterior
from lightoff.engine.reasoning.table import Floats, Hypothesis, Table, repairs_in

PRIOR_JOBS = 50.0
"""Jobs that the shipped weights are worth (from memory): with so many closed jobs of its
own, a shop's faults and the shipped ones count half each."""

Counts = Mapping[str, float]
"""Fault -> jobs it was the cause of; not whole where a repair does not tell which fault."""

DIGITS = 3
"""Decimals of a count: less than a thousandth of a job says nothing."""


@dataclass(frozen=True, slots=True)
class Proven:
    """What counts of a closed job: the repairs that cured, and what was found before."""

    job: str
    furnace: str
    repairs: tuple[str, ...]
    findings: tuple[Finding, ...] = ()
    repaired: tuple[str, ...] = ()
    """Repairs that were done and did not cure."""


@dataclass(frozen=True, slots=True)
class Shared:
    """Counts as shops exchange them: by furnace its closed jobs, and the jobs by fault."""

    jobs: Mapping[str, int]
    counts: Mapping[str, Counts]


@dataclass(frozen=True, slots=True)
class Experience:
    """All that counts: the shop's own jobs, and counts of others by the name they go by."""

    own: tuple[Proven, ...] = ()
    imported: Mapping[str, Shared] | None = None

    def jobs(self, furnace: str = "") -> tuple[int, int]:
        """Own jobs, and jobs of others; of one furnace, or of all."""
        others = (self.imported or {}).values()
        return sum(not furnace or each.furnace == furnace for each in self.own), sum(
            jobs for shared in others for name, jobs in shared.jobs.items() if furnace in ("", name)
        )

    def apart_from(self, job: str) -> Experience:
        """The same without one of the own jobs."""
        return replace(self, own=tuple(each for each in self.own if each.job != job))

    def own_counts(self, furnace: str, table: Table) -> Counts:
        """Counts of the own jobs on a furnace, whose table has the shipped priors."""
        own = [each for each in self.own if each.furnace == furnace]
        return added(credited(table, proven) for proven in own)

    def counts(self, furnace: str, table: Table) -> Counts:
        """All counts on a furnace, whose table has the shipped priors."""
        others = [shared.counts.get(furnace, {}) for shared in (self.imported or {}).values()]
        return added([self.own_counts(furnace, table), *others])

    def on(self, furnace: str, table: Table) -> Table:
        """The table of a furnace with the priors that follow."""
        return with_experience(table, self.counts(furnace, table))


def added(counts: Iterable[Counts]) -> Counts:
    """Counts together, the same whatever their order; those that come to nothing left out."""
    parts: dict[str, list[float]] = {}
    for each in counts:
        for fault, jobs in each.items():
            parts.setdefault(fault, []).append(jobs)
    sums = {fault: round(fsum(jobs), DIGITS) for fault, jobs in sorted(parts.items())}
    return {fault: jobs for fault, jobs in sums.items() if jobs}


# --- priors -----------------------------------------------------------------------


def with_experience(table: Table, counts: Counts) -> Table:
    """The table with priors after so many jobs; the very same without any.

    No fault and something else keep their shares, and so do all faults together; the
    hypotheses of one fault keep their proportion. KeyError for a fault the table lacks.
    """
    if not any(counts.values()):
        return table
    now = shares_after(shares_of(table), counts)
    before = shares_of(table)
    return replace(
        table,
        hypotheses=tuple(
            replace(each, prior=each.prior * now[each.faults[0]] / before[each.faults[0]])
            if _is_single(each)
            else each
            for each in table.hypotheses
        ),
    )


def shares_of(table: Table) -> dict[str, float]:
    """Single fault -> its prior, showing or not."""
    parts: dict[str, list[float]] = {}
    for each in table.hypotheses:
        if _is_single(each):
            parts.setdefault(each.faults[0], []).append(each.prior)
    return {fault: fsum(priors) for fault, priors in parts.items()}


def shares_after(shares: Mapping[str, float], counts: Counts) -> dict[str, float]:
    """Mean of the Dirichlet posterior, with the sum of the shares as it was."""
    for fault in counts:
        if fault not in shares:
            raise KeyError(fault)
    whole, jobs = fsum(shares.values()), fsum(counts.values())
    return {
        fault: whole * (PRIOR_JOBS * share / whole + counts.get(fault, 0.0)) / (PRIOR_JOBS + jobs)
        for fault, share in shares.items()
    }


def _is_single(hypothesis: Hypothesis) -> bool:
    return len(hypothesis.faults) == 1


# --- what a job adds --------------------------------------------------------------


def credited(table: Table, proven: Proven) -> Counts:
    """What a job adds to each fault: 1 for each repair, shared by the faults it mends.

    It is shared in proportion to what was known of them at the end of the job, by the
    shipped priors and the findings the table can weigh. A repair that mends no fault of
    the table adds nothing.
    """
    weights = _log_weights(table, proven)
    return added(_shared_out(table, weights, repair) for repair in proven.repairs)


def _log_weights(table: Table, proven: Proven) -> Floats:
    known = dict(zip(table.checks, table.outcomes, strict=True))
    findings = [each for each in proven.findings if each.outcome in known.get(each.check, ())]
    repairs = {each.repair for each in table.hypotheses if each.faults}
    done = (one for each in proven.repaired for one in repairs_in(each))
    repaired = [each for each in done if each in repairs]
    return posterior(table, findings, repaired).log_weights


def _shared_out(table: Table, log_weights: Floats, repair: str) -> Counts:
    """One job shared out over the faults that a repair mends."""
    mended = [
        place
        for place, each in enumerate(table.hypotheses)
        if _is_single(each) and each.repair == repair
    ]
    if not mended:
        return {}
    chosen = log_weights[mended]
    if not np.isfinite(chosen.max()):
        chosen = log_prior(table)[mended]
    weights = np.exp(chosen - chosen.max())
    shares = (weights / weights.sum()).tolist()
    faults = [table.hypotheses[place].faults[0] for place in mended]
    return _one_in_all(added({fault: share} for fault, share in zip(faults, shares, strict=True)))


def _one_in_all(shares: Counts) -> Counts:
    """Shares that add up to 1 in spite of their rounding: the largest takes the difference."""
    largest = max(shares, key=lambda fault: shares[fault])
    others = fsum(jobs for fault, jobs in shares.items() if fault != largest)
    return {**shares, largest: round(1.0 - others, DIGITS)}
