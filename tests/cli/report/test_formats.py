"""Whatever a text holds, it is text in every format: no markup, no link, no control character."""

import re
from html.parser import HTMLParser

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lightoff.cli.report.document import Document, Fields, Head, Items, Paragraph, Table, Warn
from lightoff.cli.report.formats import MODULES, pdf, writer_of
from lightoff.cli.report.formats.markdown import escaped

HOSTILE = (
    "<script>alert(1)</script>",
    '"><img src=x onerror=alert(1)>',
    "[click](http://evil.example) ![x](y) <http://evil.example>",
    "http://evil.example www.evil.example me@evil.example",
    "# head\n- item\n1. one\n> quote\n---\n```\ncode",
    "a | b | c ~~d~~ **e** _f_ `g` $h$ &amp; \\",
    "\x1b[31mred\x1b[0m \x07 \x00 \u202eright to left \u2066 \ufeff",
    "\ud800 half of a letter",
    "Łukasz Ærø 王 \U0001f525",
)


def document(text):
    return Document(
        text,
        (
            Head(text),
            Paragraph(text),
            Warn(text, (text, text)),
            Items((text,)),
            Fields(((text, text),)),
            Table((text, text), (50, 50), ((text, text), (text, text))),
        ),
    )


class Tags(HTMLParser):
    """The tags and attributes of a page."""

    def __init__(self, page):
        super().__init__()
        self.tags, self.attributes = set(), set()
        self.feed(page)

    def handle_starttag(self, tag, attrs):
        self.tags.add(tag)
        self.attributes.update(name for name, _ in attrs)


@pytest.mark.parametrize("text", HOSTILE)
@pytest.mark.parametrize("ending", MODULES)
def test_every_format_takes_every_text(ending, text):
    assert writer_of(ending)([document(text), document(text)])


@pytest.mark.parametrize("text", HOSTILE)
def test_in_html_a_text_adds_no_tag_and_no_attribute(text):
    write = writer_of(".html")
    plain = Tags(write([document("plain")]).decode())
    hostile = Tags(write([document(text)]).decode())
    assert hostile.tags == plain.tags
    assert hostile.attributes == plain.attributes
    assert "script" not in plain.tags


@pytest.mark.parametrize("text", HOSTILE)
@pytest.mark.parametrize("ending", [".md", ".html"])
def test_nothing_that_steers_or_turns_the_line_is_written(ending, text):
    written = writer_of(ending)([document(text)]).decode()
    assert not re.search("[\x00-\x08\x0b-\x1f\x7f\u202a-\u202e\u2066-\u2069\ufeff]", written)


@pytest.mark.parametrize(
    ("text", "written"),
    [
        ("# head", r"\# head"),
        ("- item", r"\- item"),
        ("12. twelve", r"12\. twelve"),
        ("3.5 inwc, -0.80 inwc", "3.5 inwc, -0.80 inwc"),
        ("a | b", r"a \| b"),
        ("[x](y)", r"\[x\](y)"),
        ("<b>", r"\<b\>"),
        ("see http://x.example", r"see http\://x.example"),
        ("www.x.example", r"www\.x.example"),
        ("two\nlines", "two lines"),
    ],
)
def test_markdown_is_escaped_where_it_would_mean_something_and_only_there(text, written):
    assert escaped(text) == written


@given(st.text())
def test_a_line_of_markdown_stays_one_line_and_begins_no_block(text):
    line = escaped(text)
    assert "\n" not in line
    assert not re.match(r"(?:#|[-+*] |>|```|~~~|=|\d+[.)] )", line)
    assert not re.search(r"(?<!\\)(?:\\\\)*[<>`*_|\[\]]", line)


def test_a_table_row_has_as_many_cells_as_its_head_whatever_they_hold():
    written = writer_of(".md")([document("a | b \\| c")]).decode()
    rows = [line for line in written.splitlines() if line.startswith("| ")]
    cells = {len(re.findall(r"(?<!\\)(?:\\\\)*\|", row)) for row in rows}
    assert cells == {3}


def test_what_no_letter_is_there_for_is_written_as_its_number(monkeypatch):
    monkeypatch.setattr(pdf, "own_font", lambda: None)
    sheets = pdf._Sheets(None)
    assert sheets.letters("Łukasz Ærø") == "[U+0141]ukasz Ærø"
    assert writer_of(".pdf")([document("Łukasz \U0001f525")]).startswith(b"%PDF-")


def test_a_pdf_has_its_pages_and_no_script():
    content = writer_of(".pdf")([document("one"), document("two")])
    assert content.startswith(b"%PDF-")
    assert content.count(b"/Type /Page\n") == 2
    assert not re.search(rb"/JavaScript|/JS\b|/Launch|/URI|/OpenAction\s*<<", content)
