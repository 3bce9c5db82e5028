from math import exp, inf, sqrt

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from lightoff.engine.machine.airgas import (
    STEFAN_BOLTZMANN,
    ChainFlow,
    GasFlow,
    chain_flow,
    crossing_time,
    fan_at_speed,
    gas_flow,
    heat_rise,
    igniter_temperature,
    orifice_conductance,
    parallel,
    relaxed,
    resistance_at,
)

levels = st.floats(-1e4, 1e4)
lags = st.floats(0.1, 1e4)
shares = st.floats(0.001, 0.999)
resistances = st.floats(1e3, 1e9)
leaks = st.one_of(st.just(inf), resistances)
pressures = st.floats(1.0, 2000.0)
conductances = st.floats(1e-6, 1e-4)


class TestRelaxed:
    def test_after_one_time_constant_63_percent_of_the_way_is_done(self):
        assert relaxed(0.0, 100.0, 8.0, 8.0) == pytest.approx(100.0 * (1.0 - exp(-1.0)))

    @given(now=levels, target=levels, tau=lags, seconds=st.floats(0.0, 1e6))
    def test_it_stays_between_start_and_target(self, now, target, tau, seconds):
        value = relaxed(now, target, tau, seconds)
        assert min(now, target) - 1e-9 <= value <= max(now, target) + 1e-9

    @given(now=levels, target=levels, tau=lags, first=st.floats(0, 1e3), second=st.floats(0, 1e3))
    def test_two_stretches_in_a_row_are_one_long_one(self, now, target, tau, first, second):
        halfway = relaxed(now, target, tau, first)
        assert relaxed(halfway, target, tau, second) == pytest.approx(
            relaxed(now, target, tau, first + second), rel=1e-9, abs=1e-7
        )

    def test_no_lag_jumps_and_an_infinite_one_stays(self):
        assert relaxed(1.0, 5.0, 0.0, 0.0) == 5.0
        assert relaxed(1.0, 5.0, inf, 1e9) == 1.0


class TestCrossingTime:
    @given(now=levels, target=levels, share=shares, tau=lags)
    def test_at_that_time_the_quantity_stands_at_the_level(self, now, target, share, tau):
        assume(abs(target - now) > 1e-3)
        level = now + share * (target - now)
        seconds = crossing_time(now, target, level, tau)
        reached = relaxed(now, target, tau, seconds)
        assert reached == pytest.approx(level, rel=1e-9, abs=1e-9 * abs(target - now) + 1e-9)

    @given(now=levels, target=levels, near=shares, far=shares, tau=lags)
    def test_a_farther_level_is_reached_later(self, now, target, near, far, tau):
        assume(abs(target - now) > 1e-3)
        assume(far - near > 1e-6)
        span = target - now
        soon = crossing_time(now, target, now + near * span, tau)
        late = crossing_time(now, target, now + far * span, tau)
        assert 0.0 < soon < late < inf

    @given(now=levels, target=levels, beyond=st.floats(1e-3, 1e4), tau=lags)
    def test_levels_behind_or_past_the_target_are_never_crossed(self, now, target, beyond, tau):
        side = 1.0 if target >= now else -1.0
        assert crossing_time(now, target, now - side * beyond, tau) == inf
        assert crossing_time(now, target, target + side * beyond, tau) == inf

    @given(now=levels, target=levels, tau=lags)
    def test_where_it_stands_and_where_it_heads_are_no_crossings(self, now, target, tau):
        assert crossing_time(now, target, now, tau) == inf
        assert crossing_time(now, target, target, tau) == inf

    @given(now=levels, target=levels, share=shares, tau=lags)
    def test_a_level_once_reached_is_not_crossed_again(self, now, target, share, tau):
        assume(abs(target - now) > 1e-3)
        level = now + share * (target - now)
        reached = relaxed(now, target, tau, crossing_time(now, target, level, tau))
        assert crossing_time(reached, target, level, tau) in (inf, pytest.approx(0.0, abs=1e-6))
        assert crossing_time(level, target, level, tau) == inf

    def test_rounding_of_a_temperature_is_no_crossing(self):
        assert crossing_time(350.0 - 5e-14, 400.0, 350.0, 60.0) == inf

    def test_no_lag_crosses_at_once_and_an_infinite_lag_never(self):
        assert crossing_time(0.0, 10.0, 5.0, 0.0) == 0.0
        assert crossing_time(0.0, 10.0, 5.0, inf) == inf

    def test_a_quantity_at_rest_at_zero_crosses_nothing(self):
        assert crossing_time(0.0, 0.0, 0.0, 5.0) == inf
        assert crossing_time(0.0, 0.0, 1.0, 5.0) == inf


class TestChainFlow:
    @given(up=resistances, leak=leaks, down=resistances, fan=pressures, curve=resistances)
    def test_mass_and_pressures_balance(self, up, leak, down, fan, curve):
        flow = chain_flow(up, leak, down, fan, curve)
        leaked = sqrt(-flow.junction / leak)
        assert flow.total == pytest.approx(flow.inlet + leaked)
        assert flow.junction == pytest.approx(-up * flow.inlet**2)
        rise = fan - curve * flow.total**2
        assert flow.junction + rise == pytest.approx(down * flow.total**2, rel=1e-6, abs=1e-6)

    @given(up=resistances, down=resistances, fan=pressures, curve=resistances)
    def test_a_tight_joint_passes_all_flow_through_the_intake(self, up, down, fan, curve):
        flow = chain_flow(up, inf, down, fan, curve)
        assert flow.inlet == pytest.approx(flow.total)

    @given(
        up=resistances,
        leak=leaks,
        down=resistances,
        fan=pressures,
        curve=resistances,
        times=st.floats(1.1, 100.0),
    )
    def test_blocking_either_end_lowers_the_flow_but_moves_the_suction_opposite_ways(
        self, up, leak, down, fan, curve, times
    ):
        free = chain_flow(up, leak, down, fan, curve)
        intake_blocked = chain_flow(up * times, leak, down, fan, curve)
        vent_blocked = chain_flow(up, leak, down * times, fan, curve)
        assert intake_blocked.inlet < free.inlet
        assert intake_blocked.junction <= free.junction
        assert vent_blocked.inlet < free.inlet
        assert vent_blocked.junction > free.junction

    @given(up=resistances, leak=resistances, down=resistances, fan=pressures, curve=resistances)
    def test_a_leak_robs_the_burners_of_air_and_the_tap_of_suction(
        self, up, leak, down, fan, curve
    ):
        tight = chain_flow(up, inf, down, fan, curve)
        leaky = chain_flow(up, leak, down, fan, curve)
        assert leaky.inlet < tight.inlet
        assert leaky.total > tight.total
        assert leaky.junction > tight.junction

    @given(up=resistances, leak=leaks, down=resistances, fan=pressures, curve=resistances)
    def test_at_half_speed_the_flow_is_half_and_the_suction_a_quarter(
        self, up, leak, down, fan, curve
    ):
        full = chain_flow(up, leak, down, fan, curve)
        half = chain_flow(up, leak, down, fan_at_speed(fan, 0.5), curve)
        assert half.total == pytest.approx(full.total / 2)
        assert half.junction == pytest.approx(full.junction / 4)

    @pytest.mark.parametrize("fan", [0.0, -10.0])
    def test_a_fan_at_rest_moves_nothing(self, fan):
        assert chain_flow(1e6, inf, 1e6, fan, 1e5) == ChainFlow(0.0, 0.0, 0.0)

    def test_everything_upstream_shut_leaves_the_whole_fan_pressure_as_suction(self):
        assert chain_flow(inf, inf, 1e6, 600.0, 1e5) == ChainFlow(0.0, 0.0, -600.0)

    def test_a_shut_vent_leaves_no_flow_and_no_suction(self):
        flow = chain_flow(1e6, 1e7, inf, 600.0, 1e5)
        assert (flow.inlet, flow.total, flow.junction) == (0.0, 0.0, 0.0)

    def test_a_shut_intake_draws_through_the_leak_alone(self):
        flow = chain_flow(inf, 1e6, 1e6, 600.0, 1e6)
        assert flow.inlet == 0.0
        assert flow.total == pytest.approx(sqrt(600.0 / 3e6))

    def test_a_free_upstream_gives_no_suction(self):
        flow = chain_flow(0.0, 1e6, 1e6, 600.0, 1e6)
        assert flow.inlet == flow.total
        assert flow.junction == 0.0

    def test_a_path_without_any_resistance_is_refused(self):
        with pytest.raises(ValueError, match="no resistance"):
            chain_flow(0.0, inf, 0.0, 600.0, 0.0)

    @given(one=resistances, other=resistances)
    def test_ways_side_by_side_resist_less_than_the_best_of_them(self, one, other):
        both = parallel(one, other)
        assert both < min(one, other)
        assert both == pytest.approx(parallel(other, one))
        assert parallel(one, one) == pytest.approx(one / 4)
        assert parallel(one, inf) == pytest.approx(one)
        assert parallel(inf, inf) == inf
        assert parallel(one, 0.0) == 0.0


class TestTemperatureAndHeat:
    @given(resistance=resistances, flow=st.floats(1e-4, 0.1))
    def test_the_same_mass_at_twice_the_temperature_drops_twice_the_pressure(
        self, resistance, flow
    ):
        cold, hot = resistance_at(resistance, 288.15), resistance_at(resistance, 576.3)
        assert cold == pytest.approx(resistance)
        assert hot * flow**2 == pytest.approx(2 * cold * flow**2)

    @given(power=st.floats(1.0, 1e5), flow=st.floats(0.01, 2.0))
    def test_the_air_carries_off_all_the_power(self, power, flow):
        assert heat_rise(power, flow) * flow * 1.2 * 1006.0 == pytest.approx(power)

    def test_heat_without_air_has_no_bound_and_no_heat_no_rise(self):
        assert heat_rise(1000.0, 0.0) == inf
        assert heat_rise(0.0, 0.0) == 0.0

    @given(power=st.floats(0.0, 1000.0), surroundings=st.floats(250.0, 500.0))
    def test_the_igniter_radiates_what_it_is_given(self, power, surroundings):
        temperature = igniter_temperature(power, 13.6e-4, 0.9, surroundings)
        lost = STEFAN_BOLTZMANN * 0.9 * 13.6e-4 * (temperature**4 - surroundings**4)
        assert lost == pytest.approx(power, abs=1e-6)

    def test_an_igniter_without_power_takes_the_temperature_around_it(self):
        assert igniter_temperature(0.0, 13.6e-4, 0.9, 293.15) == pytest.approx(293.15)

    @given(volts=st.floats(10.0, 130.0), less=st.floats(0.5, 0.99))
    def test_less_voltage_makes_a_cooler_igniter(self, volts, less):
        hot = igniter_temperature(volts**2 / 30.0, 13.6e-4, 0.9, 293.15)
        cool = igniter_temperature((volts * less) ** 2 / 30.0, 13.6e-4, 0.9, 293.15)
        assert cool < hot


class TestGasFlow:
    @given(
        supply=pressures,
        pipe=resistances,
        valve=resistances,
        regulator=pressures,
        orifices=conductances,
    )
    def test_pressures_balance_and_the_manifold_never_exceeds_setting_or_supply(
        self, supply, pipe, valve, regulator, orifices
    ):
        gas = gas_flow(supply, pipe, valve, regulator, orifices)
        assert gas.flow == pytest.approx(orifices * sqrt(gas.manifold))
        assert gas.inlet == pytest.approx(supply - pipe * gas.flow**2)
        assert gas.manifold <= regulator
        assert gas.manifold <= gas.inlet - valve * gas.flow**2 + 1e-9 * supply

    @given(
        supply=pressures,
        more=st.floats(1.0, 1000.0),
        pipe=resistances,
        valve=resistances,
        orifices=conductances,
    )
    def test_more_supply_pressure_never_means_less_gas(self, supply, more, pipe, valve, orifices):
        low = gas_flow(supply, pipe, valve, 870.0, orifices)
        high = gas_flow(supply + more, pipe, valve, 870.0, orifices)
        assert high.flow >= low.flow
        assert high.inlet >= low.inlet

    def test_with_enough_supply_the_regulator_holds_its_setting(self):
        gas = gas_flow(1743.0, 1.35e8, 2.7e8, 872.0, 2e-5)
        assert gas.manifold == 872.0

    def test_too_little_supply_leaves_the_manifold_short(self):
        gas = gas_flow(550.0, 1.35e8, 2.7e8, 872.0, 2e-5)
        assert gas.manifold < 550.0
        left = gas.inlet - 2.7e8 * gas.flow**2
        assert gas.manifold == pytest.approx(left)

    @pytest.mark.parametrize("supply", [0.0, -5.0])
    def test_no_supply_no_gas(self, supply):
        assert gas_flow(supply, 1e8, 1e8, 872.0, 2e-5) == GasFlow(0.0, 0.0, 0.0)

    def test_a_closed_cock_leaves_no_pressure_at_the_inlet(self):
        assert gas_flow(1743.0, inf, 1e8, 872.0, 2e-5) == GasFlow(0.0, 0.0, 0.0)

    def test_a_shut_valve_leaves_the_supply_pressure_at_the_inlet(self):
        assert gas_flow(1743.0, 1e8, inf, 872.0, 2e-5) == GasFlow(0.0, 1743.0, 0.0)

    def test_blocked_orifices_pass_nothing_at_full_manifold_pressure(self):
        assert gas_flow(1743.0, 1e8, 1e8, 872.0, 0.0) == GasFlow(0.0, 1743.0, 872.0)

    @given(diameter=st.floats(1e-4, 1e-2), times=st.floats(1.01, 5.0))
    def test_an_orifice_passes_with_the_square_of_its_diameter(self, diameter, times):
        small = orifice_conductance(diameter, 0.9, 0.6)
        large = orifice_conductance(diameter * times, 0.9, 0.6)
        assert large == pytest.approx(small * times**2)

    def test_a_heavier_gas_passes_less(self):
        light = orifice_conductance(2e-3, 0.9, 0.6)
        heavy = orifice_conductance(2e-3, 0.9, 1.5)
        assert heavy == pytest.approx(light * sqrt(0.6 / 1.5))
