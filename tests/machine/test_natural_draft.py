"""Draft by warmth alone: the chimney, the hood, and what spills."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lightoff.engine.machine.airgas import buoyancy, hood_flow, pressure_ratio

INWC = 249.08
RANKINE = 5.0 / 9.0

draft = st.floats(0.0, 60.0)
resistance = st.floats(1e2, 1e7)


@pytest.mark.parametrize(
    ("feet", "outside", "inside"), [(20.0, 520.0, 960.0), (35.0, 460.0, 760.0), (8.0, 530.0, 860.0)]
)
def test_draft_of_a_chimney_as_the_handbook_has_it(feet, outside, inside):
    """0.2554 B H (1/To - 1/Tm) inwc, B in inches of mercury, T in Rankine.

    ASHRAE Handbook, chapter on chimneys and vents (formula from memory).
    """
    handbook = 0.2554 * 29.92 * feet * (1.0 / outside - 1.0 / inside) * INWC
    found = buoyancy(feet * 0.3048, outside * RANKINE, inside * RANKINE)
    assert found == pytest.approx(handbook, rel=0.01)


@pytest.mark.parametrize(("feet", "ratio"), [(0.0, 1.0), (5000.0, 0.8320), (10000.0, 0.6877)])
def test_air_pressure_with_altitude_as_in_the_standard_atmosphere(feet, ratio):
    """ICAO standard atmosphere (table values from memory)."""
    assert pressure_ratio(feet * 0.3048) == pytest.approx(ratio, abs=2e-4)


def test_a_cold_column_draws_the_other_way():
    assert buoyancy(5.0, 293.0, 293.0) == 0.0
    assert buoyancy(5.0, 293.0, 273.0) < 0.0


@given(
    draws=draft, below=resistance, hood=resistance, pulls=st.floats(-30.0, 60.0), above=resistance
)
def test_what_goes_up_is_what_comes_from_below_and_from_the_room(draws, below, hood, pulls, above):
    flow = hood_flow(draws, below, hood, pulls, above)
    from_room = (
        (-flow.pressure / hood) ** 0.5 if flow.pressure < 0 else -((flow.pressure / hood) ** 0.5)
    )
    assert flow.burner + from_room == pytest.approx(flow.vent, rel=1e-6, abs=1e-6)
    assert 0.0 <= flow.spilled <= 1.0
    assert (flow.spilled > 0.0) == (flow.pressure > 0.0)


@given(
    draws=st.floats(1.0, 60.0),
    below=resistance,
    hood=resistance,
    pulls=st.floats(-30.0, 60.0),
    above=resistance,
    more=st.floats(0.1, 30.0),
)
def test_more_downdraft_never_spills_less_and_never_feeds_the_burners_better(
    draws, below, hood, pulls, above, more
):
    now = hood_flow(draws, below, hood, pulls, above)
    worse = hood_flow(draws, below, hood, pulls - more, above)
    assert worse.spilled >= now.spilled - 1e-9
    assert worse.burner <= now.burner + 1e-9
