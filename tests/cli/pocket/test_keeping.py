"""Jobs on the device that the page runs on: kept through pauses, other pages, full storage."""

import json

import msgspec
import pytest

from lightoff.engine.reasoning.carried import events_in
from lightoff.engine.reasoning.job import AnyEvent
from tests.cli.pocket.using import FURNACE, begun, heading, kept


def test_after_a_pause_the_job_goes_on_where_it_stood(page):
    begun(page).click(".answers button >> nth=0")
    stood = heading(page)
    page.reload()
    page.wait_for_selector("#screen .answers")
    assert heading(page) == stood


def test_a_device_that_keeps_nothing_says_so_and_goes_on(chromium, compiled):
    context = chromium.new_context()
    context.add_init_script("Storage.prototype.setItem = () => { throw new Error('full'); };")
    page = context.new_page()
    page.goto(compiled(FURNACE)[1].as_uri())
    page.wait_for_selector("text=Begin a new job")
    page.click("text=Begin a new job")
    assert "copy the record" in page.inner_text("#said")
    page.click("text=I looked; go on")
    assert page.query_selector(".answers")
    context.close()


def with_kept(chromium, compiled, *texts):
    """A page on a device that keeps these texts as jobs."""
    context = chromium.new_context()
    for number, text in enumerate(texts):
        place = f"lightoff {FURNACE} 2026-01-0{number + 1}"
        context.add_init_script(f"localStorage.setItem({place!r}, {text!r});")
    page = context.new_page()
    page.goto(compiled(FURNACE)[1].as_uri())
    page.wait_for_selector("text=Begin a new job")
    return page


@pytest.mark.parametrize("text", ["[3, null]", "{}", "null", "[", "[]", '["started"]'])
def test_what_is_no_job_is_left_alone(chromium, compiled, text):
    page = with_kept(chromium, compiled, text)
    assert not page.query_selector("text=Jobs on this device")
    page.click("text=Begin a new job")
    assert page.evaluate("localStorage.length") == 2
    page.context.close()


def test_a_job_that_this_page_does_not_understand_is_kept_and_its_record_can_be_had(
    chromium, compiled
):
    strange = [
        {
            "type": "started",
            "time": "2026-01-01T10:00:00+00:00",
            "furnace": FURNACE,
            "version": "9",
        },
        {"type": "finding", "time": "t", "check": "unheard-of", "outcome": "yes"},
    ]
    page = with_kept(chromium, compiled, json.dumps(strange))
    page.click("text=made by another page")
    events = events_in(page.input_value("textarea"))
    assert events == msgspec.convert(tuple(strange), tuple[AnyEvent, ...])
    page.click("text=Go on")
    assert page.query_selector("text=Begin a new job")
    page.context.close()


def test_two_pages_at_once_keep_both_their_jobs(chromium, compiled):
    context = chromium.new_context()
    pages = [context.new_page(), context.new_page()]
    for page in pages:
        page.goto(compiled(FURNACE)[1].as_uri())
        page.wait_for_selector("text=Begin a new job")
    for page in pages:
        begun(page).click(".answers button >> nth=0")
    assert [len(events) > 2 for events in kept(pages[0])] == [True, True]
    context.close()


def test_a_browser_that_is_too_old_says_so(chromium, compiled):
    context = chromium.new_context()
    context.add_init_script("delete window.DecompressionStream;")
    page = context.new_page()
    page.goto(compiled(FURNACE)[1].as_uri())
    page.wait_for_selector("text=This browser cannot open the page")
    context.close()
