"""The file in which shops exchange how often faults occur."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lightoff.engine import strict_yaml
from lightoff.engine.reasoning.experience import (
    Shared,
)
from lightoff.engine.reasoning.experience_file import HEAD, understood, written
from lightoff.engine.reasoning.job import Started

FURNACE = "two-pipe-condensing"
T = "2026-01-02T10:11:12+00:00"
START = Started(time=T, furnace=FURNACE, version="0.0.1")


def read(text, knowledge):
    return understood(strict_yaml.parse(text.encode(), "x.yaml"), knowledge)


thousandths = st.integers(1, 5_000).map(lambda number: number / 1000)


@given(data=st.data())
def test_what_is_written_is_read_again_exactly(knowledge, data):
    faults = sorted(knowledge.furnaces[FURNACE].faults)
    counts = data.draw(st.dictionaries(st.sampled_from(faults), thousandths, min_size=1))
    jobs = max(1, int(min(sum(counts.values()), 5)), *(int(n) + 1 for n in counts.values()))
    counts = {**counts, faults[0]: float(jobs)}
    shared = Shared({FURNACE: jobs}, {FURNACE: dict(sorted(counts.items()))})
    reading = read(written(shared), knowledge)
    assert (reading.problems, reading.unknown) == ((), ())
    assert reading.shared == shared


def test_a_file_names_furnaces_faults_and_counts_and_says_so():
    text = written(Shared({FURNACE: 2}, {FURNACE: {"igniter.open": 1.5, "filter.plugged": 0.5}}))
    assert text.startswith(HEAD)
    assert text.removeprefix(HEAD).split() == [
        *(f"{FURNACE}:", "jobs:", "2", "faults:"),
        *("filter.plugged:", "0.5", "igniter.open:", "1.5"),
    ]


GOOD = f"{FURNACE}:\n  jobs: 3\n  faults:\n    igniter.open: 3\n"


@pytest.mark.parametrize(
    ("text", "line", "what"),
    [
        ("", 1, "empty"),
        ("{}", 1, "no counts"),
        ("just words", 1, "no counts"),
        ("[1, 2]", 1, "no counts"),
        (f"{FURNACE}: 3\n", 1, "jobs and faults"),
        (GOOD + "  customer: somebody\n", 1, "nothing else"),
        (GOOD.replace("3", "-3", 1), 2, "whole number"),
        (GOOD.replace("3", "3.5", 1), 2, "whole number"),
        (GOOD.replace("3", "true", 1), 2, "whole number"),
        (GOOD.replace("3", "99999999", 1), 2, "whole number"),
        (GOOD.replace("open: 3", "open: 0"), 4, "no count"),
        (GOOD.replace("open: 3", "open: -1"), 4, "no count"),
        (GOOD.replace("open: 3", "open: 4"), 4, "no count"),
        (GOOD.replace("open: 3", "open: true"), 4, "no count"),
        (GOOD.replace("open: 3", "open: many"), 4, "no count"),
        (GOOD.replace("open: 3", "open: [3]"), 4, "no count"),
        (GOOD.replace("open: 3", "open: 1e999"), 4, "out of range"),
        (GOOD.replace("open: 3", "open: .nan"), 4, "no count"),
        (GOOD.replace("open: 3", "open: 1"), 2, "make only 1"),
        (GOOD + "    igniter.open: 3\n", 5, "twice"),
        (GOOD.replace("open: 3", "open: &x 3"), 4, "anchor"),
        (GOOD.replace("open: 3", "open: !!python/x 3"), 4, "tag"),
        (f"{FURNACE}:\n  jobs: 3\n  faults: {{}}\n", 3, "no counts"),
        (GOOD + "\x1b[31m", 5, "control character"),
        (GOOD + GOOD, 5, "twice"),
    ],
)
def test_every_mistake_in_a_file_is_told_with_its_line_and_a_mend(knowledge, text, line, what):
    problems = read(text, knowledge).problems
    found = {(problem.place.line, what in str(problem)) for problem in problems}
    assert (line, True) in found, list(map(str, problems))
    assert all(problem.mend for problem in problems)


def test_names_that_are_not_known_are_told_with_the_nearest(knowledge):
    text = GOOD.replace("igniter.open", "igniter.opne") + GOOD.replace("pipe-cond", "pip-cond")
    first, second = read(text, knowledge).unknown
    assert (first.place.line, second.place.line) == (4, 5)
    assert "did you mean igniter.open" in first.mend
    assert f"did you mean {FURNACE}" in second.mend


@given(st.binary(max_size=300))
def test_no_content_of_a_file_raises(knowledge, raw):
    reading = understood(strict_yaml.parse(raw, "x.yaml"), knowledge)
    assert reading.problems or reading.unknown
