"""What was read on one furnace in all its jobs: which readings count, and where they begin anew."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lightoff.engine.reasoning.answers import reads_a_figure
from lightoff.engine.reasoning.job import Closed, Cured, Found, Proved, Repaired, Started, replay
from lightoff.engine.reasoning.visits import Visit, course_of, courses_of, spread_between_visits
from lightoff.engine.service.proving import yearly

FURNACE = "two-pipe-condensing"
CHECK = "flame-current-heating"
CLEAN = "clean-flame-sensor"


@pytest.fixture(scope="module")
def items(knowledge):
    return {item.id: item for item in yearly(knowledge, FURNACE)}


@pytest.fixture
def flame(items):
    return items["flame-current"]


def found(entered, outcome="normal"):
    return Found(time="t", check=CHECK, outcome=outcome, entered=entered)


def proved(entered, verdict="good"):
    outcome = {"good": "normal", "out": "weak", "not-done": None}[verdict]
    return Proved(
        time="t",
        proof="flame-current",
        check=CHECK,
        outcome=outcome,
        verdict=verdict,
        entered=entered,
    )


def visit(day, *events, furnace=FURNACE, id_=""):
    start = Started(time=f"{day}T08:00:00+00:00", furnace=furnace, version="0")
    return Visit(id_ or day, replay((start, *events)))


def values(course):
    return [(each.entered, each.anew) for each in course.readings]


def test_readings_of_visits_and_findings_of_jobs_count_alike(flame, furnace):
    course = course_of(
        flame, furnace, [visit("2024-11-01", found("3.9 uA")), visit("2025-11-01", proved("3.1"))]
    )
    assert values(course) == [("3.9 uA", False), ("3.1", False)]
    assert course.drift.is_falling
    assert course.matters
    assert course.meaning == flame.proof.drift.falling


def test_the_last_reading_of_a_visit_counts(flame, furnace):
    course = course_of(flame, furnace, [visit("2025-11-01", proved("3.1"), proved("3.3"))])
    assert values(course) == [("3.3", False)]


def test_what_was_read_before_its_repair_does_not_count_and_the_rest_begins_anew(flame, furnace):
    mended = visit("2025-11-01", found("0.3", "weak"), Cured(time="t", repair=CLEAN), proved("3.8"))
    course = course_of(flame, furnace, [visit("2024-11-01", proved("2.0")), mended])
    assert values(course) == [("2.0", False), ("3.8", True)]
    assert course.drift is None


def test_a_repair_that_did_not_cure_moves_it_as_well(flame, furnace):
    tried = visit(
        "2025-11-01", found("0.3", "weak"), Repaired(time="t", repair=CLEAN), found("3.5")
    )
    assert values(course_of(flame, furnace, [tried])) == [("3.5", True)]


def test_a_repair_elsewhere_moves_nothing(items, flame, furnace):
    filter_ = Closed(time="t", how="found", repair="replace-filter")
    elsewhere = next(
        item
        for item in items.values()
        if reads_a_figure(item.check) and "air" not in item.proof.after and item.proof.after
    )
    reading = Found(time="t", check=elsewhere.check.id, outcome="normal", entered="3.5 inwc")
    course = course_of(elsewhere, furnace, [visit("2025-11-01", reading, filter_)])
    assert [each.anew for each in course.readings] == [False]


def test_what_was_put_right_on_the_spot_begins_anew(flame, furnace):
    course = course_of(
        flame,
        furnace,
        [
            visit("2023-11-01", proved("2.0")),
            visit("2024-11-01", proved("0.4", "out"), proved("3.8")),
            visit("2025-11-01", proved("3.1")),
        ],
    )
    assert [each.anew for each in course.readings] == [False, True, False]
    assert course.drift.since_first == pytest.approx(-0.7e-6)


@pytest.mark.parametrize(
    "event", [proved("#2"), proved("normal"), proved("", "not-done"), proved("3 V"), proved("junk")]
)
def test_what_is_no_figure_is_no_reading(flame, furnace, event):
    assert course_of(flame, furnace, [visit("2025-11-01", event)]).readings == ()


@pytest.mark.parametrize("day", ["", "yesterday", "2025-13-45", "99999-01-01"])
def test_a_day_that_is_none_leaves_the_visit_out(flame, furnace, day):
    assert course_of(flame, furnace, [visit(day, proved("3.1"))]).readings == ()


def test_another_type_of_furnace_is_left_out(flame, furnace):
    other = visit("2025-11-01", proved("3.1"), furnace="metal-vent-induced")
    assert course_of(flame, furnace, [other]).readings == ()


def test_what_was_never_read_has_no_course(items, furnace):
    courses = courses_of(items.values(), furnace, [visit("2025-11-01", proved("3.1"))])
    assert [course.item.id for course in courses] == ["flame-current"]


@given(st.permutations(range(4)))
def test_the_order_of_visits_does_not_matter(items, furnace, order):
    given_in_order = [visit(f"202{n}-11-01", proved(f"{4 - n / 2}")) for n in range(4)]
    one = course_of(items["flame-current"], furnace, given_in_order)
    other = course_of(items["flame-current"], furnace, [given_in_order[n] for n in order])
    assert one == other


def test_every_figure_of_every_visit_has_a_spread(knowledge):
    for furnace in knowledge.furnaces:
        for item in yearly(knowledge, furnace):
            if reads_a_figure(item.check):
                assert 0.0 < spread_between_visits(item, [item.expected]) < abs(item.expected)


def test_every_figure_that_is_read_yearly_says_what_its_drift_means(knowledge):
    for furnace in knowledge.furnaces:
        for item in yearly(knowledge, furnace):
            assert reads_a_figure(item.check) is (item.proof.drift is not None), item.id
