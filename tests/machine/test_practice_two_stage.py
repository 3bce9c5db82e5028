"""What the trade expects of two stages of heat (common practice), and that the model does it."""

import pytest

from lightoff.engine.machine.kinds import KINDS
from lightoff.engine.machine.kinds.base import MotorKind
from tests.conftest import loaded
from tests.machine.played import played
from tests.machine.readings import INWC, at

FURNACE = "two-stage-condensing"


def steps(*faults):
    return {visit.step for visit in played(FURNACE, *faults).visits()}


@pytest.mark.parametrize(
    "fault",
    [
        "high-pressure-switch.failed-open",
        "high-pressure-switch.drifted",
        "high-switch-hose.split",
        "high-switch-hose.off",
        "high-pressure-switch-wire.open",
    ],
)
def test_without_proof_of_draft_for_high_fire_it_goes_on_in_low_fire(fault):
    trace = played(FURNACE, fault)
    assert "high-fire" not in steps(fault)
    assert trace.stalls_in() == "high-fire-draft"
    held = at(trace, "low-fire-held")
    assert held.shown("burners", "first-flame") == 1.0
    assert 1.3 <= held.pressure("MANIFOLD", "ROOM") / INWC <= 1.8


@pytest.mark.parametrize("fault", ["thermostat.second-stage-open", "thermostat-cable-w2.open"])
def test_without_a_second_call_it_heats_in_low_fire_to_the_end(fault):
    assert "high-fire-draft" not in steps(fault)
    assert at(played(FURNACE, fault), "heating").volts("W2", "C") < 1


@pytest.mark.parametrize(
    "fault", ["gas-valve.high-coil-open", "gas-valve.stuck-low", "high-gas-valve-wire.open"]
)
def test_without_the_second_coil_all_goes_up_but_the_fire(fault):
    high = at(played(FURNACE, fault), "high-fire")
    assert high.shown("inducer", "turns") == 1.0
    assert high.shown("blower", "turns") == 1.0
    assert high.pressure("MANIFOLD", "ROOM") / INWC < 1.8


@pytest.mark.parametrize(
    "fault", ["pressure-switch.stuck-closed", "high-pressure-switch.stuck-closed"]
)
def test_a_switch_closed_at_rest_keeps_the_inducer_from_starting(fault):
    trace = played(FURNACE, fault)
    assert trace.stalls_in() == "switch-check"
    assert not any("inducer" in s.standing.turning for s in trace.segments)


def test_without_its_fast_winding_the_fire_goes_out_as_high_fire_is_tried():
    trace = played(FURNACE, "inducer.winding-open")
    assert trace.stalls_in() == "high-fire-draft"
    assert {"draft-lost", "inter-purge"} & {visit.step for visit in trace.visits()}


def test_without_its_slow_winding_nothing_starts():
    assert played(FURNACE, "inducer.low-winding-open").stalls_in() == "proving-draft"


def test_a_dead_blower_module_trips_the_limit_with_power_and_command_there():
    trace = played(FURNACE, "blower.module-dead")
    assert "limit-open" in {visit.step for visit in trace.visits()}
    heating = at(trace, "heating")
    assert heating.volts("LOW-AT-BLOWER", "C") > 20
    assert heating.volts("L1", "N") > 110


def test_the_second_coil_is_fed_only_with_the_high_fire_switch_closed():
    for fault in loaded().furnaces[FURNACE].faults:
        for segment in played(FURNACE, fault).segments:
            if abs(segment.electrics.across("gas-valve", "high-coil")) > 18:
                assert segment.standing.positions["high-pressure-switch"] or fault == (
                    "high-pressure-switch.stuck-closed"
                )


class TestCommandedMotor:
    @pytest.fixture
    def values(self):
        return loaded().furnaces[FURNACE].parts["blower"].values

    @pytest.fixture
    def kind(self):
        kind = KINDS["commanded-motor"]
        assert isinstance(kind, MotorKind)
        return kind

    def test_it_holds_its_airflow_against_more_resistance(self, kind, values):
        wanted = values["airflow"]
        for resistance in (800.0, 1400.0, 2000.0):
            flow = (kind.pressure(values, 1.0, resistance) / resistance) ** 0.5
            assert flow == pytest.approx(wanted)

    def test_it_cannot_do_more_than_full_speed(self, kind, values):
        flow = (kind.pressure(values, 1.0, 8000.0) / 8000.0) ** 0.5
        assert flow < 0.6 * values["airflow"]

    def test_it_turns_by_command_and_only_with_power(self, kind, values):
        def across(volts):
            return lambda branch: volts.get(branch, 0.0)

        assert kind.speed(values, across({"power": 120.0})) == 0.0
        assert kind.speed(values, across({"low-command": 24.0})) == 0.0
        low = kind.speed(values, across({"power": 120.0, "low-command": 24.0}))
        high = kind.speed(values, across({"power": 120.0, "high-command": 24.0}))
        assert 0.0 < low < high == 1.0
