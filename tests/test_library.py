"""Knowledge folders: the good path, all mistakes at once, and hostile files."""

import subprocess
import sys
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from lightoff.engine import library
from lightoff.engine.library import KnowledgeError
from lightoff.engine.machine.kinds import NEEDED
from lightoff.engine.machine.plan import Plan
from lightoff.engine.model import NOT_REACHED, Band, Condition, Knowledge, Place
from tests.small_knowledge import (
    CHECKS,
    FURNACE,
    PARTS,
    RULES,
    SMALL,
    edited,
    line_of,
    mistakes,
    write,
)


@pytest.fixture(scope="module")
def small(tmp_path_factory: pytest.TempPathFactory) -> Knowledge:
    return library.load(write(tmp_path_factory.mktemp("small"), SMALL))


# --- the good path ----------------------------------------------------------------


def test_values_are_in_si_with_defaults_and_what_the_furnace_says(small: Knowledge) -> None:
    parts = small.furnaces["small"].parts
    assert parts["switch"].values["closes-at"] == pytest.approx(249.08891)
    assert parts["switch"].values["contacts"] == "works"
    assert parts["igniter"].values["lights-at"] == pytest.approx(1273.15)
    assert parts["igniter"].values["hot-share"] == 0.5
    assert parts["inducer"].values["running"] == 90.0
    assert parts["blower"].values["running"] == 22.0
    assert (parts["inducer"].source, parts["blower"].source) == ("invented", "a-paper")
    assert parts["duct"].entry.id == "pipe"


def test_faults_belong_to_fitted_parts_and_multiply_or_replace_values(small: Knowledge) -> None:
    faults = small.furnaces["small"].faults
    assert faults["igniter.aged"].overrides == {("igniter", "resistance"): 180.0}
    assert faults["igniter.open"].overrides == {("igniter", "resistance"): "open"}
    assert faults["vent.blocked"].overrides == {("vent", "resistance"): 8e6}
    assert faults["vent.blocked"].repair == "mend"
    assert "thermostat.broken" in faults
    assert "thermostat.drops" not in faults, "this furnace is without it"


def test_a_branch_may_be_left_out_where_there_is_one(small: Knowledge) -> None:
    furnace = small.furnaces["small"]
    wires = {(wire.part, wire.branch) for wire in furnace.line + furnace.control}
    assert {("igniter", "element"), ("thermostat", "contacts"), ("valve", "coil")} <= wires


def test_interrupts_come_first_in_the_order_of_the_file(small: Knowledge) -> None:
    steps = small.furnaces["small"].sequence.steps
    ways_out = [(leave.to, leave.after) for leave in steps["retry"].leaves]
    assert ways_out == [("off", 0), ("standby", 0), ("lockout", 0), ("proving-draft", 10)]
    assert steps["retry"].leaves[0].when == (Condition("power", False),)
    assert steps["retry"].leaves[2].when == (Condition("tries spent", True),)
    assert steps["heating"].leaves[2].when == (Condition("flame", False), Condition("draft", True))
    assert steps["proving-draft"].energise == {"inducer-relay"}
    assert steps["proving-draft"].energise_for == (("gas-relay", 4.0),)


def test_the_call_the_site_and_the_plate_are_in_si(small: Knowledge) -> None:
    furnace = small.furnaces["small"]
    call = furnace.call
    assert (call.starts, call.satisfied, call.watched) == (10.0, 960.0, 1800.0)
    assert furnace.site == pytest.approx({"room": 293.15, "outdoors": 273.15, "altitude": 0.0})
    assert furnace.plate["manifold"] == pytest.approx((797.085, 946.538), abs=1e-3)
    assert furnace.sequence.inputs["flame"].above == pytest.approx(0.5e-6)
    assert furnace.sequence.inputs["flame"].microamps == "rod"


def test_checks_get_bands_texts_and_the_usual_misreading(small: Knowledge) -> None:
    check = small.checks["small"]["volts-in-retry"]
    assert check.dimension == "voltage"
    assert [(outcome.id, outcome.band, outcome.text) for outcome in check.outcomes] == [
        ("none", Band(high=2.0), "none: below 2 V"),
        ("low", Band(low=2.0, high=18.0), "low: 2 to 18 V"),
        ("live", Band(otherwise=True), "live: anything else"),
        (NOT_REACHED, Band(), "could not be tested: the furnace never got there"),
    ]
    assert (check.varies, check.misread, check.setup) == (0.1, 0.015, {"power": "on"})
    assert check.trying == {("cock", "handle"): "along-pipe"}, "the set-up itself does it"


def test_checks_of_words_get_words_answers_and_what_is_tried(small: Knowledge) -> None:
    stalls = small.checks["small"]["stalls"]
    assert stalls.dimension == ""
    assert stalls.misread == 0.03
    assert [(o.id, o.band.words, o.text) for o in stalls.outcomes] == [
        ("dead", {"off", "standby"}, "Nothing happens"),
        ("draft-only", {"proving-draft"}, "draft only"),
        ("heats", {"heating", "satisfied"}, "heats"),
    ]
    looks = small.checks["small"]["thermostat-looks"]
    assert looks.trying == {("thermostat", "contacts"): "closed", ("valve", "opens-at"): 18.0}
    assert small.checks["small"]["lockout-time"].misread == 0.1
    assert small.checks["small"]["lockout-time"].outcomes[-1].id == NOT_REACHED


def test_every_entry_keeps_its_place(small: Knowledge) -> None:
    assert small.places["check", "volts-in-retry"] == Place(
        CHECKS, line_of(CHECKS, "- id: volts-in-retry"), 3
    )
    assert small.places["fault", "igniter.aged"].line == line_of(PARTS, "    - {id: aged")
    assert small.places["source", "a-paper"].file == "sources.yaml"


def test_a_check_of_what_only_another_furnace_has_is_left_out(tmp_path: Path) -> None:
    other = SMALL[FURNACE].replace("id: small", "id: other").replace("IND", "MOTOR")
    check = (
        "- {id: at-the-motor, area: a, by: meter, ask: What?, how: [Measure.], minutes: 1,\n"
        "   reads: {volts: [MOTOR, N], during: heating},\n"
        "   outcomes: {on: above 60 V, off: below 60 V}}\n"
    )
    texts = {**SMALL, "furnaces/other.yaml": other, CHECKS: SMALL[CHECKS] + check}
    knowledge = library.load(write(tmp_path, texts))
    assert "at-the-motor" in knowledge.checks["other"]
    assert "at-the-motor" not in knowledge.checks["small"]


def test_shipped_knowledge_has_no_mistakes() -> None:
    knowledge = library.load()
    for furnace in knowledge.furnaces.values():
        assert set(Plan(furnace).roles) >= set(NEEDED)
        assert len(furnace.faults) >= (25 if furnace.id == "standing-pilot" else 45)
        assert len(knowledge.checks[furnace.id]) >= 60


# --- all mistakes at once, and no more than there are ------------------------------


def test_all_mistakes_of_all_files_are_told_at_once_in_order(tmp_path: Path) -> None:
    texts = dict(SMALL)
    for name, old, new in [
        ("sources.yaml", "title", "titel"),
        (PARTS, "volts: 120 V", "volts: 120"),
        (PARTS, "count: 4", "count: many"),
        (CHECKS, "tools: [meter]", "tools: [hammer]"),
        (CHECKS, "below 10 min", "below 10 V"),
        (FURNACE, "satisfied: 16 min", "satisfied: '16'"),
    ]:
        texts[name] = texts[name].replace(old, new, 1)
    knowledge, found = library.check(write(tmp_path, texts))
    assert [problem.what for problem in found] == [
        "no tool is called 'hammer'",
        "10 V is a voltage, not a time",
        "16 has no unit",
        "volts: 120 has no unit",
        "count: 'many' is no amount",
        "the key 'title' is missing",
        "there is no key 'titel' here",
    ]
    assert found == sorted(found, key=lambda p: (p.place.file, p.place.line, p.place.column))
    assert knowledge is not None
    with pytest.raises(KnowledgeError) as error:
        library.load(tmp_path)
    assert error.value.problems == found
    assert str(error.value).splitlines() == [str(problem) for problem in found]


def test_an_entry_with_a_mistake_is_not_a_mistake_of_what_refers_to_it(tmp_path: Path) -> None:
    texts = edited("repairs/all.yaml", "price: low", "price: cheap")
    assert len(mistakes(write(tmp_path, texts))) == 1


def test_a_part_with_a_mistake_is_told_once_though_fitted_often(tmp_path: Path) -> None:
    texts = edited(PARTS, "resistance: 4e5 Pa s2/m6", "resistance: 4e5")
    assert len(mistakes(write(tmp_path, texts))) == 1


def test_what_is_without_mistakes_is_still_given(tmp_path: Path) -> None:
    knowledge, found = library.check(
        write(tmp_path, edited(CHECKS, "tools: [meter]", "tools: [hammer]"))
    )
    assert len(found) == 1
    assert knowledge is not None
    assert set(knowledge.checks["small"]) == {
        "stalls",
        "lockout-time",
        "thermostat-looks",
        "since-when",
    }


def test_several_unknown_keys_of_one_entry_are_all_told(tmp_path: Path) -> None:
    found = mistakes(write(tmp_path, edited("tools.yaml", "name: Meter", "name: M, x: 1, y: 2")))
    assert [problem.split(";")[0] for problem in found] == [
        "tools.yaml:1: there is no key 'x' here",
        "tools.yaml:1: there is no key 'y' here",
    ]


# --- folders ----------------------------------------------------------------------


@pytest.mark.parametrize("name", [name for name in SMALL if name != RULES])
def test_a_kind_of_file_that_is_missing_is_told(tmp_path: Path, name: str) -> None:
    texts = {other: text for other, text in SMALL.items() if other != name}
    found = mistakes(write(tmp_path, texts))
    pattern = name if "/" not in name else name.split("/")[0] + "/*.yaml"
    assert any(problem.startswith(f"{pattern}:1: there is no such file; add") for problem in found)


def test_a_folder_without_files_is_a_mistake(tmp_path: Path) -> None:
    knowledge, (problem,) = library.check(tmp_path)
    assert knowledge is None
    assert problem.what == "there are no knowledge files"
    with pytest.raises(KnowledgeError, match="there is no such folder"):
        library.load(tmp_path / "nowhere")


def test_a_file_that_nothing_reads_is_told(tmp_path: Path) -> None:
    texts = {**SMALL, "part/x.yaml": "[]", "checks/x.yml": "[]", "rules/x.yaml": "[]"}
    assert mistakes(write(tmp_path, texts)) == [
        "checks/x.yml:1: nothing reads this file; give it a name and folder that is read, "
        "or take it away",
        "part/x.yaml:1: nothing reads this file; give it a name and folder that is read, "
        "or take it away",
    ]


def test_entries_of_one_kind_may_be_spread_over_files(tmp_path: Path) -> None:
    start = SMALL[PARTS].index("- id: hose")
    texts = {**SMALL, PARTS: SMALL[PARTS][:start], "parts/more.yaml": SMALL[PARTS][start:]}
    assert library.load(write(tmp_path, texts)).furnaces["small"].parts["hose"]


# --- hostile folders --------------------------------------------------------------


@pytest.mark.parametrize(
    "text",
    ["", "[]", "{}", "1", "- 1", "- []", "- {id: 1}", "- {id: [a]}", "a: &a [*a]", "\0", "[" * 500],
)
@pytest.mark.parametrize("name", SMALL)
def test_no_odd_file_raises(tmp_path: Path, name: str, text: str) -> None:
    _, found = library.check(write(tmp_path, {**SMALL, name: text}))
    assert found or (name, text) == (RULES, "[]"), "only rules may be none at all"


LINES = [(name, index) for name, text in SMALL.items() for index in range(text.count("\n"))]


@settings(
    max_examples=150, suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None
)
@given(where=st.sampled_from(LINES), source=st.sampled_from(LINES), cut=st.integers(0, 40))
def test_no_muddled_line_raises(
    tmp_path: Path, where: tuple[str, int], source: tuple[str, int], cut: int
) -> None:
    lines = SMALL[where[0]].splitlines()
    other = SMALL[source[0]].splitlines()[source[1]]
    lines[where[1]] = lines[where[1]][:cut] + other[cut:]
    texts = {**SMALL, where[0]: "\n".join(lines) + "\n"}
    library.check(write(tmp_path, texts))


def test_thousands_of_wrong_names_are_cut_short(tmp_path: Path) -> None:
    wrong = "".join(f"- {{id: t{n}, nam: x, nme: y}}\n" for n in range(5000))
    found = mistakes(write(tmp_path, {**SMALL, "tools.yaml": wrong}))
    assert len(found) == 500


def test_one_wrong_value_among_thousands_is_found(tmp_path: Path) -> None:
    many = ", ".join(f"k{n}: x" for n in range(20_000))
    values = f"{{{many}, bad: true, {many.replace('k', 'm')}}}"
    texts = edited(FURNACE, "{values: {running: 22 ohm}, source: a-paper}", f"{{values: {values}}}")
    found = mistakes(write(tmp_path, texts))
    assert "should be" in found[0]
    assert "not true or false" in found[0]


def test_a_path_is_never_shown_in_full(tmp_path: Path) -> None:
    texts = edited(CHECKS, "tools: [meter]", "tools: [hammer]")
    assert not any(str(tmp_path) in problem for problem in mistakes(write(tmp_path, texts)))


def test_reading_knowledge_imports_nothing_heavy() -> None:
    code = (
        "import sys; from lightoff.engine import library; library.check(library.shipped());"
        "print([name for name in ('numpy', 'networkx', 'experta', 'rich') if name in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
