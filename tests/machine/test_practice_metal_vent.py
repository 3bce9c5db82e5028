"""What the trade expects of a metal vent, a switch with one hose and air from the room (common
practice), and that the model does it."""

import pytest

from tests.machine.played import played
from tests.machine.readings import INWC, at

FURNACE = "metal-vent-induced"


@pytest.mark.parametrize(
    "fault", ["vent-connector.blocked", "chimney-liner.blocked", "vent-connector.falls-back"]
)
def test_a_blocked_way_out_lowers_suction_and_draft_is_not_proved(fault):
    trace = played(FURNACE, fault)
    assert trace.stalls_in() == "proving-draft"
    assert at(trace, "proving-draft").pressure("ROOM", "COLLECTOR") / INWC < 0.6


def test_a_switch_with_one_hose_does_not_notice_blocked_louvers():
    trace = played(FURNACE, "air-opening.louvers-blocked")
    sound = at(played(FURNACE), "pre-purge").pressure("ROOM", "COLLECTOR")
    assert at(trace, "pre-purge").pressure("ROOM", "COLLECTOR") > sound
    assert at(trace, "flame-proved").flue("o2") < 0.04


def test_a_room_short_of_air_heats_on_with_little_oxygen_and_much_carbon_monoxide():
    trace = played(FURNACE, "air-opening.room-too-tight")
    heating = at(trace, "heating")
    assert heating.flue("o2") < 0.06
    assert heating.flue("co-air-free") > at(played(FURNACE), "heating").flue("co-air-free")


def test_a_vent_come_apart_trips_nothing_and_has_no_draft_in_it():
    trace = played(FURNACE, "vent-connector.parted")
    assert trace.stalls_in() == "satisfied"


def test_the_flue_gas_stays_above_its_dew_point():
    heating = at(played(FURNACE), "heating")
    assert heating.temperature("flue") > 273.15 + 60
