"""What the checks of a furnace cannot see or tell apart is found, and told if accepted."""

import dataclasses

import msgspec
import numpy as np

from lightoff.engine.entries.furnaces import AcceptedEntry
from lightoff.engine.reasoning.coverage import differences, weaknesses
from lightoff.engine.reasoning.diagnosis import Diagnosis
from lightoff.engine.reasoning.prediction import predict


def test_every_fault_is_seen_and_every_pair_of_repairs_told_apart(diagnosis: Diagnosis):
    found = weaknesses(diagnosis.furnace, diagnosis.table)
    assert [weakness.faults for weakness in found if not weakness.accepted] == []


def test_without_its_checks_a_fault_is_named_as_unseen(diagnosis: Diagnosis):
    few = [check for check in diagnosis.checks.values() if check.entry.area == "air"]
    found = weaknesses(diagnosis.furnace, predict(diagnosis.furnace, few))
    unseen = {each.faults[0] for each in found if len(each.faults) == 1}
    assert "intake-pipe.draws-flue-gas" in unseen
    assert "filter.plugged" not in unseen


def test_a_pair_that_no_check_tells_apart_is_named_with_both_faults(diagnosis: Diagnosis):
    filter_look = next(
        check
        for check in diagnosis.checks.values()
        if check.entry.reads.condition == "filter.looks"
    )
    found = weaknesses(diagnosis.furnace, predict(diagnosis.furnace, [filter_look]))
    pairs = {frozenset(each.faults) for each in found if len(each.faults) == 2}
    assert frozenset({"igniter.open", "gas-cock.closed"}) in pairs
    assert not any("filter.plugged" in pair for pair in pairs)


def test_an_accepted_weakness_carries_its_reason(diagnosis: Diagnosis):
    few = [check for check in diagnosis.checks.values() if check.entry.area == "air"]
    table = predict(diagnosis.furnace, few)
    unseen = next(each for each in weaknesses(diagnosis.furnace, table) if len(each.faults) == 1)
    accepted = [AcceptedEntry(faults=list(unseen.faults), why="no instrument shows it")]
    entry = msgspec.structs.replace(diagnosis.furnace.entry, accepted_unseen=accepted)
    furnace = dataclasses.replace(diagnosis.furnace, entry=entry)
    found = {each.faults: each.accepted for each in weaknesses(furnace, table)}
    assert found[unseen.faults] == "no instrument shows it"


def test_differences_are_symmetric_and_none_with_oneself(diagnosis: Diagnosis):
    largest = differences(diagnosis.table)
    np.testing.assert_allclose(largest, largest.T)
    np.testing.assert_allclose(np.diag(largest), 0.0)
    assert largest.max() <= 1.0 + 1e-12
