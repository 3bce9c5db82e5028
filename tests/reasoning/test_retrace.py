"""Past jobs against what is known today."""

from dataclasses import replace

import pytest

from lightoff.engine.reasoning.diagnosis import SimulatedFurnace
from lightoff.engine.reasoning.interview import Ask, Conclude, MakeSafe, make_safe_checks
from lightoff.engine.reasoning.job import (
    AS_READ,
    Closed,
    Found,
    Identified,
    Repaired,
    Seen,
    Skipped,
    Started,
    Told,
    Undone,
    replay,
)
from lightoff.engine.reasoning.restate import Reread, Strange, restated
from lightoff.engine.reasoning.retrace import compared, moments, next_today
from lightoff.engine.reasoning.tell import equipped

T = "2026-01-02T10:11:12+00:00"
FURNACE = "two-pipe-condensing"
START = Started(time=T, furnace=FURNACE, version="0.1")
MOST = 100
LIT = Found(time=T, check="thermostat-display", outcome="lit")


def found(check, outcome, entered="", unasked=False):
    return Found(time=T, check=check, outcome=outcome, entered=entered, unasked=unasked)


def numbered(*events):
    return tuple(enumerate(events, start=1))


# --- what happened ----------------------------------------------------------------


def test_each_event_has_the_job_before_and_after_it():
    first, second = moments(numbered(START, LIT))
    assert (first.before, first.after) == (replay([START]), replay([START]))
    assert second.before.findings == ()
    assert second.after == replay([START, LIT])


def test_taking_back_names_the_event_taken_back():
    skipped = Skipped(time=T, check="igniter-glow")
    lines = numbered(START, LIT, skipped, Undone(time=T), Undone(time=T), Undone(time=T))
    assert [moment.taken_back for moment in moments(lines)] == [0, 0, 0, 3, 2, 0]


def test_without_a_beginning_there_is_no_job():
    with pytest.raises(ValueError, match="started"):
        moments(())


# --- what is known today ----------------------------------------------------------


def test_a_job_of_today_stays_as_it_is(knowledge):
    checks = list(knowledge.checks[FURNACE])
    events = [START, LIT, found(checks[-1], None, "?"), Skipped(time=T, check=checks[-2])]
    told = restated(knowledge, events)
    assert told.lines == numbered(*events)
    assert (told.strange, told.reread) == ((), ())


@pytest.mark.parametrize(
    ("event", "subject", "name"),
    [
        (found("crystal-ball", "red"), "check", "crystal-ball"),
        (found("thermostat-display", "purple"), "outcome", "thermostat-display: purple"),
        (Skipped(time=T, check="crystal-ball"), "check", "crystal-ball"),
        (Repaired(time=T, repair="pray"), "repair", "pray"),
        (Closed(time=T, how="found", repair="pray"), "repair", "pray"),
        (Seen(time=T, feature="colour", value="red"), "feature", "colour"),
    ],
)
def test_what_is_not_known_today_is_named_and_left_out(knowledge, event, subject, name):
    told = restated(knowledge, [START, event, LIT])
    assert told.strange == (Strange(2, subject, name),)
    assert told.lines == ((1, START), (3, LIT))


@pytest.mark.parametrize(
    ("quantity", "places", "during"),
    [
        ("volts", ("R", "NOWHERE"), "heating"),
        ("volts", ("R",), "heating"),
        ("volts", ("R", "C"), "never"),
        ("amps", ("flux-capacitor",), "heating"),
        ("seconds", (), ""),
    ],
)
def test_a_reading_at_a_place_that_is_not_there_today_is_left_out(
    knowledge, quantity, places, during
):
    told = Told(time=T, quantity=quantity, places=places, during=during, value=1.0, entered="1")
    assert restated(knowledge, [START, told]).strange == (Strange(2, "reading", told.check),)


def test_taking_back_what_is_left_out_is_left_out_too(knowledge):
    events = [START, LIT, found("crystal-ball", "red"), Undone(time=T)]
    told = restated(knowledge, events)
    assert told.lines == numbered(START, LIT)
    assert replay(event for _, event in told.lines).findings == replay([START, LIT]).findings


def test_a_furnace_not_known_today_leaves_nothing_but_the_beginning(knowledge):
    start = Started(time=T, furnace="steam-engine", version="0.1")
    told = restated(knowledge, [start, LIT])
    assert told.strange == (Strange(1, "furnace", "steam-engine"),)
    assert told.lines == ((1, start),)
    later = [Started(time=T, furnace="", version="0.1"), Identified(time=T, furnace="stove")]
    assert restated(knowledge, later).strange[0].name == "stove"


def test_a_reading_is_read_as_its_figure_is_today(knowledge, diagnosis):
    check, entered, outcome = a_reading(diagnosis)
    other = next(each.id for each in check.outcomes if each.id != outcome)
    for then in (other, "as-it-was-called-once"):
        told = restated(knowledge, [START, found(check.id, then, entered)])
        assert told.reread == (Reread(2, check.id, entered, then, outcome),)
        assert told.lines[1][1].outcome == outcome
    assert restated(knowledge, [START, found(check.id, other, "#1")]).reread == ()


def a_reading(diagnosis):
    """A check that reads a figure, what its instrument shows, and the outcome that is."""
    furnace = SimulatedFurnace(diagnosis.furnace, [])
    for check in diagnosis.checks.values():
        finding = furnace.answer(check)
        if finding.entered.endswith(" V"):
            return check, finding.entered, finding.outcome
    raise AssertionError("no check reads a voltage")


# --- what is advised today --------------------------------------------------------


def followed(diagnosis, fault):
    """The events of a job in which every advice was followed, to the first repair."""
    furnace = SimulatedFurnace(diagnosis.furnace, [diagnosis.furnace.faults[fault]])
    events = [START]
    while len(events) < MOST:
        match next_today(diagnosis, replay(events)):
            case MakeSafe(checks=checks):
                events += [found(check, "no") for check in checks]
            case Ask(decision=decision):
                answer = furnace.answer(diagnosis.checks[decision.check])
                events.append(found(answer.check, answer.outcome, answer.entered))
            case Conclude(decision=decision):
                events.append(Closed(time=T, how="found", repair=decision.repair))
                return events
            case other:
                raise AssertionError(other)
    raise AssertionError("no repair was advised")


@pytest.fixture(scope="module")
def mended(diagnosis):
    return followed(diagnosis, "igniter.open")


def test_a_job_that_followed_all_advice_comes_out_the_same(knowledge, diagnosis, mended):
    told = restated(knowledge, mended)
    assert (told.strange, told.reread) == ((), ())
    steps = compared(lambda job: equipped(diagnosis, job), told.lines)
    assert len(steps) == len(mended) - 1
    assert [step.number for step in steps if not step.same] == []


def test_another_check_or_repair_than_is_advised_is_named(diagnosis, mended):
    signs = mended[: 1 + len(make_safe_checks(diagnosis.knowledge, diagnosis.furnace.id))]
    check = "thermostat-display"
    astray = [*signs, found(check, "lit"), Repaired(time=T, repair=mended[-1].repair)]
    steps = compared(lambda _: diagnosis, numbered(*astray))
    assert [step.same for step in steps[-2:]] == [False, False]
    assert all(isinstance(step.coming, Ask) for step in steps[-2:])


def test_what_was_volunteered_taken_back_or_left_is_not_compared(diagnosis, mended):
    signs = mended[: 1 + len(make_safe_checks(diagnosis.knowledge, diagnosis.furnace.id))]
    free = [
        found("thermostat-display", "lit", unasked=True),
        Undone(time=T),
        Closed(time=T, how="left"),
    ]
    steps = compared(lambda _: diagnosis, numbered(*signs, *free))
    assert len(steps) == len(signs) - 1


def test_signs_of_danger_asked_again_when_a_job_is_taken_up_are_no_difference(diagnosis, mended):
    again = [*mended[:-1], found("smell-of-gas", "no")]
    assert compared(lambda _: diagnosis, numbered(*again))[-1].same


def test_work_that_was_stopped_is_stopped_today(diagnosis):
    events = [START, found("smell-of-gas", "yes")]
    closed = Closed(time=T, how="left", stopped=("smell-of-gas",))
    assert compared(lambda _: diagnosis, numbered(*events, closed))[-1].same
    going_on = compared(lambda _: diagnosis, numbered(*events, LIT))[-1]
    assert not going_on.same


def test_a_reading_that_was_told_is_part_of_the_job(knowledge, diagnosis):
    told = Told(
        time=T, quantity="volts", places=("R", "C"), during="heating", value=24.0, entered="24 V"
    )
    lines = restated(knowledge, [START, told]).lines
    job = replay(event for _, event in lines)
    assert job.findings[0].outcome == AS_READ
    belief = equipped(diagnosis, job).belief(job)
    assert belief.findings == job.findings
    assert replace(job, findings=()).readings == (told,)
