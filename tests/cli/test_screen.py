"""The output edge: nothing reaches the terminal that could steer it, and nothing crashes it."""

import io
import json
import math
import sys
import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lightoff.cli import screen


@pytest.fixture(autouse=True)
def eighty_columns(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", "80")


@pytest.mark.parametrize(
    ("text", "seen"),
    [
        ("\x1b[31mred", r"\x1b[31mred"),
        ("bell\x07", r"bell\x07"),
        ("c1 \x9b2J", r"c1 \x9b2J"),
        ("\u202eturned", r"\u202eturned"),
        ("\u2066inside\u2069", r"\u2066inside\u2069"),
        ("two\nlines\r", r"two\x0alines\x0d"),
        ("tag \U000e0041", r"tag \U000e0041"),
        ("bad byte \udc80", r"bad byte \udc80"),
        ("plain [bold]text[/bold] 5 \u00b5A", "plain [bold]text[/bold] 5 \u00b5A"),
    ],
)
def test_clean_shows_what_could_steer_a_terminal(text: str, seen: str) -> None:
    assert screen.clean(text) == seen


@given(st.text(st.characters(), max_size=50))
def test_clean_leaves_no_control_character_and_changes_clean_text_no_more(text: str) -> None:
    cleaned = screen.clean(text)
    assert not any(unicodedata.category(character).startswith("C") for character in cleaned)
    assert screen.clean(cleaned) == cleaned


def test_square_brackets_are_text_and_not_markup(capsys: pytest.CaptureFixture[str]) -> None:
    screen.say("[red]R[/red] [on] [link=javascript:x]")
    screen.table(["[b]head"], [["[on]"]])
    assert capsys.readouterr().out == "[red]R[/red] [on] [link=javascript:x]\n[b]head\n[on]\n"


def test_a_paragraph_is_wrapped_with_its_margins(capsys: pytest.CaptureFixture[str]) -> None:
    screen.say("word " * 60, indent=3, hang=4)
    first, *further = capsys.readouterr().out.splitlines()
    assert first.startswith("   word")
    assert len(further) > 2
    assert all(line.startswith("       word") for line in further)
    assert max(map(len, (first, *further))) <= 80
    assert sum(line.count("word") for line in (first, *further)) == 60


def test_a_field_puts_its_paragraphs_beside_the_label(capsys: pytest.CaptureFixture[str]) -> None:
    screen.field("How", "first", "second", bullet="- ")
    screen.field("Nothing")
    assert capsys.readouterr().out == "How         - first\n            - second\n"


def test_empty_lines_stay_and_nothing_else_is_written(capsys: pytest.CaptureFixture[str]) -> None:
    screen.say()
    screen.say("a\n\nb")
    assert capsys.readouterr().out == "\na\n\nb\n"


def test_what_is_not_data_goes_to_stderr(capsys: pytest.CaptureFixture[str]) -> None:
    screen.say("a notice", stderr=True)
    captured = capsys.readouterr()
    assert (captured.out, captured.err) == ("", "a notice\n")


@pytest.mark.parametrize("columns", ["1", "20", "37", "500"])
def test_no_width_of_a_terminal_crashes_a_screen(
    columns: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("COLUMNS", columns)
    screen.say("some words that need more room than there is " * 5)
    screen.table(["one", "two"], [["a-long-identifier-without-a-gap", "words " * 30]])
    screen.field("Label", "words " * 30)
    written = capsys.readouterr().out
    assert max(map(len, written.splitlines())) <= screen.WIDEST


def test_json_rounds_figures_sorts_sets_and_has_no_endless_numbers(
    capsys: pytest.CaptureFixture[str],
) -> None:
    screen.json_out(
        {
            "open": math.inf,
            "none": math.nan,
            "volts": 25.123456789,
            "relays": frozenset({"b", "a"}),
            "pair": (1, True),
            "text": "\x1b\u202e",
        }
    )
    written = capsys.readouterr().out
    assert written.isascii()
    assert "\x1b" not in written
    assert json.loads(written) == {
        "open": None,
        "none": None,
        "volts": 25.1235,
        "relays": ["a", "b"],
        "pair": [1, True],
        "text": "\x1b\u202e",
    }


@pytest.mark.parametrize(
    ("text", "written"),
    [("5 \u00b5A", b"5 uA"), ("\u2126", b"ohm"), ("caf\u00e9", b"cafe"), ("\u6f22", b"?")],
)
def test_an_encoding_without_a_character_gets_the_nearest_ascii(
    text: str, written: bytes, monkeypatch: pytest.MonkeyPatch
) -> None:
    raw = io.BytesIO()
    monkeypatch.setattr(sys, "stdout", io.TextIOWrapper(raw, encoding="ascii"))
    screen.prepare_streams()
    print(text, end="", flush=True)
    assert raw.getvalue() == written
