"""A job at the prompt, on arrival and at its first measuring; studies with outcomes made up."""

from contextlib import nullcontext

import msgspec
import pytest

from lightoff.cli import study_places
from lightoff.cli.interview import begin
from lightoff.cli.job_state import Diagnoses
from lightoff.cli.study_places import Opened, Place
from lightoff.engine.reasoning.diagnosis import Diagnosis
from lightoff.engine.reasoning.job import Started
from lightoff.engine.reasoning.study import work
from lightoff.engine.reasoning.study.tasks import Task
from tests.cli.studies import AtOnce, made_up
from tests.cli.talk import FURNACE, NOW, told, typed


@pytest.fixture(autouse=True)
def usual_furnace(monkeypatch):
    """The furnace of commands that name none, as a shop with one type would have it."""
    monkeypatch.setenv("LIGHTOFF_FURNACE", FURNACE)


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


@pytest.fixture
def made_up_studies(monkeypatch):
    """A study in this process, with outcomes made up."""
    opened = Opened(AtOnce(), ahead=2, piece=1)
    monkeypatch.setattr(study_places, "place_for", lambda *_: Place(lambda: nullcontext(opened)))
    monkeypatch.setattr(work, "outcome_of", made_up)
    monkeypatch.setattr(work, "_diagnosis", lambda furnace: None)


@pytest.fixture
def older_outcomes(made_up_studies, monkeypatch, tmp_path):
    """A file of outcomes of older knowledge, in which igniter.aged was wrong."""
    out = tmp_path / "before.jsonl"
    old = msgspec.structs.replace(work.stamp_now(), knowledge="older", version="0.0.1")

    def earlier(diagnosis, task, stamp):
        return made_up(diagnosis, task, old, wrong=("igniter.aged",), checks=5)

    out.write_bytes(
        b"".join(
            msgspec.json.encode(earlier(None, Task(furnace=FURNACE, faults=(fault,)), None)) + b"\n"
            for fault in ("igniter.open", "igniter.aged")
        )
    )
    return out
