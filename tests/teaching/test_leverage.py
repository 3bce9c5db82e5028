"""What it costs not to choose the checks."""

import pytest

from lightoff.engine.library import scenarios
from lightoff.engine.reasoning.diagnosis import Diagnosis
from lightoff.engine.teaching.check import check_scenario
from lightoff.engine.teaching.leverage import down_the_sequence
from tests.conftest import FURNACE
from tests.scenario_text import cold_gym


@pytest.fixture(scope="module")
def diagnosis(knowledge):
    return Diagnosis.of(knowledge, FURNACE)


def checked(tmp_path, knowledge, diagnosis, *changes):
    scenario, _ = scenarios.read_scenario(cold_gym(tmp_path, *changes), knowledge)
    return check_scenario(scenario, diagnosis).difficulty


def test_not_choosing_costs_more_than_the_program(tmp_path, knowledge, diagnosis):
    found = checked(tmp_path, knowledge, diagnosis)
    assert found.unchosen > found.own > 0.0
    assert found.leverage == pytest.approx(found.unchosen / found.own - 1.0)


def test_two_faults_cost_more_than_one(tmp_path, knowledge, diagnosis):
    one = checked(tmp_path, knowledge, diagnosis)
    second = ("fault: flame-sensor.coated", "fault: flame-sensor.coated\n  - fault: filter.plugged")
    two = checked(tmp_path, knowledge, diagnosis, second, ("90", "300"))
    assert two.unchosen > one.unchosen


def test_it_is_the_same_every_time(tmp_path, knowledge, diagnosis):
    assert checked(tmp_path, knowledge, diagnosis) == checked(tmp_path, knowledge, diagnosis)


def test_the_walk_goes_down_the_sequence(diagnosis):
    order = down_the_sequence(diagnosis.furnace, diagnosis)
    path = diagnosis.furnace.sequence.path
    steps = [diagnosis.checks[each].entry.reads.during for each in order]
    places = [path.index(step) for step in steps if step in path]
    assert places == sorted(places)
    assert set(order) == set(diagnosis.checks)
