"""`lightoff scenario sheet`: the handout leaks nothing, the key tells everything."""

import errno
import json
import os
from html.parser import HTMLParser

import pytest
from click.testing import CliRunner

from lightoff.cli import names, screen
from lightoff.cli.main import lightoff
from lightoff.cli.scenario import files as scenario_files
from lightoff.cli.scenario.html import shown
from lightoff.cli.scenario.sheet import plain
from tests.scenario_text import cold_gym


@pytest.fixture(autouse=True)
def loaded(monkeypatch, knowledge):
    monkeypatch.setattr(names, "load_knowledge", lambda: knowledge)


def sheet(*arguments):
    command = ["scenario", "sheet", *map(str, arguments)]
    return CliRunner().invoke(lightoff, command, catch_exceptions=False)


def test_the_handout_is_the_same_whatever_is_wrong(tmp_path):
    one = sheet(cold_gym(tmp_path))
    other = sheet(cold_gym(tmp_path, ("flame-sensor.coated", "igniter.open")))
    assert one.exit_code == other.exit_code == 0
    assert one.stdout == other.stdout
    assert "There is fire for a moment" in one.stdout


def test_the_key_names_fault_and_path(tmp_path):
    result = sheet(cold_gym(tmp_path), "--key")
    assert "flame-sensor.coated" in result.stdout
    assert "Path of the program" in result.stdout


def test_a_file_with_mistakes_gives_its_line_and_no_sheet(tmp_path):
    result = sheet(cold_gym(tmp_path, ("minutes: 90", "minutes: 0")))
    assert (result.exit_code, result.stdout) == (1, "")
    assert "cold-gym.yaml:" in result.stderr


def test_text_of_a_scenario_is_no_markup(tmp_path):
    hostile = "title: '<script>x</script> [a](b) **c**'"
    result = sheet(cold_gym(tmp_path, ("title: No heat in the gym", hostile)))
    assert result.stdout.startswith("# \\<script\\>x\\</script\\> \\[a\\](b) \\*\\*c\\*\\*")


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("1. no list", "1\\. no list"),
        ("- no list", "\\- no list"),
        ("2 volts", "2 volts"),
        ("2.0 min", "2.0 min"),
    ],
)
def test_a_line_does_not_begin_a_list(text, shown):
    assert plain(text) == shown


def test_a_shipped_scenario_is_found_by_its_name():
    assert sheet("bakery-flat").stdout.startswith("# It hums and never lights")


def test_a_name_that_is_neither_file_nor_scenario_is_told_with_the_nearest():
    result = sheet("bakery-flet")
    assert result.exit_code == 2
    assert "bakery-flat" in result.stderr


def test_the_key_tells_the_degree_of_a_fault():
    assert "vent-pipe.blocked, resistance x25" in sheet("boat-house", "--key").stdout


def test_hints_are_numbered():
    assert "\n2. A motor runs" in sheet("bakery-flat", "--key").stdout


# --- tables ------------------------------------------------------------------------------


def test_the_path_of_the_key_is_a_table_whose_minutes_add_up(tmp_path):
    lines = sheet(cold_gym(tmp_path), "--key").stdout.splitlines()
    rows = [[each.strip() for each in line.split("|")[1:-1]] for line in lines if line[:1] == "|"]
    assert rows[0] == ["step", "answer", "minutes", "minutes so far"]
    assert rows[-1][0] == "repair: clean-flame-sensor"
    minutes = [float(row[2]) for row in rows[2:]]
    assert [float(row[3]) for row in rows[2:]] == pytest.approx(
        [sum(minutes[: number + 1]) for number in range(len(minutes))], abs=0.5
    )


# --- HTML --------------------------------------------------------------------------------


class Page(HTMLParser):
    """Tags, attributes and text of a page; a tag that is not closed is an error."""

    def __init__(self, text):
        super().__init__()
        self.tags, self.attributes, self.words, self.open = set(), [], [], []
        self.feed(text)
        self.close()
        assert self.open == []

    def handle_starttag(self, tag, attrs):
        self.tags.add(tag)
        self.attributes += attrs
        if tag != "meta":
            self.open.append(tag)

    def handle_endtag(self, tag):
        assert self.open.pop() == tag

    def handle_data(self, data):
        if data.strip() and self.open[-1] != "style":
            self.words.append(data.strip())


TAGS = frozenset(
    {"html", "head", "meta", "title", "style", "body", "main", "h1", "section", "h2", "p", "ul"}
    | {"ol", "li", "table", "thead", "tbody", "tr", "th", "td", "div"}
)


def lab(text):
    return ("lab: {never: It is quickly done on paper.}", f"lab: {{never: {text}}}")


HOSTILE = [
    "<script>alert(1)</script>",
    "'\"><img src=x onerror=alert(1)>",
    "[a](javascript:alert(1))",
    "<a href='javascript:alert(1)'>a</a>",
    "</style></title>{title}{0}",
    "[bold red]x[/]",
    "&lt;b&gt; &amp;",
]


@pytest.mark.parametrize("text", HOSTILE)
@pytest.mark.parametrize("arguments", [("--html",), ("--html", "--key")])
def test_no_text_of_a_scenario_is_markup_in_the_page(tmp_path, text, arguments):
    given = json.dumps(text)  # JSON strings are YAML
    changes = [
        (old, f"{name}: {given}")
        for name, old in {
            "title": "title: No heat in the gym",
            "setting": "setting: A school gym. The furnace stands in a closet behind the stage.",
            "complaint": "complaint: There is fire for a moment, and then it goes out again.",
        }.items()
    ]
    more = [("[What does the board see of the flame?]", f"[{given}]"), lab(given)]
    result = sheet(cold_gym(tmp_path, *changes, *more), *arguments)
    assert result.exit_code == 0, result.stderr
    page = Page(result.stdout)
    assert page.tags <= TAGS
    assert {name for name, _ in page.attributes} <= {
        "lang", "charset", "http-equiv", "content", "name", "class"
    }  # fmt: skip
    assert not {"\x1b", "\u202e"} & set(result.stdout)
    assert any(screen.clean(text) in words for words in page.words)


@pytest.mark.parametrize("text", ["\x1b[31mred\x1b]0;x\x07", "\u202eright to left"])
def test_signs_that_steer_are_refused_in_a_file_and_made_visible_in_a_page(tmp_path, text):
    path = cold_gym(tmp_path, ("title: No heat in the gym", f"title: {json.dumps(text)}"))
    result = sheet(path, "--html")
    assert (result.exit_code, result.stdout) == (1, "")
    assert not {"\x1b", "\u202e"} & set(result.stderr)
    assert shown(text) == screen.clean(text)


def test_the_html_handout_is_the_same_whatever_is_wrong(tmp_path):
    one = sheet(cold_gym(tmp_path), "--html")
    other = sheet(cold_gym(tmp_path, ("flame-sensor.coated", "igniter.open")), "--html")
    assert one.stdout == other.stdout
    assert "There is fire for a moment" in one.stdout


@pytest.mark.parametrize("arguments", [(), ("--key",)])
def test_html_and_markdown_say_the_same(arguments):
    def bare(text):
        return "".join(each for each in text if each.isalnum())

    page = Page(sheet("bakery-flat", "--html", *arguments).stdout)
    said = bare(sheet("bakery-flat", *arguments).stdout)
    assert len(page.words) > 20
    assert [words for words in page.words if bare(words) not in said] == []


def test_the_page_needs_nothing_else_and_names_no_paper_size():
    text = sheet("bakery-flat", "--html", "--key").stdout
    assert "http:" not in text
    assert "https:" not in text
    assert "url(" not in text
    assert "@media print" in text
    assert "size:" not in text.replace("font-size:", "")
    assert text.count("{") == text.count("}")
    assert "{{" not in text


# --- to a file -----------------------------------------------------------------------------


def test_a_sheet_goes_to_a_new_file(tmp_path):
    path = tmp_path / "out.html"
    result = sheet("bakery-flat", "--html", "-o", path)
    assert (result.exit_code, result.output) == (0, "")
    assert path.read_text() == sheet("bakery-flat", "--html").stdout


def test_a_file_that_is_there_is_not_written_over(tmp_path):
    path = tmp_path / "out.html"
    path.write_text("mine")
    result = sheet("bakery-flat", "-o", path)
    assert (result.exit_code, result.stdout) == (2, "")
    assert "is there already" in result.stderr
    assert path.read_text() == "mine"


@pytest.mark.parametrize("name", ["none/out.md", "", "x" * 300])
def test_a_file_that_cannot_be_is_told_in_one_line(tmp_path, name):
    result = sheet("bakery-flat", "-o", tmp_path / name)
    assert result.exit_code == 2
    assert len(result.stderr.splitlines()) == 1


def test_a_full_disk_is_one_line_and_leaves_no_half_a_sheet(monkeypatch, tmp_path):
    def full(*_):
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(scenario_files.os, "fsync", full)
    result = sheet("bakery-flat", "-o", tmp_path / "out.md")
    assert result.exit_code == 2
    assert "No space left" in result.stderr
    assert list(tmp_path.iterdir()) == []
