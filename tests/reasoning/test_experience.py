"""Closed jobs and how often faults occur: priors, and what a job adds."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from lightoff.engine.reasoning.belief import Finding, log_prior, posterior
from lightoff.engine.reasoning.diagnosis import Diagnosis
from lightoff.engine.reasoning.experience import (
    PRIOR_JOBS,
    Experience,
    Proven,
    added,
    credited,
    shares_after,
    shares_of,
    with_experience,
)
from lightoff.engine.reasoning.job import Started
from lightoff.engine.reasoning.suspects import suspects_of
from lightoff.engine.reasoning.table import Hypothesis
from tests.reasoning.tables import binary, hypotheses, table, tables

FURNACE = "two-pipe-condensing"
T = "2026-01-02T10:11:12+00:00"
START = Started(time=T, furnace=FURNACE, version="0.0.1")


def whole_table():
    """No fault, something else, one steady fault, one that comes and goes, all with priors."""
    kinds = (
        Hypothesis("no-fault", (), "no-repair", 0.04),
        Hypothesis("something-else", (), "refer", 0.02),
        Hypothesis("a", ("a",), "mend-a", 0.47),
        Hypothesis("b", ("b",), "mend-b", 0.282),
        Hypothesis("b (not showing)", ("b",), "mend-b", 0.188, showing=False),
    )
    return table(kinds, {"look": binary([0.5, 0.5, 0.9, 0.1, 0.5])})


counts_of = st.lists(st.integers(0, 40) | st.floats(0.001, 40), min_size=8, max_size=8)


def counted(of, jobs):
    """Counts for the faults of a table from a list of figures."""
    return {each.faults[0]: float(n) for each, n in zip(of.hypotheses, jobs, strict=False)}


# --- priors -----------------------------------------------------------------------------


def test_without_a_job_the_table_is_the_very_same():
    of = whole_table()
    assert with_experience(of, {}) is of
    assert with_experience(of, {"a": 0.0}) is of


def test_as_many_jobs_as_the_shipped_weights_are_worth_count_half():
    now = shares_of(with_experience(whole_table(), {"b": PRIOR_JOBS}))
    assert now["a"] == pytest.approx(0.47 / 2)
    assert now["b"] == pytest.approx(0.47 / 2 + 0.94 / 2)


def test_no_fault_and_something_else_keep_their_shares_and_a_fault_its_proportion():
    now = {each.id: each.prior for each in with_experience(whole_table(), {"b": 7.0}).hypotheses}
    assert (now["no-fault"], now["something-else"]) == (0.04, 0.02)
    assert now["b"] / now["b (not showing)"] == pytest.approx(0.282 / 0.188)


@given(tables(), counts_of)
def test_the_sum_of_all_shares_is_kept(of, jobs):
    now = with_experience(of, counted(of, jobs))
    before = sum(each.prior for each in of.hypotheses)
    assert sum(each.prior for each in now.hypotheses) == pytest.approx(before, rel=1e-12)


@given(tables(), counts_of, st.integers(0, 7), st.floats(0.01, 100))
def test_more_jobs_of_a_fault_raise_it_and_lower_the_rest(of, jobs, which, more):
    counts = counted(of, jobs)
    fault = list(counts)[which % len(counts)]
    before = shares_after(shares_of(of), counts)
    now = shares_after(shares_of(of), {**counts, fault: counts[fault] + more})
    assert now[fault] > before[fault]
    assert all(now[each] < before[each] for each in now if each != fault)


@given(
    st.lists(st.dictionaries(st.sampled_from("abcd"), st.floats(0, 9)), max_size=6), st.randoms()
)
def test_the_order_of_jobs_does_not_matter(each_adds, chance):
    other = list(each_adds)
    chance.shuffle(other)
    assert added(each_adds) == added(other)


def test_a_fault_that_the_table_lacks_is_refused():
    with pytest.raises(KeyError):
        with_experience(whole_table(), {"c": 1.0})


def test_what_a_fault_would_show_stays_as_it_was():
    of = whole_table()
    assert with_experience(of, {"a": 3.0}).likelihood is of.likelihood


# --- what a job adds --------------------------------------------------------------------


def shared_repair():
    """Two faults with one repair, told apart by a look; a third with its own."""
    return table(hypotheses(["r", "r", "s"], [3.0, 1.0, 4.0]), {"look": binary([0.2, 0.8, 0.5])})


def job(*repairs, **known):
    return Proven("job-0001", "f", repairs, **known)


def test_a_repair_of_one_fault_adds_one_job_to_it():
    assert credited(shared_repair(), job("s")) == {"h2": 1.0}


def test_a_repair_of_several_faults_is_shared_out_by_what_was_found():
    of, findings = shared_repair(), (Finding("look", "a"),)
    shares = np.exp(posterior(of, findings).log_weights)[:2]
    expected = shares / shares.sum()
    adds = credited(of, job("r", findings=findings))
    assert adds == {"h0": round(expected[0], 3), "h1": round(expected[1], 3)}


def test_without_findings_that_can_be_weighed_it_is_shared_out_by_prior():
    unknown = (Finding("crystal-ball", "red"), Finding("look", "purple"), Finding("look", None))
    for findings in ((), unknown):
        assert credited(shared_repair(), job("r", findings=findings)) == {"h0": 0.75, "h1": 0.25}


def test_findings_that_no_fault_of_the_repair_allows_leave_the_priors():
    of = table(hypotheses(["r", "r", "s"], [3.0, 1.0, 4.0]), {"look": binary([0.0, 0.0, 1.0])})
    assert credited(of, job("r", findings=(Finding("look", "a"),))) == {"h0": 0.75, "h1": 0.25}


def test_two_repairs_count_for_both():
    adds = credited(shared_repair(), job("r", "s"))
    assert adds["h2"] == 1.0
    assert adds["h0"] + adds["h1"] == pytest.approx(1.0)


def test_a_repair_that_mends_nothing_in_the_table_adds_nothing():
    assert credited(shared_repair(), job("pray", repaired=("pray",))) == {}


@given(tables(), st.integers(0, 7), st.booleans())
def test_every_repair_adds_one_job_whatever_was_found(of, which, found):
    repair = of.hypotheses[which % len(of.hypotheses)].repair
    findings = (Finding(of.checks[0], "a"),) if found else ()
    assert sum(credited(of, job(repair, findings=findings)).values()) == pytest.approx(1.0)


def test_a_diagnosis_holds_the_fault_of_many_jobs_likelier(knowledge, diagnosis):
    own = tuple(Proven(f"job-{n:04d}", FURNACE, ("replace-igniter",)) for n in range(1, 21))
    after = Diagnosis.of(knowledge, FURNACE, Experience(own))
    find = (Finding("status-light-after-call", "ignition"),)

    def igniter(of):
        return {each.id: each.probability for each in suspects_of(posterior(of.table, find))}[
            "igniter.open"
        ]

    assert igniter(after) > igniter(diagnosis) + 0.05
    assert np.exp(log_prior(after.table)).sum() == pytest.approx(1.0)


def test_jobs_on_another_furnace_change_nothing(knowledge, diagnosis):
    other = Experience((Proven("job-0001", "steam-engine", ("replace-igniter",)),))
    assert other.on(FURNACE, diagnosis.table) is diagnosis.table
    assert (other.jobs(FURNACE), other.jobs()) == ((0, 0), (1, 0))
