"""What the table says of real faults follows from the machine and the bands alone."""

import dataclasses

import numpy as np
import pytest

from lightoff.engine.model import NO_FAULT, NOT_REACHED, SOMETHING_ELSE, Check
from lightoff.engine.reasoning.diagnosis import Diagnosis, SimulatedFurnace
from lightoff.engine.reasoning.prediction import (
    PROVOKED,
    SHOWING,
    hypotheses_of,
    outcome_chances,
    outcome_index,
    predict,
)


def chance(diagnosis: Diagnosis, check: str, outcome: str, hypothesis: str) -> float:
    column = [each.id for each in diagnosis.table.hypotheses].index(hypothesis)
    return float(diagnosis.table.row(check, outcome)[column])


def check_reading(diagnosis: Diagnosis, **reads: object) -> Check:
    return next(
        check
        for check in diagnosis.checks.values()
        if all(getattr(check.entry.reads, name) == value for name, value in reads.items())
    )


def test_outcomes_of_each_check_sum_to_one_for_every_hypothesis(diagnosis: Diagnosis):
    sums = np.add.reduceat(diagnosis.table.likelihood, diagnosis.table.start[:-1], axis=0)
    np.testing.assert_allclose(sums, 1.0, atol=1e-12)


def test_no_single_answer_can_rule_a_hypothesis_out(diagnosis: Diagnosis):
    assert diagnosis.table.likelihood.min() > 0.0


def test_prior_shares_sum_to_one_and_a_fault_that_comes_and_goes_is_split(diagnosis: Diagnosis):
    hypotheses = hypotheses_of(diagnosis.furnace)
    assert sum(each.prior for each in hypotheses) == pytest.approx(1.0)
    pair = [each for each in hypotheses if each.faults == ("thermostat.drops-out",)]
    assert [each.showing for each in pair] == [True, False]
    assert pair[0].prior / (pair[0].prior + pair[1].prior) == pytest.approx(SHOWING)


def test_something_else_makes_every_outcome_equally_likely(diagnosis: Diagnosis):
    column = [each.id for each in diagnosis.table.hypotheses].index(SOMETHING_ELSE)
    for check in diagnosis.table.checks:
        chances = diagnosis.table.likelihood[diagnosis.table.rows(check), column]
        np.testing.assert_allclose(chances, 1.0 / len(chances))


def test_a_hidden_fault_looks_like_no_fault_except_to_what_brings_it_out(diagnosis: Diagnosis):
    names = [each.id for each in diagnosis.table.hypotheses]
    hidden = names.index("inducer-relay.sticks-at-times (not showing)")
    showing = names.index("inducer-relay.sticks-at-times")
    sound = names.index(NO_FAULT)
    told_apart = False
    for check in diagnosis.checks.values():
        rows = diagnosis.table.likelihood[diagnosis.table.rows(check.id)]
        provoked = PROVOKED if {"tap", "heat"} & set(check.entry.provokes) else 0.0
        expected = provoked * rows[:, showing] + (1.0 - provoked) * rows[:, sound]
        np.testing.assert_allclose(rows[:, hidden], expected, atol=1e-12)
        told_apart |= bool(provoked and np.abs(rows[:, hidden] - rows[:, sound]).sum() > 0.5)
    assert told_apart


def test_a_step_never_reached_is_an_outcome_of_its_own(diagnosis: Diagnosis):
    check = check_reading(diagnosis, microamps="flame-sensor")
    assert chance(diagnosis, check.id, NOT_REACHED, "fuse.blown-alone") > 0.9
    assert chance(diagnosis, check.id, NOT_REACHED, "flame-sensor.coated") < 0.1


def test_a_reading_at_the_edge_of_a_band_is_shared_by_both_outcomes(diagnosis: Diagnosis):
    check = check_reading(diagnosis, ohms="igniter")
    edge = next(each.band.high for each in check.outcomes if 0 < each.band.high < 1e5)
    chances = outcome_chances(check, [edge])[:, 0]
    assert sorted(chances)[-2:] == pytest.approx([0.5, 0.5], abs=0.01)


def test_an_open_circuit_falls_into_the_band_without_an_upper_end(diagnosis: Diagnosis):
    check = check_reading(diagnosis, ohms="igniter")
    outcome = check.outcomes[outcome_index(check, float("inf"))]
    assert outcome.band.high == float("inf")
    assert outcome_chances(check, [float("inf")]).max() == pytest.approx(1.0)


def test_a_reading_no_outcome_covers_is_an_error_not_a_guess(diagnosis: Diagnosis):
    check = check_reading(diagnosis, condition="filter.looks")
    with pytest.raises(LookupError, match=check.id):
        outcome_index(check, "no-such-word")


def test_more_natural_variation_spreads_a_reading_over_more_outcomes(diagnosis: Diagnosis):
    check = check_reading(diagnosis, ohms="igniter")
    wide = dataclasses.replace(check, varies=0.5)
    narrow = dataclasses.replace(check, varies=0.01)
    assert outcome_chances(wide, [60.0]).max() < outcome_chances(narrow, [60.0]).max()


def test_the_simulated_furnace_answers_with_the_likeliest_outcome(diagnosis: Diagnosis):
    fault = diagnosis.furnace.faults["flame-sensor.coated"]
    furnace = SimulatedFurnace(diagnosis.furnace, [fault])
    for check in diagnosis.checks.values():
        answered = furnace.answer(check).outcome
        if answered is None:
            assert check.entry.reads.told
            continue
        rows = diagnosis.table.rows(check.id)
        column = [each.id for each in diagnosis.table.hypotheses].index(fault.id)
        best = diagnosis.table.likelihood[rows, column].max()
        assert chance(diagnosis, check.id, answered, fault.id) > 0.4 * best


def test_predicting_nothing_gives_an_empty_table(diagnosis: Diagnosis):
    table = predict(diagnosis.furnace, [])
    assert table.checks == ()
    assert table.likelihood.shape == (0, len(table.hypotheses))
