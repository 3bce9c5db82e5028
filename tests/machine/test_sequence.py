"""The state graph of a call, and what can be wrong with it."""

from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lightoff.engine.entries.furnaces import StepEntry
from lightoff.engine.machine import sequence as state_graph
from lightoff.engine.machine.sequence import energised_in, graph, has_end, problems, reachable
from lightoff.engine.model import Condition, Leave, Sequence, Step


def leave(to: str, *when: str, after: float = 0.0) -> Leave:
    conditions = tuple(Condition(w.removeprefix("not "), not w.startswith("not ")) for w in when)
    return Leave(conditions, after, to)


def step(
    name: str,
    *leaves: Leave,
    rests: bool = False,
    counts: tuple[str, ...] = (),
    energise: tuple[str, ...] = (),
    energise_for: tuple[tuple[str, float], ...] = (),
) -> Step:
    entry = StepEntry(does="Something.", rests=rests, counts=list(counts))
    return Step(name, entry, frozenset(energise), energise_for, tuple(leaves))


def sequence(*steps: Step, path: tuple[str, ...] = (), tries: bool = False) -> Sequence:
    counters = {"tries": 3} if tries else {}
    return Sequence(steps[0].id, path, "board", {}, counters, {step.id: step for step in steps})


STANDBY = step("standby", leave("purge", "call"), rests=True)
PURGE = step(
    "purge", leave("lit", "draft", after=15), leave("standby", after=60), energise=("fan",)
)
LIT = step("lit", leave("standby", "not call"), rests=True, energise_for=(("spark", 4.0),))
SOUND = sequence(STANDBY, PURGE, LIT, path=("standby", "purge", "lit"))


def test_a_sound_sequence_has_no_problems() -> None:
    assert problems(SOUND) == []


def test_the_graph_has_the_steps_and_all_ways_out_with_their_times() -> None:
    made = graph(
        sequence(STANDBY, step("purge", leave("standby", "draft"), leave("standby", after=9)))
    )
    assert list(made.nodes) == ["standby", "purge"]
    assert [(a, b, way["after"]) for a, b, way in made.edges(data=True)] == [
        ("standby", "purge", 0.0),
        ("purge", "standby", 0.0),
        ("purge", "standby", 9.0),
    ]


def test_a_relay_is_energised_in_steps_that_hold_it_for_all_or_part_of_their_time() -> None:
    assert energised_in(SOUND, "fan") == ("purge",)
    assert energised_in(SOUND, "spark") == ("lit",)
    assert energised_in(SOUND, "blower") == ()


def test_a_step_that_nothing_leads_to_is_a_problem() -> None:
    alone = step("alone", leave("standby", after=5))
    assert problems(sequence(STANDBY, PURGE, LIT, alone)) == [
        (
            ("steps", "alone"),
            "step alone is never reached from standby",
            "lead to it from another step, or take it out",
        )
    ]


@given(
    st.lists(st.tuples(st.integers(0, 6), st.integers(0, 6)), max_size=20),
)
def test_what_is_reachable_is_what_networkx_says(edges: list[tuple[int, int]]) -> None:
    import networkx

    made = sequence(*(step(str(n), *(leave(str(b)) for a, b in edges if a == n)) for n in range(7)))
    assert reachable(made) == networkx.descendants(graph(made), "0") | {"0"}


def test_a_step_without_a_way_out_is_a_problem_unless_it_rests() -> None:
    stuck = step("standby")
    assert [what for _, what, _ in problems(sequence(stuck))] == ["step standby has no way out"]
    assert problems(sequence(step("standby", rests=True))) == []


def test_a_wait_without_an_end_is_a_problem() -> None:
    waits = step("purge", leave("standby", "draft"))
    ((where, what, mend),) = problems(sequence(STANDBY, waits))
    assert where == ("steps", "purge")
    assert what == "step purge may wait for ever"
    assert "after" in mend


@pytest.mark.parametrize(
    ("leaves", "ends"),
    [
        ([leave("x", after=5)], True),
        ([leave("x", "flame"), leave("x", "not flame")], True),
        ([leave("x", "flame", after=6), leave("x", "not flame", after=9)], True),
        ([leave("x", "flame"), leave("x", "not draft")], False),
        ([leave("x", "flame", "draft"), leave("x", "not flame"), leave("x", "not draft")], True),
        ([leave("x", "flame", "draft"), leave("x", "not flame", "not draft")], False),
        ([leave("x", "flame", "not flame")], False),
        ([], False),
    ],
)
def test_a_wait_ends_if_some_way_out_opens_whatever_the_inputs_are(
    leaves: list[Leave], ends: bool
) -> None:
    assert has_end(step("s", *leaves)) is ends


CONDITIONS = st.builds(Condition, st.sampled_from("abc"), st.booleans())
LEAVES = st.builds(Leave, st.lists(CONDITIONS, max_size=3).map(tuple), st.just(0.0), st.just("x"))


@given(st.lists(LEAVES, max_size=5))
def test_a_wait_ends_just_if_it_does_for_all_values_of_the_inputs(leaves: list[Leave]) -> None:
    ends = all(
        any(
            all(dict(zip("abc", values, strict=True))[c.name] == c.expected for c in each.when)
            for each in leaves
        )
        for values in product((True, False), repeat=3)
    )
    assert has_end(step("s", *leaves)) is ends


def test_more_conditions_than_can_be_looked_through_need_a_plain_end() -> None:
    names = [f"input-{n}" for n in range(state_graph.MOST_CONDITIONS + 1)]
    waits = [leave("x", name) for name in names] + [leave("x", *(f"not {n}" for n in names))]
    assert not has_end(step("s", *waits))
    assert has_end(step("s", *waits, leave("x", after=60)))


def test_a_way_out_behind_an_easier_one_is_a_problem() -> None:
    muddled = step("purge", leave("standby", after=5), leave("lit", "draft", after=15))
    found = problems(sequence(STANDBY, muddled, LIT))
    assert [what for _, what, _ in found] == [
        "step purge: the way to lit is never taken, standby comes first"
    ]


def test_a_way_out_behind_a_later_one_is_no_problem() -> None:
    waits = step("purge", leave("standby", after=60), leave("lit", "draft", after=15))
    assert problems(sequence(STANDBY, waits, LIT)) == []


def test_a_path_that_no_way_out_follows_is_a_problem() -> None:
    ((where, what, _),) = problems(sequence(STANDBY, PURGE, LIT, path=("standby", "lit")))
    assert where == ("path", 1)
    assert what == "the path goes from standby to lit, but no way out does"


def test_a_counter_must_be_counted_and_asked_for() -> None:
    idle = sequence(STANDBY, PURGE, LIT, tries=True)
    assert [(where, what) for where, what, _ in problems(idle)] == [
        (("counters", "tries"), "tries is never counted"),
        (("counters", "tries"), "nothing asks whether tries is spent"),
    ]
    counted = step(
        "purge", leave("standby", "tries spent"), leave("lit", after=9), counts=("tries",)
    )
    assert problems(sequence(STANDBY, counted, LIT, tries=True)) == []
