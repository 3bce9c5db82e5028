"""What comes next in a job: the order of the interview, what is left out, what it reaches."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from lightoff.engine.entries.furnaces import FeatureEntry
from lightoff.engine.model import NO_FAULT
from lightoff.engine.reasoning.advice import Person
from lightoff.engine.reasoning.belief import Finding
from lightoff.engine.reasoning.diagnosis import SimulatedFurnace
from lightoff.engine.reasoning.identify import (
    ChooseAmong,
    Confirm,
    LookFor,
    expected_left,
    identify,
)
from lightoff.engine.reasoning.interview import (
    AT_HAND,
    FIRST_LOOKS,
    WATCHED,
    Ask,
    Conclude,
    Identify,
    MakeSafe,
    Stop,
    make_safe_checks,
    measured_next,
    person_of,
    what_next,
)
from lightoff.engine.reasoning.job import JobState
from lightoff.engine.reasoning.leads import with_leads
from lightoff.engine.reasoning.planning.safer import (
    AS_MUCH,
    COMPARABLE_MINUTES,
    COMPARABLE_SHARE,
    safer_first,
)
from tests.benchmarks.interview import found, interviewed, share_among_first

FURNACE = "two-pipe-condensing"
START = JobState(FURNACE, "", "")


def coming(diagnosis, job):
    return what_next(diagnosis, job, diagnosis.advise(job, person_of(job)))


def safe(diagnosis, job=START):
    return found(
        job, *(Finding(sign, "no") for sign in make_safe_checks(diagnosis.knowledge, FURNACE))
    )


def asked(diagnosis, fault, job=START):
    """Every check of a job on a simulated furnace up to its conclusion, with its phase."""
    furnace = SimulatedFurnace(diagnosis.furnace, [diagnosis.furnace.faults[fault]])
    job = safe(diagnosis, job)
    checks = []
    while isinstance(step := coming(diagnosis, job), Ask) and len(checks) < 60:
        checks.append((step.phase, step.decision.check))
        job = found(job, furnace.answer(diagnosis.checks[step.decision.check]))
    assert isinstance(step, Conclude)
    return checks


# --- order ------------------------------------------------------------------------


def test_signs_of_danger_come_before_anything_else(diagnosis):
    step = coming(diagnosis, START)
    signs = ("smell-of-gas", "co-alarm", "water-or-scorching", "unusual-damage")
    assert step == MakeSafe(signs)


def test_dont_know_does_not_answer_a_sign_of_danger(diagnosis):
    signs = make_safe_checks(diagnosis.knowledge, FURNACE)
    job = found(START, *(Finding(sign, None) for sign in signs))
    assert isinstance(coming(diagnosis, job), MakeSafe)


@pytest.mark.parametrize("sign", ["smell-of-gas", "co-alarm", "water-or-scorching"])
def test_nothing_comes_after_a_stop(diagnosis, sign):
    job = found(safe(diagnosis), Finding(sign, "yes"))
    assert isinstance(coming(diagnosis, job), Stop)
    assert isinstance(measured_next(diagnosis, job, diagnosis.advise(job)), Stop)


def test_phases_come_in_their_order(diagnosis):
    checks = asked(diagnosis, "pressure-switch.failed-open")
    phases = [phase for phase, _ in checks]
    order = ["customer", "first-look", "watch", "narrow"]
    assert list(dict.fromkeys(phases)) == order
    assert phases == sorted(phases, key=order.index)


def test_what_was_told_of_the_furnace_does_not_cut_the_customer_short(diagnosis):
    told = found(safe(diagnosis), Finding("collector-hose-look", "sound"))
    told = replace(told, checks_done=())
    assert coming(diagnosis, told).phase == "customer"


def test_the_customer_is_not_asked_again_once_one_looks_round(diagnosis):
    job = found(safe(diagnosis), Finding("blower-door-seated", "not-pressing"))
    while isinstance(step := coming(diagnosis, job), Ask) and step.phase == "customer":
        assert step.rule is not None
        job = found(job, Finding(step.decision.check, None))


def test_the_customer_says_first_what_happens(diagnosis):
    assert coming(diagnosis, safe(diagnosis)).decision.check == "what-the-customer-sees"


def test_a_watched_call_begins_with_where_it_stalls(diagnosis):
    checks = asked(diagnosis, "pressure-switch.failed-open")
    assert next(check for phase, check in checks if phase == "watch") == "where-the-call-stalls"


@pytest.mark.parametrize("fault", ["filter.plugged", "igniter.open", "vent-pipe.blocked"])
def test_looking_round_and_watching_are_short_and_need_no_tool(diagnosis, fault):
    checks = asked(diagnosis, fault)
    for phase, most in (("first-look", FIRST_LOOKS), ("watch", WATCHED)):
        own = [check for each, check in checks if each == phase]
        assert len(own) <= most
        assert all(AT_HAND.issuperset(diagnosis.checks[check].entry.tools) for check in own)


def test_what_may_stop_the_work_is_looked_at_first(diagnosis):
    checks = [check for phase, check in asked(diagnosis, "igniter.open") if phase == "first-look"]
    assert checks[:2] == ["scorch-or-roll-out-marks", "jumper-or-tape-found"]


def test_a_skipped_interview_leads_to_measuring_but_not_past_the_signs_of_danger(diagnosis):
    job = replace(START, interview_skipped=True)
    assert isinstance(coming(diagnosis, job), MakeSafe)
    assert coming(diagnosis, safe(diagnosis, job)).phase == "narrow"


def test_a_clear_repair_ends_the_looking_round(diagnosis):
    job = found(
        safe(diagnosis, replace(START, skipped=skipped(diagnosis, "customer"))),
        Finding("status-light-after-call", "limit"),
        Finding("filter-look", "plugged"),
        Finding("filter-changed", "long-ago"),
        Finding("scorch-or-roll-out-marks", "no"),
        Finding("jumper-or-tape-found", "none"),
    )
    step = coming(diagnosis, job)
    assert isinstance(step, Conclude) or step.rule is not None


def skipped(diagnosis, phase):
    return tuple(each.id for each in diagnosis.checks.values() if each.entry.phase == phase)


# --- what is left out -------------------------------------------------------------


def test_checks_that_need_a_lacking_tool_are_never_asked(diagnosis):
    job = replace(START, lacks=("meter", "manometer"))
    checks = [check for _, check in asked(diagnosis, "pressure-switch.failed-open", job)]
    assert checks
    for check in checks:
        assert {"meter", "manometer"}.isdisjoint(diagnosis.checks[check].entry.tools)


def test_what_rules_hold_back_is_not_asked(diagnosis):
    for fault in ("igniter.open", "rollout-switch.tripped"):
        furnace = SimulatedFurnace(diagnosis.furnace, [diagnosis.furnace.faults[fault]])
        job = safe(diagnosis)
        while isinstance(step := coming(diagnosis, job), Ask):
            advice = diagnosis.advise(job, Person())
            assert step.decision.check not in {said.text for said in advice.held_back}
            job = found(job, furnace.answer(diagnosis.checks[step.decision.check]))


def test_what_rules_want_comes_first_among_looks(diagnosis):
    furnace = SimulatedFurnace(diagnosis.furnace, [])
    job = safe(diagnosis)
    wanted = 0
    while isinstance(step := coming(diagnosis, job), Ask) and step.phase != "narrow":
        wanted += step.rule is not None
        if step.rule is not None:
            assert step.rule in diagnosis.advise(job).fired
        job = found(job, furnace.answer(diagnosis.checks[step.decision.check]))
    assert wanted


def test_history_is_weighed_by_what_rules_make_of_it_before_it_is_asked(diagnosis):
    job = safe(diagnosis)
    advice, check = diagnosis.advise(job), diagnosis.checks["recent-work"]
    belief = with_leads(diagnosis, job, advice, Person(), [check])
    rows = belief.table.likelihood[belief.table.rows("recent-work")]
    assert rows.sum(axis=0) == pytest.approx(1.0)
    assert np.ptp(rows) > 0.1
    assert np.ptp(diagnosis.table.likelihood[diagnosis.table.rows("recent-work")]) == 0.0
    assert belief.probabilities == pytest.approx(advice.belief.probabilities)


# --- tests on live parts ----------------------------------------------------------


@given(
    st.lists(
        st.tuples(st.booleans(), st.floats(0.01, 1.0), st.floats(0.5, 30.0)), min_size=1, max_size=8
    )
)
def test_a_live_test_is_first_only_where_nothing_safer_tells_as_much_for_comparable_effort(rows):
    live, gains, minutes = (np.array(column) for column in zip(*rows, strict=True))
    ranked = np.argsort(-gains / minutes, kind="stable")
    live, gains, minutes = live[ranked].astype(bool), gains[ranked], minutes[ranked]
    place = {index: number for number, index in enumerate(ranked)}
    result = safer_first(ranked, live, gains, minutes)
    assert sorted(result) == sorted(ranked)
    as_good = (
        ~live
        & (gains >= AS_MUCH * gains[0])
        & (minutes <= minutes[0] * COMPARABLE_SHARE + COMPARABLE_MINUTES)
    )
    first = place[int(result[0])]
    if live[0] and as_good.any():
        assert as_good[first]
    else:
        assert first == 0


# --- which furnace ----------------------------------------------------------------

FEATURES = {
    name: FeatureEntry(
        id=name, ask="?", values=dict.fromkeys(values, "."), source="common-practice"
    )
    for name, values in {
        "vent": ("plastic", "metal"),
        "lights-by": ("glow", "spark", "pilot"),
        "gas": ("natural-gas", "propane"),
    }.items()
}


def kinds(furnace, *features):
    return [
        replace(furnace, id=f"f{number}", entry=with_features(furnace.entry, each))
        for number, each in enumerate(features)
    ]


def with_features(entry, features):
    from msgspec.structs import replace as changed

    return changed(entry, features=features)


def test_the_only_furnace_is_confirmed_and_nothing_is_asked(furnace):
    assert identify([furnace], FEATURES, ()) == Confirm(furnace)


def test_the_feature_that_leaves_fewest_is_asked_first(furnace):
    three = kinds(
        furnace,
        {"vent": "plastic", "lights-by": "glow"},
        {"vent": "metal", "lights-by": "spark"},
        {"vent": "metal", "lights-by": "pilot"},
    )
    assert identify(three, FEATURES, ()) == LookFor(FEATURES["lights-by"], 3)
    assert identify(three, FEATURES, (("lights-by", "spark"),)) == Confirm(three[1])
    assert identify(three, FEATURES, (("lights-by", None),)) == LookFor(FEATURES["vent"], 3)


def test_what_no_feature_tells_apart_is_chosen_from(furnace):
    two = kinds(furnace, {"vent": "metal"}, {"vent": "metal"})
    assert identify(two, FEATURES, ()) == ChooseAmong(tuple(two))


def test_what_fits_no_furnace_is_said_and_all_are_offered(furnace):
    two = kinds(furnace, {"vent": "metal"}, {"vent": "metal"})
    step = identify(two, FEATURES, (("vent", "plastic"),))
    assert step == ChooseAmong(tuple(two), contradicted=True)


def test_a_feature_that_may_be_anything_rules_nothing_out(furnace):
    two = kinds(furnace, {"vent": "metal"}, {})
    assert expected_left(two, "vent") == 2.0
    assert identify(two, FEATURES, (("vent", "metal"),)) == ChooseAmong(tuple(two))
    assert identify(two, FEATURES, (("vent", "plastic"),)) == Confirm(two[1])


def test_a_furnace_not_known_yet_is_found_out_after_the_customer(diagnosis):
    job = safe(diagnosis, JobState("", "", ""))
    while isinstance(step := coming(diagnosis, job), Ask):
        assert step.phase == "customer"
        job = found(job, Finding(step.decision.check, None))
    assert isinstance(step, Identify)


def test_every_feature_of_every_furnace_can_be_asked_for(knowledge):
    for furnace in knowledge.furnaces.values():
        assert furnace.entry.features.keys() <= knowledge.features.keys()
    assert "gas" in knowledge.features


# --- what it reaches --------------------------------------------------------------


def test_the_interview_alone_brings_the_true_repair_among_three_for_seventy_percent(diagnosis):
    # Every third fault; tests/benchmarks/interview.py prints the figure over all of them.
    some = list(diagnosis.furnace.faults.values())[::3]
    results = [interviewed(diagnosis, fault) for fault in some]
    assert NO_FAULT not in {result.fault.id for result in results}
    assert share_among_first(results) >= 0.70
