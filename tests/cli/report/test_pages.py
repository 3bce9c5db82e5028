"""What the two pages of a report say of a job, and what they do not."""

import pytest

from lightoff.cli.report.customer import customer_page
from lightoff.cli.report.document import Head, Warn
from lightoff.cli.report.shop import shop_page
from lightoff.engine.reasoning.job import Found, Repaired, Started, Undone
from tests.cli.report.jobs import (
    CURED,
    PROVED,
    RATED,
    SEARCH,
    START,
    at,
    closed,
    facts_of,
    found,
    noted,
    proved,
    texts,
)

MENDED = closed("found", repair="replace-igniter", proof="proven")


def customer(folder, *events):
    return customer_page(facts_of(folder, *events))


def shop(folder, *events):
    return shop_page(facts_of(folder, *events))


def heads(document):
    return [block.text for block in document.blocks if isinstance(block, Head)]


def warnings(document):
    return [block.head for block in document.blocks if isinstance(block, Warn)]


# --- the customer's page ----------------------------------------------------------


def test_the_customer_reads_what_was_wrong_and_what_was_done(tmp_path):
    notes = noted("label", "serial 1207"), noted("who", "A. Fitter"), noted("part", "igniter 120 V")
    said = texts(customer(tmp_path, *PROVED, *notes, MENDED))
    for words in ("serial 1207", "A. Fitter", "Igniter open", "Replace the igniter", "120 V"):
        assert words in said


def test_a_repair_that_did_not_help_is_said_to_the_customer(tmp_path):
    vain = Repaired(time=at(20), repair="clean-flame-sensor")
    said = texts(customer(tmp_path, *SEARCH, vain, *CURED[len(SEARCH) :], MENDED))
    assert "That alone did not help" in said


@pytest.mark.parametrize(
    ("ending", "warned"),
    [
        (closed("found", repair="x", proof="unproven", reason="no gauge"), "could be proved"),
        (closed("left", proof="tagged", reason="exchanger cracked"), "shut down and tagged"),
        (closed("left", stopped=("co-alarm",)), "The work was stopped. CO alarm"),
        (closed("found", repair="replace-igniter"), "no proof on record"),
    ],
)
def test_whatever_is_not_proved_is_a_warning_with_its_reason(tmp_path, ending, warned):
    page = customer(tmp_path, *PROVED, ending)
    assert any(warned in head for head in warnings(page))
    assert "What was done was tried and is good" not in texts(page)
    assert ending.reason in texts(page)


def test_a_job_that_is_not_finished_says_so(tmp_path):
    assert "The work is not finished" in warnings(customer(tmp_path, *SEARCH))


def test_nothing_found_does_not_claim_that_nothing_is_wrong(tmp_path):
    said = texts(customer(tmp_path, *SEARCH, closed("nothing")))
    assert "no fault was found" in said
    assert "It may come and go" in said


def test_a_yearly_visit_is_called_so_and_lists_what_is_not_good(tmp_path):
    visit = Started(time=at(0), furnace=START.furnace, version="0", purpose="yearly")
    low = proved("flame-current", "flame-current-heating", "low", "out", "0.4 uA")
    page = customer(tmp_path, visit, low, closed("serviced", proof="unproven", reason="sensor"))
    assert page.title == "Yearly visit"
    assert "Flame current: 0.4 uA" in texts(page)


def test_gas_and_co_are_on_every_customers_page(tmp_path):
    said = warnings(customer(tmp_path, *PROVED, MENDED))
    assert {"Smell of gas", "CO alarm"} <= set(said)


def test_what_was_left_open_is_on_both_pages(tmp_path):
    bridged = found("jumper-or-tape-found", "yes", 14)
    facts = facts_of(tmp_path, *SEARCH, bridged)
    assert facts.open_items
    for page in (customer_page(facts), shop_page(facts)):
        assert "Still to be put right" in heads(page)


# --- the shop's page --------------------------------------------------------------


def test_the_shop_reads_every_finding_in_order_with_its_reading(tmp_path):
    said = texts(shop(tmp_path, *PROVED, MENDED))
    order = [said.index(words) for words in ("smell gas", "At which step", "glow", "5 kohm: ")]
    assert order == sorted(order)


def test_what_was_taken_back_is_not_reported(tmp_path):
    wrong, right = found("igniter-glow", "bright", 7), found("igniter-glow", "dark", 9)
    facts = facts_of(tmp_path, START, wrong, Undone(time=at(8)), right)
    assert [each.event for each in facts.findings] == [right]
    assert [each.event for each in facts.standing] == [START, right]


def test_ratings_proofs_suspects_parts_and_cautions_stand_there(tmp_path):
    notes = noted("part", "igniter"), noted("told", "filter"), noted("note", "rusty flue")
    page = shop(tmp_path, START, RATED, *PROVED[1:], *notes, MENDED)
    assert {
        "Proved",
        "Suspects at the end",
        "Parts fitted",
        "Read off the furnace",
        "Told the customer",
        "Notes",
        "Cautions given",
    } <= set(heads(page))
    said = texts(page)
    assert "76 kBtu/h" in said
    assert "3.4 uA" in said
    assert "no analyser" in said


def test_minutes_leave_out_the_night_between(tmp_path):
    later = Found(time="2026-01-03T09:00:00+00:00", check="igniter-glow", outcome="dark")
    facts = facts_of(tmp_path, START, found("smell-of-gas", "no", 10), later)
    assert facts.minutes == 10


def test_times_that_cannot_be_read_are_left_out(tmp_path):
    odd = Found(time="at noon", check="igniter-glow", outcome="dark")
    assert facts_of(tmp_path, START, odd).minutes is None


def test_a_furnace_that_is_not_known_today_is_still_reported(tmp_path):
    unknown = Started(time=at(0), furnace="steam-boiler", version="0")
    facts = facts_of(tmp_path, unknown, found("igniter-glow", "dark"), closed("left"))
    assert "steam-boiler (not known today)" in texts(shop_page(facts))
    assert customer_page(facts).blocks
