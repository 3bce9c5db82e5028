"""Calls of the simulated furnace: what holds in every trace, and small cases by hand.

The timing properties have the form of two published specifications (a duration-calculus
gas burner: unlit gas at most 4 s in any 30 s; a university exercise: gas on and unlit at
most 3 s, off at least 20 s before on again), with this furnace's own times. One fault
breaks those of the gas by its nature and is left out there: a gas valve that leaks by.
"""

import random
from itertools import combinations, pairwise
from math import log

import pytest

from lightoff.engine.machine import probe
from lightoff.engine.machine.kinds import KINDS
from lightoff.engine.machine.plan import Machine
from lightoff.engine.machine.simulate import ChatterError, simulate
from lightoff.engine.machine.steady import SPIN_UP
from lightoff.engine.machine.trace import SATISFIED
from lightoff.engine.model import Call

RESPONSE = 0.8
"""Seconds from flame failure to valve closed: the domestic figure, from memory."""
SAFETIES = ("high-limit", "limit-plug", "rollout-switch", "pressure-switch")
SLACK = 1e-6
"""Seconds by which sums of times may be off."""


def steps(trace):
    return [visit.step for visit in trace.visits()]


def lasted(trace, step):
    """Seconds of each stay in a step."""
    return [visit.end - visit.start for visit in trace.visits() if visit.step == step]


def timer(trace, step, to):
    """Seconds after which a step is left for another, whatever the inputs."""
    ways = trace.machine.furnace.sequence.steps[step].leaves
    (seconds,) = [way.after for way in ways if way.to == to and not way.when]
    return seconds


def stretches(trace, holds):
    """(start, end) of the unbroken times in which every segment `holds`."""
    found = []
    for segment in trace.segments:
        if segment.end > segment.start and holds(segment):
            joined = found and found[-1][1] == segment.start
            found.append((found.pop()[0] if joined else segment.start, segment.end))
    return found


def most_within(times, window):
    """Most seconds of the given stretches that any window of time can hold."""

    def held(begins):
        until = begins + window
        return sum(max(0.0, min(end, until) - max(start, begins)) for start, end in times)

    openings = [start for start, _ in times] + [end - window for _, end in times]
    return max(map(held, openings), default=0.0)


def gas_on(segment):
    return segment.steady.gas.flow > 0.0


def unlit(segment):
    """Gas flows and some of it does not burn."""
    return gas_on(segment) and not segment.drive.far_lit


def valve_driven(segment):
    return abs(segment.electrics.across("gas-valve", "coil")) > 1.0


def igniter_on(segment):
    return abs(segment.electrics.amperes("igniter", "element")) > 1e-3


def conducts(segment, part):
    """Whether a part of the safety string lets current through, as the circuit has it."""
    machine = segment.electrics.machine
    kind, values = KINDS[machine.furnace.parts[part].kind], machine.values[part]
    return kind.conductance(part, values, kind.branches[0], segment.standing) > 0.0


def leaks_by(trace):
    return trace.machine.number("gas-valve", "leaks-by") > 0.0


class TestEveryTrace:
    def test_is_the_same_each_time(self, any_trace):
        again = simulate(any_trace.machine, any_trace.call)

        def log_of(trace):
            return [(s.start, s.end, s.step, s.quantities, s.standing) for s in trace.segments]

        assert log_of(again) == log_of(any_trace)

    def test_ends_within_2000_segments(self, any_trace):
        assert len(any_trace.segments) < 2000  # a control that browns out starts again and again

    def test_is_without_gaps_from_the_start_to_the_end_of_watching(self, any_trace):
        segments = any_trace.segments
        assert segments[0].start == 0.0
        assert segments[-1].end == any_trace.call.watched
        assert all(segment.start <= segment.end for segment in segments)
        assert all(one.end == other.start for one, other in pairwise(segments))

    def test_goes_from_step_to_step_as_the_sequence_allows(self, any_trace):
        sequence, visits = any_trace.machine.furnace.sequence, any_trace.visits()
        assert visits[0].step == sequence.starts
        for one, other in pairwise(visits):
            ways = [way for way in sequence.steps[one.step].leaves if way.to == other.step]
            assert min(way.after for way in ways) <= one.end - one.start + SLACK

    def test_leaves_no_step_open_that_is_bound_to_end(self, any_trace):
        for visit in any_trace.visits():
            ways = any_trace.machine.furnace.sequence.steps[visit.step].leaves
            ends = [way.after for way in ways if not way.when]
            assert visit.end - visit.start <= min(ends, default=float("inf")) + SLACK

    def test_goes_on_with_every_quantity_where_it_was(self, any_trace):
        for one, other in pairwise(any_trace.segments):
            for name, value in other.quantities.items():
                assert value == pytest.approx(one.quantity(name, one.end), rel=1e-8, abs=1e-8)

    def test_has_every_contact_where_its_quantity_puts_it(self, any_trace):
        for segment in any_trace.segments:
            for part, threshold in any_trace.machine.thresholds.items():
                value, now = (
                    segment.quantities[threshold.quantity],
                    segment.standing.positions[part],
                )
                assert threshold.closed(value, now) == now

    def test_never_closes_again_what_opens_for_good(self, any_trace):
        machine = any_trace.machine
        latching = [part for part, each in machine.thresholds.items() if each.manual_reset]
        for one, other in pairwise(any_trace.segments):
            for part in [*latching, *machine.trip_currents]:
                assert other.standing.positions[part] <= one.standing.positions[part]

    def test_has_unlit_gas_for_one_trial_at_most_in_any_trial_and_inter_purge(self, glow_trace):
        if leaks_by(glow_trace):
            return
        trial = timer(glow_trace, "trial-for-ignition", "inter-purge")
        window = trial + timer(glow_trace, "inter-purge", "igniter-warm-up")
        assert most_within(stretches(glow_trace, unlit), window) <= trial + SLACK

    def test_has_gas_on_and_unlit_for_no_longer_than_the_trial(self, glow_trace):
        if leaks_by(glow_trace):
            return
        trial = timer(glow_trace, "trial-for-ignition", "inter-purge")
        assert all(end - start <= trial + SLACK for start, end in stretches(glow_trace, unlit))

    def test_has_gas_off_for_an_inter_purge_at_least_before_on_again(self, glow_trace):
        purge = timer(glow_trace, "inter-purge", "igniter-warm-up")
        for (_, off), (on, _) in pairwise(stretches(glow_trace, gas_on)):
            assert on - off >= purge - SLACK

    def test_drives_the_valve_only_after_a_full_purge_by_the_inducer(self, glow_trace):
        purge = timer(glow_trace, "pre-purge", "igniter-warm-up")
        purged = stretches(
            glow_trace,
            lambda s: "inducer" in s.standing.turning and conducts(s, "pressure-switch"),
        )
        for on, _ in stretches(glow_trace, valve_driven):
            assert any(start + purge <= on + SLACK and on < end for start, end in purged)

    def test_never_has_gas_or_igniter_with_a_limit_or_the_pressure_switch_open(self, glow_trace):
        for segment in glow_trace.segments:
            if all(conducts(segment, part) for part in SAFETIES):
                continue
            assert not valve_driven(segment)
            assert leaks_by(glow_trace) or not gas_on(segment)
            # In the very moment in which it opens, the step with the igniter is being left.
            assert segment.end == segment.start or not igniter_on(segment)

    def test_closes_the_valve_within_the_response_time_after_flame_loss(self, glow_trace):
        def driven_without_flame(segment):
            sensed = segment.electrics.flame_current("flame-sensor") > 0.5e-6
            return valve_driven(segment) and segment.step != "trial-for-ignition" and not sensed

        for start, end in stretches(glow_trace, driven_without_flame):
            assert end - start <= RESPONSE

    def test_drives_nothing_in_lockout(self, glow_trace):
        locked = [segment for segment in glow_trace.segments if segment.step == "lockout"]
        assert not any(valve_driven(segment) or igniter_on(segment) for segment in locked)

    def test_never_counts_past_a_counter(self, glow_trace):
        sequence = glow_trace.machine.furnace.sequence
        counts = dict.fromkeys(sequence.counters, 0)
        for step in steps(glow_trace):
            entry = sequence.steps[step].entry
            counts |= dict.fromkeys(entry.clears, 0)
            counts |= {counter: counts[counter] + 1 for counter in entry.counts}
            assert all(counts[name] <= most for name, most in sequence.counters.items())


class TestTheWindow:
    """The measure of the unlit gas must itself be able to fail."""

    def test_two_stretches_fit_a_long_window_and_not_a_short_one(self):
        assert most_within([(0, 6), (36, 42)], 36) == 6
        assert most_within([(0, 6), (36, 42)], 42) == 12

    def test_parts_of_two_stretches_count(self):
        assert most_within([(0, 6), (10, 16)], 9) == 6
        assert most_within([(0, 6), (8, 16)], 10) == 8

    def test_a_leaking_valve_breaks_it(self, trace_of):
        trace = trace_of("gas-valve.leaking-by")
        assert most_within(stretches(trace, unlit), 36) == pytest.approx(36)


class TestHealthyCall:
    def test_60_seconds_of_demand_give_flame(self, healthy):
        lit = next(segment for segment in healthy.segments if segment.inputs["flame"])
        assert lit.start - healthy.call.starts < 60

    def test_draft_is_proved_when_the_closed_form_says(self, healthy):
        segment = next(s for s in healthy.segments if s.step == "proving-draft")
        pressures = segment.steady.pressures
        draft = pressures["BURNER-BOX"] - pressures["COLLECTOR"]
        closes = healthy.machine.number("pressure-switch", "closes-at")
        by_hand = SPIN_UP * log(draft / (draft - closes))
        assert lasted(healthy, "proving-draft") == [pytest.approx(by_hand)]


TRIES = ("igniter.open", "igniter.aged", "gas-cock.closed", "flame-sensor.coated")
DRAFT = ("inducer.seized", "vent-pipe.blocked", "collector-hose.pulled-off")
LIMIT = ("filter.plugged", "blower.motor-failed", "ducts.restricted")


class TestRetries:
    @pytest.mark.parametrize("fault", TRIES)
    def test_three_tries_for_ignition_with_purges_between_then_lockout(self, trace_of, fault):
        trace = trace_of(fault)
        again = ["igniter-warm-up", "trial-for-ignition", "inter-purge"]
        assert steps(trace)[4:15] == ["pre-purge", *3 * again, "lockout"]
        assert lasted(trace, "inter-purge") == pytest.approx([30, 30, 0])

    @pytest.mark.parametrize("fault", DRAFT)
    def test_four_tries_to_prove_draft_with_rests_between_then_lockout(self, trace_of, fault):
        trace = trace_of(fault)
        again = ["switch-check", "proving-draft", "draft-rest"]
        assert steps(trace)[2:15] == [*4 * again, "lockout"]
        assert lasted(trace, "proving-draft") == pytest.approx([60] * 4)

    @pytest.mark.parametrize("fault", LIMIT)
    def test_the_limit_cycles_four_times_then_lockout(self, trace_of, fault):
        trace = trace_of(fault)
        limits = [step for step in steps(trace) if step in ("limit-open", "lockout")]
        assert limits == [*4 * ["limit-open"], "lockout"]

    @pytest.mark.parametrize("fault", LIMIT)
    def test_the_limit_opens_and_closes_at_its_temperatures(self, trace_of, fault):
        trace = trace_of(fault)
        first = next(segment.visit for segment in trace.segments if segment.step == "limit-open")
        stay = [segment for segment in trace.segments if segment.visit == first]
        opens, closes = (
            trace.machine.number("high-limit", f"{way}-at") for way in ("opens", "closes")
        )
        assert stay[0].quantity("exchanger", stay[0].start) == pytest.approx(opens)
        assert stay[-1].quantity("exchanger", stay[-1].end) == pytest.approx(closes)

    def test_lockout_ends_when_the_call_ends(self, trace_of):
        trace = trace_of("igniter.open")
        assert trace.visits()[-1].step == "standby"
        assert trace.visits()[-1].start == trace.call.satisfied

    def test_lockout_ends_after_an_hour_and_the_tries_begin_anew(self, plan, furnace):
        call = Call(starts=10.0, satisfied=7000.0, watched=7000.0)
        trace = simulate(Machine(plan, furnace.faults["igniter.open"].overrides), call)
        assert lasted(trace, "lockout")[0] == pytest.approx(3600)
        assert steps(trace).count("trial-for-ignition") == 6

    def test_draft_lost_in_a_fire_goes_back_to_proving_draft_with_the_gas_off(self, trace_of):
        trace = trace_of("drain.blocked")
        lost = steps(trace).index("draft-lost")
        assert steps(trace)[lost - 1 : lost + 2] == ["heating", "draft-lost", "proving-draft"]
        after = [s for s in trace.segments if s.start >= trace.visits()[lost].start]
        assert not any(gas_on(s) for s in after if s.step in ("draft-lost", "proving-draft"))

    def test_a_slow_drain_floods_in_the_fire_and_runs_clear_well_below_that(self, trace_of):
        resistance = 4 * trace_of().machine.number("drain", "resistance")
        trace = trace_of(overrides={("drain", "resistance"): resistance})
        floods = trace.machine.number("drain", "floods-at")
        flooded = stretches(trace, lambda segment: segment.drive.flooded)
        levels = {segment.start: segment.quantities["drain.level"] for segment in trace.segments}
        assert [levels[time] for time in flooded[0]] == pytest.approx([floods, 0.6 * floods])

    def test_a_call_that_ends_early_stops_in_good_order(self, trace_of):
        trace = trace_of("thermostat.drops-out")
        assert steps(trace)[-4:] == ["heating", "post-purge", "blower-off-delay", "standby"]
        assert trace.visits()[-3].start == pytest.approx(trace.call.starts + 240)
        assert trace.stalls_in() == SATISFIED


@pytest.mark.parametrize(
    "fault", ["gas-valve.switch-off", "gas-valve.stuck-shut", "gas-valve-wire.open"]
)
def test_no_gas_flows_in_the_trial_where_something_of_the_valve_keeps_it_shut(trace_of, fault):
    trial = [s for s in trace_of(fault).segments if s.step == "trial-for-ignition"]
    assert trial
    assert not any(gas_on(segment) or segment.drive.valve for segment in trial)


class TestWhatOpensForGood:
    def test_a_roll_out_switch_stays_open_after_it_has_cooled(self, trace_of):
        trace = trace_of("primary-exchanger.blocked")
        last = trace.segments[-1]
        closes = trace.machine.number("rollout-switch", "closes-at")
        assert last.quantity("rollout", last.end) < closes
        assert not last.standing.positions["rollout-switch"]
        assert steps(trace).count("trial-for-ignition") == 1

    def test_a_switch_with_automatic_reset_in_its_place_would_close_again(self, trace_of):
        automatic = {("rollout-switch", "reset"): "automatic"}
        trace = trace_of("primary-exchanger.blocked", overrides=automatic)
        assert trace.segments[-1].standing.positions["rollout-switch"]
        assert steps(trace).count("trial-for-ignition") > 1

    @pytest.mark.parametrize(
        ("fault", "step"),
        [("inducer.shorted-to-cabinet", "proving-draft"), ("blower.shorted-to-cabinet", "heating")],
    )
    def test_the_breaker_trips_as_the_shorted_motor_starts(self, trace_of, fault, step):
        trace = trace_of(fault)
        tripped = next(s for s in trace.segments if not s.standing.positions["breaker"])
        entered = next(visit.start for visit in trace.visits() if visit.step == step)
        assert tripped.start == entered
        assert steps(trace)[-1] == "off"
        assert probe.condition(trace, "breaker", "looks") == "tripped"

    def test_a_shorted_cable_blows_the_fuse_and_not_the_breaker(self, trace_of):
        first = trace_of("thermostat-cable.shorted").segments[0]
        assert not first.standing.positions["fuse"]
        assert first.standing.positions["breaker"]

    def test_a_stronger_breaker_holds(self, trace_of):
        strong = {("breaker", "trips-at"): 1000.0}
        trace = trace_of("inducer.shorted-to-cabinet", overrides=strong)
        assert trace.segments[-1].standing.positions["breaker"]


class TestSecondCause:
    @pytest.mark.parametrize(
        ("first", "second"),
        [
            ("fuse.blown-alone", "vent-pipe.blocked"),
            ("thermostat.not-calling", "igniter.open"),
            ("limit-plug.loose", "vent-pipe.blocked"),
            ("collector-hose.pulled-off", "gas-cock.closed"),
            ("flame-sensor.coated", "filter.plugged"),
        ],
    )
    def test_hides_behind_the_first_and_stalls_the_call_once_that_is_mended(
        self, trace_of, first, second
    ):
        assert trace_of(first, second).stalls_in() == trace_of(first).stalls_in()
        assert trace_of(second).stalls_in() not in (SATISFIED, trace_of(first).stalls_in())

    def test_can_be_read_while_the_first_still_stalls_the_call(self, trace_of):
        both = probe.at(trace_of("igniter.open", "gas-cock.closed"), "igniter-warm-up")
        assert both.shown("igniter", "glow") < 373
        assert both.pressure("INLET", "ROOM") == 0.0

    def test_shows_in_the_readings_of_the_same_step(self, trace_of):
        trace = trace_of("vent-pipe.blocked", "collector-hose.pulled-off")
        moment = probe.at(trace, "proving-draft")
        assert moment.shown("pressure-switch", "draft") <= 0.0
        mended = probe.at(trace_of("vent-pipe.blocked"), "proving-draft")
        assert moment.pressure("ROOM", "COLLECTOR") == mended.pressure("ROOM", "COLLECTOR")


def sampled_pairs(furnace, count):
    """Pairs of faults of different parts, the same ones each time."""
    pairs = [
        (one.id, other.id)
        for one, other in combinations(furnace.faults.values(), 2)
        if one.part != other.part and "neutral-wire.loose" not in (one.id, other.id)
    ]
    return random.Random(1).sample(pairs, count)


class TestTwoFaultsAtOnce:
    def test_end_and_keep_the_rules_of_the_gas(self, plan, furnace):
        for one, other in sampled_pairs(furnace, 300):
            overrides = {**furnace.faults[one].overrides, **furnace.faults[other].overrides}
            trace = simulate(Machine(plan, overrides))
            every = TestEveryTrace()
            every.test_ends_within_2000_segments(trace)
            every.test_has_gas_on_and_unlit_for_no_longer_than_the_trial(trace)
            every.test_never_has_gas_or_igniter_with_a_limit_or_the_pressure_switch_open(trace)

    @pytest.mark.parametrize("limit", ["high-limit.failed-open", "limit-plug.loose"])
    def test_a_loose_neutral_with_an_open_limit_can_be_played(self, trace_of, limit):
        assert trace_of("neutral-wire.loose", limit).segments


class TestWhatCannotBePlayed:
    def test_a_motor_that_starves_itself_of_voltage_chatters(self, plan):
        starved = {("neutral-wire", "resistance"): 20.0, ("inducer", "running"): 10.0}
        with pytest.raises(ChatterError, match=r"contacts chatter at 11\.000 s in proving-draft"):
            simulate(Machine(plan, starved))

    def test_events_without_end_are_refused(self, plan, furnace, monkeypatch):
        monkeypatch.setattr("lightoff.engine.machine.simulate.MOST_EVENTS", 100)
        loose = Machine(plan, furnace.faults["neutral-wire.loose"].overrides)
        with pytest.raises(ChatterError, match="events never end"):
            simulate(loose)

    def test_an_override_of_an_unknown_part_is_refused(self, plan):
        with pytest.raises(KeyError, match="no-such-part"):
            Machine(plan, {("no-such-part", "resistance"): 1.0})
