"""The main job: a furnace with any one fault is diagnosed to the right repair."""

import pytest

from lightoff.engine import library
from lightoff.engine.model import Knowledge
from lightoff.engine.reasoning.diagnosis import Diagnosis
from lightoff.engine.reasoning.study.outcome import Outcome
from tests.benchmarks.every_fault import diagnose, weighted


@pytest.fixture(scope="module", params=list(library.load().furnaces))
def diagnosis(request: pytest.FixtureRequest, knowledge: Knowledge) -> Diagnosis:
    return Diagnosis.of(knowledge, request.param)


@pytest.fixture(scope="module")
def read_right(diagnosis: Diagnosis) -> list[Outcome]:
    """Every fault, with every answer read right."""
    return [diagnose(diagnosis, fault) for fault in diagnosis.furnace.faults.values()]


def test_every_fault_ends_on_the_right_repair_when_every_answer_is_right(
    read_right: list[Outcome],
):
    assert [each for each in read_right if not each.right] == []


def test_only_a_furnace_that_makes_carbon_monoxide_stops_the_work(read_right: list[Outcome]):
    # Under it some check shows carbon monoxide or flame outside; nothing else may stop the work.
    for each in read_right:
        if each.stopped:
            assert each.stopped == ("carbon-monoxide",), each.task


def test_ninety_five_of_a_hundred_end_right_when_three_of_a_hundred_answers_are_wrong(
    diagnosis: Diagnosis,
):
    outcomes = [
        diagnose(diagnosis, fault, errors=0.03) for fault in diagnosis.furnace.faults.values()
    ]
    assert weighted(diagnosis, outcomes, lambda each: float(each.right)) >= 0.95


def test_no_diagnosis_without_wrong_answers_takes_thirty_checks(read_right: list[Outcome]):
    assert max(len(each.checks) for each in read_right) < 30
