"""The main job: a furnace with any one fault is diagnosed to the right repair."""

from lightoff.engine.reasoning.diagnosis import Diagnosis
from tests.benchmarks.every_fault import diagnose, weighted


def test_every_fault_ends_on_the_right_repair_when_every_answer_is_right(diagnosis: Diagnosis):
    wrong = {
        fault.id: result.repair
        for fault in diagnosis.furnace.faults.values()
        if not (result := diagnose(diagnosis, fault)).right
    }
    assert wrong == {}


def test_ninety_five_of_a_hundred_end_right_when_three_of_a_hundred_answers_are_wrong(
    diagnosis: Diagnosis,
):
    results = [
        diagnose(diagnosis, fault, errors=0.03, seed=seed)
        for fault in diagnosis.furnace.faults.values()
        for seed in range(3)
    ]
    assert weighted(results, lambda result: float(result.right)) >= 0.95


def test_no_diagnosis_without_wrong_answers_takes_thirty_checks(diagnosis: Diagnosis):
    results = [diagnose(diagnosis, fault) for fault in diagnosis.furnace.faults.values()]
    assert max(result.checks for result in results) < 30
