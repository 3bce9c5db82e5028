"""The practice furnace: it answers what was really done, and marks what could be known."""

from dataclasses import replace

import pytest

from lightoff.engine.library import scenarios
from lightoff.engine.model import HiddenFault
from lightoff.engine.reasoning.diagnosis import Diagnosis
from lightoff.engine.reasoning.tell import understand_places
from lightoff.engine.teaching.practice.acts import Checked, Ended, Mended, Unsafe
from lightoff.engine.teaching.practice.bench import Bench, RefusedError
from lightoff.engine.teaching.practice.judging import job_of
from lightoff.engine.teaching.practice.marks import is_rightly_left, mark
from lightoff.engine.teaching.practice.player import attempt
from tests.conftest import FURNACE
from tests.scenario_text import cold_gym


@pytest.fixture(scope="module")
def diagnosis(knowledge):
    return Diagnosis.of(knowledge, FURNACE)


@pytest.fixture
def bench_with(tmp_path, knowledge, diagnosis):
    def with_(*changes, seed=1):
        scenario, problems = scenarios.read_scenario(cold_gym(tmp_path, *changes), knowledge)
        assert problems == []
        return Bench.of(scenario, diagnosis, seed)

    return with_


def hiding(fault):
    return ("fault: flame-sensor.coated", f"fault: {fault}")


def live_ohms(diagnosis):
    return next(
        c
        for c in diagnosis.checks.values()
        if c.entry.reads.ohms and c.setup.get("power") == "off" and not c.entry.provokes
    )


def doing(bench, *acts):
    for act in acts:
        bench = bench.after(act(bench))
    return bench


def set_(aspect, state):
    return lambda bench: bench.set_up(aspect, state, "")


def checking(check):
    return lambda bench: bench.check(bench.diagnosis.checks[check], "")


def mending(repair):
    return lambda bench: bench.mend(repair, "")


def watching(bench):
    return bench.watch("")


def ending(how, *blamed):
    return lambda bench: Ended(time="", how=how, blamed=blamed)


# --- the furnace answers what was done ---------------------------------------------------


def test_ohms_with_the_power_on_are_called_before_they_are_measured(bench_with, diagnosis):
    bench = doing(bench_with(), set_("door", "off"))
    act = bench.check(live_ohms(diagnosis), "")
    assert isinstance(act, Unsafe)
    assert act.why == "power"
    assert act.minutes == 0.0


def test_the_same_with_the_power_off_is_measured(bench_with, diagnosis):
    bench = doing(bench_with(), set_("power", "off"), set_("door", "off"))
    act = bench.check(live_ohms(diagnosis), "")
    assert isinstance(act, Checked)
    assert not act.misfit


def test_nobody_gets_inside_with_the_doors_on(bench_with, diagnosis):
    bench = doing(bench_with(), set_("power", "off"))
    with pytest.raises(RefusedError, match="door off"):
        bench.check(live_ohms(diagnosis), "")


def test_a_live_reading_with_the_power_off_is_dead_and_says_nothing(bench_with, diagnosis):
    told = understand_places(diagnosis.furnace, ["volts", "R", "C", "heating"], "")
    off = doing(bench_with(), set_("power", "off"), set_("door", "off"))
    dead = off.measure(told, "")
    assert dead.misfit == "power"
    assert dead.value is None
    live = doing(off, set_("power", "on")).measure(told, "")
    assert not live.misfit


def test_a_call_with_the_gas_shut_does_not_light_a_sound_furnace(bench_with):
    bench = bench_with()
    sound = replace(bench, scenario=replace(bench.scenario, hidden=()))
    assert sound.watch("").works
    shut = doing(sound, set_("gas", "off"))
    assert not shut.watch("").works
    assert shut.watch("").answers != sound.watch("").answers


def test_a_tool_that_is_not_in_the_bag_is_not_used(bench_with, diagnosis):
    bench = bench_with(("minutes: 90", "tools: [flashlight]\nminutes: 90"))
    bench = doing(bench, set_("power", "off"), set_("door", "off"))
    with pytest.raises(RefusedError, match="Not in your bag"):
        bench.check(live_ohms(diagnosis), "")


def test_the_same_reading_twice_is_the_same(bench_with, diagnosis):
    bench = doing(bench_with(), set_("power", "off"), set_("door", "off"))
    once = doing(bench, checking(live_ohms(diagnosis).id))
    again = once.check(live_ohms(diagnosis), "")
    assert again.answer == once.acts[-1].answer


def test_another_seed_scatters_otherwise_and_by_little(bench_with, diagnosis):
    told = understand_places(diagnosis.furnace, ["volts", "R", "C", "proving-draft"], "")

    def volts(seed):
        bench = bench_with(seed=seed)
        return doing(bench, set_("door", "off")).measure(told, "").value

    values = {volts(seed) for seed in range(5)}
    assert len(values) == 5
    assert max(values) - min(values) < 0.15 * max(values)


def test_a_step_that_is_not_reached_has_no_reading(bench_with, diagnosis):
    told = understand_places(diagnosis.furnace, ["volts", "R", "C", "heating"], "")
    bench = doing(bench_with(hiding("igniter.open")), set_("door", "off"))
    assert bench.measure(told, "").value is None


# --- repairs and calls -------------------------------------------------------------------


def repair_of(bench):
    (repair,) = bench.scenario.repairs
    return repair


def test_the_right_repair_mends_and_a_wrong_one_does_not(bench_with):
    bench = doing(bench_with(hiding("igniter.open")), set_("power", "off"), set_("gas", "off"))
    wrong = doing(bench, mending("clean-flame-sensor"))
    assert not wrong.is_mended
    right = doing(wrong, mending(repair_of(bench)), set_("power", "on"), set_("gas", "on"))
    assert right.is_mended
    assert right.watch("").works


def test_taking_a_part_out_with_the_power_on_is_called(bench_with):
    bench = bench_with(hiding("igniter.open"))
    act = bench.mend(repair_of(bench), "")
    assert isinstance(act, Unsafe)


def test_a_fault_after_two_calls_shows_in_the_third(bench_with):
    bench = bench_with(hiding("igniter.open"))
    hidden = HiddenFault(bench.scenario.hidden[0].fault, after_calls=2)
    bench = replace(bench, scenario=replace(bench.scenario, hidden=(hidden,)))
    works = []
    for _ in range(4):
        bench = doing(bench, watching)
        works.append(bench.acts[-1].works)
    assert works == [True, True, False, False]


def test_a_fault_in_half_of_the_calls_shows_in_about_half(bench_with):
    bench = bench_with(hiding("igniter.open"))
    hidden = HiddenFault(bench.scenario.hidden[0].fault, share=0.5)
    bench = replace(bench, scenario=replace(bench.scenario, hidden=(hidden,)))
    for _ in range(40):
        bench = doing(bench, watching)
    assert 10 <= sum(act.works for act in bench.acts) <= 30


# --- marks -------------------------------------------------------------------------------


@pytest.mark.parametrize("fault", ["flame-sensor.coated", "igniter.open", "filter.plugged"])
@pytest.mark.parametrize("seed", [1, 2])
def test_the_program_gets_full_marks(bench_with, fault, seed):
    bench = bench_with(hiding(fault), seed=seed)
    marked = mark(attempt(bench.scenario, bench.diagnosis, seed))
    assert marked.total == pytest.approx(100.0)
    assert marked.is_safe


def test_a_lucky_guess_is_marked_below_finding_out(bench_with):
    bench = bench_with()
    lucky = doing(
        bench,
        set_("power", "off"),
        set_("gas", "off"),
        mending(repair_of(bench)),
        set_("power", "on"),
        set_("gas", "on"),
        watching,
        ending("mended", repair_of(bench)),
    )
    marked = mark(lucky)
    by_name = {each.name: each.share for each in marked.marks}
    assert by_name["cause"] == by_name["proof"] == 1.0
    assert by_name["minutes"] < 0.9
    assert marked.regret > 10.0


def test_an_unproved_repair_loses_its_proof_only(bench_with):
    bench = attempt(bench_with().scenario, bench_with().diagnosis, 1)
    last = max(n for n, act in enumerate(bench.acts) if isinstance(act, Mended))
    unproved = replace(bench, acts=(*bench.acts[: last + 1], bench.acts[-1]))
    shares = {each.name: each.share for each in mark(unproved).marks}
    assert shares.pop("proof") == 0.0
    assert set(shares.values()) == {1.0}


def test_a_check_made_twice_is_named_as_useless(bench_with):
    bench = attempt(bench_with().scenario, bench_with().diagnosis, 1)
    at = next(n for n, act in enumerate(bench.acts) if not told(bench, act))
    twice = (*bench.acts[: at + 1], bench.acts[at], *bench.acts[at + 1 :])
    marked = mark(replace(bench, acts=twice))
    assert marked.judged[at + 1].useless == "asked-before"
    assert marked.total < 100.0


def told(bench, act):
    return not isinstance(act, Checked) or (
        bench.diagnosis.checks[act.answer.check].entry.reads.told
    )


def test_an_unsafe_act_shuts_the_gate_whatever_the_marks(bench_with, diagnosis):
    bench = doing(bench_with(), set_("door", "off"))
    bench = doing(bench, lambda each: each.check(live_ohms(diagnosis), ""))
    marked = mark(doing(bench, ending("given-up")))
    assert not marked.is_safe
    assert marked.marks[0].share == 0.0


def test_giving_up_at_once_earns_nothing_for_checks_and_parts(bench_with):
    shares = {each.name: each.share for each in mark(doing(bench_with(), ending("given-up"))).marks}
    assert shares["cause"] == shares["checks"] == shares["parts"] == shares["proof"] == 0.0


def test_finding_nothing_wrong_is_not_rightly_left(bench_with):
    # Even where the program would find nothing either: only danger ends the work rightly.
    bench = attempt(bench_with().scenario, bench_with().diagnosis, 1)
    nothing = replace(bench, acts=(ending("nothing-wrong")(bench),))
    advised = replace(mark(nothing).judged[-1], advised=True)
    assert advised.best is not None
    assert not is_rightly_left(nothing, [advised])


def test_blaming_a_good_part_as_well_halves_the_cause(bench_with):
    bench = attempt(bench_with().scenario, bench_with().diagnosis, 1)
    blamed = (repair_of(bench), "replace-board")
    both = replace(bench, acts=(*bench.acts[:-1], ending("mended", *blamed)(bench)))
    assert {each.name: each.share for each in mark(both).marks}["cause"] == 0.5


def test_an_open_attempt_is_not_marked(bench_with):
    with pytest.raises(ValueError, match="closed"):
        mark(bench_with())


def test_a_reading_that_did_not_fit_is_no_finding(bench_with, diagnosis):
    bench = doing(bench_with(), set_("power", "off"), set_("door", "off"))
    live = next(
        c
        for c in diagnosis.checks.values()
        if c.entry.reads.volts
        and c.setup.get("power") == "on"
        and set(c.entry.tools) <= bench.scenario.tools
    )
    bench = doing(bench, checking(live.id))
    assert bench.acts[-1].misfit == "power"
    assert job_of(bench.scenario, diagnosis, bench.acts).findings == ()
