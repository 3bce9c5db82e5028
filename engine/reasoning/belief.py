"""Findings -> probability of every hypothesis: exact Bayesian update in log space.

A job falls into periods. Within one, the furnace and what shows of its faults stay the
same; a new call for heat or a repair begins the next. A finding tells of its own period.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from lightoff.engine.reasoning.table import (
    Floats,
    Hypothesis,
    Table,
    after_repairs,
    coming_and_going,
    places,
    repairs_in,
)

NOT_CURED = 0.03
"""P(the furnace still fails | the repair it needs was done); from memory: a bad new part,
a repair done badly, or a second cause of the same kind."""


@dataclass(frozen=True, slots=True)
class Finding:
    """The recorded outcome of one check; `outcome` is None for "don't know"."""

    check: str
    outcome: str | None
    entered: str = ""
    """What the person typed: a word, or a reading with its unit."""
    call: int = 0
    """Calls for heat begun before it, besides the first."""
    repairs: int = 0
    """Repairs done before it."""


@dataclass(frozen=True, slots=True, eq=False)
class Period:
    """A stretch of a job in which the furnace and what shows of its faults stay the same."""

    table: Table
    """Of the furnace as it is then."""
    call: int
    repairs: int
    findings: tuple[Finding, ...]
    """Those that count, in the order they were made."""
    begins: bool = True
    """The first one: nothing came before it."""
    not_cured: Floats | None = None
    """Log factors of the repair that began it, shape (hypotheses,); None for a new call."""


@dataclass(frozen=True, slots=True, eq=False)
class Belief:
    """What is known after some findings and repairs.

    `log_weights` has shape (hypotheses,): log P(hypothesis, findings, repairs that did not
    cure), as it stands in the present call. Within a period it is summed in the order of the
    table, whatever the order of the findings. `table` is that of the furnace as it is now.
    """

    table: Table
    log_weights: Floats
    findings: tuple[Finding, ...] = ()
    repaired: tuple[str, ...] = ()
    """Repairs that were done and did not cure, in order, one by one."""
    leanings: Floats | None = None
    """Log factors from rules, shape (hypotheses,): what a model cannot compute."""
    call: int = 0
    """The present call for heat: how many were begun besides the first."""
    unrepaired: Table | None = None
    """The table of the furnace as it was found; None if that is `table`."""

    @property
    def origin(self) -> Table:
        """The table of the furnace as it was found, before any repair."""
        return self.table if self.unrepaired is None else self.unrepaired

    @property
    def asked(self) -> frozenset[str]:
        """Checks not to be asked again now.

        Those answered in this period, once answered with "don't know", or answered before
        with nothing having happened that could change the answer.
        """
        done = len(self.repaired)
        return frozenset(
            each.check
            for each in self.findings
            if each.outcome is None
            or each.check in self.table.history
            or (
                each.repairs >= done
                and (each.call >= self.call or each.check in self.table.lasting)
            )
        )

    @property
    def log_evidence(self) -> float:
        """Natural log of the probability of all findings and uncured repairs together.

        Very low means that the hypotheses do not suffice. Minus infinity: none is left.
        """
        return float(np.logaddexp.reduce(self.log_weights))

    @property
    def probabilities(self) -> Floats:
        """P(hypothesis | findings), shape (hypotheses,), sum 1.

        Raises ValueError if the table holds zeros and no hypothesis allows the findings.
        """
        top = self.log_weights.max()
        if not np.isfinite(top):
            checks = ", ".join(counted(self.findings))
            raise ValueError(f"no hypothesis of the table allows the findings on {checks}")
        weights = np.exp(self.log_weights - top)
        result: Floats = weights / weights.sum()
        return result

    def periods(self) -> tuple[Period, ...]:
        """The job so far, period by period."""
        return periods(self.origin, self.findings, self.repaired, self.call)

    @property
    def weighed(self) -> tuple[Finding, ...]:
        """The findings that count as evidence: of each check, the latest of each period."""
        return tuple(each for period in self.periods() for each in period.findings)

    def table_of(self, finding: Finding) -> Table:
        """The table of the furnace as it was when a finding was made."""
        return after_repairs(self.origin, self.repaired[: finding.repairs])

    def given(self, finding: Finding) -> Belief:
        """The belief with one more finding, made now.

        KeyError if the table lacks check or outcome.
        """
        made = replace(finding, call=self.call, repairs=len(self.repaired))
        return self.rested_on((*self.findings, made))

    def rested_on(self, findings: Iterable[Finding]) -> Belief:
        """The belief had these been all the findings."""
        return posterior(self.origin, findings, self.repaired, self.leanings, self.call)

    def after_repair(self, repair: str) -> Belief:
        """The belief when a repair was done and the furnace still fails, in a new call.

        Findings made before still count. KeyError if no hypothesis has this repair.
        """
        repaired = (*self.repaired, repair)
        return posterior(self.origin, self.findings, repaired, self.leanings, self.call + 1)

    def in_another_call(self) -> Belief:
        """The belief when the furnace is called for heat once more."""
        findings, repaired = self.findings, self.repaired
        return posterior(self.origin, findings, repaired, self.leanings, self.call + 1)

    def predicting(self, table: Table) -> Belief:
        """The same belief over other predictions of the furnace as it was found."""
        return replace(self, table=after_repairs(table, self.repaired), unrepaired=table)


def repair_class(hypothesis: Hypothesis) -> str:
    """What the hypothesis asks for: its repair, or its own id if it holds no fault."""
    return hypothesis.repair if hypothesis.faults else hypothesis.id


def prior(table: Table) -> Belief:
    """The belief before any finding."""
    return posterior(table, ())


def posterior(
    table: Table,
    findings: Iterable[Finding],
    repaired: Iterable[str] = (),
    leanings: Floats | None = None,
    call: int = 0,
) -> Belief:
    """The belief given findings, repairs that did not cure, and leanings, in a call.

    The order of findings of one period does not matter. KeyError if the table lacks a
    check, an outcome or a repair.
    """
    findings = tuple(findings)
    repaired = tuple(one for each in repaired for one in repairs_in(each))
    stretches = periods(table, findings, repaired, call)
    weights = at_first(table, leanings)
    for period in stretches:
        weights = entered(table, period, weights) + told(period, period.findings)
    last = stretches[-1]
    return Belief(last.table, weights, findings, repaired, leanings, last.call, table)


# --- findings ---------------------------------------------------------------------


def counted(findings: Iterable[Finding]) -> dict[str, Finding]:
    """Check -> the finding on it that counts, for rules and screens: the latest.

    A repeat by the same person is nearly worthless as evidence, so the latest answer
    replaces the earlier one; "don't know" replaces nothing.
    """
    return {finding.check: finding for finding in findings if finding.outcome is not None}


def in_table_order(table: Table, checks: Iterable[str]) -> list[str]:
    """The checks in the order of the table; KeyError if the table lacks one."""
    return sorted(checks, key=places(table).checks.__getitem__)


# --- periods ----------------------------------------------------------------------


def periods(
    table: Table, findings: Iterable[Finding], repaired: Sequence[str], call: int
) -> tuple[Period, ...]:
    """A job period by period; there is at least one.

    A finding that claims more repairs than were done belongs to the last of them.
    """
    findings, known = tuple(findings), places(table).checks
    if missing := [each.check for each in findings if each.check not in known]:
        raise KeyError(missing[0])
    if not repaired and not call and not any(each.call for each in findings):
        return (Period(table, 0, 0, tuple(counted(findings).values())),)
    made: dict[tuple[int, int], list[Finding]] = {}
    for each in _latest_of_lasting(table, findings):
        made.setdefault((min(each.repairs, len(repaired)), each.call), []).append(each)
    now = max([call, *(number for _, number in made)])
    found: list[Period] = []
    for done in range(len(repaired) + 1):
        calls = {number for repairs, number in made if repairs == done}
        if done == len(repaired):
            calls.add(now)
        for place, number in enumerate(sorted(calls or {0})):
            stretch = Period(
                table=after_repairs(table, tuple(repaired[:done])),
                call=number,
                repairs=done,
                findings=tuple(counted(made.get((done, number), ())).values()),
                begins=not found,
                not_cured=_not_cured(table, repaired[:done]) if done and not place else None,
            )
            found.append(stretch)
    return tuple(found)


def _latest_of_lasting(table: Table, findings: Iterable[Finding]) -> list[Finding]:
    """The findings without those made again where another call changes nothing."""
    findings = tuple(findings)
    latest = {
        (each.check, each.repairs): each
        for each in findings
        if each.check in table.lasting and each.outcome is not None
    }
    return [each for each in findings if latest.get((each.check, each.repairs), each) is each]


def at_first(table: Table, leanings: Floats | None) -> Floats:
    """Log weights before any finding, shape (hypotheses,): priors, and what rules lean to."""
    return log_prior(table) if leanings is None else log_prior(table) + leanings


def told(period: Period, findings: Iterable[Finding]) -> Floats:
    """Log P(some findings of a period | hypothesis), shape (hypotheses,)."""
    known = places(period.table)
    answers = {each.check: each.outcome for each in findings}
    rows = sorted(known.row(check, outcome) for check, outcome in answers.items())
    return np.asarray(known.logs[rows].sum(0)) if rows else np.zeros(known.logs.shape[1])


def entered(table: Table, period: Period, weights: Floats) -> Floats:
    """Log weights on entering a period, from those at the end of the one before it.

    Whether a fault that comes and goes shows is drawn anew in each call: the weights of
    the two hypotheses are put together and divided again. `table` is that of the furnace
    as it was found.
    """
    if period.begins:
        return weights
    weights = weights.copy() if period.not_cured is None else weights + period.not_cured
    both = coming_and_going(table)
    together = np.logaddexp(weights[both.showing], weights[both.hidden])
    weights[both.showing] = together + np.log(both.shows)
    weights[both.hidden] = together + np.log1p(-both.shows)
    return weights


def looked_back(table: Table, period: Period, logs: Floats) -> Floats:
    """Log P(a period and all after it | hypothesis at the end of the one before it).

    `logs` are the same of the hypothesis within the period; this is `entered` read from
    behind, so that an earlier finding can be judged by later ones.
    """
    both = coming_and_going(table)
    either = np.logaddexp(
        np.log(both.shows) + logs[both.showing], np.log1p(-both.shows) + logs[both.hidden]
    )
    logs = logs.copy()
    logs[both.showing] = logs[both.hidden] = either
    return logs if period.not_cured is None else logs + period.not_cured


# --- log factors ------------------------------------------------------------------


def log_prior(table: Table) -> Floats:
    """Log P(hypothesis), shape (hypotheses,)."""
    return _log_prior(table).copy()


@lru_cache(maxsize=16)
def _log_prior(table: Table) -> Floats:
    weights = np.array([hypothesis.prior for hypothesis in table.hypotheses])
    with np.errstate(divide="ignore"):
        return np.asarray(np.log(weights / weights.sum()))


def log_likelihood(table: Table, finding: Finding) -> Floats:
    """Log P(outcome | hypothesis), shape (hypotheses,); zeros for "don't know"."""
    if finding.outcome is None:
        return np.zeros(len(table.hypotheses))
    known = places(table)
    return np.asarray(known.logs[known.row(finding.check, finding.outcome)])


def _not_cured(table: Table, done: Sequence[str]) -> Floats:
    """Log factors of the last of some repairs; a repair told twice counts once."""
    *before, repair = done
    if repair in before:
        return np.zeros(len(table.hypotheses))
    return log_not_cured(table, repair, tuple(before))


def log_not_cured(table: Table, repair: str, before: tuple[str, ...] = ()) -> Floats:
    """Log P(still fails after the repair | hypothesis), shape (hypotheses,).

    Of two faults the other one is still there, unless it was repaired `before`. KeyError
    if no hypothesis has this repair.
    """
    asked = {repair_class(each) for each in table.hypotheses}
    if not any(repair in repairs_in(each) for each in asked):
        raise KeyError(repair)
    now = after_repairs(table, before).hypotheses
    needs = np.array([repair_class(each) == repair for each in now])
    return np.where(needs, np.log(NOT_CURED), 0.0)
