from math import inf, isfinite

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lightoff.engine.machine.combustion import (
    FUELS,
    OXYGEN_IN_AIR,
    Fuel,
    air_free,
    burn,
    burner_carbon_monoxide,
    carbon_dioxide,
    condensate,
    dew_point,
    excess_air_from_oxygen,
    oxygen_from_excess_air,
    saturation_pressure,
)

METHANE = Fuel.of({"CH4": 1.0})
PPM = 1e-6
GAS_FLOW = 6e-4

fuels = st.sampled_from([METHANE, *FUELS.values()])
excess_airs = st.floats(0.0, 10.0)
shortages = st.floats(-0.99, 0.0)


def air_for(fuel, excess):
    return GAS_FLOW * fuel.stoichiometric_air * (1.0 + excess)


def volume_per_gas(fuel, excess, leaked_in=0.0):
    burnt = min(1.0, 1.0 + excess)
    return (
        burnt * fuel.dry_flue
        + (1.0 - burnt)
        + max(0.0, excess) * fuel.stoichiometric_air
        + leaked_in / GAS_FLOW
    )


class TestFuel:
    def test_methane_needs_two_volumes_of_oxygen_and_gives_one_of_dioxide_and_two_of_water(self):
        assert METHANE.stoichiometric_air == pytest.approx(2.0 / 0.2095)
        assert (METHANE.carbon_dioxide, METHANE.water) == (1.0, 2.0)
        assert METHANE.dry_flue == pytest.approx(1.0 + 2.0 * 0.7905 / 0.2095)

    @given(share=st.floats(0.0, 1.0))
    def test_a_mixture_lies_between_its_gases_in_proportion(self, share):
        propane = FUELS["propane"]
        mixture = Fuel.of({"CH4": 1.0 - share, "C3H8": share})
        for name in ("stoichiometric_air", "dry_flue", "water", "heating_value"):
            ends = getattr(METHANE, name), getattr(propane, name)
            assert getattr(mixture, name) == pytest.approx(
                ends[0] + share * (ends[1] - ends[0]), rel=1e-9
            )

    def test_inert_gases_lower_the_heating_value_and_go_through_unchanged(self):
        weak = Fuel.of({"CH4": 0.8, "CO2": 0.1, "N2": 0.1})
        assert weak.heating_value == pytest.approx(0.8 * METHANE.heating_value)
        assert weak.stoichiometric_air == pytest.approx(0.8 * METHANE.stoichiometric_air)
        assert weak.dry_flue == pytest.approx(0.8 * METHANE.dry_flue + 0.2)
        assert weak.carbon_dioxide == pytest.approx(0.9)

    @pytest.mark.parametrize(
        ("composition", "complaint"),
        [
            ({"CH4": 0.9}, "sum to 0.9"),
            ({"CH4": 1.1, "N2": -0.1}, "below 0"),
            ({"H2": 1.0}, "H2 is not one of CH4"),
            ({}, "sum to 0"),
            ({"CH4": float("nan")}, "below 0"),
            ({"N2": 0.5, "CO2": 0.5}, "nothing in it burns"),
        ],
    )
    def test_a_wrong_composition_is_refused(self, composition, complaint):
        with pytest.raises(ValueError, match=complaint):
            Fuel.of(composition)

    def test_natural_gas_is_lighter_than_air_and_propane_heavier(self):
        assert FUELS["natural-gas"].relative_density < 1.0 < FUELS["propane"].relative_density


class TestBurn:
    @given(fuel=fuels, excess=excess_airs)
    def test_oxygen_of_the_flue_gas_leads_back_to_the_excess_air(self, fuel, excess):
        flue = burn(fuel, GAS_FLOW, air_for(fuel, excess))
        assert flue.excess_air == pytest.approx(excess, abs=1e-9)
        assert excess_air_from_oxygen(fuel, flue.oxygen) == pytest.approx(
            excess, rel=1e-9, abs=1e-9
        )

    @given(fuel=fuels, excess=st.floats(-0.99, 10.0), leaked_in=st.floats(0.0, 0.1))
    def test_carbon_is_neither_lost_nor_made(self, fuel, excess, leaked_in):
        flue = burn(fuel, GAS_FLOW, air_for(fuel, excess), leaked_in)
        monoxide = flue.carbon_monoxide_air_free * (1.0 - flue.oxygen / OXYGEN_IN_AIR)
        burnt = min(1.0, 1.0 + excess)
        carbon = (flue.carbon_dioxide + monoxide) * volume_per_gas(fuel, excess, leaked_in)
        if flue.carbon_dioxide > 0.0:
            assert carbon == pytest.approx(burnt * fuel.carbon_dioxide, rel=1e-9)

    @given(fuel=fuels, excess=st.floats(-0.99, 10.0), leaked_in=st.floats(0.0, 0.1))
    def test_oxygen_in_is_oxygen_burnt_and_oxygen_out(self, fuel, excess, leaked_in):
        flue = burn(fuel, GAS_FLOW, air_for(fuel, excess), leaked_in)
        brought = OXYGEN_IN_AIR * (air_for(fuel, excess) + leaked_in) / GAS_FLOW
        burnt = min(1.0, 1.0 + excess) * OXYGEN_IN_AIR * fuel.stoichiometric_air
        left = flue.oxygen * volume_per_gas(fuel, excess, leaked_in)
        assert left == pytest.approx(brought - burnt, rel=1e-9, abs=1e-9)

    @given(fuel=fuels, shortage=shortages)
    def test_too_little_air_leaves_no_oxygen_and_a_negative_excess(self, fuel, shortage):
        flue = burn(fuel, GAS_FLOW, air_for(fuel, shortage))
        assert flue.excess_air == pytest.approx(shortage, abs=1e-9)
        assert flue.oxygen == pytest.approx(0.0, abs=1e-9)

    @given(fuel=fuels, excess=st.floats(-1.0, 10.0), more=st.floats(0.01, 1.0))
    def test_more_air_never_lowers_oxygen_nor_raises_monoxide(self, fuel, excess, more):
        lean = burn(fuel, GAS_FLOW, air_for(fuel, excess + more))
        rich = burn(fuel, GAS_FLOW, air_for(fuel, excess))
        assert lean.oxygen >= rich.oxygen
        assert lean.carbon_monoxide_air_free <= rich.carbon_monoxide_air_free

    @given(fuel=fuels, excess=excess_airs, leaked_in=st.floats(1e-4, 0.1))
    def test_air_leaking_in_after_the_flame_dilutes_but_does_not_change_the_flame(
        self, fuel, excess, leaked_in
    ):
        tight = burn(fuel, GAS_FLOW, air_for(fuel, excess))
        leaky = burn(fuel, GAS_FLOW, air_for(fuel, excess), leaked_in)
        assert leaky.excess_air == tight.excess_air
        assert leaky.carbon_monoxide_air_free == tight.carbon_monoxide_air_free
        assert leaky.oxygen > tight.oxygen
        assert leaky.carbon_dioxide < tight.carbon_dioxide

    @given(fuel=fuels, share=st.floats(0.0, 0.9), excess=st.floats(0.0, 3.0))
    def test_flue_gas_going_round_ends_where_fresh_air_alone_would(self, fuel, share, excess):
        intake = air_for(fuel, excess) / (1.0 - share)
        dry_in = share * intake
        flue = burn(fuel, GAS_FLOW, (1.0 - share) * intake)
        fresh_oxygen = OXYGEN_IN_AIR * (1.0 - share) * intake + flue.oxygen * dry_in
        burnt = OXYGEN_IN_AIR * fuel.stoichiometric_air * GAS_FLOW
        out = GAS_FLOW * volume_per_gas(fuel, excess) + dry_in
        assert (fresh_oxygen - burnt) / out == pytest.approx(flue.oxygen, rel=1e-9, abs=1e-9)

    @pytest.mark.parametrize("gas_flow", [0.0, -1e-6])
    def test_without_gas_the_flue_holds_plain_air(self, gas_flow):
        flue = burn(METHANE, gas_flow, 0.01)
        assert flue.excess_air == inf
        assert (flue.oxygen, flue.carbon_dioxide) == (OXYGEN_IN_AIR, 0.0)
        assert flue.carbon_monoxide_air_free == 0.0

    def test_without_air_nothing_burns(self):
        flue = burn(METHANE, GAS_FLOW, 0.0)
        assert (flue.excess_air, flue.oxygen, flue.carbon_dioxide) == (-1.0, 0.0, 0.0)


class TestCarbonMonoxide:
    # From memory: what a technician expects of a clean, a starved and a smothered burner.
    @pytest.mark.parametrize("fuel", FUELS.values(), ids=FUELS)
    @pytest.mark.parametrize(
        ("excess", "low", "high"),
        [
            (0.60, 20, 60),
            (0.50, 20, 60),
            (0.40, 20, 60),
            (0.25, 40, 100),
            (0.08, 400, 1000),
            (0.0, 1000, 5000),
            (-0.1, 5000, 30_000),
        ],
    )
    def test_it_is_of_the_expected_size(self, fuel, excess, low, high):
        assert low * PPM < burner_carbon_monoxide(fuel, excess) < high * PPM

    @given(fuel=fuels, excess=st.floats(-1.0, 0.3), more=st.floats(0.001, 0.5))
    def test_it_falls_with_excess_air(self, fuel, excess, more):
        assert burner_carbon_monoxide(fuel, excess + more) < burner_carbon_monoxide(fuel, excess)

    @given(fuel=fuels, excess=st.floats(-1.0, 1e6))
    def test_it_never_exceeds_what_the_carbon_allows(self, fuel, excess):
        assert 0.0 < burner_carbon_monoxide(fuel, excess) < fuel.ultimate_carbon_dioxide

    @given(monoxide=st.floats(1e-6, 0.01), oxygen=st.floats(0.0, 0.199))
    def test_air_free_is_never_below_the_reading(self, monoxide, oxygen):
        assert air_free(monoxide, oxygen) >= monoxide * (1 - 1e-12)

    @pytest.mark.parametrize("oxygen", [0.2, 0.205, 0.209, 0.21, -0.01, float("nan")])
    def test_air_free_is_refused_where_the_sample_is_air(self, oxygen):
        with pytest.raises(ValueError, match="nearly plain air"):
            air_free(50 * PPM, oxygen)

    def test_air_free_refuses_a_negative_reading(self):
        with pytest.raises(ValueError, match="below 0"):
            air_free(-PPM, 0.07)


class TestExcessAir:
    @given(fuel=fuels, excess=excess_airs)
    def test_oxygen_and_back(self, fuel, excess):
        oxygen = oxygen_from_excess_air(fuel, excess)
        assert excess_air_from_oxygen(fuel, oxygen) == pytest.approx(excess, rel=1e-9, abs=1e-9)

    @pytest.mark.parametrize("fuel", FUELS.values(), ids=FUELS)
    def test_the_limits_are_no_oxygen_and_air(self, fuel):
        assert oxygen_from_excess_air(fuel, 0.0) == 0.0
        assert oxygen_from_excess_air(fuel, -0.3) == 0.0
        assert oxygen_from_excess_air(fuel, inf) == OXYGEN_IN_AIR

    @pytest.mark.parametrize("oxygen", [OXYGEN_IN_AIR, 0.3, -0.001, float("nan")])
    def test_an_oxygen_share_of_no_flue_gas_is_refused(self, oxygen):
        with pytest.raises(ValueError, match="not that of a flue gas"):
            excess_air_from_oxygen(METHANE, oxygen)

    @given(fuel=fuels, excess=st.floats(0.3, 10.0))
    def test_dioxide_from_oxygen_agrees_with_the_flame(self, fuel, excess):
        flue = burn(fuel, GAS_FLOW, air_for(fuel, excess))
        assert carbon_dioxide(fuel, flue.oxygen) == pytest.approx(flue.carbon_dioxide, abs=1e-4)


class TestWater:
    @given(fuel=fuels, excess=excess_airs)
    def test_at_the_dew_point_the_vapour_is_just_saturated(self, fuel, excess):
        share = fuel.water / (fuel.wet_flue + excess * fuel.stoichiometric_air)
        pressure = saturation_pressure(dew_point(fuel, excess))
        assert pressure == pytest.approx(share * 101_325.0, rel=1e-9)

    @given(fuel=fuels, excess=st.floats(0.0, 5.0), apart=st.floats(0.01, 30.0))
    def test_water_condenses_below_the_dew_point_and_not_above(self, fuel, excess, apart):
        dew = dew_point(fuel, excess)
        air = air_for(fuel, excess)
        assert condensate(fuel, GAS_FLOW, air, dew + apart) == 0.0
        assert condensate(fuel, GAS_FLOW, air, dew - apart) > 0.0

    @given(fuel=fuels, excess=st.floats(-0.9, 5.0), celsius=st.floats(0.0, 90.0))
    def test_no_more_condenses_than_was_made(self, fuel, excess, celsius):
        water = condensate(fuel, GAS_FLOW, air_for(fuel, excess), 273.15 + celsius)
        vapour = GAS_FLOW * fuel.water * min(1.0, 1.0 + excess)
        moles = vapour * 101_325.0 / (8.314462618 * 288.15)
        assert 0.0 <= water <= moles * 0.018015 / 997.0 * (1 + 1e-9)

    @given(fuel=fuels, excess=excess_airs, more=st.floats(0.01, 2.0))
    def test_excess_air_lowers_the_dew_point(self, fuel, excess, more):
        assert dew_point(fuel, excess + more) < dew_point(fuel, excess)

    @pytest.mark.parametrize("celsius", [100.0, 150.0, 400.0])
    def test_hot_flue_gas_gives_no_water(self, celsius):
        air = air_for(METHANE, 0.4)
        assert condensate(METHANE, GAS_FLOW, air, 273.15 + celsius) == 0.0

    def test_without_gas_there_is_no_condensate(self):
        assert condensate(METHANE, 0.0, 0.01, 300.0) == 0.0

    @pytest.mark.parametrize("excess", [-0.1, inf, float("nan")])
    def test_the_dew_point_of_a_starved_or_absent_flame_is_refused(self, excess):
        with pytest.raises(ValueError, match="no dew point"):
            dew_point(METHANE, excess)

    @given(excess=excess_airs)
    def test_the_dew_point_is_a_temperature_indoors_can_have(self, excess):
        dew = dew_point(METHANE, excess)
        assert isfinite(dew)
        assert 273.15 < dew < 373.15
