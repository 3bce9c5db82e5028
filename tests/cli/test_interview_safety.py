"""No sequence of inputs gets past a stop, or closes a job with a safety left bypassed."""

import functools

import pytest
from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, precondition, rule

from lightoff.cli.interview import begin, step
from lightoff.cli.job_state import Asking, Clearing, Diagnoses, Ended, Identifying, MakingSafe
from lightoff.cli.keys import BARE
from lightoff.cli.views import Advice, Parting, Question
from lightoff.engine.reasoning.belief import counted
from lightoff.engine.reasoning.diagnosis import Diagnosis
from lightoff.engine.reasoning.identify import ChooseAmong, Confirm, LookFor
from lightoff.engine.reasoning.interview import make_safe_checks
from lightoff.engine.reasoning.job import Closed, Found, Started, replay
from lightoff.engine.reasoning.planning.costs import LIVE
from tests.conftest import FURNACE, loaded

NOW = "2026-01-02T03:04:05+00:00"
START = Started(time=NOW, furnace=FURNACE, version="0")


@functools.cache
def diagnoses() -> Diagnoses:
    knowledge = loaded()
    return Diagnoses(knowledge, lambda furnace: Diagnosis.of(knowledge, furnace))


def talk(*lines, start=START):
    state, events, view = begin(diagnoses(), (start,))
    for line in lines:
        state, more, view = step(state, line, NOW)
        events = (*events, *more)
    return state, events, view


def live(state, check):
    return not LIVE.isdisjoint(state.diagnosis.checks[check].entry.hazards)


# --- stops ------------------------------------------------------------------------


@pytest.mark.parametrize("number", ["1", "2", "3", "4"])
def test_every_sign_of_danger_stops_the_work_at_the_first_question(number):
    state, events, view = talk(number)
    assert isinstance(state.mode, Ended)
    assert isinstance(view.screen, Parting)
    assert view.screen.stop
    assert isinstance(events[-1], Closed)
    assert events[-1].stopped


@pytest.mark.parametrize("furnace", ["", *loaded().furnaces])
def test_the_number_of_a_sign_stops_the_work_for_what_stands_beside_it(furnace):
    start = Started(time=NOW, furnace=furnace, version="0")
    _, _, arrived = talk(start=start)
    checks = loaded().checks[furnace or FURNACE]
    for number, ask in enumerate(arrived.screen.signs, start=1):
        state, events, _ = talk(str(number), start=start)
        told = [event.check for event in events if isinstance(event, Found)]
        assert isinstance(state.mode, Ended)
        assert [checks[check].entry.ask for check in told] == [ask]


@pytest.mark.parametrize("furnace", loaded().furnaces)
def test_a_furnace_that_is_found_out_is_asked_for_signs_of_its_own_and_goes_on(furnace):
    state, _, view = talk("n", start=Started(time=NOW, furnace="", version="0"))
    for _ in range(60):
        if isinstance(state.mode, Asking) and state.job.furnace:
            break
        state, _, view = step(state, truthful(state, furnace), NOW)
    assert state.job.furnace == furnace
    assert isinstance(view.screen, Question)
    answers = counted(state.job.findings)
    assert all(answers[sign].outcome == "no" for sign in make_safe_checks(loaded(), furnace))


def test_no_suspect_is_named_while_the_furnace_may_be_of_several_types():
    start = Started(time=NOW, furnace="", version="0")
    _, _, view = talk("n", "2", start=start)
    assert view.note == "Noted."


def truthful(state, furnace):
    """What somebody before that furnace types, who knows nothing but what is to be seen."""
    match state.mode:
        case MakingSafe():
            return "n"
        case Identifying(what=LookFor(feature=feature)):
            seen = loaded().furnaces[furnace].entry.features.get(feature.id)
            return str(list(feature.values).index(seen) + 1) if seen else "?"
        case Identifying(what=Confirm()):
            return "y"
        case Identifying(what=ChooseAmong(furnaces=several)):
            return str([each.id for each in several].index(furnace) + 1)
        case _:
            return "?"


@pytest.mark.parametrize("line", ["", "?", "s", "b", "i", "w", "t glow", "n 1", "7", "0", "maybe"])
def test_making_safe_is_not_passed_without_an_answer(line):
    state, events, view = talk(line)
    assert (isinstance(state.mode, MakingSafe), events, view.refused) == (True, (), True)


@pytest.mark.parametrize("words", ["t smell-of-gas", "t co-alarm"])
def test_a_danger_told_in_the_middle_of_a_job_stops_it_with_the_next_answer(words):
    state, events, _ = talk("n", "i", words, "yes")
    assert isinstance(state.mode, Ended)
    assert events[-1].how == "left"


@pytest.mark.parametrize("line", ["?", "s", "dont-know", "b", ""])
def test_a_sign_of_danger_told_is_not_answered_with_dont_know(line):
    state, events, _ = talk("n", "i", "t smell-of-gas", line)
    smells = [each for each in events if isinstance(each, Found) and each.check == "smell-of-gas"]
    assert [each.outcome for each in smells] == ["no"]
    assert isinstance(state.mode, Asking)


def test_a_job_stopped_but_not_closed_when_the_program_ended_is_closed_on_resume():
    smelt = Found(time=NOW, check="smell-of-gas", outcome="yes")
    state, events, view = begin(diagnoses(), (START, smelt))
    assert isinstance(state.mode, Ended)
    assert events == (Closed(time=NOW, how="left", stopped=("smell-of-gas",)),)
    assert view.screen.stop


def test_making_safe_comes_again_when_a_job_is_taken_up():
    _, events, _ = talk("n", "1")
    state, _, view = begin(diagnoses(), (START, *events))
    assert state.mode == MakingSafe(first=False)
    checks = loaded().checks[FURNACE].values()
    asked = tuple(check.entry.ask for check in checks if check.entry.phase == "make-safe")
    assert view.screen.signs == asked


def test_cautions_that_stop_come_in_the_order_of_the_rules_and_say_what_to_do():
    _, events, view = talk("2 1")
    assert events[-1].stopped == ("smell-of-gas", "co-alarm")
    texts = [caution.lines for caution in view.screen.stop]
    cautions = loaded().cautions
    assert texts == [tuple(cautions[each].text) for each in events[-1].stopped]


# --- any inputs -------------------------------------------------------------------

KEYS = [*sorted(BARE), "s", "?", "", "e 1", "t glow", "t water in the hose"]
HOSTILE = [
    "t smell-of-gas",
    "t jumper-or-tape-found",
    "t scorch-or-roll-out-marks",
    "t volts R C standby 24.5",
    "t pressure ROOM COLLECTOR proving-draft 1.2 inwc",
    "t volts R NOWHERE heating 1",
    "t " + "x" * 300,
    "\x1b[2J\u202e",
    "9" * 400,
    "-1",
    "yes",
    "no",
    "1 2 3 4",
    "4 45",
]
LINES = st.one_of(
    st.sampled_from(["1", "2", "3", "4", "5"]),
    st.sampled_from(KEYS),
    st.sampled_from(HOSTILE),
    st.text(max_size=12),
)


class Job(RuleBasedStateMachine):
    """A job that anything may be typed into, and that may be broken off and taken up."""

    @initialize(first=st.sampled_from(["n", "n", "n", "1", "?", "b"]))
    def arrive(self, first):
        self.events = (START,)
        self.state, _, self.view = begin(diagnoses(), self.events)
        self.type(first)

    def type(self, line):
        self.before = self.state
        self.state, happened, self.view = step(self.state, line, NOW)
        self.events = (*self.events, *happened)

    @precondition(lambda self: not isinstance(self.state.mode, Ended))
    @rule(line=LINES)
    def anything_is_typed(self, line):
        self.type(line)

    @precondition(lambda self: isinstance(self.state.mode, Asking))
    @rule(number=st.integers(1, 3))
    def an_answer_is_typed(self, number):
        self.type(f"#{number}")

    @precondition(lambda self: isinstance(self.state.mode, MakingSafe))
    @rule()
    def nothing_dangerous_is_there(self):
        self.type("n")

    @precondition(lambda self: replay(self.events).closed is None)
    @rule()
    def it_is_broken_off_and_taken_up_again(self):
        self.state, happened, self.view = begin(diagnoses(), self.events)
        self.events = (*self.events, *happened)

    @invariant()
    def what_happened_is_what_the_state_holds(self):
        assert self.state.events == self.events

    @invariant()
    def nothing_is_asked_past_a_stop(self):
        if self.state.advice.stopped:
            assert isinstance(self.state.mode, Ended)
            assert self.state.job.closed == "left"
            assert not isinstance(self.view.screen, Question | Advice)

    @invariant()
    def no_check_is_shown_before_the_signs_of_danger_are_answered_with_no(self):
        if isinstance(self.view.screen, Question | Advice):
            answers = counted(self.state.job.findings)
            signs = make_safe_checks(self.state.knowledge, self.state.job.furnace)
            assert all(answers[sign].outcome == "no" for sign in signs)

    @invariant()
    def a_live_test_is_shown_only_with_its_cautions(self):
        if isinstance(self.view.screen, Question) and live(self.state, self.view.screen.check):
            hazards = self.state.diagnosis.checks[self.view.screen.check].entry.hazards
            assert len(self.view.screen.cautions) >= len(hazards)

    @invariant()
    def a_job_is_not_closed_as_done_while_something_is_open(self):
        if self.state.job.closed in ("found", "nothing"):
            assert self.state.open_items == ()

    @precondition(lambda self: isinstance(self.state.mode, Ended))
    @rule(line=LINES)
    def an_ended_job_takes_no_further_line(self, line):
        with pytest.raises(ValueError, match="ended"):
            step(self.state, line, NOW)


Job.TestCase.settings = settings(max_examples=80, stateful_step_count=25, deadline=None)
TestJob = Job.TestCase


# --- the open list ----------------------------------------------------------------


def bypassed():
    """A job in which something is left open, and what it is."""
    for check in diagnoses().of(replay([START])).checks.values():
        if check.entry.opens:
            return talk("n", "i", f"t {check.id}", "#1")[0], check.entry.opens
    raise AssertionError("no check leaves anything open")


def test_what_a_check_leaves_behind_is_open_until_it_is_cleared():
    state, item = bypassed()
    assert item in state.open_items
    state, _, view = step(state, "o", NOW)
    number = view.screen.items.index(item) + 1
    after, events, _ = step(state, str(number), NOW)
    assert events[0].item == item
    assert item not in after.open_items


def test_taking_back_opens_it_again():
    state, item = bypassed()
    state, _, view = step(state, "o", NOW)
    state, _, _ = step(state, str(view.screen.items.index(item) + 1), NOW)
    while isinstance(state.mode, Clearing):
        state, _, _ = step(state, "b", NOW)
    state, _, _ = step(state, "b", NOW)
    assert item in state.open_items


def test_found_again_it_is_open_again():
    state, item = bypassed()
    check = state.job.findings[-1].check
    state, _, view = step(state, "o", NOW)
    for line in (str(view.screen.items.index(item) + 1), "b", f"t {check}", "#1"):
        state, _, _ = step(state, line, NOW)
    assert item in state.open_items


def test_a_job_is_not_closed_while_something_is_open_but_can_be_left():
    state, item = bypassed()
    for line in ("r", "filter", "1", "u no time"):
        state, events, view = step(state, line, NOW)
    assert (events, type(state.mode)) == ((), Clearing)
    assert item in view.screen.items
    left, events, _ = step(state, "q", NOW)
    assert (events, left.mode) == ((), Ended(None))
    while not isinstance(state.mode, Ended):
        state, events, _ = step(state, "1", NOW)
    assert events[-1] == Closed(
        time=NOW, how="found", repair="replace-filter", proof="unproven", reason="no time"
    )
