"""Proving in a job: what a repair demands, what is not good, and how the job is closed."""

import pytest

from lightoff.cli.job_state import Advising, Asking, Ended, Proving
from lightoff.engine.reasoning.answers import reads_a_figure
from lightoff.engine.reasoning.job import Closed, Cured, Found, Noted, Proved, Rated, Repaired
from tests.cli.talk import NOW, answered, put_right, typed, words

FAULT = "flame-sensor.coated"
REPAIR = "clean-flame-sensor"


@pytest.fixture
def cured(start):
    """A job whose repair cured: the proving has begun."""
    state, events, _ = typed(put_right(answered(start, FAULT)), "1")
    assert events == [Cured(time=NOW, repair=REPAIR)]
    return state


def good(item):
    """What is typed for a good answer."""
    if reads_a_figure(item.check):
        return f"#{item.check.outcomes.index(item.outcomes[0]) + 1}"
    return str(item.check.outcomes.index(item.outcomes[0]) + 1)


def item_of(state, id_):
    return next(item for item in state.to_prove if item.id == id_)


def proved(state, *but):
    """All proved but some things, which are left out for a reason."""
    while state.mode.item:
        item = item_of(state, state.mode.item)
        line = "s no tool" if item.id in but else good(item)
        state, _, _ = typed(state, line)
    return state


def up_to(state, id_):
    """The proving up to one thing."""
    while state.mode.item != id_:
        state, _, _ = typed(state, good(item_of(state, state.mode.item)))
    return state


def test_a_repair_that_cured_is_proved_before_the_job_can_be_closed(cured):
    assert isinstance(cured.mode, Proving)
    state = proved(cured)
    state, events, view = typed(state, "1")
    assert events == [Closed(time=NOW, how="found", repair=REPAIR, proof="proven")]
    assert state.mode == Ended("found")
    assert "done and proved" in words(view)


def test_a_question_says_what_is_good_and_what_the_model_expects(cured):
    state = up_to(cured, "flame-current")
    _, _, view = typed(state, "qqq")
    assert view.refused
    _, _, view = typed(state, "v")
    assert "Flame current (0.8 to 8 uA)" in words(view)
    assert "reads about 3.59 uA" in words(view)


def test_what_the_search_left_open_is_put_right_with_the_last_look(start):
    state, _, _ = typed(answered(start, "collector-hose.water"), "1")
    assert state.open_items
    state = up_to(state, "back-as-found")
    state, _, _ = typed(state, "1")
    assert not state.open_items


def test_a_reading_at_the_end_of_what_is_good_is_good(cured):
    _, events, _ = typed(up_to(cured, "temperature-rise"), "65 F rise")
    assert events[0].verdict == "good"


def test_a_reading_that_is_not_good_says_what_to_do_and_can_be_put_right(cured):
    state, events, view = typed(up_to(cured, "flame-current"), "0.4")
    assert [each.verdict for each in events] == ["out"]
    assert item_of(state, "flame-current").proof.out.split(".")[0] in words(view)
    state, events, _ = typed(state, "1", "2.5")
    assert [each.verdict for each in events] == ["good"]
    assert state.verdicts["flame-current"] == "good"


def test_a_cause_that_is_still_there_is_looked_for_with_what_was_read(cured):
    state, _, _ = typed(up_to(cured, "flame-current"), "0.4")
    state, events, _ = typed(state, "2")
    assert events == [
        Repaired(time=NOW, repair=REPAIR),
        Found(time=NOW, check="flame-current-heating", outcome="weak", entered="0.4"),
    ]
    assert isinstance(state.mode, Asking | Advising)
    assert not state.job.to_prove


def test_co_over_its_limit_stops_the_work(cured):
    state, events, _ = typed(up_to(cured, "carbon-monoxide"), "600")
    assert isinstance(events[-1], Closed)
    assert events[-1].how == "left"
    assert events[-1].stopped
    assert state.mode == Ended("left")


def test_what_is_left_out_keeps_the_job_from_being_closed_as_proved(cured):
    state = proved(cured, "carbon-monoxide")
    _, events, view = typed(state, "1", "b")
    assert not any(isinstance(each, Closed) for each in events)
    state, events, view = typed(state, "u analyser at the shop")
    assert events == [
        Closed(
            time=NOW, how="found", repair=REPAIR, proof="unproven", reason="analyser at the shop"
        )
    ]
    assert "not proved" in words(view)


def test_what_was_left_out_can_be_tried_after_all(cured):
    state, _, _ = typed(proved(cured, "carbon-monoxide"), "1")
    assert state.mode.item == "carbon-monoxide"
    state, _, _ = typed(state, "30")
    _, events, _ = typed(state, "1")
    assert events[0].proof == "proven"


@pytest.mark.parametrize("line", ["s", "u", "x", "u " + "a" * 400])
def test_leaving_out_or_closing_so_needs_a_reason_of_a_length_to_be_read(cured, line):
    state, events, view = typed(cured, line)
    assert (state, events, view.refused) == (cured, [], True)


@pytest.mark.parametrize("line", ["", "?", "9999", "dont-know", "1e9", "\x1b[31m"])
def test_an_answer_that_cannot_be_is_refused_and_proves_nothing(cured, line):
    state, events, view = typed(cured, line)
    assert (state, events, view.refused) == (cured, [], True)


def test_a_furnace_that_is_shut_down_and_tagged_is_not_put_back(cured):
    state, events, view = typed(cured, "x crack seen at the third burner")
    assert (events[0].how, events[0].proof) == ("left", "tagged")
    assert "shut down and tagged" in words(view)
    power = state.knowledge.aspects["power"]
    assert power.how["on"] not in words(view)


def test_back_takes_the_last_thing_tried_back_and_then_the_repair(cured):
    first = cured.mode.item
    state, _, _ = typed(cured, good(item_of(cured, first)))
    assert state.mode.item != first
    state, _, view = typed(state, "b")
    assert (state.mode.item, state.job.proofs) == (first, ())
    assert first.replace("-", " ") in view.note
    state, _, _ = typed(state, "b")
    assert isinstance(state.mode, Advising)


def test_every_safety_of_the_furnace_is_among_what_is_proved(cured):
    proving = {part for item in cured.to_prove for part in item.proof.safety}
    assert {"pressure-switch", "high-limit", "rollout-switch", "flame-sensor"} <= proving


def test_a_shut_down_that_is_the_repair_is_closed_as_tagged_without_proof(start):
    state = put_right(answered(start, "primary-exchanger.cracked"))
    _, events, _ = typed(state, "1")
    assert events == [Closed(time=NOW, how="found", repair="shut-down-and-tag", proof="tagged")]


# --- the rating plate and notes ---------------------------------------------------


def test_the_rating_plate_is_listed_and_a_figure_of_it_put_down(cured):
    _, events, view = typed(cured, "k")
    assert not events
    assert "manifold: 3.2 to 3.8 inwc by model" in words(view)
    _, events, _ = typed(cured, "k manifold 3.0 inwc")
    assert events == [Rated(time=NOW, rating="manifold", entered="2.76 to 3.24 inwc")]


@pytest.mark.parametrize(
    ("line", "says"),
    [
        ("k manifold 35 inwc", "read it again"),
        ("k manifold 3.5 V", "pressure"),
        ("k manifold nan inwc", "no amount"),
        ("k gas petrol", "petrol"),
        ("k nonsense 3", "they are"),
    ],
)
def test_a_figure_that_cannot_be_on_the_plate_is_refused(cured, line, says):
    state, events, view = typed(cured, line)
    assert (state, events, view.refused) == (cured, [], True)
    assert says in view.note


def test_notes_are_put_down_at_any_question(start):
    state, events, _ = typed(start, "n label serial 1207", "n the cat sleeps on it")
    assert events == [
        Noted(time=NOW, about="label", text="serial 1207"),
        Noted(time=NOW, about="note", text="the cat sleeps on it"),
    ]
    assert state.mode == start.mode


def test_what_was_proved_before_a_repair_that_did_not_hold_is_proved_again(cured):
    state = up_to(cured, "flame-current")
    assert state.job.proofs
    state, _, _ = typed(state, "0.4", "2")
    assert state.job.proofs == ()


def test_what_was_tried_is_kept_with_its_verdict_of_that_day(cured):
    _, events, _ = typed(up_to(cured, "carbon-monoxide"), "30 ppm")
    assert events == [
        Proved(
            time=NOW,
            proof="carbon-monoxide",
            check="flue-co",
            outcome="low",
            verdict="good",
            entered="30 ppm",
        )
    ]
