"""The HTML page of a study."""

import re
from dataclasses import replace
from html.parser import HTMLParser

import msgspec

from lightoff.cli.study_page import page
from lightoff.cli.study_run import Study
from lightoff.engine.reasoning.study import work
from lightoff.engine.reasoning.study.outcome import Made
from lightoff.engine.reasoning.study.summary import summary_of
from lightoff.engine.reasoning.study.sums import Tally
from lightoff.engine.reasoning.study.tasks import Task
from tests.cli.studies import TWO, made_up, run

HOSTILE = "<script>alert('$x^2$')</script>&\"\u202e"


class Tags(HTMLParser):
    """All tags with their attributes, and all ids."""

    def __init__(self) -> None:
        super().__init__()
        self.tags: list[str] = []
        self.ids: list[str] = []
        self.urls: list[str] = []

    def handle_starttag(self, tag, attrs):
        self.tags.append(tag)
        for name, value in attrs:
            if name == "id":
                self.ids.append(value)
            if name in ("href", "src", "xlink:href"):
                self.urls.append(value)


def parsed(html):
    tags = Tags()
    tags.feed(html)
    return tags


def hostile_study(knowledge, furnace):
    """A study in which every text that comes from files is hostile."""
    entry = msgspec.structs.replace(furnace.entry, name=HOSTILE)
    known = replace(knowledge, furnaces={furnace.id: replace(furnace, entry=entry)})
    tally = Tally(furnace)
    for fault in list(furnace.faults)[:3]:
        task = Task(furnace=furnace.id, faults=(fault,))
        outcome = made_up(None, task, work.stamp_now(), wrong=(fault,))
        checks = (Made(HOSTILE, "x", 1.0),)
        tally.add(msgspec.structs.replace(outcome, checks=checks, needed=(HOSTILE,)))
    summary = summary_of(tally)
    cases = tuple(replace(case, faults=(HOSTILE,), area=HOSTILE) for case in summary.cases)
    areas = tuple(replace(area, name=HOSTILE, worst=HOSTILE) for area in summary.areas)
    return known, Study((replace(summary, cases=cases, areas=areas),), None, 3, 0)


def test_text_from_files_is_escaped_in_the_page_and_in_its_plots(knowledge, furnace):
    html = page(*hostile_study(knowledge, furnace))
    assert "script" not in parsed(html).tags
    assert "<script" not in html
    assert "\u202e" not in html
    assert html.count("&lt;script&gt;alert(") > 8
    assert "$x^2$" in html


def test_the_page_fetches_nothing_and_says_so(made_up_studies, tmp_path):
    out = tmp_path / "page.html"
    result = run("--page", out)
    assert result.exit_code == 0
    html = out.read_text()
    assert "default-src 'none'" in html
    tags = parsed(html)
    assert not {"script", "link", "img", "iframe", "object"} & set(tags.tags)
    assert all(url.startswith("#") for url in tags.urls)
    assert not re.search(r"url\((?!#)|@import", html)


def test_the_page_has_a_table_beside_every_plot_and_no_id_twice(made_up_studies, tmp_path):
    out = tmp_path / "page.html"
    run("--page", out)
    html = out.read_text()
    tags = parsed(html)
    assert tags.tags.count("svg") == tags.tags.count("details") == 2
    assert html.count('role="img"') == 2
    assert len(tags.ids) == len(set(tags.ids))
    assert 'lang="en"' in html
    assert "igniter.open" in html


def test_the_same_study_makes_the_same_page(made_up_studies, tmp_path):
    one, other = tmp_path / "one.html", tmp_path / "other.html"
    run(*TWO, "--page", one)
    run(*TWO, "--page", other)
    assert one.read_bytes() == other.read_bytes()


def test_the_page_shows_the_difference_when_asked_for(older_outcomes, tmp_path):
    out = tmp_path / "page.html"
    run(*TWO, "--against", older_outcomes, "--page", out)
    assert "now against before" in out.read_text()
    assert "Became right" in out.read_text()
