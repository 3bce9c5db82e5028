"""Where air, gas, fire and heat of the furnace come to rest, by laws that hold by hand."""

from itertools import pairwise
from math import inf, sqrt

import pytest

from lightoff.engine.machine.airgas import STEFAN_BOLTZMANN
from lightoff.engine.machine.combustion import FUELS, REFERENCE_TEMPERATURE
from lightoff.engine.machine.plan import Machine
from lightoff.engine.machine.steady import AT_REST, draft_at, steady
from lightoff.engine.units import UNITS

PURGING = AT_REST._replace(inducer=1.0)
TRIAL = PURGING._replace(stage=1)
LIT = TRIAL._replace(first_lit=True, far_lit=True)
HEATING = LIT._replace(blower=1.0)
FACTORS = [1.0, 1.5, 2.0, 4.0, 8.0, 16.0, 32.0]


@pytest.fixture(scope="module")
def machine_with(plan):
    """A machine with the given values, each a figure, a word, or ("x", factor)."""
    sound = Machine(plan)

    def machine(**changed):
        overrides = {}
        for key, value in changed.items():
            part, name = (word.replace("_", "-") for word in key.split("__"))
            by_factor = isinstance(value, tuple)
            overrides[part, name] = sound.number(part, name) * value[1] if by_factor else value
        return Machine(plan, overrides)

    return machine


@pytest.fixture(scope="module")
def sound(machine_with):
    return machine_with()


def blocked(machine_with, part, factor, drive=PURGING):
    """(suction at the collector, draft at the two-tap switch) behind a blockage."""
    machine = machine_with(**{f"{part}__resistance": ("x", factor)})
    pressures = steady(machine, drive).pressures
    return -pressures["COLLECTOR"], draft_at(machine, "pressure-switch", pressures)


def falls(values):
    return all(later < earlier for earlier, later in pairwise(values))


class TestAirPath:
    def test_at_rest_no_air_moves_and_no_tap_has_pressure(self, sound):
        rest = steady(sound, AT_REST)
        air_taps = ("ROOM", "BURNER-BOX", "COLLECTOR", "VENT", "RETURN", "SUPPLY")
        assert [rest.pressures[tap] for tap in air_taps] == [0.0] * 6
        assert rest.burner_air == rest.house_air == 0.0

    def test_pressure_falls_from_the_room_to_the_collector_and_stands_above_it_behind_the_fan(
        self, sound
    ):
        taps = steady(sound, PURGING).pressures
        assert 0.0 > taps["BURNER-BOX"] > taps["COLLECTOR"]
        assert taps["VENT"] > 0.0

    @pytest.mark.parametrize("drive", [PURGING, LIT], ids=["cold", "lit"])
    def test_a_blocked_vent_lowers_the_suction_at_the_collector(self, machine_with, drive):
        assert falls([blocked(machine_with, "vent_pipe", f, drive)[0] for f in FACTORS])

    @pytest.mark.parametrize("drive", [PURGING, LIT], ids=["cold", "lit"])
    def test_a_blocked_intake_raises_the_suction_at_the_collector(self, machine_with, drive):
        assert falls([-blocked(machine_with, "intake_pipe", f, drive)[0] for f in FACTORS])

    @pytest.mark.parametrize("pipe", ["vent_pipe", "intake_pipe"])
    @pytest.mark.parametrize("drive", [PURGING, LIT], ids=["cold", "lit"])
    def test_the_differential_of_two_taps_falls_for_both(self, machine_with, pipe, drive):
        assert falls([blocked(machine_with, pipe, f, drive)[1] for f in FACTORS])

    @pytest.mark.parametrize("part", ["primary_exchanger", "secondary_exchanger"])
    def test_a_plugged_exchanger_raises_even_the_differential_so_no_switch_sees_it(
        self, machine_with, part
    ):
        assert falls([-blocked(machine_with, part, f)[1] for f in FACTORS])

    def test_what_the_inducer_gives_is_what_the_way_takes(self, sound):
        state = steady(sound, PURGING)
        given = sound.number("inducer", "shutoff-pressure")
        given -= sound.number("inducer", "curve") * state.burner_air**2
        assert state.pressures["VENT"] - state.pressures["COLLECTOR"] == pytest.approx(given)
        vent = sound.number("vent-pipe", "resistance") * state.burner_air**2
        assert state.pressures["VENT"] == pytest.approx(vent)

    def test_by_the_fan_laws_half_the_speed_gives_half_the_flow_and_a_quarter_of_the_pressure(
        self, sound
    ):
        full, half = steady(sound, PURGING), steady(sound, PURGING._replace(inducer=0.5))
        assert half.burner_air == pytest.approx(full.burner_air / 2)
        for tap in ("BURNER-BOX", "COLLECTOR", "VENT"):
            assert half.pressures[tap] == pytest.approx(full.pressures[tap] / 4)

    def test_hot_light_flue_gas_takes_less_fan_pressure_and_more_resistance(self, sound):
        assert steady(sound, LIT).burner_air < steady(sound, PURGING).burner_air

    def test_hot_parts_resist_in_the_ratio_of_their_temperature(self, sound):
        state = steady(sound, LIT)
        hot = sound.number("vent-pipe", "hot") / REFERENCE_TEMPERATURE
        vent = hot * sound.number("vent-pipe", "resistance") * state.burner_air**2
        assert state.pressures["VENT"] == pytest.approx(vent)

    def test_air_through_a_leaking_gasket_joins_before_the_fan(self, machine_with, sound):
        leaking = machine_with(collector_gasket__resistance=1.0e6)
        state = steady(leaking, PURGING)
        leak = sqrt(-state.pressures["COLLECTOR"] / 1.0e6)
        vent = leaking.number("vent-pipe", "resistance") * (state.burner_air + leak) ** 2
        assert state.pressures["VENT"] == pytest.approx(vent)
        assert state.burner_air < steady(sound, PURGING).burner_air

    def test_a_missing_trap_leaks_as_a_gasket_of_its_resistance(self, machine_with, sound):
        resistance = sound.number("drain", "leak-resistance")
        trap = steady(machine_with(drain__trap="missing"), PURGING)
        gasket = steady(machine_with(collector_gasket__resistance=resistance), PURGING)
        assert trap.pressures == gasket.pressures

    def test_a_tight_gasket_leaks_nothing(self, machine_with, sound):
        tight = machine_with(collector_gasket__resistance=inf)
        assert steady(tight, PURGING).pressures == steady(sound, PURGING).pressures

    def test_a_flooded_drain_lowers_suction(self, sound):
        flooded = steady(sound, PURGING._replace(flooded=True))
        assert (
            -flooded.pressures["COLLECTOR"] < -0.5 * steady(sound, PURGING).pressures["COLLECTOR"]
        )


class TestPressureSwitchPorts:
    def test_a_hose_passes_its_share_to_its_port(self, machine_with):
        split = machine_with(collector_hose__passes=0.4)
        pressures = steady(split, PURGING).pressures
        expected = pressures["BURNER-BOX"] - 0.4 * pressures["COLLECTOR"]
        assert draft_at(split, "pressure-switch", pressures) == pytest.approx(expected)

    def test_a_port_left_open_to_the_room_makes_a_single_tap_switch(self, machine_with):
        single = machine_with(pressure_switch__high_tap="ROOM", pressure_switch__high_hose="none")
        pressures = steady(single, PURGING).pressures
        assert draft_at(single, "pressure-switch", pressures) == -pressures["COLLECTOR"]


class TestHouseAir:
    def test_rise_follows_the_trades_formula(self, sound):
        """Btu/h = 1.08 cfm dT in F (60 x 0.075 x 0.24), within 1 percent."""
        state = steady(sound, HEATING)
        heat = state.gas.flow * FUELS["natural-gas"].heating_value
        heat *= sound.number("primary-exchanger", "efficiency") / UNITS["Btu/h"].factor
        cfm = UNITS["cfm"].from_si(state.house_air)
        rise = UNITS["F rise"].from_si(state.rise)
        assert 1.08 * cfm * rise == pytest.approx(heat, rel=0.01)

    def test_static_pressure_stands_before_and_behind_the_blower_where_the_resistance_is(
        self, machine_with, sound
    ):
        normal = steady(sound, HEATING).pressures
        filtered = steady(machine_with(filter__resistance=("x", 25)), HEATING).pressures
        ducted = steady(machine_with(ducts__resistance=("x", 16)), HEATING).pressures
        assert filtered["RETURN"] < 2 * normal["RETURN"]
        assert filtered["SUPPLY"] < normal["SUPPLY"]
        assert ducted["SUPPLY"] > 1.5 * normal["SUPPLY"]
        assert ducted["RETURN"] > normal["RETURN"]

    @pytest.mark.parametrize("part", ["filter", "cooling_coil", "ducts"])
    def test_each_resistance_lowers_the_flow_and_raises_the_rise(self, machine_with, part):
        states = [
            steady(machine_with(**{f"{part}__resistance": ("x", f)}), HEATING) for f in FACTORS
        ]
        assert falls([state.house_air for state in states])
        assert falls([-state.rise for state in states])

    def test_without_a_blower_the_exchanger_heads_for_still_air(self, sound, furnace):
        target, lag = steady(sound, LIT).targets["exchanger"]
        still = sound.number("primary-exchanger", "still-air-rise")
        assert target == furnace.site["room"] + still
        assert lag == sound.number("primary-exchanger", "still-lag")
        assert steady(sound, PURGING).targets["exchanger"][0] == furnace.site["room"]


class TestGas:
    def test_the_regulator_holds_its_setting_while_enough_is_left(self, machine_with):
        set_to = machine_with().number("gas-valve", "regulator")
        inches = UNITS["inwc"].factor
        for supply in (5.0, 6.0, 7.0, 10.0):
            gas = steady(machine_with(gas_supply__pressure=supply * inches), LIT).gas
            assert gas.manifold == pytest.approx(set_to)
            assert set_to < gas.inlet < supply * inches

    def test_with_too_little_supply_the_manifold_gets_what_is_left(self, machine_with, sound):
        gas = steady(machine_with(gas_supply__pressure=500.0), LIT).gas
        assert 0.0 < gas.manifold < gas.inlet < 500.0
        pipe = sound.number("gas-supply", "resistance") * gas.flow**2
        valve = sound.number("gas-valve", "flow-resistance") * gas.flow**2
        assert 500.0 - pipe == pytest.approx(gas.inlet)
        assert gas.inlet - valve == pytest.approx(gas.manifold)

    def test_with_the_valve_shut_the_inlet_stands_at_the_supply(self, sound):
        gas = steady(sound, PURGING).gas
        assert (gas.flow, gas.manifold) == (0.0, 0.0)
        assert gas.inlet == sound.number("gas-supply", "pressure")

    def test_behind_a_closed_cock_there_is_none(self, machine_with):
        gas = steady(machine_with(gas_cock__handle="across-pipe"), TRIAL).gas
        assert (gas.flow, gas.inlet, gas.manifold) == (0.0, 0.0, 0.0)

    @pytest.mark.parametrize(
        ("share", "flow"), [(4 / 3.5, 1.069), (3 / 3.5, 0.9258), (0.5, 0.7071)]
    )
    def test_input_goes_with_the_root_of_the_manifold_pressure(
        self, machine_with, sound, share, flow
    ):
        """Input at 4.0, 3.0 and 1.75 inches of what it is at 3.5."""
        changed = steady(machine_with(gas_valve__regulator=("x", share)), LIT).gas
        assert changed.flow / steady(sound, LIT).gas.flow == pytest.approx(flow, abs=5e-4)

    def test_a_blocked_first_orifice_takes_its_burners_share_away(self, machine_with, sound):
        gas = steady(machine_with(burners__first_orifice=0.0), LIT).gas
        assert gas.flow == pytest.approx(0.75 * steady(sound, LIT).gas.flow)

    def test_orifices_for_propane_are_too_small_for_natural_gas(self, machine_with, sound):
        small = steady(machine_with(burners__orifices_for="other-gas"), LIT)
        assert small.gas.flow < 0.6 * steady(sound, LIT).gas.flow
        assert small.flame == 0.0

    def test_a_valve_that_leaks_by_passes_gas_while_shut_and_no_more_while_open(
        self, machine_with, sound
    ):
        leaking = machine_with(gas_valve__leaks_by=0.5)
        assert steady(leaking, PURGING).gas.manifold == pytest.approx(
            0.5 * sound.number("gas-valve", "regulator")
        )
        assert steady(leaking, LIT).gas == steady(sound, LIT).gas


def starved(machine_with, factor):
    return steady(machine_with(intake_pipe__resistance=("x", factor)), LIT)


class TestFire:
    def test_too_little_air_rolls_the_flame_out_and_heats_the_burner_box(self, machine_with, sound):
        state = starved(machine_with, 40)
        assert state.roll_out
        assert state.flue.excess_air < 0.0
        opens = sound.number("rollout-switch", "opens-at")
        assert state.targets["rollout"][0] > opens > steady(sound, LIT).targets["rollout"][0]

    def test_less_air_means_less_oxygen_and_more_carbon_monoxide(self, machine_with):
        states = [starved(machine_with, factor) for factor in (1, 4, 8, 16, 24)]
        assert falls([state.flue.oxygen for state in states])
        assert falls([-state.flue.carbon_monoxide_air_free for state in states])
        assert not any(state.roll_out for state in states)

    def test_flue_gas_drawn_back_counts_as_air_that_is_missing(self, machine_with, sound):
        fresh, back = steady(sound, LIT), steady(machine_with(intake_pipe__recirculates=0.3), LIT)
        assert back.burner_air == fresh.burner_air
        assert 1 + back.flue.excess_air == pytest.approx(0.7 * (1 + fresh.flue.excess_air))

    def test_a_leak_thins_the_sample_but_not_the_flame(self, machine_with):
        leaking = machine_with(collector_gasket__resistance=4.0e7)
        state = steady(leaking, LIT)
        needed = state.gas.flow * FUELS["natural-gas"].stoichiometric_air
        assert state.flue.excess_air == pytest.approx(state.burner_air / needed - 1)
        assert state.flue.oxygen > steady(Machine(leaking.plan), LIT).flue.oxygen

    def test_no_flame_stands_at_the_sensor_unless_the_far_burner_is_lit(self, sound):
        assert steady(sound, LIT).flame == 1.0
        assert steady(sound, LIT._replace(far_lit=False)).flame == 0.0
        assert steady(sound, TRIAL).flame == 0.0
        assert steady(sound, TRIAL).flue is None

    def test_the_first_burner_alone_gives_its_share_of_the_heat(self, sound):
        alone = HEATING._replace(far_lit=False)
        assert steady(sound, alone).rise == pytest.approx(steady(sound, HEATING).rise / 4)

    def test_a_crack_disturbs_the_flame_only_while_the_blower_runs(self, machine_with):
        cracked = machine_with(primary_exchanger__crack=0.6)
        assert steady(cracked, LIT).flame == 1.0
        assert steady(cracked, HEATING).flame == pytest.approx(0.4)


class TestIgniterAndWater:
    def test_the_igniter_radiates_the_power_it_gets(self, sound, furnace):
        target, _ = steady(sound, PURGING._replace(igniter_watts=460.0)).targets[
            "igniter.temperature"
        ]
        surface = sound.number("igniter", "emissivity") * sound.number("igniter", "surface")
        lost = STEFAN_BOLTZMANN * surface * (target**4 - furnace.site["room"] ** 4)
        assert lost == pytest.approx(460.0)

    def test_water_rises_only_while_it_burns_and_higher_in_a_blocked_drain(
        self, machine_with, sound
    ):
        clear = steady(sound, HEATING).targets["drain.level"][0]
        choked = steady(machine_with(drain__resistance=("x", 60)), HEATING).targets["drain.level"]
        assert steady(sound, PURGING).targets["drain.level"][0] == 0.0
        assert 0.0 < clear < sound.number("drain", "floods-at")
        assert choked[0] == pytest.approx(60 * clear)
        assert choked[0] > sound.number("drain", "floods-at")


class TestPlan:
    def test_the_leak_divides_the_way_of_combustion_air_before_the_fan(self, plan):
        way = plan.combustion
        assert way.before == ("intake-pipe", "primary-exchanger", "secondary-exchanger")
        assert (way.leaking, way.between) == (("collector-gasket",), ("drain",))
        assert (way.fan, way.after) == ("inducer", ("vent-pipe",))
        assert way.taps == {"BURNER-BOX": 1, "COLLECTOR": 3}
        assert way.taps_after == {"VENT": 0}

    def test_a_word_where_a_figure_is_needed_is_refused(self, sound):
        with pytest.raises(TypeError, match=r"gas-cock\.handle is the word along-pipe"):
            sound.number("gas-cock", "handle")
