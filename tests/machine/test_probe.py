"""Readings at known places of a trace, against what the traced state itself says."""

from math import inf

import pytest

from lightoff.engine.entries.checks import ReadsEntry
from lightoff.engine.machine import probe
from lightoff.engine.machine.kinds import KINDS


def test_what_probes_show_is_what_the_kinds_say_they_show():
    shown = {what for kind in KINDS.values() for what in kind.shows}
    assert set(probe.SHOWN) == shown


def test_everything_a_fitted_part_shows_reads_as_a_figure(healthy, furnace):
    moment = probe.at(healthy, "heating")
    for part in furnace.parts.values():
        for what in KINDS[part.kind].shows:
            assert isinstance(moment.shown(part.id, what), float)


def test_every_check_of_the_knowledge_can_be_read_on_any_trace(any_trace, knowledge):
    for check in knowledge.checks[any_trace.machine.furnace.id].values():
        reading = probe.read(any_trace, check.entry.reads)
        assert reading is None or isinstance(reading, float | str)
        assert reading == reading, f"{check.id} is not a number"


class TestMoment:
    def test_is_none_for_a_step_that_is_never_reached(self, trace_of):
        assert probe.at(trace_of("fuse.blown-alone"), "heating") is None
        assert probe.at(trace_of("fuse.blown-alone"), "no-such-step") is None

    def test_is_the_end_of_the_first_stay_while_the_call_lasts(self, healthy, trace_of):
        standby = next(visit for visit in healthy.visits() if visit.step == "standby")
        assert probe.at(healthy, "standby").time == standby.end == healthy.call.starts
        tries = [v for v in trace_of("igniter.open").visits() if v.step == "trial-for-ignition"]
        assert len(tries) == 3
        assert probe.at(trace_of("igniter.open"), "trial-for-ignition").time == tries[0].end

    def test_of_standby_without_a_call_seen_by_the_board_is_still_in_the_call(self, trace_of):
        moment = probe.at(trace_of("thermostat.failed-open"), "standby")
        assert moment.segment.standing.calling

    def test_of_a_step_left_at_once_is_the_moment_itself(self, trace_of):
        moment = probe.at(trace_of("primary-exchanger.cracked"), "heating")
        assert moment.segment.start == moment.segment.end == moment.time


class TestVolts:
    @pytest.fixture
    def heating(self, healthy):
        return probe.at(healthy, "heating")

    def test_do_not_depend_on_which_lead_is_where(self, heating):
        assert heating.volts("L1", "N") == heating.volts("N", "L1") > 100

    def test_between_the_two_nets_are_0_since_no_loop_closes(self, heating):
        assert heating.volts("L1", "C") == 0.0
        assert heating.volts("R", "N") == 0.0

    def test_at_one_terminal_are_0(self, heating):
        assert heating.volts("R", "R") == 0.0

    @pytest.mark.parametrize(("a", "b"), [("L1", "NOWHERE"), ("NOWHERE", "R")])
    def test_at_an_unknown_terminal_are_refused(self, heating, a, b):
        with pytest.raises(KeyError, match="NOWHERE"):
            heating.volts(a, b)

    def test_hot_to_cabinet_reads_line_though_the_neutral_is_open(self, trace_of):
        moment = probe.at(trace_of("neutral-wire.open"), "off")
        assert moment.volts("L1", "CHASSIS") > 110
        assert moment.volts("L1", "N") < 1

    @pytest.mark.parametrize("fault", ["door-not-seated", "failed-open"])
    def test_line_stands_across_a_door_switch_that_is_open_and_none_behind_it(
        self, trace_of, fault
    ):
        moment = probe.at(trace_of(f"door-switch.{fault}"), "off")
        assert moment.volts("SWITCH-OUT", "L1") > 110
        assert moment.volts("L1", "N") == 0.0

    def test_line_to_ground_is_gone_with_line_and_neutral_reversed(self, trace_of):
        moment = probe.at(trace_of("supply.polarity-reversed"), "standby")
        assert moment.volts("L1", "CHASSIS") < 1
        assert moment.volts("L1", "N") > 110

    @pytest.mark.parametrize("winding", ["primary-open", "secondary-open"])
    def test_line_at_the_primary_and_none_at_the_secondary_of_an_open_winding(
        self, trace_of, winding
    ):
        moment = probe.at(trace_of(f"transformer.{winding}"), "off")
        assert moment.volts("L1", "N") > 110
        assert moment.volts("SEC", "C") == 0.0

    def test_a_meter_across_one_of_two_opens_reads_nothing(self, trace_of):
        moment = probe.at(trace_of("high-limit.failed-open", "rollout-switch.failed-open"), "off")
        assert moment.volts("ROLL-IN", "ROLL-OUT") == 0.0
        assert moment.volts("R", "ROLL-OUT") > 20


class TestAmperes:
    def test_are_ohms_law_of_the_branch(self, healthy):
        moment = probe.at(healthy, "igniter-warm-up")
        ohms = healthy.machine.number("igniter", "resistance")
        ohms *= healthy.machine.number("igniter", "hot-share")
        volts = moment.volts("IGN-PLUG", "N")
        assert moment.amperes("igniter") == pytest.approx(volts / ohms, rel=1e-5)

    def test_are_ohms_law_in_the_24_volt_net_too(self, healthy):
        moment = probe.at(healthy, "trial-for-ignition")
        amperes = moment.volts("VALVE", "C") / healthy.machine.number("gas-valve", "resistance")
        assert moment.amperes("gas-valve") == pytest.approx(amperes, rel=1e-5)

    def test_name_a_part_without_its_branch_for_the_first_one(self, healthy):
        moment = probe.at(healthy, "heating")
        assert moment.amperes("blower") == moment.amperes("blower", "winding") > 1

    def test_are_locked_rotor_current_where_the_shaft_is_held(self, trace_of):
        stuck = probe.at(trace_of("blower.wheel-jammed"), "heating").amperes("blower")
        assert stuck > 2 * probe.at(trace_of(), "heating").amperes("blower")


class TestPressureAndFlue:
    def test_pressure_between_two_taps_is_the_difference_to_the_room(self, healthy):
        moment = probe.at(healthy, "heating")
        apart = moment.pressure("BURNER-BOX", "ROOM") - moment.pressure("COLLECTOR", "ROOM")
        assert moment.pressure("BURNER-BOX", "COLLECTOR") == pytest.approx(apart)
        assert moment.pressure("BURNER-BOX", "COLLECTOR") == moment.shown(
            "pressure-switch", "draft"
        )

    def test_an_unknown_tap_is_refused(self, healthy):
        with pytest.raises(KeyError):
            probe.at(healthy, "heating").pressure("NOWHERE", "ROOM")

    def test_the_analyser_shows_plain_air_with_no_flame(self, healthy):
        moment = probe.at(healthy, "pre-purge")
        assert moment.flue("o2") == pytest.approx(0.2095)
        assert moment.flue("co2") == moment.flue("co-air-free") == 0.0
        assert moment.shown("burners", "excess-air") == probe.NO_EXCESS

    def test_supply_air_is_the_room_and_its_rise(self, healthy, furnace):
        moment = probe.at(healthy, "heating")
        rise = moment.temperature("rise")
        assert moment.temperature("supply") == furnace.site["room"] + rise


class TestPort:
    def test_a_plugged_port_shows_none_and_a_pulled_hose_all_the_suction(self, trace_of):
        def port(fault):
            return probe.at(trace_of(fault), "proving-draft").shown(
                "collector-hose", "port-suction"
            )

        assert port("collector-hose.port-plugged") == 0.0
        assert port("collector-hose.pulled-off") > 400

    def test_each_hose_is_read_at_its_own_tap(self, healthy):
        moment = probe.at(healthy, "pre-purge")
        for hose, tap in (("collector-hose", "COLLECTOR"), ("burner-box-hose", "BURNER-BOX")):
            assert moment.shown(hose, "port-suction") == moment.pressure("ROOM", tap)

    def test_a_hose_on_no_switch_is_refused(self, trace_of):
        trace = trace_of(overrides={("pressure-switch", "high-hose"): "none"})
        with pytest.raises(LookupError, match="burner-box-hose"):
            probe.at(trace, "pre-purge").shown("burner-box-hose", "port-suction")


class TestOhms:
    @pytest.mark.parametrize(
        ("fault", "place", "ohms"),
        [
            ("igniter.open", "igniter", inf),
            ("igniter.open", "blower", 3.5),
            ("inducer.shorted-to-cabinet", "inducer/leak", 0.3),
            ("inducer.seized", "inducer", 14.0),
            ("flame-sensor.insulator-cracked", "flame-sensor/insulator", 50e3),
            ("pressure-switch.stuck-closed", "pressure-switch", 0.02),
            ("pressure-switch.failed-open", "pressure-switch", inf),
            ("high-limit.failed-open", "high-limit", inf),
            ("thermostat-cable.shorted", "thermostat-cable/leak", 0.2),
        ],
    )
    def test_of_an_isolated_part_are_those_of_its_values(self, trace_of, fault, place, ohms):
        assert probe.ohms(trace_of(fault), place) == pytest.approx(ohms)

    def test_of_a_sound_pressure_switch_at_rest_are_endless(self, healthy):
        assert probe.ohms(healthy, "pressure-switch") == inf

    def test_of_a_fuse_that_blew_in_the_call_are_endless(self, trace_of):
        assert probe.ohms(trace_of("thermostat-cable.shorted"), "fuse") == inf
        assert probe.ohms(trace_of(), "fuse") < 0.1

    def test_of_an_unknown_branch_are_refused(self, healthy):
        with pytest.raises(LookupError):
            probe.ohms(healthy, "no-such-part")


class TestCondition:
    def test_is_the_value_of_the_part(self, trace_of):
        assert probe.condition(trace_of("igniter.open"), "igniter", "looks") == "cracked"
        assert probe.condition(trace_of("gas-cock.closed"), "gas-cock", "handle") == "across-pipe"

    def test_of_a_switch_that_tripped_is_its_tripped_looks(self, trace_of):
        tripped = trace_of("primary-exchanger.blocked")
        assert probe.condition(tripped, "rollout-switch", "looks") == "button-out"
        assert probe.condition(trace_of(), "rollout-switch", "looks") == "good"

    def test_of_a_limit_that_closes_by_itself_stays_good(self, trace_of):
        tripped = trace_of("filter.plugged")
        assert probe.condition(tripped, "high-limit", "contacts") == "works"


class TestLight:
    def test_says_what_the_step_says(self, healthy):
        assert probe.light(healthy, "heating") == "normal"
        assert probe.light(healthy, "lockout") is None

    def test_is_dark_without_24_volts(self, trace_of):
        assert probe.light(trace_of("fuse.blown-alone"), None) == "dark"

    @pytest.mark.parametrize(
        ("fault", "words"),
        [
            ("igniter.open", "ignition"),
            ("vent-pipe.blocked", "draft"),
            ("filter.plugged", "limit"),
        ],
    )
    def test_keeps_the_reason_through_lockout(self, trace_of, fault, words):
        assert probe.light(trace_of(fault), "lockout") == words
        assert probe.light(trace_of(fault), None) == words


class TestRead:
    @pytest.mark.parametrize(
        ("reads", "expected"),
        [
            ({"volts": ("ROLL-OUT", "PS-OUT"), "during": "heating"}, 0.0),
            ({"ohms": "igniter"}, 60.0),
            ({"amps": "igniter", "during": "heating"}, 0.0),
            ({"amps": "inducer/winding", "during": "standby"}, 0.0),
            ({"microamps": "flame-sensor", "during": "pre-purge"}, 0.0),
            ({"pressure": ("INLET", "ROOM"), "during": "standby"}, 1743.6),
            ({"gauge": "pressure-switch.draft", "during": "standby"}, 0.0),
            ({"temperature": "exchanger", "during": "standby"}, 293.15),
            ({"flue": "o2", "during": "pre-purge"}, 0.2095),
            ({"sight": "burners.far-flame", "during": "heating"}, 1.0),
            ({"sound": "gas-valve.click", "during": "pre-purge"}, 0.0),
            ({"condition": "filter.looks"}, "good"),
            ({"light": True, "during": "heating"}, "normal"),
            ({"stalls": True}, "satisfied"),
            ({"seconds": "pre-purge"}, 20.0),
        ],
    )
    def test_reads_each_kind_of_reading(self, healthy, reads, expected):
        reading = probe.read(healthy, ReadsEntry(**reads))
        expected = expected if isinstance(expected, str) else pytest.approx(expected, abs=0.1)
        assert reading == expected

    @pytest.mark.parametrize(
        "reads",
        [
            {"volts": ("L1", "N"), "during": "lockout"},
            {"sight": "igniter.glow", "during": "lockout"},
            {"seconds": "lockout"},
            {"light": True, "during": "lockout"},
        ],
    )
    def test_is_none_where_the_step_was_never_reached(self, healthy, reads):
        assert probe.read(healthy, ReadsEntry(**reads)) is None

    def test_refuses_what_a_kind_does_not_show(self, healthy):
        with pytest.raises(KeyError):
            probe.read(healthy, ReadsEntry(sight="filter.glow", during="heating"))
