"""Calculations of flue gas against published examples and tables, Cantera and CoolProp."""

import cantera as ct
import pytest

from lightoff.engine.machine.combustion import OXYGEN_IN_AIR, oxygen_from_excess_air
from lightoff.engine.service.calculations.common import BURNT
from lightoff.engine.service.calculations.flue_heat import (
    HEAT_CAPACITY,
    LATENT_HEAT,
    MONOXIDE_HEAT,
    heat,
)
from tests.service.calculations.worked import result, verdicts, worked

coolprop = pytest.importorskip("CoolProp.CoolProp")

ICE = 273.15


class TestFlueGas:
    # Computed for methane with Cantera 3.2, dry air with 20.95 % oxygen.
    @pytest.mark.parametrize(
        ("oxygen", "excess", "dioxide"),
        [
            (2, 9.449, 10.58),
            (3, 14.96, 10.03),
            (4, 21.13, 9.467),
            (5, 28.06, 8.908),
            (6, 35.93, 8.350),
            (7, 44.92, 7.791),
            (8, 55.31, 7.233),
            (9, 67.43, 6.674),
            (10, 81.76, 6.116),
            (12, 120.0, 4.999),
        ],
    )
    def test_excess_air_of_methane(self, oxygen, excess, dioxide):
        known = {"o2": f"{oxygen} %", "fuel": "methane"}
        assert result("excess-air", "%", "excess-air", **known) == pytest.approx(excess, rel=5e-4)
        assert result("co2", "%", "excess-air", **known) == pytest.approx(dioxide, rel=5e-4)

    # US Department of Energy, Steam Tip Sheet 4: natural gas.
    @pytest.mark.parametrize(
        ("oxygen", "excess"), [(2, 9.5), (3, 15.0), (5, 28.1), (7, 44.9), (10, 81.6)]
    )
    def test_excess_air_of_steam_tip_sheet_4(self, oxygen, excess):
        found = result("excess-air", "%", "excess-air", o2=f"{oxygen} %")
        assert found == pytest.approx(excess, rel=1e-2)

    # Handbook of Energy Engineering Calculations, p. 56: excess air = 90 O2/(21 - O2).
    def test_excess_air_of_a_handbook(self):
        assert round(result("excess-air", "%", "excess-air", o2="3 %")) == 15

    # Worked examples of the trade press.
    @pytest.mark.parametrize(("ppm", "oxygen", "expected"), [(50, 7, 75), (1200, 6, 1680)])
    def test_monoxide_air_free(self, ppm, oxygen, expected):
        found = result("air-free", "ppm", "co-air-free", co=f"{ppm} ppm", o2=f"{oxygen} %")
        assert found == pytest.approx(expected, rel=4e-3)

    # ANSI Z21.47-1993, 2.8.1: at most 400 ppm air-free in the flue gas.
    def test_limit_of_monoxide(self):
        assert verdicts("co-air-free", co="1200 ppm", o2="6 %")[0] == "above"
        assert verdicts("co-air-free", co="50 ppm", o2="7 %")[0] == "within"
        assert verdicts("co-air-free", co="400 ppm", o2="0 %")[0] == "within"

    # US Department of Energy, Steam Tip Sheet 4: combustion efficiency of natural gas by
    # oxygen and net stack temperature in F. A balance of heat runs up to one point above.
    @pytest.mark.parametrize(
        ("oxygen", "efficiencies"),
        [
            (2, [85.4, 83.1, 80.8, 78.4, 76.0]),
            (3, [85.2, 82.8, 80.4, 77.9, 75.4]),
            (5, [84.7, 82.1, 79.5, 76.7, 74.0]),
            (7, [84.1, 81.2, 78.2, 75.2, 72.1]),
            (10, [82.8, 79.3, 75.6, 71.9, 68.2]),
        ],
    )
    def test_efficiency_of_steam_tip_sheet_4(self, oxygen, efficiencies):
        for net, expected in zip((200, 300, 400, 500, 600), efficiencies, strict=True):
            found = result("efficiency", "%", "efficiency", o2=f"{oxygen} %", flue=f"{70 + net} F")
            assert found == pytest.approx(expected, abs=1.0)


@pytest.fixture(scope="module")
def gases():
    """Fuels, air and products with the NASA polynomials that come with Cantera."""
    names = ["CH4", "C3H8", "O2", "N2", "CO2", "H2O", "CO"]
    species = {s.name: s for s in ct.Species.list_from_file("nasa_gas.yaml") if s.name in names}
    return ct.Solution(thermo="ideal-gas", species=[species[name] for name in names])


def enthalpy(gases, shares, kelvin):
    """J for so many moles of each gas."""
    gases.TPX = kelvin, ct.one_atm, shares
    return gases.enthalpy_mole / 1000.0 * sum(shares.values())


def latent_heat():
    """J/mol of water at 25 C, by CoolProp."""
    vapour, liquid = (coolprop.PropsSI("Hmolar", "T", 298.15, "Q", q, "Water") for q in (1, 0))
    return vapour - liquid


class TestHeat:
    @pytest.mark.parametrize("gas", HEAT_CAPACITY)
    @pytest.mark.parametrize(("start", "end"), [(260, 310), (290, 400), (290, 600), (295, 800)])
    def test_heat_of_each_gas_is_that_of_its_polynomial(self, gases, gas, start, end):
        expected = enthalpy(gases, {gas: 1.0}, end) - enthalpy(gases, {gas: 1.0}, start)
        assert heat(gas, start, end) == pytest.approx(expected, rel=2e-2)

    def test_latent_heat_and_that_of_monoxide(self, gases):
        assert pytest.approx(latent_heat(), rel=1e-3) == LATENT_HEAT
        burning = enthalpy(gases, {"CO": 1.0, "O2": 0.5}, 298.15) - enthalpy(
            gases, {"CO2": 1.0}, 298.15
        )
        assert pytest.approx(burning, rel=1e-3) == MONOXIDE_HEAT

    @pytest.mark.parametrize(("fuel", "formula"), [("methane", "CH4"), ("propane", "C3H8")])
    @pytest.mark.parametrize("oxygen", [0, 4, 8, 12])
    @pytest.mark.parametrize("flue", [200, 350, 600])
    def test_efficiency_is_that_of_the_enthalpies(self, gases, fuel, formula, oxygen, flue):
        """Heat given off between fuel and air at 25 C and flue gas with its vapour."""
        kelvin = ICE + (flue - 32) / 1.8
        carbon = gases.n_atoms(formula, "C")
        water = gases.n_atoms(formula, "H") / 2
        needed = carbon + water / 2
        share = oxygen / 100
        # Oxygen balance of dry flue gas: spare air so that oxygen has its share.
        dry = carbon + needed / OXYGEN_IN_AIR * (1 - OXYGEN_IN_AIR)
        air = needed / OXYGEN_IN_AIR + share * dry / (OXYGEN_IN_AIR - share)
        before = {
            formula: 1.0,
            "O2": OXYGEN_IN_AIR * air,
            "N2": (1 - OXYGEN_IN_AIR) * air,
        }
        products = {"CO2": carbon, "H2O": water, "N2": before["N2"], "O2": before["O2"] - needed}
        start = enthalpy(gases, before, 298.15)
        most = start - enthalpy(gases, products, 298.15) + water * latent_heat()
        expected = (start - enthalpy(gases, products, kelvin)) / most
        known = {"o2": f"{oxygen} %", "flue": f"{flue} F", "air": "77 F", "fuel": fuel}
        found = result("efficiency", "", "efficiency", **known)
        assert found == pytest.approx(expected, abs=2e-3)


class TestWater:
    # Worked out once with CoolProp 8: excess air 0, 20, 40, 50, 75, 100 %, dry air.
    @pytest.mark.parametrize(
        ("fuel", "celsius"),
        [
            ("methane", [59.19, 55.66, 52.70, 51.39, 48.47, 45.97]),
            ("propane", [54.88, 51.39, 48.47, 47.18, 44.31, 41.86]),
        ],
    )
    def test_dew_points(self, fuel, celsius):
        for excess, expected in zip((0.0, 0.2, 0.4, 0.5, 0.75, 1.0), celsius, strict=True):
            oxygen = 100 * oxygen_from_excess_air(BURNT[fuel], excess)
            found = result("dew-point", "C", "dew-point", o2=f"{oxygen:.9f} %", fuel=fuel)
            assert found == pytest.approx(expected, abs=0.06)

    @pytest.mark.parametrize("fuel", BURNT)
    @pytest.mark.parametrize("oxygen", [0, 3, 6, 9, 14])
    def test_dew_point_by_coolprop(self, fuel, oxygen):
        gas = BURNT[fuel]
        found = worked("dew-point", o2=f"{oxygen} %", fuel=fuel).figures
        moles = gas.wet_flue + found["excess-air"] * gas.stoichiometric_air
        expected = coolprop.PropsSI("T", "P", gas.water / moles * ct.one_atm, "Q", 1, "Water")
        assert found["dew-point"] == pytest.approx(expected, abs=0.1)

    # Worked out once with CoolProp 8: methane, 40 % excess air, US gallons for a therm.
    @pytest.mark.parametrize(
        ("celsius", "gallons"), [(35, 0.723), (40, 0.584), (45, 0.401), (50, 0.161), (55, 0.0)]
    )
    def test_condensate_of_a_therm(self, celsius, gallons):
        oxygen = 100 * oxygen_from_excess_air(BURNT["methane"], 0.4)
        found = result(
            "per-heat",
            "gal/therm",
            "condensate",
            input="100000 Btu/h",
            o2=f"{oxygen:.9f} %",
            flue=f"{celsius} C",
            fuel="methane",
        )
        assert found == pytest.approx(gallons, rel=1e-2, abs=1e-6)

    # eduvinet, text on condensing boilers: at most 1.6 litres for a normal m3 of gas.
    def test_most_water_of_a_normal_cubic_metre(self):
        normal = BURNT["methane"].heating_value * 288.15 / ICE
        found = result(
            "rate",
            "L/h",
            "condensate",
            input=f"{normal / 3600:.9g} W",
            o2="0 %",
            flue="0 C",
            fuel="methane",
        )
        assert found == pytest.approx(1.6, rel=2e-2)
