"""Progress: level and weak areas follow from marks, and the next scenario from both."""

import pytest

from lightoff.engine.library.scenarios import read_scenario, scenario_files
from lightoff.engine.teaching.practice.progress import (
    Closed,
    Shipped,
    areas_of,
    choose_next,
    confused,
    level_of,
    wasted_checks,
    weak_areas,
)
from lightoff.engine.teaching.practice.store import Attempt
from lightoff.engine.teaching.practice.summary import Summary


def closed(scenario="x", level="first-year", total=90.0, safe=True, areas=("flame",), **more):
    summary = Summary(
        scenario=scenario,
        title="",
        furnace="f",
        level=level,
        areas=areas,
        total=total,
        safe=safe,
        marks={},
        minutes=1.0,
        allowed=2.0,
        regret=0.0,
        hints=0,
        useless=more.get("useless", ()),
        needed=more.get("needed", ()),
        blamed=more.get("blamed", ()),
        good=(),
    )
    return Closed(Attempt(1, scenario, "", "", 1, "", "2026-01-01"), summary)


@pytest.fixture(scope="module")
def shipped(knowledge):
    found = ((read_scenario(path, knowledge)[0], path) for path in scenario_files())
    return [Shipped(each, path.read_bytes()) for each, path in found]


@pytest.mark.parametrize(
    ("total", "level"), [(90.0, "second-year"), (70.0, "first-year"), (30.0, "first-week")]
)
def test_good_marks_go_up_and_bad_ones_down(total, level):
    assert level_of([closed(total=total)] * 3) == level


def test_unsafe_work_counts_as_nothing():
    assert level_of([closed(total=100.0, safe=False)] * 3) == "first-week"
    assert weak_areas([closed(total=100.0, safe=False)]) == ["flame"]


def test_the_weakest_area_comes_first():
    attempts = [closed(areas=("a",), total=50.0), closed(areas=("b",), total=20.0), closed()]
    assert weak_areas(attempts) == ["b", "a"]


def test_a_beginner_gets_an_easy_one_and_then_another(shipped):
    first = choose_next(shipped, [])
    assert first.what.scenario.entry.level == "first-week"
    done = [closed(first.what.scenario.id, "first-week", 70.0)]
    assert choose_next(shipped, done).what.scenario.id != first.what.scenario.id


def test_a_weak_area_is_practised_next_and_not_named(shipped):
    done = [closed("none", "first-year", 70.0, areas=("ignition",))]
    chosen = choose_next(shipped, done)
    assert "ignition" in areas_of(chosen.what.scenario)
    assert "ignition" not in chosen.why


def test_all_done_is_said_and_the_longest_ago_comes_again(shipped):
    level = [each for each in shipped if each.scenario.entry.level == "first-week"]
    done = [closed(each.scenario.id, "first-week", 70.0) for each in level]
    chosen = choose_next(shipped, done)
    assert chosen.again
    assert chosen.what.scenario.id == level[0].scenario.id


def test_nothing_to_choose_from_is_an_error():
    with pytest.raises(ValueError, match="no scenarios"):
        choose_next([], [])


def test_a_class_wastes_and_confuses_what_is_counted():
    attempts = [
        closed(useless=("a", "b"), needed=("x",), blamed=("y",)),
        closed(useless=("a",), needed=("x",), blamed=("x",)),
    ]
    assert wasted_checks(attempts) == {"a": 2, "b": 1}
    assert confused(attempts) == {("x", "y"): 1}
