"""Scenarios that the program makes up: sound, repeatable, from the areas asked for."""

import pytest

from lightoff.engine.reasoning.diagnosis import Diagnosis
from lightoff.engine.teaching import made_up
from lightoff.engine.teaching.check import check_scenario
from lightoff.engine.teaching.made_up import NothingFitsError, make_up
from tests.conftest import FURNACE


@pytest.fixture(scope="module")
def diagnosis(knowledge):
    return Diagnosis.of(knowledge, FURNACE)


@pytest.mark.parametrize("seed", [1, 2])
def test_what_is_made_up_passes_the_check(diagnosis, seed):
    scenario, raw = make_up(diagnosis, seed, "second-year", ["ignition"])
    assert check_scenario(scenario, diagnosis).is_sound
    part = diagnosis.furnace.parts[scenario.faults[0].part]
    assert part.entry.area == "ignition"
    assert b"source: invented" in raw


def test_the_same_seed_makes_the_same(diagnosis):
    assert make_up(diagnosis, 3, "first-year") == make_up(diagnosis, 3, "first-year")


def test_nothing_told_before_the_work_names_the_part(diagnosis):
    scenario, _ = make_up(diagnosis, 4, "first-year")
    name = diagnosis.furnace.parts[scenario.faults[0].part].entry.name.lower()
    entry = scenario.entry
    told = f"{entry.title} {entry.setting} {entry.complaint}".lower()
    assert name not in told


def test_where_no_fault_is_noticed_nothing_is_made_up(diagnosis, monkeypatch):
    monkeypatch.setattr(made_up, "_noticed", lambda _: [])
    with pytest.raises(NothingFitsError, match="another seed"):
        make_up(diagnosis, 1, "first-year")
