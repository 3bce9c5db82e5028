"""The interview at the prompt: telling, explaining, the open list, an unknown furnace."""

from dataclasses import replace

import msgspec
import pytest

from lightoff.cli import job_screens
from lightoff.cli.asides import Listing
from lightoff.cli.interview import begin
from lightoff.cli.job_state import (
    Asking,
    Diagnoses,
    Identifying,
)
from lightoff.cli.keys import BARE, WITH_WORDS
from lightoff.cli.views import CheckList
from lightoff.engine.reasoning.diagnosis import Diagnosis
from lightoff.engine.reasoning.job import (
    Identified,
    InterviewSkipped,
    Seen,
    Started,
    Told,
    Undone,
)
from tests.cli.talk import FURNACE, NOW, answered, put_right, typed, words

# --- the interview ----------------------------------------------------------------


def asked(state):
    return state.mode.decision.check


def test_the_customer_is_heard_first_and_no_suspects_are_in_the_way(arrived):
    _, _, view = typed(arrived, "n")
    assert view.screen.phase == "customer"
    assert "Likeliest repairs" not in words(view)
    assert "--- Check 1 (2 min, the customer) ---" in words(view)


def test_skipping_the_interview_is_put_down_and_can_be_taken_back(arrived):
    first, _, _ = typed(arrived, "n")
    state, events, _ = typed(first, "i")
    assert events == [InterviewSkipped(time=NOW)]
    assert state.mode.phase == "narrow"
    state, events, view = typed(state, "b")
    assert (asked(state), events) == (asked(first), [Undone(time=NOW)])
    assert "skipping the interview" in view.note


def test_skipping_an_interview_that_is_over_is_refused(start):
    state, events, view = typed(start, "i")
    assert (state, events, view.refused) == (start, [], True)


def stalling(arrived):
    return typed(arrived, "n", "t where-the-call-stalls")[0]


def test_where_a_call_stalls_is_put_down_with_its_seconds(arrived):
    _, events, _ = typed(stalling(arrived), "inducer only 60 s")
    stalls, seconds = events
    assert (stalls.check, stalls.outcome) == ("where-the-call-stalls", "inducer-only")
    assert seconds.check == "how-long-draft-takes"
    assert seconds.entered == "60 s"


def test_seconds_in_a_step_that_no_check_times_are_a_reading_of_their_own(arrived):
    _, events, _ = typed(stalling(arrived), "7 5")
    assert events[0].outcome == "stops-at-trial"
    assert (events[1].quantity, events[1].places) == ("seconds", ("trial-for-ignition",))
    assert events[1].value == 5.0


@pytest.mark.parametrize("line", ["1 5", "10 900"])
def test_seconds_behind_a_step_that_is_no_stall_are_left_out(arrived, line):
    _, events, _ = typed(stalling(arrived), line)
    assert len(events) == 1


# --- telling ----------------------------------------------------------------------


def test_everyday_words_lead_to_a_choice_of_checks_and_its_answer_is_a_finding(start):
    state, events, view = typed(start, "t glow")
    assert (events, isinstance(view.screen, CheckList)) == ([], True)
    number = state.mode.checks.index("igniter-glow") + 1
    state, _, view = typed(state, str(number))
    assert view.screen.volunteered
    state, events, _ = typed(state, "1")
    assert (events[0].check, events[0].unasked) == ("igniter-glow", True)
    assert asked(state) != "igniter-glow"


def test_telling_is_left_with_back_and_changes_nothing(start):
    for lines in (("t glow", "b"), ("t glow", "1", "b"), ("t glow", "1", "s")):
        state, events, _ = typed(start, *lines)
        assert (events, state.job, asked(state)) == ([], start.job, asked(start))


def test_a_told_answer_changes_no_set_up(start):
    state, _, _ = typed(start, "t collector-hose-look", "1")
    assert state.diagnosis.setup_now(state.job) == start.diagnosis.setup_now(start.job)


def test_a_reading_between_two_points_is_understood_at_any_prompt(arrived):
    state, _, _ = typed(arrived, "n")
    state, events, view = typed(state, "t volts R W proving-draft 0.1 V")
    assert isinstance(events[0], Told)
    assert "%" in view.note
    state, events, view = typed(state, "b")
    assert events == [Undone(time=NOW)]
    assert "Volts, R to W in proving-draft: 0.1 V" in view.note


def test_a_reading_that_a_check_takes_answers_it(start):
    _, events, _ = typed(start, "t volts IND N proving-draft 118")
    assert (events[0].check, events[0].outcome) == ("volts-at-inducer", "normal")


def test_telling_with_no_words_says_how(start):
    state, events, view = typed(start, "t")
    assert (state, events, isinstance(view.note, Listing)) == (start, [], True)


@pytest.mark.parametrize("line", ["t xylophone", "t volts R NOWHERE heating 3", "t volts R C 3"])
def test_what_cannot_be_told_is_refused(start, line):
    state, events, view = typed(start, line)
    assert (state, events, view.refused) == (start, [], True)


def test_a_told_answer_can_be_corrected_and_the_latest_counts(start):
    state, _, _ = typed(start, "t collector-hose-look", "1", "t collector-hose-look", "4")
    only, _, _ = typed(start, "t collector-hose-look", "4")
    assert state.belief.probabilities == pytest.approx(only.belief.probabilities)


# --- explaining -------------------------------------------------------------------


def test_a_suspect_is_explained_by_number_and_by_word(start):
    state, _, _ = typed(start, "t collector-hose-look", "1")
    for line in ("e 1", "e hose off"):
        _, events, view = typed(state, line)
        assert events == []
        assert view.note.head.startswith("Hose off")
        assert any(row.startswith("For it: Collector hose look") for row in view.note.rows)


@pytest.mark.parametrize("line", ["e 0", "e 999", "e xylophone"])
def test_a_suspect_that_is_not_there_is_not_explained(start, line):
    state, events, view = typed(start, line)
    assert (state, events, view.refused) == (start, [], True)


def test_every_rule_that_fired_is_listed_in_its_words(start):
    _, _, view = typed(start, "l")
    assert view.note.rows == tuple(rule.entry.says for rule in start.advice.fired)
    assert view.note.rows


def test_a_finding_that_fits_no_suspect_is_named_and_offered_for_a_second_look(start):
    state = start
    for check, line in (
        ("where-the-call-stalls", "inducer-only"),
        ("inducer-turns-on-call", "1"),
        ("collector-hose-look", "off"),
    ):
        state, _, view = typed(state, f"t {check}", line)
    state, _, view = typed(state, "t status-light-after-call", "normal")
    assert "fits none of the suspects well: Status light after call" in view.note
    assert "t status-light-after-call" in view.note


def test_all_keys_are_told_and_the_usual_ones_fit_two_lines(start):
    _, _, view = typed(start, "h")
    told_keys = {row[0] for row in view.note.rows}
    assert told_keys == {"?", "s", *BARE, *WITH_WORDS}
    for keys in (
        job_screens.KEYS_AT_QUESTION,
        job_screens.KEYS_IN_INTERVIEW,
        job_screens.KEYS_AT_ADVICE,
    ):
        assert len(keys) == 2
        assert max(map(len, keys)) <= 80


# --- obligations ------------------------------------------------------------------


def test_what_a_finding_obliges_to_is_shown_with_the_repair_and_at_the_end(start):
    state = answered(start, "collector-hose.water")
    duties = [said.text for said in state.advice.obligations]
    assert duties
    _, _, view = typed(state, "p")
    assert view.screen.obligations == tuple(duties)
    _, _, view = typed(put_right(state), "1", "u no time left")
    assert all(duty in words(view) for duty in duties)


# --- a furnace not known yet ------------------------------------------------------


@pytest.fixture(scope="module")
def the_only_one(knowledge):
    """Diagnoses where one type of furnace alone is known."""
    alone = replace(knowledge, furnaces={FURNACE: knowledge.furnaces[FURNACE]})
    diagnosis = Diagnosis.of(alone, FURNACE)
    return Diagnoses(alone, lambda _: diagnosis)


def test_an_unknown_furnace_is_confirmed_after_the_customer_by_what_is_seen(the_only_one):
    state, _, _ = begin(the_only_one, (Started(time=NOW, furnace="", version="0"),))
    state, _, view = typed(state, "n", "i")
    assert isinstance(state.mode, Identifying)
    assert "two plastic pipes" in words(view)
    refused, events, view = typed(state, "n")
    assert (refused, events, view.refused) == (state, [], True)
    state, events, _ = typed(state, "y")
    assert events == [Identified(time=NOW, furnace=FURNACE)]
    assert isinstance(state.mode, Asking)
    state, _, _ = typed(state, "b")
    assert isinstance(state.mode, Identifying)


@pytest.fixture
def among_two(knowledge, diagnosis):
    """A job begun where two types of furnace are known; the types that were predicted."""
    entry = diagnosis.furnace.entry
    other = msgspec.structs.replace(
        entry, name="Another", features={**entry.features, "vent": "metal-vent"}
    )
    furnaces = {
        FURNACE: diagnosis.furnace,
        "another": replace(diagnosis.furnace, id="another", entry=other),
    }
    checks = dict.fromkeys(furnaces, knowledge.checks[FURNACE])
    several = replace(knowledge, furnaces=furnaces, checks=checks)
    made = []

    def make(furnace):
        made.append(furnace)
        return replace(diagnosis, knowledge=several, furnace=furnaces[furnace])

    state, _, _ = begin(Diagnoses(several, make), (Started(time=NOW, furnace="", version="0"),))
    return state, made


def test_there_are_no_suspects_while_it_may_be_one_of_several_types(among_two):
    state, _, _ = typed(among_two[0], "n")
    for line in ("p", "e 1", "r", "w", "t volts R C heating 24"):
        after, events, view = typed(state, line)
        assert (after, events, view.refused) == (state, [], True)


def test_with_one_type_known_there_is_a_why_before_it_is_confirmed(the_only_one):
    state, _, _ = begin(the_only_one, (Started(time=NOW, furnace="", version="0"),))
    state, _, _ = typed(state, "n")
    for line in ("w", "e 1"):
        after, events, view = typed(state, line)
        assert (after, events, view.refused) == (state, [], False)


def test_furnaces_are_told_apart_by_what_is_seen(among_two):
    state, made = among_two
    state, _, view = typed(state, "n", "i")
    assert "How does the flue gas leave" in words(view)
    state, events, view = typed(state, "3")
    assert events == [Seen(time=NOW, feature="vent", value="metal-vent")]
    assert view.screen.rows[0][0] == "Another"
    state, _, _ = typed(state, "y")
    assert state.job.furnace == "another"
    assert made == [FURNACE, "another"]
