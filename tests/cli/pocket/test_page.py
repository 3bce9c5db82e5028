"""The file of the page: small, alone, and deaf to what stands in names and texts."""

import re
from base64 import b64decode, b64encode
from dataclasses import replace
from hashlib import sha256
from html import unescape
from zlib import decompress

import msgspec
import pytest

from lightoff.cli.pocket.page import page_of

LARGEST = 500_000
HOSTILE = "</title><script>alert(1)</script><img src=x onerror=alert(1)>\u202e\x1b[31m$style"


def part(page, pattern):
    return re.search(pattern, page, re.DOTALL)[1]


def book_in(page):
    packed = part(page, r'id="book">(.*?)</script>')
    return msgspec.json.decode(decompress(b64decode(packed)))


def checksum(text):
    return f"'sha256-{b64encode(sha256(text.encode()).digest()).decode()}'"


@pytest.fixture(scope="module")
def page(compiled):
    return compiled("standing-pilot")[1].read_text(encoding="utf-8")


@pytest.mark.parametrize("furnace", ["standing-pilot", "two-stage-condensing"])
def test_the_whole_page_is_under_500_kb(compiled, furnace):
    assert compiled(furnace)[1].stat().st_size < LARGEST


def test_nothing_is_fetched_from_anywhere(page):
    own = re.sub(r'id="book">.*?</script>', "", page, flags=re.DOTALL)
    fetching = r"https?:|\burl\(|\bimport\s*[({*'\"]|fetch\(|XMLHttpRequest|WebSocket|<link|\bsrc="
    assert not re.search(fetching, own)


def test_only_the_script_and_the_style_of_the_page_may_be_used(page):
    policy = unescape(part(page, r'Content-Security-Policy" content="(.*?)"'))
    rules = dict(rule.split(" ", 1) for rule in policy.split("; "))
    assert rules["default-src"] == "'none'"
    assert rules["script-src"] == checksum(part(page, r"<script>(.*?)</script>"))
    assert rules["style-src"] == checksum(part(page, r"<style>(.*?)</style>"))


def test_what_is_named_in_a_file_of_knowledge_is_no_markup(compiled):
    diagnosis, _ = compiled("standing-pilot")
    entry = msgspec.structs.replace(diagnosis.furnace.entry, name=HOSTILE)
    renamed = replace(diagnosis, furnace=replace(diagnosis.furnace, entry=entry))
    page = page_of(renamed, "0")
    assert "<script>alert" not in page
    assert "<img" not in page
    assert book_in(page)["furnace"]["name"] == HOSTILE


def test_the_script_never_reads_text_as_markup(page):
    script = part(page, r"<script>(.*?)</script>")
    assert not re.search(r"innerHTML|outerHTML|insertAdjacentHTML|document\.write|\beval\b", script)
