"""Findings that fit no suspect, on small tables and on the simulated furnace."""

import random
from dataclasses import replace

import pytest

from lightoff.engine.reasoning.belief import Finding, counted, posterior, prior
from lightoff.engine.reasoning.diagnosis import SimulatedFurnace
from lightoff.engine.reasoning.job import JobState
from lightoff.engine.reasoning.planning.repairing import repair_probabilities
from lightoff.engine.reasoning.second_look import (
    OTHERWISE,
    UNEXPECTED,
    misfits,
    sufficiency,
)
from lightoff.engine.reasoning.table import Hypothesis
from tests.reasoning.tables import binary, hypotheses, table

PATTERN = table(
    hypotheses(["x", "y", "z"], [10, 10, 1]),
    {
        "one": binary([0.98, 0.02, 0.02]),
        "two": binary([0.98, 0.02, 0.02]),
        "three": binary([0.98, 0.02, 0.02]),
        "rare": binary([0.01, 0.01, 0.99]),
    },
)
THREE = [Finding("one", "a"), Finding("two", "a"), Finding("three", "a")]


def test_a_finding_against_all_the_others_is_a_misfit():
    (misfit,) = misfits(posterior(PATTERN, [*THREE, Finding("rare", "a")]))
    assert misfit.finding == Finding("rare", "a")
    assert misfit.chance == pytest.approx(0.01, abs=0.001)
    assert (misfit.expected, misfit.expected_chance) == ("b", pytest.approx(0.99, abs=0.001))
    first = misfit.would_show[0]
    assert (first.suspect.id, first.outcome) == ("h0", "b")
    assert first.chance == pytest.approx(0.99)


def test_a_rare_fault_that_explains_the_finding_is_no_misfit():
    belief = posterior(PATTERN, [Finding("rare", "a")])
    assert belief.probabilities[2] > 0.5
    assert misfits(belief) == ()


def test_findings_that_agree_and_none_at_all_hold_no_misfit():
    assert misfits(posterior(PATTERN, THREE)) == ()
    assert misfits(prior(PATTERN)) == ()
    assert misfits(posterior(PATTERN, [Finding("one", None)])) == ()


def test_the_latest_answer_to_a_check_is_looked_at():
    belief = posterior(PATTERN, [*THREE, Finding("rare", "a"), Finding("rare", "b")])
    assert misfits(belief) == ()


def test_misfits_come_with_the_least_expected_first_and_within_the_limits():
    odd = [Finding("rare", "a"), Finding("three", "b")]
    found = misfits(posterior(PATTERN, [*THREE[:2], *odd]))
    chances = [misfit.chance for misfit in found]
    assert chances == sorted(chances)
    assert all(each.chance < UNEXPECTED for each in found)
    assert all(each.chance * OTHERWISE < each.expected_chance for each in found)


# --- all findings together --------------------------------------------------------


def test_findings_as_they_should_be_suffice():
    told = sufficiency(posterior(PATTERN, [*THREE, Finding("rare", "b")]))
    assert told.suffices
    assert told.surprise < 0.0
    assert told.something_else == 0.0


def test_findings_that_no_hypothesis_explains_do_not_suffice():
    odd = [Finding("one", "a"), Finding("two", "b"), Finding("three", "a"), Finding("rare", "a")]
    assert not sufficiency(posterior(PATTERN, odd)).suffices


def test_a_fault_not_known_here_may_be_the_better_explanation():
    kinds = (*PATTERN.hypotheses[:1], Hypothesis("something-else", (), "refer", 0.02))
    checks = {f"c{number}": binary([0.99, 0.5]) for number in range(6)}
    belief = posterior(table(kinds, checks), [Finding(check, "b") for check in checks])
    assert sufficiency(belief).something_else > 0.9
    assert not sufficiency(belief).suffices


def test_bits_per_finding_are_the_surprise_of_all_of_them():
    even = table(hypotheses(["x", "y"], [1, 1]), {"coin": binary([0.5, 0.5])})
    assert sufficiency(prior(even)).bits_per_finding == pytest.approx(0.0, abs=1e-12)
    told = sufficiency(prior(even).given(Finding("coin", "a")))
    assert told.bits_per_finding == pytest.approx(1.0)
    assert told.surprise == 0.0


# --- on the simulated furnace -----------------------------------------------------


def diagnosed(diagnosis, fault, chance, wrong=()):
    """The job up to the first repair advised; which checks were answered wrongly."""
    furnace, misread = SimulatedFurnace(diagnosis.furnace, [fault]), []
    job = JobState(diagnosis.furnace.id, "", "")
    while (decision := diagnosis.decide(diagnosis.belief(job), job)).kind == "check":
        check = diagnosis.checks[decision.check]
        finding = furnace.answer(check)
        if finding.outcome is not None and len(counted(job.findings)) in wrong:
            others = [each.id for each in check.outcomes if each.id != finding.outcome]
            finding = Finding(check.id, chance.choice(others), "misread")
            misread.append(check.id)
        job = replace(
            job,
            findings=(*job.findings, finding),
            checks_done=(*job.checks_done, check.id),
        )
    return job, misread


def every_third_fault(diagnosis):
    return list(diagnosis.furnace.faults.values())[::3]


def test_under_five_in_a_hundred_right_answers_are_called_misfits_at_any_time(diagnosis):
    chance, answers, called = random.Random(1), 0, 0
    for fault in every_third_fault(diagnosis):
        job, _ = diagnosed(diagnosis, fault, chance)
        answers += len(counted(job.findings))
        ever = {
            misfit.finding.check
            for number in range(1, len(job.findings) + 1)
            for misfit in misfits(posterior(diagnosis.table, job.findings[:number]))
        }
        called += len(ever)
        assert sufficiency(diagnosis.belief(job)).suffices
    print(f"right answers called misfits: {called} of {answers}")
    assert called < 0.05 * answers


def test_a_wrong_answer_that_the_others_contradict_is_called_a_misfit(diagnosis):
    chance, contradicted, called, blamed = random.Random(2), 0, 0, 0
    for fault in every_third_fault(diagnosis):
        job, misread = diagnosed(diagnosis, fault, chance, wrong=(chance.randrange(5),))
        others = [each for each in job.findings if each.check not in misread]
        leading = next(iter(repair_probabilities(posterior(diagnosis.table, others))))
        if not misread or leading != fault.repair:
            continue
        found = {misfit.finding.check for misfit in misfits(diagnosis.belief(job))}
        contradicted += 1
        called += misread[0] in found
        blamed += bool(found - set(misread))
    print(f"wrong answers called misfits: {called} of {contradicted}; right ones too: {blamed}")
    assert contradicted > 20
    assert called >= 0.7 * contradicted


def test_with_three_wrong_answers_most_jobs_are_told_not_to_be_explained(diagnosis):
    chance = random.Random(3)
    faults = every_third_fault(diagnosis)
    jobs = [diagnosed(diagnosis, fault, chance, wrong=(2, 4, 5)) for fault in faults]
    told = [not sufficiency(diagnosis.belief(job)).suffices for job, _ in jobs]
    print(f"jobs with three wrong answers not explained: {sum(told)} of {len(told)}")
    assert sum(told) >= 0.5 * len(told)
