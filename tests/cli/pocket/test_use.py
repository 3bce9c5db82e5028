"""The page as it is used: with a thumb, in the dark, with a keyboard."""

import msgspec
import pytest

from lightoff.engine.reasoning.carried import events_in
from lightoff.engine.reasoning.job import AnyEvent, Closed, Cured, Noted, Proved
from tests.cli.pocket.browsing import READ_BOOK, phone
from tests.cli.pocket.using import FURNACE, at_a_repair, begun, heading, kept

THUMB = 56
"""Pixels of a button's height from which a thumb in a glove hits it (from memory)."""
HOSTILE = "<img src=x onerror=\"document.title='hit'\"> \u202eevil [red]x[/] *b* `c`"


# --- safety -----------------------------------------------------------------------


def test_signs_of_danger_come_before_any_question(page):
    page.click("text=Begin a new job")
    assert heading(page).startswith("Make safe first")


def test_a_sign_of_danger_stops_the_work_with_what_to_do(page):
    page.click("text=Begin a new job")
    page.check("#smell-of-gas")
    page.click("text=I looked; go on")
    assert heading(page) == "Stop the work"
    assert "Touch no switch" in page.inner_text(".caution")
    page.click("text=Close the job: work stopped")
    closed = msgspec.convert(kept(page)[-1][-1], AnyEvent)
    assert closed == Closed(time=closed.time, how="left", stopped=("smell-of-gas",))


def test_danger_is_one_tap_away_from_any_screen(page):
    begun(page).click("#danger")
    page.click("summary:has-text('CO alarm')")
    page.click("text=It is so: close the job, work stopped >> visible=true")
    assert kept(page)[-1][-1]["stopped"] == ["co-alarm"]


def test_cautions_stand_in_full_first_and_short_later(page):
    page.click("text=Begin a new job")
    assert page.locator(".caution li").count() == 0
    page.reload()
    page.wait_for_selector("text=I looked; go on")
    assert page.locator(".caution li").count() > 0


# --- a job ------------------------------------------------------------------------


def test_a_job_goes_from_the_first_question_to_a_closed_record(page):
    at_a_repair(begun(page)).click("text=Done, and it works")
    for _ in range(40):
        if not page.query_selector("text=Not done, because"):
            break
        reason = page.locator("#not-done-because")
        reason.fill("no analyser here")
        reason.press("Enter")
    assert heading(page) == "Not proved yet"
    page.click("summary:has-text('Close without proof')")
    page.fill("#close-unproven-because", "no analyser here")
    page.press("#close-unproven-because", "Enter")
    assert heading(page).startswith("Closed: not proved")
    events = events_in(page.input_value("textarea"))
    assert events == tuple(msgspec.convert(kept(page)[-1], list[AnyEvent]))
    assert sum(isinstance(each, Cured) for each in events) == 1
    assert {each.verdict for each in events if isinstance(each, Proved)} == {"not-done"}


def test_what_is_out_of_band_says_what_to_do_and_may_be_tried_again(page):
    at_a_repair(begun(page)).click("text=Done, and it works")
    page.fill("#reading", "0.1")
    page.click("text=Enter >> nth=0")
    assert heading(page).startswith("Not good")
    page.click("text=Put right, try it again")
    assert page.query_selector("text=Prove it, 1 of")


def test_back_takes_the_last_answer_back(page):
    first = heading(begun(page))
    page.click(".answers button >> nth=0")
    assert heading(page) != first
    page.click("#screen >> text=Back")
    assert heading(page) == first
    assert [each["type"] for each in kept(page)[-1]][-2:] == ["finding", "undone"]


def test_what_was_thought_ahead_is_what_the_answer_leads_to(page):
    page.evaluate(READ_BOOK)
    begun(page)
    for number in range(12):
        page.wait_for_timeout(400)
        page.click(f".answers button >> nth={number % 2}")
        direct = "events => standing(BOOK, events).next.check?.ask"
        expected = page.evaluate(direct, kept(page)[-1])
        assert expected in (None, heading(page))


# --- figures and words ------------------------------------------------------------


@pytest.mark.parametrize("typed", ["", "three", "1e9", "-4", "99999999"])
def test_a_figure_that_cannot_be_is_refused_and_stays_in_its_field(page, typed):
    at_a_repair(begun(page)).click("text=Done, and it works")
    before = len(kept(page)[-1])
    page.fill("#reading", typed)
    page.click("text=Enter >> nth=0")
    assert page.inner_text("#said")
    assert page.input_value("#reading") == typed
    assert len(kept(page)[-1]) == before


def test_a_note_is_text_and_nothing_else(page):
    begun(page).click("summary:has-text('More')")
    page.click("text=Write a note")
    page.fill("#text", HOSTILE)
    page.click("text=Keep it")
    page.click("summary:has-text('More')")
    page.click("text=The record")
    assert page.query_selector("#screen img") is None
    assert page.title() != "hit"
    notes = [each for each in events_in(page.input_value("textarea")) if isinstance(each, Noted)]
    assert notes[0].text == HOSTILE


def test_something_else_is_told_by_words_out_of_it(page):
    begun(page).click("summary:has-text('More')")
    page.click("text=Tell something else")
    page.fill("#search", "filter look")
    page.click(".answers button >> nth=0")
    page.click(".answers button >> nth=0")
    told = kept(page)[-1][-1]
    assert told["unasked"] is True
    assert "filter" in told["check"]


# --- who uses it ------------------------------------------------------------------


def test_every_button_is_large_enough_and_no_screen_is_wider_than_the_phone(page):
    begun(page)
    for _ in range(12):
        heights = page.evaluate(
            "() => [...document.querySelectorAll('button, summary')]"
            ".filter((each) => each.offsetParent).map((each) => each.offsetHeight)"
        )
        assert min(heights) >= THUMB
        assert page.evaluate("document.documentElement.scrollWidth") <= 360
        page.click("#screen >> text=Don't know")


def test_a_keyboard_alone_does_a_job_and_the_focus_is_on_the_question(page):
    page.keyboard.press("Tab")
    begun(page, licensed=False)
    assert page.evaluate("document.activeElement.tagName") == "H1"
    page.keyboard.press("1")
    page.keyboard.press("?")
    page.keyboard.press("s")
    page.keyboard.press("b")
    types = [each["type"] for each in kept(page)[-1]][-4:]
    assert types == ["finding", "finding", "skipped", "undone"]
    page.keyboard.press("!")
    assert heading(page).startswith("Stop the work")


def test_every_field_and_button_has_a_name_for_a_screen_reader(page):
    at_a_repair(begun(page)).click("text=Done, and it works")
    unnamed = page.evaluate(
        "() => [...document.querySelectorAll('input, select, textarea, button')]"
        ".filter((each) => !(each.labels?.length || each.textContent.trim()"
        " || each.getAttribute('aria-label'))).map((each) => each.outerHTML)"
    )
    assert unnamed == []
    assert page.get_attribute("html", "lang") == "en"
    assert page.get_attribute("#said", "aria-live") == "polite"


@pytest.mark.parametrize("scheme", ["dark", "light"])
def test_text_stands_out_by_day_and_in_the_dark(chromium, compiled, scheme):
    """Contrast of at least 7 to 1 (WCAG 2.1, success criterion 1.4.6)."""
    page = phone(chromium, compiled(FURNACE)[1], color_scheme=scheme)
    colours = page.evaluate(
        "() => { const style = getComputedStyle(document.body);"
        " return [style.color, style.backgroundColor]; }"
    )
    one, other = sorted((luminance(each) for each in colours), reverse=True)
    assert (one + 0.05) / (other + 0.05) >= 7
    page.context.close()


def luminance(colour):
    """Relative luminance as WCAG 2.1 defines it."""
    figures = colour.removeprefix("rgb(").removesuffix(")").split(",")
    red, green, blue = (linear(int(each) / 255) for each in figures)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def linear(part):
    return part / 12.92 if part <= 0.03928 else ((part + 0.055) / 1.055) ** 2.4


def test_nothing_is_asked_of_any_network(chromium, compiled):
    context = chromium.new_context()
    page = context.new_page()
    asked = []
    page.on("request", lambda request: asked.append(request.url))
    page.goto(compiled(FURNACE)[1].as_uri())
    page.wait_for_selector("text=Begin a new job")
    begun(page).click("#screen >> text=Don't know")
    assert [url for url in asked if not url.startswith(("file:", "blob:"))] == []
    context.close()
