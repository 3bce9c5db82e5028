"""A job at the prompt: on arrival, and at its first measuring."""

import pytest

from lightoff.cli.interview import begin
from lightoff.cli.job_state import Diagnoses
from lightoff.engine.reasoning.diagnosis import Diagnosis
from lightoff.engine.reasoning.job import Started
from tests.cli.talk import FURNACE, NOW, told, typed


@pytest.fixture(scope="module")
def diagnosis(knowledge):
    return Diagnosis.of(knowledge, FURNACE)


@pytest.fixture(scope="module")
def diagnoses(knowledge, diagnosis):
    return Diagnoses(knowledge, lambda _: diagnosis)


@pytest.fixture
def arrived(diagnoses):
    state, _, _ = begin(diagnoses, (Started(time=NOW, furnace=FURNACE, version="0"),))
    return state


@pytest.fixture
def start(arrived):
    """A job at its first measuring: no danger, the interview skipped, nothing scorched."""
    state, _, _ = typed(arrived, "n", "i")
    while told(state):
        state, _, _ = typed(state, "2")
    return state
