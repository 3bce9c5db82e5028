"""A diagnosis played to its end against something that answers."""

import pytest

from lightoff.engine.reasoning.belief import Finding
from lightoff.engine.reasoning.misreading import MISREAD, MisreadFurnace
from lightoff.engine.reasoning.planning.choice import Decision
from lightoff.engine.reasoning.play import Arrival, play


def check(name: str) -> Decision:
    return Decision("check", name, None, "", 0.0, 0.0)


def repair(name: str) -> Decision:
    return Decision("repair", None, name, name, 0.9, 0.0)


NOTHING = Decision("nothing-found", None, None, "no-fault", 0.9, 0.0)


def in_turn(*decisions: Decision):
    """A way of choosing that says the same whatever comes of it."""
    left = list(decisions)
    return lambda belief, job: left.pop(0)


def hidden(diagnosis, *faults: str, errors: float = 0.0, seed: int = 0) -> MisreadFurnace:
    found = [diagnosis.furnace.faults[fault] for fault in faults]
    return MisreadFurnace(diagnosis.furnace, found, errors, seed)


def test_a_repair_that_is_needed_cures_and_ends_it(diagnosis):
    choose = in_turn(check("igniter-glow"), repair("replace-igniter"))
    course = play(diagnosis, hidden(diagnosis, "igniter.open"), choose)
    assert course.ended == "cured"
    assert course.advised == ("replace-igniter",)
    assert [step.finding and step.finding.outcome for step in course.steps] == ["dark", None]


def test_after_a_repair_in_vain_it_goes_on(diagnosis):
    choose = in_turn(repair("replace-gas-valve"), repair("replace-igniter"))
    course = play(diagnosis, hidden(diagnosis, "igniter.open"), choose)
    assert course.advised == ("replace-gas-valve", "replace-igniter")
    assert course.ended == "cured"


def test_two_repairs_advised_as_one_cure_two_faults(diagnosis):
    furnace = hidden(diagnosis, "igniter.open", "filter.plugged")
    course = play(diagnosis, furnace, in_turn(repair("replace-igniter+replace-filter")))
    assert course.ended == "cured"
    assert course.steps[0].minutes == sum(
        diagnosis.knowledge.repairs[each].minutes for each in ("replace-igniter", "replace-filter")
    )


def test_with_one_of_two_faults_mended_the_furnace_shows_the_other(diagnosis):
    furnace = hidden(diagnosis, "igniter.open", "filter.plugged")
    glow, filter_ = (diagnosis.checks[each] for each in ("igniter-glow", "filter-look"))
    assert furnace.answer(glow).outcome == "dark"
    assert not furnace.works_after("replace-igniter")
    assert furnace.answer(glow).outcome == "bright"
    assert furnace.answer(filter_).outcome != hidden(diagnosis).answer(filter_).outcome
    assert furnace.works_after("replace-filter")


def test_findings_after_a_repair_are_told_from_those_before(diagnosis):
    choose = in_turn(
        check("igniter-glow"), repair("replace-gas-valve"), check("igniter-glow"), NOTHING
    )
    course = play(diagnosis, hidden(diagnosis, "igniter.open"), choose)
    before, after = course.steps[-1].belief.findings
    assert (before.repairs, after.repairs) == (0, 1)
    assert course.steps[-1].belief.repaired == ("replace-gas-valve",)


@pytest.mark.parametrize("choose", [None, in_turn(check("flue-co"), NOTHING)])
def test_rules_that_stop_the_work_end_it_however_it_is_chosen(diagnosis, choose):
    course = play(diagnosis, hidden(diagnosis, "intake-pipe.draws-flue-gas"), choose)
    assert course.ended == "stopped"
    assert course.stopped == ("carbon-monoxide",)
    assert course.advised == ("stopped",)


def test_a_check_that_rules_hold_back_is_not_made(diagnosis, monkeypatch):
    def checks(held_back: bool) -> list[str]:
        if held_back:
            monkeypatch.setattr(
                "lightoff.engine.reasoning.interview._Course.held_back",
                property(lambda _: frozenset({"igniter-glow"})),
            )
        course = play(diagnosis, hidden(diagnosis, "igniter.open"))
        return [step.decision.check or "" for step in course.steps]

    assert "igniter-glow" in checks(held_back=False)
    assert "igniter-glow" not in checks(held_back=True)


def test_advice_that_never_ends_is_cut_off(diagnosis, monkeypatch):
    monkeypatch.setattr("lightoff.engine.reasoning.play.MOST_STEPS", 3)
    course = play(diagnosis, hidden(diagnosis, "igniter.open"), lambda *_: repair("clean-burners"))
    assert course.ended == "too-long"
    assert len(course.steps) == 3


def test_what_is_told_on_arrival_is_believed_from_the_first_step(diagnosis):
    told = Arrival({"tried-before": "sensor-cleaned-and-came-back"})
    course = play(diagnosis, hidden(diagnosis, "igniter.open"), in_turn(NOTHING), told)
    found = course.steps[0].belief.findings
    assert [(each.check, each.outcome) for each in found] == [tuple(*told.tells.items())]


def test_danger_told_on_arrival_stops_the_work_before_the_first_step(diagnosis):
    told = Arrival({"smell-of-gas": "yes"})
    course = play(diagnosis, hidden(diagnosis, "igniter.open"), arrival=told)
    assert (course.ended, course.steps) == ("stopped", ())


def test_no_check_is_made_with_a_tool_that_is_not_there(diagnosis):
    lacks = tuple(diagnosis.knowledge.tools)
    course = play(diagnosis, hidden(diagnosis, "igniter.open"), arrival=Arrival(lacks=lacks))
    made = [step.finding.check for step in course.steps if step.finding]
    assert made
    assert not any(diagnosis.checks[check].entry.tools for check in made)


def test_set_up_is_counted_apart_from_the_check_itself(diagnosis):
    choose = in_turn(check("ohms-of-igniter"), check("ohms-of-gas-valve-coil"), NOTHING)
    first, second, _ = play(diagnosis, hidden(diagnosis, "igniter.open"), choose).steps
    assert first.minutes == diagnosis.checks["ohms-of-igniter"].entry.minutes
    assert first.setup > second.setup >= 0.0


# --- misreading -------------------------------------------------------------------


def test_without_errors_every_answer_is_what_the_furnace_shows(diagnosis):
    furnace = hidden(diagnosis, "igniter.open")
    assert all(furnace.answer(each).entered != MISREAD for each in diagnosis.checks.values())


def test_with_errors_that_share_of_what_can_be_known_is_misread(diagnosis):
    answers = [
        hidden(diagnosis, "igniter.open", errors=0.3, seed=seed).answer(each)
        for each in diagnosis.checks.values()
        if not each.entry.reads.told
        for seed in range(3)
    ]
    share = sum(answer.entered == MISREAD for answer in answers) / len(answers)
    assert share == pytest.approx(0.3, abs=0.05)


def test_a_misread_answer_is_another_outcome_of_the_check(diagnosis):
    glow = diagnosis.checks["igniter-glow"]
    wrong = hidden(diagnosis, "igniter.open", errors=1.0).answer(glow)
    assert wrong.outcome in {each.id for each in glow.outcomes} - {"dark"}


def test_what_nobody_knows_is_not_misread(diagnosis):
    told = next(each for each in diagnosis.checks.values() if each.entry.reads.told)
    assert hidden(diagnosis, "igniter.open", errors=1.0).answer(told) == Finding(told.id, None)


def test_the_same_checks_are_misread_in_whatever_order_they_are_made(diagnosis):
    some = list(diagnosis.checks.values())[:60]
    one = hidden(diagnosis, "igniter.open", errors=0.5)
    other = hidden(diagnosis, "igniter.open", errors=0.5)
    forwards = {each.id: one.answer(each) for each in some}
    backwards = {each.id: other.answer(each) for each in reversed(some)}
    assert forwards == backwards
    third = hidden(diagnosis, "igniter.open", errors=0.5, seed=1)
    assert forwards != {each.id: third.answer(each) for each in some}
