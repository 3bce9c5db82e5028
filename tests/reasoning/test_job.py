import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st

from lightoff.engine.reasoning.belief import Finding
from lightoff.engine.reasoning.job import (
    AnyEvent,
    CalledAgain,
    Closed,
    Found,
    JobState,
    Repaired,
    Skipped,
    Started,
    TwoFaults,
    Undone,
    replay,
)

TIME = "2024-01-09T07:30:00+01:00"
START = Started(time=TIME, furnace="two-pipe-condensing", version="0.1.0")
EMPTY = JobState("two-pipe-condensing", TIME, "0.1.0")


def found(check: str, outcome: str | None = "a") -> Found:
    return Found(time=TIME, check=check, outcome=outcome, entered="typed")


steps = st.one_of(
    st.builds(found, st.sampled_from("pqr"), st.sampled_from(["a", "b", None])),
    st.builds(Skipped, time=st.just(TIME), check=st.sampled_from("pqr")),
    st.builds(Repaired, time=st.just(TIME), repair=st.sampled_from(["x", "y", "x+y"])),
    st.just(CalledAgain(time=TIME)),
    st.just(TwoFaults(time=TIME)),
)
UNDONE = Undone(time=TIME)
CALLED = CalledAgain(time=TIME)


def test_a_job_tells_what_was_found_skipped_and_repaired_in_order():
    skipped, repaired = Skipped(time=TIME, check="q"), Repaired(time=TIME, repair="x")
    events = [START, found("p"), skipped, found("r", None), repaired, found("p", "b")]
    first, unsure, again = (
        Finding("p", "a", "typed"),
        Finding("r", None, "typed"),
        Finding("p", "b", "typed", call=1, repairs=1),
    )
    assert replay(events) == JobState(
        furnace="two-pipe-condensing",
        started=TIME,
        version="0.1.0",
        findings=(first, unsure, again),
        skipped=("q",),
        repaired=("x",),
        checks_done=("p",),
        call=1,
    )


def test_another_call_keeps_the_set_up_and_dates_what_is_found_in_it():
    state = replay([START, found("p"), CALLED, found("q"), CALLED, CALLED, found("p", None)])
    assert [(each.check, each.call, each.repairs) for each in state.findings] == [
        ("p", 0, 0),
        ("q", 1, 0),
        ("p", 3, 0),
    ]
    assert state.checks_done == ("p", "q", "p")
    assert state.repaired == ()


def test_two_repairs_done_at_once_are_two_repairs_and_one_new_call():
    state = replay([START, Repaired(time=TIME, repair="x+y"), found("p")])
    assert state.repaired == ("x", "y")
    assert (state.findings[0].call, state.findings[0].repairs) == (1, 2)


def test_a_journal_from_before_there_were_calls_is_read_as_it_was():
    old = b'{"type":"finding","time":"2024","check":"p","outcome":"a"}'
    event = msgspec.json.decode(old, type=AnyEvent)
    assert replay([START, event]).findings == (Finding("p", "a"),)


def test_reckoning_with_two_faults_is_kept_and_taken_back():
    wanted = TwoFaults(time=TIME)
    assert replay([START, wanted, found("p")]).two_faults
    assert not replay([START, wanted, UNDONE]).two_faults


@given(st.lists(steps | st.just(UNDONE)), steps)
def test_undoing_restores_the_job_exactly(before, step):
    assert replay([START, *before, step, UNDONE]) == replay([START, *before])


@given(st.lists(steps))
def test_undoing_everything_leads_back_to_the_start_and_no_further(done):
    undone = [UNDONE] * (len(done) + 2)
    assert replay([START, *done, *undone]) == EMPTY


def test_undoing_a_repair_brings_back_the_set_up_of_the_checks_before():
    before = [START, found("p"), found("q")]
    repaired = Repaired(time=TIME, repair="x")
    assert replay([*before, repaired]).checks_done == ()
    assert replay([*before, repaired, UNDONE]).checks_done == ("p", "q")


def test_a_closed_job_says_how_and_by_what():
    state = replay([START, Closed(time=TIME, how="found", repair="x")])
    assert (state.closed, state.cured_by) == ("found", "x")


def test_closing_is_not_undone():
    assert replay([START, Closed(time=TIME, how="left"), UNDONE]).closed == "left"


@pytest.mark.parametrize("events", [[], [found("p")], [START, START], [UNDONE]])
def test_events_that_do_not_begin_with_one_start_are_refused(events):
    with pytest.raises(ValueError, match="start"):
        replay(events)


@given(steps)
def test_an_event_is_itself_again_after_json(event):
    assert msgspec.json.decode(msgspec.json.encode(event), type=AnyEvent) == event
