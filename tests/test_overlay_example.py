"""A seventh furnace in text files alone, as `knowledge/README.md` teaches it: it is checked,
it heats within its plate, and it is diagnosed. Furnace and figures are invented."""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner

from lightoff.cli.main import lightoff
from lightoff.engine.library import load_over
from lightoff.engine.machine.combustion import FUELS
from lightoff.engine.machine.plan import Machine, Plan
from lightoff.engine.machine.probe import at
from lightoff.engine.machine.simulate import simulate
from lightoff.engine.machine.trace import SATISFIED
from lightoff.engine.model import Knowledge
from lightoff.engine.reasoning.diagnosis import Diagnosis
from tests.benchmarks.every_fault import diagnose

FOLDER = Path(__file__).parent / "overlay_example"
FURNACE = "granary-unit"


@pytest.fixture(scope="module")
def known() -> Knowledge:
    return load_over(FOLDER)


@pytest.fixture(scope="module")
def diagnosis(known: Knowledge) -> Diagnosis:
    return Diagnosis.of(known, FURNACE)


def test_the_check_of_knowledge_finds_no_mistake_and_no_weakness() -> None:
    found = CliRunner().invoke(lightoff, ["knowledge", "check", "--knowledge", str(FOLDER)])
    assert found.exit_code == 0, found.output
    assert f"furnace {FURNACE}" in " ".join(found.stdout.split())


def test_a_sound_call_goes_to_its_end_within_the_plate(known: Knowledge) -> None:
    furnace = known.furnaces[FURNACE]
    trace = simulate(Machine(Plan(furnace)))
    heating = at(trace, "heating")
    assert trace.stalls_in() == SATISFIED
    assert heating is not None
    read = {
        "input": heating.segment.steady.gas.flow * FUELS[furnace.entry.gas].heating_value,
        "temperature-rise": heating.temperature("rise"),
        "manifold": heating.pressure("MANIFOLD", "ROOM"),
        "inlet": heating.pressure("INLET", "ROOM"),
        "external-static": heating.pressure("SUPPLY", "RETURN"),
    }
    assert furnace.plate.keys() == read.keys()
    for name, value in read.items():
        lowest, highest = furnace.plate[name]
        assert lowest <= value <= highest, name


@pytest.mark.parametrize("fault", ["igniter.open", "flame-sensor.coated", "filter.plugged"])
def test_a_fault_of_it_is_diagnosed_to_the_right_repair(diagnosis: Diagnosis, fault: str) -> None:
    assert diagnose(diagnosis, diagnosis.furnace.faults[fault]).right


def test_the_legend_of_its_own_label_stands_beside_the_answers(known: Knowledge) -> None:
    assert known.furnaces[FURNACE].entry.legend["two and a pause"] == "draft"
