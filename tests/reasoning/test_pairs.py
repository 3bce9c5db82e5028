"""Pairs of faults: which there are, what they show, and when they are reckoned with."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lightoff.engine.machine import probe
from lightoff.engine.machine.plan import Machine, Plan
from lightoff.engine.machine.simulate import ChatterError, simulate
from lightoff.engine.reasoning import pairs as pairs_module
from lightoff.engine.reasoning.belief import Finding, posterior, prior
from lightoff.engine.reasoning.diagnosis import SimulatedFurnace
from lightoff.engine.reasoning.job import JobState
from lightoff.engine.reasoning.pairs import (
    CANNOT_MATTER,
    MOST_HYPOTHESES,
    NEGLIGIBLE,
    PAIR_SHARE,
    Pairs,
    hopes,
)
from lightoff.engine.reasoning.prediction import misread, outcome_chances
from lightoff.engine.reasoning.suspects import suspects_of
from lightoff.engine.reasoning.table import repairs_in
from tests.benchmarks.pairs import by_ec2, diagnose, interacting_pairs

HIDING = ("inducer.seized", "igniter.open")
"""With the inducer seized the igniter is never switched on."""
STANDS = ("inducer-turns-on-call", "inducer-noise", "inducer-shaft-by-hand")
BOTH = (*STANDS, "ohms-of-igniter", "igniter-look")


@pytest.fixture(scope="module")
def pairs(diagnosis):
    return Pairs(diagnosis.furnace, diagnosis.checks, diagnosis.table)


def seen_by(diagnosis, faults, checks):
    """Findings of a furnace with these faults on some checks."""
    furnace = SimulatedFurnace(
        diagnosis.furnace, [diagnosis.furnace.faults[fault] for fault in faults]
    )
    return tuple(furnace.answer(diagnosis.checks[check]) for check in checks)


def singles_of(diagnosis, findings, repaired=()):
    return posterior(diagnosis.table, findings, repaired)


# --- which pairs ------------------------------------------------------------------


def test_two_faults_that_change_the_same_value_are_no_pair(diagnosis, pairs):
    faults = diagnosis.furnace.faults
    names = [each.faults for each in diagnosis.table.hypotheses]
    of = pairs.candidates
    listed = {(names[a][0], names[b][0]) for a, b in zip(of.first, of.second, strict=True)}
    assert len(listed) == len(of.first)
    for one in faults.values():
        for other in faults.values():
            if one.id < other.id:
                apart = one.overrides.keys().isdisjoint(other.overrides)
                assert apart == bool({(one.id, other.id), (other.id, one.id)} & listed)


def test_all_pairs_together_have_a_stated_share_whatever_is_simulated(diagnosis, pairs):
    alone = sum(each.prior for each in diagnosis.table.hypotheses)
    together = np.exp(pairs.candidates.log_prior).sum()
    assert together / (alone + together) == pytest.approx(PAIR_SHARE)
    few, more = (
        pairs.table(prior(diagnosis.table)),
        pairs.table(singles_of(diagnosis, seen_by(diagnosis, HIDING, ["inducer-turns-on-call"]))),
    )
    priors = {each.id: each.prior for each in few.hypotheses}
    common = [each for each in more.hypotheses if each.id in priors]
    assert len(common) > len(diagnosis.table.hypotheses)
    assert all(each.prior == priors[each.id] for each in common)


def test_the_prior_of_a_pair_goes_with_the_product_of_both(diagnosis, pairs):
    of = pairs.candidates
    priors = np.array([each.prior for each in diagnosis.table.hypotheses])
    ratio = np.exp(of.log_prior) / (priors[of.first] * priors[of.second])
    np.testing.assert_allclose(ratio, ratio[0])


# --- what they show ---------------------------------------------------------------


def test_the_table_with_pairs_begins_with_the_single_faults_unchanged(diagnosis, pairs):
    table, alone = pairs.table(prior(diagnosis.table)), diagnosis.table
    count = len(alone.hypotheses)
    assert table.hypotheses[:count] == alone.hypotheses
    assert np.array_equal(table.likelihood[:, :count], alone.likelihood)
    assert count < len(table.hypotheses) <= MOST_HYPOTHESES
    assert all(len(each.faults) == 2 for each in table.hypotheses[count:])
    np.testing.assert_allclose(np.add.reduceat(table.likelihood, table.start[:-1]), 1.0)


@settings(max_examples=8, deadline=None)
@given(st.data())
def test_the_column_of_a_pair_is_a_simulation_with_both_faults(diagnosis, pairs, data):
    table = pairs.table(prior(diagnosis.table))
    column = data.draw(st.integers(len(diagnosis.table.hypotheses), len(table.hypotheses) - 1))
    overrides = {}
    for fault in table.hypotheses[column].faults:
        overrides |= diagnosis.furnace.faults[fault].overrides
    for check in data.draw(st.lists(st.sampled_from(list(diagnosis.checks.values())), max_size=6)):
        if check.entry.reads.told:
            continue
        machine = Machine(Plan(diagnosis.furnace), {**overrides, **check.trying})
        reading = probe.read(simulate(machine), check.entry.reads)
        expected = misread(check, outcome_chances(check, [reading]))[:, 0]
        np.testing.assert_allclose(table.likelihood[table.rows(check.id), column], expected)


def test_one_fault_may_hide_the_other_which_no_product_of_both_would_say(diagnosis, pairs):
    table = pairs.table(singles_of(diagnosis, seen_by(diagnosis, HIDING, BOTH)))
    (pair,) = [n for n, each in enumerate(table.hypotheses) if set(each.faults) == set(HIDING)]
    alone = [n for n, each in enumerate(table.hypotheses) if each.faults == ("inducer.seized",)]
    rows = table.rows("igniter-glow")
    np.testing.assert_allclose(table.likelihood[rows, pair], table.likelihood[rows, alone[0]])


def test_a_pair_that_never_settles_is_left_out_and_hides_no_other(diagnosis, monkeypatch):
    wild = Pairs(diagnosis.furnace, diagnosis.checks, diagnosis.table)
    real = pairs_module.columns_of

    def chatters(checks, furnaces, traces):
        if any(("inducer", "speed") in each or len(each) > 3 for each in furnaces):
            raise ChatterError("contacts chatter")
        return real(checks, furnaces, traces)

    monkeypatch.setattr(pairs_module, "columns_of", chatters)
    table = wild.table(prior(diagnosis.table))
    kept = [each for each in table.hypotheses if len(each.faults) == 2]
    assert kept
    for each in kept:
        changed = [diagnosis.furnace.faults[fault].overrides for fault in each.faults]
        assert sum(map(len, changed)) <= 3


def test_repairs_of_a_pair_stand_in_one_order_and_a_shared_one_once(diagnosis, pairs):
    table = pairs.table(prior(diagnosis.table))
    order = [each.repair for each in diagnosis.table.hypotheses]
    for each in table.hypotheses:
        repairs = repairs_in(each.repair)
        assert len(set(repairs)) == len(repairs) <= 2
        assert sorted(repairs, key=order.index) == list(repairs)


# --- best first -------------------------------------------------------------------


def test_a_pair_that_was_not_simulated_could_not_have_mattered(diagnosis):
    pairs = Pairs(diagnosis.furnace, diagnosis.checks, diagnosis.table)
    known = singles_of(diagnosis, seen_by(diagnosis, HIDING, STANDS))
    pairs.table(known)
    hoped = hopes(known, pairs.candidates)
    left = [hope for pair, hope in enumerate(hoped) if pair not in pairs._columns]
    best = known.log_weights.max() - known.log_evidence
    assert max(left) < best + np.log(CANNOT_MATTER)


def test_what_is_left_out_of_the_table_is_negligible(diagnosis):
    pairs = Pairs(diagnosis.furnace, diagnosis.checks, diagnosis.table)
    known = singles_of(diagnosis, seen_by(diagnosis, HIDING, ["inducer-turns-on-call"]))
    kept = pairs.table(known)
    every = pairs._with(sorted(pairs._columns))
    names = {each.id for each in kept.hypotheses}
    lost = sum(
        share
        for each, share in zip(
            every.hypotheses, posterior(every, known.findings).probabilities, strict=True
        )
        if each.id not in names
    )
    assert 0.0 <= lost <= NEGLIGIBLE


def test_with_no_time_left_there_are_only_single_faults(diagnosis):
    pairs = Pairs(diagnosis.furnace, diagnosis.checks, diagnosis.table)
    table = pairs.table(prior(diagnosis.table), seconds=-1.0)
    assert table.hypotheses == diagnosis.table.hypotheses


# --- in a job ---------------------------------------------------------------------


def job_with(diagnosis, findings, **fields):
    return JobState(diagnosis.furnace.id, "", "", findings=tuple(findings), **fields)


def has_pairs(diagnosis, job):
    return any(len(each.faults) == 2 for each in suspects_of(diagnosis.belief(job)))


def test_findings_that_one_fault_explains_bring_no_pairs_unless_asked_for(diagnosis):
    job = job_with(diagnosis, seen_by(diagnosis, HIDING[:1], BOTH))
    assert not has_pairs(diagnosis, job)
    assert has_pairs(diagnosis, replace(job, two_faults=True))
    assert has_pairs(diagnosis.with_pairs(), job)


def test_findings_that_need_two_faults_bring_pairs_by_themselves(diagnosis):
    first = suspects_of(diagnosis.belief(job_with(diagnosis, seen_by(diagnosis, HIDING, BOTH))))[0]
    assert first.id == "+".join(HIDING)
    assert first.repair == "replace-inducer+replace-igniter"
    assert first.probability > 0.5


def test_after_a_repair_in_vain_the_other_fault_of_a_pair_is_a_suspect(diagnosis):
    job = job_with(
        diagnosis,
        seen_by(diagnosis, HIDING, STANDS),
        repaired=("replace-inducer",),
        call=1,
    )
    belief = diagnosis.belief(job)
    assert {len(each.faults) for each in belief.origin.hypotheses} == {0, 1, 2}
    assert all(
        each.repair == "replace-inducer"
        for each in belief.table.hypotheses
        if "inducer.seized" in each.faults
    )
    later = seen_by(diagnosis, HIDING[1:], ["inducer-turns-on-call", *BOTH[-2:]])
    found = [replace(each, call=1, repairs=1) for each in later]
    suspects = suspects_of(diagnosis.belief(replace(job, findings=(*job.findings, *found))))
    assert suspects[0].id == HIDING[1]


def test_taking_back_a_finding_brings_back_the_belief_before_it(diagnosis):
    findings = seen_by(diagnosis, HIDING, BOTH)
    before = diagnosis.belief(job_with(diagnosis, findings[:2])).probabilities
    diagnosis.belief(job_with(diagnosis, findings))
    assert np.array_equal(diagnosis.belief(job_with(diagnosis, findings[:2])).probabilities, before)


def test_unknown_answers_count_for_nothing_with_pairs_either(diagnosis):
    job = job_with(diagnosis, [Finding("igniter-look", None)], two_faults=True)
    assert np.allclose(
        diagnosis.belief(job).probabilities,
        diagnosis.belief(job_with(diagnosis, [], two_faults=True)).probabilities,
    )


# --- against the simulated furnace ------------------------------------------------


@pytest.fixture(scope="module")
def diagnosed(diagnosis):
    """Random pairs that interact, with every answer read right."""
    choose = by_ec2(diagnosis)
    drawn = interacting_pairs(diagnosis, 20, seed=1)
    return [diagnose(diagnosis, pair, choose=choose) for pair in drawn]


def test_nine_of_ten_pairs_that_interact_end_on_the_right_set_of_repairs(diagnosed):
    ended = [each for each in diagnosed if not each.stopped]
    assert len(ended) > 15
    assert sum(each.right for each in ended) >= 0.9 * len(ended)


def test_first_suspects_of_more_than_ninety_in_a_hundred_are_right_as_often(diagnosed):
    sure = [right for each in diagnosed for share, right in each.said if share > 0.9]
    assert len(sure) > 20
    assert sum(sure) >= 0.9 * len(sure)
