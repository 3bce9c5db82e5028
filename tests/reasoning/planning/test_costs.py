import numpy as np
import pytest

from lightoff.engine.entries.checks import CheckEntry, ReadsEntry
from lightoff.engine.entries.lists import AspectEntry, RepairEntry
from lightoff.engine.model import Check
from lightoff.engine.reasoning.planning.costs import (
    all_minutes,
    costs_of,
    hazard_minutes,
    minutes_of,
    repair_minutes,
    setup_after,
)
from tests.reasoning.tables import binary, costs, hypotheses, table

THREE = table(
    hypotheses(["x", "y"], [1, 1]),
    {"outside": binary([0.5, 0.5]), "inside": binary([0.5, 0.5]), "ohms": binary([0.5, 0.5])},
)
SETUPS = [{"door": "on"}, {"door": "off"}, {"door": "off", "power": "off"}]
COSTS = costs(THREE, minutes=[1.0, 2.0, 3.0], setups=SETUPS)


def check_entry(hazards: list[str]) -> CheckEntry:
    return CheckEntry(
        id="c", area="power", by="meter", ask="?", how=["."], reads=ReadsEntry(ohms="igniter"),
        outcomes={}, minutes=4, tools=["meter"], hazards=hazards,
    )  # fmt: skip


def repair_entry(price: str) -> RepairEntry:
    return RepairEntry(id="r", title="R", minutes=30, price=price, source="invented")


def test_a_check_costs_its_minutes_and_the_change_of_set_up():
    assert all_minutes(COSTS, {}) == pytest.approx([1.0, 4.0, 6.0])
    assert all_minutes(COSTS, {"door": "off"}) == pytest.approx([2.0, 2.0, 4.0])
    assert all_minutes(COSTS, {"door": "off", "power": "off"}) == pytest.approx([2.0, 2.0, 3.0])


def test_minutes_of_one_check_agree_with_those_of_all():
    alone = [minutes_of(THREE, COSTS, check, {"power": "off"}) for check in THREE.checks]
    assert alone == pytest.approx(list(all_minutes(COSTS, {"power": "off"})))


def test_the_set_up_is_what_the_checks_done_left_behind():
    assert setup_after(THREE, COSTS, []) == {"door": "on", "power": "on"}
    assert setup_after(THREE, COSTS, ["ohms", "outside"]) == {"door": "on", "power": "off"}


def test_an_unknown_state_or_check_is_an_error():
    broken = costs(THREE, setups=[{"door": "ajar"}, {}, {}])
    with pytest.raises(KeyError, match="ajar"):
        all_minutes(broken, {})
    with pytest.raises(ValueError, match="tuple"):
        minutes_of(THREE, COSTS, "nowhere", {})


def test_line_voltage_weighs_more_than_24_volts_and_hazards_add_up():
    line = hazard_minutes(check_entry(["live-line-voltage"]))
    low = hazard_minutes(check_entry(["live-24-volt"]))
    assert line > low > hazard_minutes(check_entry([])) == 0.0
    assert hazard_minutes(check_entry(["live-line-voltage", "live-24-volt"])) == line + low


def test_a_dearer_part_makes_a_dearer_repair():
    minutes = [repair_minutes(repair_entry(price)) for price in ("none", "low", "middle", "high")]
    assert minutes == [45.0, 60.0, 105.0, 225.0]


def test_costs_follow_the_order_of_the_tables_checks():
    pair = table(hypotheses(["r"], [1]), {"second": binary([0.5]), "first": binary([0.5])})
    entry = check_entry(["live-24-volt"])
    plain = check_entry([])
    found = costs_of(
        pair,
        {
            "first": Check("first", entry, (), "", {}, 0.1, 0.01, {"door": "off"}),
            "second": Check("second", plain, (), "", {}, 0.1, 0.01, {}),
        },
        {
            "door": AspectEntry(
                id="door", name="Door", start="on", minutes={"on": 1}, how={}, source="x"
            )
        },
        {"r": repair_entry("none")},
    )
    assert np.array_equal(found.minutes, [4.0, 4.0])
    assert found.setups == ({}, {"door": "off"})
    assert found.hazard_minutes[0] == 0.0 < found.hazard_minutes[1]
    assert found.start == {"door": "on"}
    assert found.repair_minutes == {"r": 45.0}
    assert found.tools == (frozenset({"meter"}),) * 2
