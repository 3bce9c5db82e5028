"""The yearly visit: the list gone through, compared with the years before, and closed."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lightoff.cli.interview import begin
from lightoff.cli.job_state import Ended, Identifying, MakingSafe, Proving
from lightoff.cli.labels import known_labels, labelled, same_label
from lightoff.engine.reasoning.answers import reads_a_figure
from lightoff.engine.reasoning.job import Closed
from tests.cli.past_visits import BEFORE, LABEL, past, started, visits
from tests.cli.talk import typed, words


def item_of(state):
    return next(item for item in state.to_prove if item.id == state.mode.item)


def good(item):
    number = item.check.outcomes.index(item.outcomes[0]) + 1
    return f"#{number}" if reads_a_figure(item.check) else str(number)


def up_to(state, id_=""):
    """The visit up to one thing of the list, or to its end."""
    while state.mode.item != id_:
        state, _, _ = typed(state, good(item_of(state)))
    return state


@pytest.fixture
def visit(diagnoses):
    state, _, _ = begin(diagnoses, started(), visits(*BEFORE))
    assert state.mode == MakingSafe(first=True)
    state, _, _ = typed(state, "n")
    return state


# --- the visit --------------------------------------------------------------------


def test_a_whole_visit_is_closed_as_serviced(visit):
    state, events, view = typed(up_to(visit), "1")
    assert (events[0].how, events[0].proof) == ("serviced", "proven")
    assert state.mode == Ended("serviced")
    assert "Yearly visit done: all of it is good." in words(view)


def test_the_first_thing_is_asked_right_after_making_safe(visit):
    assert isinstance(visit.mode, Proving)
    _, _, view = typed(visit, "v")
    assert "What the visit goes through:" in words(view)
    assert f"Yearly visit, 1 of {len(visit.to_prove)}" in words(typed(visit, "n note a", "b")[2])


def test_where_the_furnace_is_not_known_it_is_found_out_and_no_complaint_is_asked(diagnoses):
    state, _, _ = begin(diagnoses, started(furnace=""))
    state, _, _ = typed(state, "n")
    assert isinstance(state.mode, Identifying)


def test_cautions_are_in_full_once_and_in_one_line_afterwards(visit):
    caution = visit.knowledge.cautions["fuel-gas"]
    _, _, view = typed(visit, good(item_of(visit)))
    assert caution.short in words(view)
    assert caution.text[0] not in words(view)


def test_a_visit_taken_up_again_goes_on_where_it_was(visit, diagnoses):
    state = up_to(visit, "flame-current")
    state, _, _ = begin(diagnoses, state.events, visits(*BEFORE))
    assert state.mode == MakingSafe(first=False)
    state, _, _ = typed(state, "n")
    assert state.mode == Proving("flame-current")
    _, _, view = typed(state, "2.4")
    assert "A year ago 3.1 uA" in words(view)


def test_what_is_out_says_what_to_do_with_the_years_before(visit):
    state = up_to(visit, "flame-current")
    out = item_of(state).proof.out.split(".")[0]
    state, events, view = typed(state, "0.4")
    assert events[0].verdict == "out"
    assert out in words(view)
    assert "2 years ago 3.9 uA" in words(view)
    assert words(view).splitlines()[-2].startswith("1 put right")


def test_what_is_out_and_left_ends_the_visit_only_with_a_reason(visit):
    state, _, _ = typed(up_to(visit, "flame-current"), "0.4", "3")
    state, events, view = typed(up_to(state), "1", "b")
    assert not any(isinstance(each, Closed) for each in events)
    state, events, view = typed(state, "u")
    assert (events, view.refused) == ([], True)
    _, events, _ = typed(state, "u no rod on the van")
    assert (events[0].how, events[0].reason) == ("serviced", "no rod on the van")


def test_a_visit_can_end_unproven_or_with_the_furnace_tagged(visit):
    _, events, view = typed(visit, "u the tenant has to leave")
    assert (events[0].how, events[0].proof) == ("serviced", "unproven")
    assert "not all of it good" in words(view)
    assert "Why: the tenant has to leave" in words(view)
    _, events, view = typed(visit, "x the hood spills")
    assert (events[0].how, events[0].proof) == ("left", "tagged")
    assert "shut down and tagged" in words(view)


def test_co_over_its_limit_stops_the_visit(visit):
    state, events, _ = typed(up_to(visit, "carbon-monoxide"), "600")
    assert events[-1].stopped
    assert state.mode == Ended("left")


@pytest.mark.parametrize("line", ["", "?", "1e999", "nan", "3 V", "\x1b[31m", "x", "u", "s"])
def test_what_cannot_be_is_refused_and_nothing_is_put_down(visit, line):
    state, events, view = typed(visit, line)
    assert (state, events, view.refused) == (visit, [], True)


# --- compared with the years before -----------------------------------------------


def test_a_reading_shows_those_of_the_years_before_behind_its_verdict(visit):
    _, _, view = typed(up_to(visit, "flame-current"), "2.4")
    shown = " ".join(words(view).split())
    assert (
        "A year ago 3.1 uA, 2 years ago 3.9 uA: falling 0.75 uA a year, "
        "at the limit of 0.8 uA in about 2 years." in shown
    )
    assert item_of(up_to(visit, "flame-current")).proof.drift.falling in shown


def test_what_moves_stands_at_the_end_with_the_next_action_last(visit):
    state, _, _ = typed(up_to(visit, "flame-current"), "2.4")
    state = up_to(state, state.to_prove[-1].id)
    _, _, view = typed(state, good(item_of(state)))
    lines = words(view).splitlines()
    assert "What moves from visit to visit:" in lines
    assert any("Flame current: falling" in line for line in lines)
    assert lines[-1].startswith("1 close the visit")


def test_a_steady_reading_is_said_to_be_steady_and_is_not_listed(visit):
    state, _, view = typed(up_to(visit, "flame-current"), "3.5")
    assert "no clear drift" in words(view)
    assert not up_to(state).drifts


def test_another_label_shows_nothing_of_it(diagnoses):
    state, _, _ = begin(diagnoses, started(label="Serial 9"), visits(*BEFORE))
    state, _, view = typed(up_to(typed(state, "n")[0], "flame-current"), "2.4")
    assert "ago" not in words(view)


def test_a_label_noted_during_the_visit_counts_from_then_on(diagnoses):
    state, _, _ = begin(diagnoses, started(label=""), visits(*BEFORE))
    state, _, _ = typed(up_to(typed(state, "n")[0], "flame-current"), "n label SERIAL 1207")
    _, _, view = typed(state, "2.4")
    assert "A year ago 3.1 uA" in words(view)


def test_what_was_put_right_in_this_visit_is_no_drift(visit):
    state, _, _ = typed(up_to(visit, "flame-current"), "0.4", "1")
    state, _, view = typed(state, "2.4")
    assert "begins anew" in words(view)
    assert not up_to(state).drifts


# --- labels -----------------------------------------------------------------------


@given(st.text(max_size=20))
def test_case_and_runs_of_spaces_do_not_count_in_a_label(label):
    spread = "  ".join(label.split(" "))
    assert same_label(label, f" {spread} ") is bool(label.strip())


@given(st.text(max_size=20), st.text(max_size=20))
def test_a_label_matches_either_way_round(one, other):
    assert same_label(one, other) is same_label(other, one)


@pytest.mark.parametrize("other", ["", "Serial 120", "Serial 1207.*", "Serial1207", "%", "*"])
def test_another_label_does_not_match(other):
    assert not same_label(LABEL, other)


def test_every_label_is_known_once_as_it_was_last_written():
    assert known_labels(visits(*BEFORE)) == ("serial 1207",)
    assert len(labelled(visits(*BEFORE, past("2026-01-01", "3", "other")), [LABEL])) == 2
