"""What a person tells unasked: readings between any two points, and checks by words."""

import msgspec
import numpy as np
import pytest

from lightoff.engine.model import SOMETHING_ELSE
from lightoff.engine.reasoning.answers import ReadingError
from lightoff.engine.reasoning.belief import Finding, prior
from lightoff.engine.reasoning.job import AS_READ, AnyEvent, Found, Started, Undone, replay
from lightoff.engine.reasoning.search import search
from lightoff.engine.reasoning.suspects import suspects_of
from lightoff.engine.reasoning.tell import (
    FORMS,
    check_of,
    check_that_reads,
    doors_off,
    equipped,
    is_reading,
    understand_reading,
)

TIME = "2024-01-09T07:30:00+01:00"
START = Started(time=TIME, furnace="two-pipe-condensing", version="0")


def told(furnace, text):
    return understand_reading(furnace, text.split(), TIME)


def belief_after(diagnosis, *events):
    job = replay([START, *events])
    return equipped(diagnosis, job).belief(job)


def share(belief, fault):
    return next(each.probability for each in suspects_of(belief) if each.id == fault)


# --- understanding ----------------------------------------------------------------


def test_every_example_of_a_form_is_understood(furnace):
    for quantity, form in FORMS.items():
        reading = told(furnace, form.example)
        assert reading.quantity == quantity
        assert len(reading.places) == form.places
        assert bool(reading.during) == form.timed


@pytest.mark.parametrize(
    "text",
    [
        "volts R C heating 24.5 V",
        "VOLTS between r and c during Heating 24.5",
        "volts R to C in heat 24500 mV",
    ],
)
def test_fillers_case_units_and_short_names_of_steps_do_not_matter(furnace, text):
    reading = told(furnace, text)
    assert (reading.places, reading.during) == (("R", "C"), "heating")
    assert reading.value == pytest.approx(24.5)


@pytest.mark.parametrize(
    ("text", "complaint"),
    [
        ("volts R C heating", "missing"),
        ("volts R", "missing"),
        ("volts R NOWHERE heating 24", "no terminal NOWHERE"),
        ("volts R L1 heating 24", "not in one net"),
        ("volts R C cooking 24", "no step cooking"),
        ("volts R C heating warm", "neither a reading"),
        ("volts R C heating 24 inwc", "not a"),
        ("volts R C heating -24", "never below zero"),
        ("volts R C heating 5000", "cannot be"),
        ("ohms toaster 12", "no part toaster"),
        ("microamps igniter heating 2", "flame sensor"),
        ("seconds nowhere 12", "no step nowhere"),
    ],
)
def test_what_cannot_be_read_is_refused_with_a_reason(furnace, text, complaint):
    with pytest.raises(ReadingError, match=complaint):
        told(furnace, text)


def test_a_meter_without_continuity_can_be_put_down(furnace):
    reading = told(furnace, "ohms igniter OL")
    assert msgspec.json.decode(msgspec.json.encode(reading), type=AnyEvent) == reading


def test_words_that_begin_with_no_quantity_are_no_reading():
    assert is_reading(["Volts", "R"])
    assert not is_reading(["glow"])
    assert not is_reading([])


# --- the check that takes it ------------------------------------------------------


def test_a_reading_that_a_check_takes_is_that_check_whichever_way_round(diagnosis):
    check = diagnosis.checks["volts-at-inducer"]
    one, other = check.entry.reads.volts
    during = check.entry.reads.during
    for places in ((one, other), (other, one)):
        text = f"volts {places[0]} {places[1]} {during} 118"
        reading = told(diagnosis.furnace, text)
        assert check_that_reads(diagnosis.checks.values(), reading) is check


def test_a_reading_in_another_step_is_not_that_check(diagnosis):
    one, other = diagnosis.checks["volts-at-inducer"].entry.reads.volts
    reading = told(diagnosis.furnace, f"volts {one} {other} standby 0")
    found = check_that_reads(diagnosis.checks.values(), reading)
    assert found is None or found.id != "volts-at-inducer"


# --- what it means ----------------------------------------------------------------


def test_no_voltage_at_the_inducer_side_of_its_relay_points_at_the_relay(diagnosis):
    reading = told(diagnosis.furnace, "volts IND N pre-purge 118")
    none = told(diagnosis.furnace, "volts BOARD-L IND proving-draft 119")
    before = share(prior(diagnosis.table), "inducer-relay.open")
    assert share(belief_after(diagnosis, none), "inducer-relay.open") > 5 * before
    assert share(belief_after(diagnosis, reading), "inducer-relay.open") < before / 5


def test_a_reading_kills_no_suspect_and_an_unknown_fault_gains_little(diagnosis):
    belief = belief_after(diagnosis, told(diagnosis.furnace, "volts BOARD-L IND heating 60"))
    assert belief.probabilities.min() > 0.0
    row = belief.table.row(belief.findings[0].check, AS_READ)
    unknown = [each.id for each in belief.table.hypotheses].index(SOMETHING_ELSE)
    assert row[unknown] == pytest.approx(0.15)


def test_each_column_of_a_told_reading_sums_to_one(diagnosis):
    job = replay([START, told(diagnosis.furnace, "pressure ROOM VENT pre-purge 0.2")])
    table = equipped(diagnosis, job).table
    rows = table.likelihood[table.rows(job.findings[0].check)]
    assert rows.sum(axis=0) == pytest.approx(1.0)
    assert table.likelihood[: table.start[-2]] == pytest.approx(diagnosis.table.likelihood)


def test_readings_count_the_same_in_any_order_and_the_latest_at_a_place_counts(diagnosis):
    furnace = diagnosis.furnace
    one = told(furnace, "volts BOARD-L IND pre-purge 0.1")
    other = told(furnace, "pressure ROOM VENT pre-purge 0.2")
    answer = Found(time=TIME, check="status-light-after-call", outcome="draft")
    forth = belief_after(diagnosis, one, answer, other)
    back = belief_after(diagnosis, other, answer, one)
    assert _by_id(forth) == pytest.approx(_by_id(back))
    wrong = told(furnace, "volts BOARD-L IND pre-purge 119")
    assert _by_id(belief_after(diagnosis, wrong, one)) == pytest.approx(
        _by_id(belief_after(diagnosis, one))
    )


def _by_id(belief):
    return dict(
        zip((each.id for each in belief.table.hypotheses), belief.probabilities, strict=True)
    )


def test_a_reading_taken_back_never_was(diagnosis):
    reading = told(diagnosis.furnace, "volts BOARD-L IND pre-purge 0.1")
    job = replay([START, reading, Undone(time=TIME)])
    assert job == replay([START])
    assert equipped(diagnosis, job) is diagnosis


def test_a_told_reading_is_a_finding_that_changes_no_set_up(diagnosis):
    reading = told(diagnosis.furnace, "volts BOARD-L IND pre-purge 0.1")
    job = replay([START, reading])
    assert job.findings == (Finding(reading.check, AS_READ, "0.1 V"),)
    assert job.checks_done == ()
    assert equipped(diagnosis, job).setup_now(job) == diagnosis.setup_now(replay([START]))


def test_the_truth_is_likelier_after_its_own_reading(diagnosis):
    """What the machine predicts for a fault never speaks against it."""
    furnace = diagnosis.furnace
    check = check_of(furnace, told(furnace, "volts R PS-OUT proving-draft 24"), {})
    assert [outcome.id for outcome in check.outcomes] == [AS_READ, "otherwise"]
    belief = belief_after(diagnosis, told(furnace, "volts ROLL-OUT PS-OUT proving-draft 26"))
    before = share(prior(diagnosis.table), "pressure-switch.failed-open")
    assert share(belief, "pressure-switch.failed-open") > before


def test_a_door_that_is_not_seated_is_not_cleared_by_a_reading_with_the_doors_off(diagnosis):
    held = doors_off(diagnosis.checks.values())
    assert ("door-switch", "plunger") in held
    belief = belief_after(diagnosis, told(diagnosis.furnace, "volts R STAT-R standby 0"))
    fault = next(each for each in diagnosis.furnace.faults if each.startswith("door-switch"))
    assert share(belief, fault) > share(prior(diagnosis.table), fault) / 5


# --- by words ---------------------------------------------------------------------


@pytest.mark.parametrize(
    ("words", "check"),
    [
        ("glow", "igniter-glow"),
        ("igniter glows", "igniter-glow"),
        ("dirty filter", "filter-look"),
        ("water in the hose", "collector-hose-look"),
        ("flame sensr", "flame-sensor-look"),
        ("rotten eggs", "smell-of-gas"),
        ("mouse nest", "animals-in-cabinet"),
        ("blown fuse", "fuse-look"),
        ("status light", "status-light-after-call"),
        ("draft at the switch", "draft-at-the-switch"),
    ],
)
def test_everyday_words_find_the_check_among_the_first_three(diagnosis, words, check):
    found = [each.id for each in search(diagnosis.checks.values(), words)]
    assert check in found[:3]


@pytest.mark.parametrize("words", ["", "the of and", "xylophone", "\x1b[2J", "9" * 300])
def test_words_that_mean_nothing_find_nothing(diagnosis, words):
    assert search(diagnosis.checks.values(), words) == []


def test_hits_are_few_and_each_once(diagnosis):
    found = [each.id for each in search(diagnosis.checks.values(), "gas valve volts pressure")]
    assert 0 < len(found) <= 6
    assert len(set(found)) == len(found)


def test_the_table_of_a_job_without_readings_is_untouched(diagnosis):
    assert np.shares_memory(
        equipped(diagnosis, replay([START])).table.likelihood, diagnosis.table.likelihood
    )
