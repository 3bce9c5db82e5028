"""At the prompt: the furnace works now, another call for heat, two faults at once."""

import json

import pytest
from click.testing import CliRunner

from lightoff.cli.interview import begin, step
from lightoff.cli.job_screens import advice_lines
from lightoff.cli.job_state import Advising, Asking, State, screen_of
from lightoff.cli.main import lightoff
from lightoff.cli.past_words import PastWords
from lightoff.cli.wording import change, repair_title
from lightoff.engine.reasoning.belief import prior
from lightoff.engine.reasoning.diagnosis import Diagnosis, SimulatedFurnace
from lightoff.engine.reasoning.job import (
    CalledAgain,
    Found,
    Repaired,
    Started,
    TwoFaults,
    Undone,
)
from lightoff.engine.reasoning.planning.choice import Decision
from tests.cli.talk import FURNACE, NOW, typed, words

BOTH = {
    "inducer-turns-on-call": "stands",
    "inducer-noise": "humming",
    "inducer-shaft-by-hand": "stuck",
    "ohms-of-igniter": "open",
    "igniter-look": "cracked",
}
"""What a seized inducer and a cracked igniter show together."""
PAIR = "replace-inducer+replace-igniter"


def working(state):
    """The job on a furnace that works now, up to its advice."""
    furnace = SimulatedFurnace(state.diagnosis.furnace, [])
    for _ in range(60):
        if isinstance(state.mode, Advising):
            return state
        check = state.diagnosis.checks[state.mode.decision.check]
        state, _, _ = step(state, furnace.answer(check).entered or "?", NOW)
    raise AssertionError("no advice came")


@pytest.fixture(scope="module")
def works(diagnoses):
    state, _, _ = begin(diagnoses, (Started(time=NOW, furnace=FURNACE, version="0"),))
    state, _, _ = typed(state, "n", "i")
    return working(state)


def test_a_furnace_that_works_now_is_not_the_end_of_the_job(works):
    said = words(typed(works, "p")[2]) + words(typed(works, "b", "c")[2])
    assert works.mode.decision.kind == "nothing-found"
    assert "Another call for heat" in said
    _, _, view = typed(works, "xyz")
    assert "c run another call for heat" in words(view)


def test_the_advice_names_what_may_be_hidden_and_what_to_leave_recording(works):
    shown = screen_of(works)
    assert shown.works is not None
    said = "\n".join(line.words for line in advice_lines(shown))
    assert "It works now, but a fault may be hidden" in said
    assert "Leave recording: " in said
    assert "Bring it out" in said


def test_another_call_is_put_down_and_asks_where_it_stalls(works):
    state, events, view = typed(works, "c")
    assert events == [CalledAgain(time=NOW)]
    assert isinstance(state.mode, Asking)
    assert state.mode.decision.check == "where-the-call-stalls"
    assert view.screen.phase == "watch"
    after, events, _ = typed(state, "1")
    assert (after.job.findings[-1].call, events[0].check) == (1, "where-the-call-stalls")
    back, events, view = typed(state, "b")
    assert events == [Undone(time=NOW)]
    assert back.job == works.job
    assert "the last call for heat" in view.note


def test_an_interview_left_out_is_not_offered_to_be_left_out_again(works):
    state, _, view = typed(works, "c")
    assert "skip the interview" not in words(view)
    again, events, view = typed(state, "i")
    assert (again.job, events) == (state.job, [])
    assert "interview is over" in words(view)


def test_a_fault_that_shows_in_a_later_call_is_found_in_it(works):
    state, _, _ = typed(works, "c", "inducer only")
    assert state.job.findings[-1].outcome == "inducer-only"
    sound = sum(
        share
        for each, share in zip(
            state.belief.table.hypotheses, state.belief.probabilities, strict=True
        )
        if each.id == "no-fault"
    )
    assert sound < 0.3 < works.belief.probabilities[0]


# --- two faults -------------------------------------------------------------------


def test_two_faults_are_reckoned_with_on_request_and_that_is_taken_back(start):
    assert all(len(each.faults) < 2 for each in start.belief.table.hypotheses)
    state, events, view = typed(start, "m")
    assert events == [TwoFaults(time=NOW)]
    assert any(len(each.faults) == 2 for each in state.belief.table.hypotheses)
    assert "two faults at once" in view.note.lower()
    again, events, _ = typed(state, "m")
    assert (again.events, events) == (state.events, [])
    back, _, view = typed(state, "b")
    assert not back.job.two_faults
    assert "two faults at once" in view.note


@pytest.fixture(scope="module")
def with_both(works):
    """A job in which two faults are as good as proved."""
    events = [*works.events[:6]]
    events += [
        Found(time=NOW, check=check, outcome=outcome, unasked=True)
        for check, outcome in BOTH.items()
    ]
    decision = Decision("repair", None, PAIR, PAIR, 0.95, 100.0)
    return State(works.diagnoses, tuple(events), Advising(decision))


def test_advice_for_two_faults_holds_both_repairs(with_both):
    shown, knowledge = screen_of(with_both), with_both.knowledge
    both = [knowledge.repairs[each] for each in PAIR.split("+")]
    assert shown.title == "; and ".join(each.title for each in both)
    assert shown.minutes == sum(each.minutes for each in both)
    steps = {line for _, lines in shown.sections for line in lines}
    assert steps == {line for each in both for _, lines in each.sections for line in lines}
    assert " and " in shown.suspect
    names = [name for name, _ in shown.sections]
    assert len(set(names)) == len(names)


def test_two_repairs_in_vain_are_one_event_and_neither_is_a_suspect_then(with_both):
    state, events, view = typed(with_both, "2")
    assert events == [Repaired(time=NOW, repair=PAIR)]
    assert state.job.repaired == tuple(PAIR.split("+"))
    assert "did not cure" in view.note
    assert not typed(with_both, "2", "b")[0].job.repaired


def test_a_change_is_told_where_a_pair_comes_to_lead(with_both):
    before = with_both.diagnosis.table
    said = change(with_both.diagnosis, prior(before), with_both.belief)
    assert "0% before" in said


def test_past_calls_and_pairs_have_words(knowledge):
    past = PastWords(knowledge, knowledge.furnaces[FURNACE])
    assert past.question(CalledAgain(time=NOW)) == "Another call for heat was run."
    assert "two faults at once" in past.question(TwoFaults(time=NOW))
    assert past.repair(PAIR) == repair_title(knowledge, PAIR)
    assert "nonsense (not known today)" in past.repair("replace-inducer+nonsense")
    assert past.closing("found", "replace-inducer+shut-down-and-tag", ()).startswith("off and")


# --- from a file ------------------------------------------------------------------


@pytest.fixture
def read_and_predicted_once(monkeypatch, knowledge, diagnosis):
    monkeypatch.setattr("lightoff.engine.library.load", lambda: knowledge)
    monkeypatch.setattr(Diagnosis, "of", lambda *_: diagnosis)


def told_of(tmp_path, findings, *options):
    path = tmp_path / "findings.yaml"
    path.write_text("".join(f"{check}: {outcome}\n" for check, outcome in findings.items()))
    arguments = ["diagnose", "--furnace", FURNACE, "--findings", str(path), "--json", *options]
    done = CliRunner().invoke(lightoff, arguments)
    assert done.exit_code == 0, done.output
    return json.loads(done.stdout)


def test_json_holds_two_faults_as_one_suspect(tmp_path, read_and_predicted_once):
    first = told_of(tmp_path, BOTH)["suspects"][0]
    assert first["faults"] == ["inducer.seized", "igniter.open"]
    assert first["parts"] == ["inducer", "igniter"]
    assert first["repair"] == PAIR


def test_pairs_are_reckoned_with_in_a_file_on_request(tmp_path, read_and_predicted_once):
    few = {"inducer-shaft-by-hand": "stuck"}
    alone, both = told_of(tmp_path, few), told_of(tmp_path, few, "--pairs")
    assert max(len(each["faults"]) for each in alone["suspects"]) == 1
    assert max(len(each["faults"]) for each in both["suspects"]) == 2
    assert sum(each["probability"] for each in both["suspects"]) == pytest.approx(1.0)


def test_pairs_without_findings_is_wrong_use(read_and_predicted_once):
    done = CliRunner().invoke(lightoff, ["diagnose", "--pairs"])
    assert done.exit_code == 2
    assert "--findings" in done.stderr


def test_json_says_what_to_record_only_where_the_furnace_works(tmp_path, works, request):
    request.getfixturevalue("read_and_predicted_once")
    found = {each.check: each.outcome for each in works.job.findings if each.outcome}
    now = told_of(tmp_path, found)["works_now"]
    assert {"no_fault", "hidden", "provoke", "record"} == set(now)
    assert now["record"][0]["check"] in works.diagnosis.checks
    assert told_of(tmp_path, {"inducer-shaft-by-hand": "stuck"})["works_now"] is None
