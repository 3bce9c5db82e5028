"""The conversation of a job as a pure function: what is typed -> what happens and is shown."""

from dataclasses import replace

import pytest

from lightoff.cli import job_screens
from lightoff.cli.asides import Why
from lightoff.cli.danger import STOP_WORK, read_signs
from lightoff.cli.interview import step
from lightoff.cli.job_state import (
    Advising,
    Asking,
    Choosing,
    Ended,
    MakingSafe,
    Proving,
    Stopping,
    Trying,
)
from lightoff.cli.setup import setup_to_change
from lightoff.cli.views import Advice, Parting, Question
from lightoff.cli.wording import Suspects, checks_left, odds, percent
from lightoff.engine.reasoning.answers import understand
from lightoff.engine.reasoning.diagnosis import SimulatedFurnace
from lightoff.engine.reasoning.job import (
    Closed,
    Cured,
    Found,
    Repaired,
    Skipped,
    Undone,
)
from tests.cli.talk import NOW, answered, at_a_figure, put_right, typed, words

# --- a question -------------------------------------------------------------------


def test_the_keys_are_the_last_thing_on_a_question(start):
    _, _, view = typed(start, "s")
    assert isinstance(view.screen, Question)
    assert words(view).splitlines()[-1] == job_screens.KEYS_AT_QUESTION[-1]


def test_an_answer_by_number_is_a_finding_and_leads_to_another_question(start):
    first = start.mode.decision.check
    state, events, view = typed(start, "2")
    outcome = start.diagnosis.checks[first].outcomes[1].id
    assert events == [Found(time=NOW, check=first, outcome=outcome, entered="2")]
    assert state.mode.decision.check != first
    assert "%" in view.note


def test_an_answer_by_name_means_the_same_as_by_number(start):
    check = start.diagnosis.checks[start.mode.decision.check]
    _, by_name, _ = typed(start, check.outcomes[0].id.upper().replace("-", " "))
    _, by_number, _ = typed(start, "1")
    assert by_name[0].outcome == by_number[0].outcome


@pytest.mark.parametrize("key", ["?", "dont-know", "don't know"])
def test_dont_know_is_put_down_and_does_not_move_the_suspects(start, key):
    state, events, _ = typed(start, key)
    assert events[0].outcome is None
    assert state.belief.probabilities == pytest.approx(start.belief.probabilities)
    assert state.mode.decision.check != start.mode.decision.check


@pytest.mark.parametrize("nonsense", ["", "banana", "0", "99", "-1", "#", "\x1b[31m", "9" * 500])
def test_what_is_no_answer_is_refused_and_asked_again(start, nonsense):
    state, events, view = typed(start, nonsense)
    assert (state, events) == (start, [])
    assert view.refused
    assert len(view.note) < 300


def test_a_number_alone_is_a_reading_where_an_instrument_is_read(start):
    state = at_a_figure(start)
    check = state.diagnosis.checks[state.mode.decision.check]
    _, events, _ = typed(state, "3.5")
    assert events[0].check == check.id
    assert events[0].entered == "3.5"


def test_a_hash_number_is_an_answer_where_an_instrument_is_read(start):
    state = at_a_figure(start)
    check = state.diagnosis.checks[state.mode.decision.check]
    _, events, _ = typed(state, "#1")
    assert events[0].outcome == check.outcomes[0].id


def test_the_unit_of_a_bare_number_is_said_where_an_instrument_is_read(start):
    _, _, view = typed(at_a_figure(start), "p")
    assert f"a number alone is in {view.screen.unit}" in words(view)


def test_a_reading_in_the_unit_of_another_quantity_is_refused_with_the_right_units(start):
    state = at_a_figure(start)
    voltage = state.diagnosis.checks[state.mode.decision.check].dimension == "voltage"
    other = "9 s" if voltage else "24 V"
    after, events, view = typed(state, other)
    assert (after, events) == (state, [])
    assert "not a" in view.note
    assert "give it in" in view.note


def test_a_negative_reading_is_refused_where_it_cannot_be(start):
    furnace, checks = start.diagnosis.furnace, start.diagnosis.checks
    answers = SimulatedFurnace(furnace, [furnace.faults["igniter-relay.open"]])
    state = start
    while checks[state.mode.decision.check].dimension not in ("voltage", "resistance"):
        state, _, _ = step(
            state, answers.answer(checks[state.mode.decision.check]).entered or "?", NOW
        )
    after, events, view = typed(state, "-24")
    assert (after, events) == (state, [])
    assert "never below zero" in view.note


def test_skip_is_put_down_and_the_check_does_not_come_back(start):
    first = start.mode.decision.check
    state, events, _ = typed(start, "s")
    assert events == [Skipped(time=NOW, check=first)]
    for _ in range(5):
        assert state.mode.decision.check != first
        state, _, _ = typed(state, "?")


def test_back_takes_back_answer_skip_and_dont_know_one_by_one(start):
    state, _, _ = typed(start, "2", "s", "?")
    for _ in range(3):
        state, events, view = typed(state, "b")
        assert events == [Undone(time=NOW)]
        assert view.note.startswith("Taken back")
    assert state.job == start.job
    assert state.mode.decision.check == start.mode.decision.check


def test_back_at_the_first_question_leads_to_making_safe_and_no_further(arrived):
    first, _, _ = typed(arrived, "n")
    state, events, _ = typed(first, "b")
    assert (events, type(state.mode)) == ([], MakingSafe)
    again, events, view = typed(state, "b")
    assert (again, events, view.refused) == (state, [], True)


def test_why_and_suspects_change_nothing_and_ask_again(start):
    for key, shown in (("w", Why), ("p", Suspects)):
        state, events, view = typed(start, key)
        assert (state, events) == (start, [])
        assert isinstance(view.note, shown)
        assert view.screen.ask in words(view)


def test_a_caution_is_shown_in_full_once_and_in_one_line_later(start):
    state, told = start, set()
    for _ in range(12):
        check = state.diagnosis.checks[state.mode.decision.check]
        state, _, view = typed(state, "?")
        if not isinstance(view.screen, Question):
            break
        told |= set(check.entry.hazards)
        for hazard in state.diagnosis.checks[view.screen.check].entry.hazards:
            caution = state.diagnosis.knowledge.cautions[hazard]
            in_full = f"Caution: {caution.title}" in words(view).splitlines()
            assert in_full == (hazard not in told)
            assert (caution.short in words(view)) == (hazard in told)


def test_power_goes_off_before_anything_else_is_changed(start):
    diagnosis = start.diagnosis
    off = diagnosis.knowledge.aspects["power"].how["off"]
    dead = [check for check in diagnosis.checks.values() if check.setup.get("power") == "off"]
    assert dead
    for check in dead:
        assert setup_to_change(diagnosis, check, start.job)[0] == off


def test_power_goes_on_after_everything_else_but_the_call(start):
    diagnosis = start.diagnosis
    aspects = diagnosis.knowledge.aspects
    dead = next(check for check in diagnosis.checks.values() if check.setup.get("power") == "off")
    job = replace(start.job, checks_done=(dead.id,))
    live = [check for check in diagnosis.checks.values() if check.setup.get("power") == "on"]
    for check in live:
        after = setup_to_change(diagnosis, check, job)
        after = after[after.index(aspects["power"].how["on"]) + 1 :]
        assert set(after) <= set(aspects["call"].how.values())


# --- advice and repairs -----------------------------------------------------------


@pytest.mark.parametrize(
    "fault", ["flame-sensor.coated", "collector-hose.water", "fuse.blown-alone"]
)
def test_a_simulated_furnace_is_led_to_its_repair(start, fault):
    state = put_right(answered(start, fault))
    wanted = start.diagnosis.furnace.faults[fault].repair
    assert state.mode.decision.repair == wanted
    state, events, _ = typed(state, "1")
    assert events == [Cured(time=NOW, repair=wanted)]
    assert isinstance(state.mode, Proving)


def test_everything_that_was_changed_is_put_back_before_the_repair_is_proved(start):
    state = put_right(answered(start, "collector-hose.water"))
    aspects = state.diagnosis.knowledge.aspects
    now = state.diagnosis.setup_now(state.job)
    changed = [each for each in aspects.values() if now[each.id] != each.start]
    assert changed
    _, _, view = typed(state, "1")
    for aspect in changed:
        assert aspect.how[aspect.start] in words(view)


def test_advice_names_the_suspect_and_a_finding_that_says_so(start):
    state = answered(start, "flame-sensor.coated")
    _, _, view = typed(state, "p")
    assert isinstance(view.screen, Advice)
    assert view.screen.suspect == "Sensor coated"
    assert any("Flame sensor look" in each for each in view.screen.evidence)


def test_a_repair_that_does_not_cure_is_put_down_and_another_is_looked_for(start):
    state = answered(start, "flame-sensor.coated")
    state, events, view = typed(state, "2")
    assert events == [Repaired(time=NOW, repair="clean-flame-sensor")]
    assert state.mode.decision.repair != "clean-flame-sensor"
    assert "did not cure" in view.note


def test_looking_further_asks_a_check_and_back_returns_to_the_advice(start):
    advised = answered(start, "flame-sensor.coated")
    state, events, view = typed(advised, "3")
    assert (events, state.mode.further) == ([], True)
    assert "looking further" in words(view)
    state, events, _ = typed(state, "b")
    assert (events, state.mode) == ([], advised.mode)


def test_a_repair_done_unasked_is_chosen_by_words_and_tried(start):
    state, events, _ = typed(start, "r", "filter")
    assert (state.mode, events) == (Trying("replace-filter"), [])
    again, events, _ = typed(state, "2")
    assert events == [Repaired(time=NOW, repair="replace-filter")]
    assert isinstance(again.mode, Asking)
    state, events, _ = typed(state, "1")
    assert events == [Cured(time=NOW, repair="replace-filter")]
    assert isinstance(state.mode, Proving)


def test_words_of_several_repairs_list_those_only(start):
    state, _, view = typed(start, "r", "hose")
    assert isinstance(state.mode, Choosing)
    assert len(view.screen.rows) > 1
    assert all("hose" in title.lower() for title, _ in view.screen.rows)


@pytest.mark.parametrize("nonsense", ["", "0", "99", "qqqq", "\x1b"])
def test_a_repair_that_is_not_listed_is_refused(start, nonsense):
    choosing, _, _ = typed(start, "r")
    state, events, view = typed(choosing, nonsense)
    assert (state, events, view.refused) == (choosing, [], True)


def test_a_cracked_exchanger_is_never_lit_again(start):
    advised = answered(start, "primary-exchanger.cracked")
    assert advised.mode.decision.repair == "shut-down-and-tag"
    _, events, view = typed(advised, "2")
    assert (events, view.refused) == ([], True)
    _, events, view = typed(put_right(advised), "1")
    assert events == [Closed(time=NOW, how="found", repair="shut-down-and-tag", proof="tagged")]
    assert "stays off" in words(view)
    assert "full call" not in words(view)
    power = start.diagnosis.knowledge.aspects["power"]
    assert power.how["on"] not in words(view)


def test_nothing_wrong_is_closed_as_nothing_found(start):
    sound = SimulatedFurnace(start.diagnosis.furnace, [])
    state = start
    while isinstance(state.mode, Asking):
        answer = sound.answer(state.diagnosis.checks[state.mode.decision.check])
        state, _, _ = step(state, answer.entered or "?", NOW)
    assert state.mode.decision.kind == "nothing-found"
    state, events, _ = typed(put_right(state), "1")
    assert events == [Closed(time=NOW, how="nothing")]


def test_advice_refuses_other_numbers_and_words(start):
    advised = answered(start, "flame-sensor.coated")
    for nonsense in ("", "4", "yes", "s"):
        state, events, view = typed(advised, nonsense)
        assert (state, events, view.refused) == (advised, [], True)
    assert isinstance(advised.mode, Advising)


# --- danger and leaving -----------------------------------------------------------


def test_a_danger_met_during_the_job_stops_the_work_and_says_what_to_do(start):
    state, _, _ = typed(start, "2", "!")
    assert isinstance(state.mode, Stopping)
    state, events, view = typed(state, "1")
    assert events == [Closed(time=NOW, how="left", stopped=("smell-of-gas",))]
    assert isinstance(view.screen, Parting)
    for line in state.diagnosis.knowledge.cautions["smell-of-gas"].text:
        assert line in words(view)


def test_leaving_puts_nothing_down(start):
    state, events, _ = typed(start, "q")
    assert (state.mode, events) == (Ended(None), [])
    with pytest.raises(ValueError, match="ended"):
        step(state, "1", NOW)


@pytest.mark.parametrize("entered", ["", "?", "n", "0", "7", "dont-know", "1 x"])
def test_signs_that_were_not_named_by_number_are_none(entered):
    assert read_signs(entered, STOP_WORK) == ()


def test_yes_means_all_signs_and_numbers_mean_theirs_the_most_urgent_first():
    assert read_signs("y", STOP_WORK) == STOP_WORK
    assert read_signs("2, 1", STOP_WORK) == STOP_WORK[:2]


# --- words ------------------------------------------------------------------------


def test_percent_never_claims_none_or_all_by_rounding():
    assert [percent(share) for share in (0.0, 0.004, 0.5, 0.996, 1.0)] == [
        "0%",
        "<1%",
        "50%",
        ">99%",
        "100%",
    ]


def test_checks_left_are_the_halvings_of_the_repairs_in_play():
    assert checks_left([1 / 8] * 8) == 3
    assert checks_left([1.0]) == 1


def test_odds_are_times_likelier():
    assert odds(10.0) == "10 times likelier"
    assert odds(1.0) == "1.3 times likelier"


# --- readings ---------------------------------------------------------------------


@pytest.mark.parametrize("fault", ["igniter.open", "vent-pipe.blocked", "blower.motor-failed"])
def test_what_a_simulated_instrument_shows_is_understood_as_the_same_outcome(diagnosis, fault):
    furnace = SimulatedFurnace(diagnosis.furnace, [diagnosis.furnace.faults[fault]])
    for check in diagnosis.checks.values():
        answer = furnace.answer(check)
        assert understand(check, answer.entered or "?").outcome == answer.outcome, check.id
