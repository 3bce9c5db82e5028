"""The first furnace ready to be diagnosed, made once for a whole test run."""

import pytest

from lightoff.engine.model import Knowledge
from lightoff.engine.reasoning.diagnosis import Diagnosis


@pytest.fixture(scope="session")
def diagnosis(knowledge: Knowledge) -> Diagnosis:
    return Diagnosis.of(knowledge, "two-pipe-condensing")
