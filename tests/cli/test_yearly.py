"""The yearly visit: the list gone through, compared with the years before, and closed."""

import json

import pytest
from click.testing import CliRunner
from hypothesis import given
from hypothesis import strategies as st

from lightoff.cli.interview import begin
from lightoff.cli.job_state import Ended, Identifying, MakingSafe, Proving
from lightoff.cli.labels import known_labels, labelled, same_label, visits_in
from lightoff.cli.main import lightoff
from lightoff.engine.reasoning.answers import reads_a_figure
from lightoff.engine.reasoning.diagnosis import Diagnosis
from lightoff.engine.reasoning.job import Closed, Noted, Proved, Started, replay
from lightoff.engine.reasoning.journal import encode, read
from lightoff.engine.reasoning.visits import Visit
from tests.cli.talk import FURNACE, typed, words

TODAY = "2026-11-27T09:00:00+00:00"
LABEL = "Serial 1207"
OF_FLAME = {"proof": "flame-current", "check": "flame-current-heating", "verdict": "good"}
HOSTILE = "\x1b[31mred\u202e\nforged line\x07[bold]"


def at(day):
    return f"{day}T09:00:00+00:00"


def started(day="2026-11-27", label=LABEL, furnace=FURNACE):
    note = (Noted(time=at(day), about="label", text=label),) if label else ()
    return (Started(time=at(day), furnace=furnace, version="0", purpose="yearly"), *note)


def past(day, figure, label=LABEL, furnace=FURNACE):
    """The events of a visit of an earlier year with its flame current."""
    reading = Proved(time=at(day), outcome="normal", entered=figure, **OF_FLAME)
    closed = Closed(time=at(day), how="serviced", proof="proven")
    return (*started(day, label, furnace), reading, closed)


def visits(*events):
    return tuple(Visit(f"job-{number:04d}", replay(each)) for number, each in enumerate(events, 1))


BEFORE = (past("2024-11-25", "3.9 uA"), past("2025-11-26", "3.1 uA", "serial  1207"))


def item_of(state):
    return next(item for item in state.to_prove if item.id == state.mode.item)


def good(item):
    number = item.check.outcomes.index(item.outcomes[0]) + 1
    return f"#{number}" if reads_a_figure(item.check) else str(number)


def up_to(state, id_=""):
    """The visit up to one thing of the list, or to its end."""
    while state.mode.item != id_:
        state, _, _ = typed(state, good(item_of(state)))
    return state


@pytest.fixture
def visit(diagnoses):
    state, _, _ = begin(diagnoses, started(), visits(*BEFORE))
    assert state.mode == MakingSafe(first=True)
    state, _, _ = typed(state, "n")
    return state


# --- the visit --------------------------------------------------------------------


def test_a_whole_visit_is_closed_as_serviced(visit):
    state, events, view = typed(up_to(visit), "1")
    assert (events[0].how, events[0].proof) == ("serviced", "proven")
    assert state.mode == Ended("serviced")
    assert "Yearly visit done: all of it is good." in words(view)


def test_the_first_thing_is_asked_right_after_making_safe(visit):
    assert isinstance(visit.mode, Proving)
    _, _, view = typed(visit, "v")
    assert "What the visit goes through:" in words(view)
    assert f"Yearly visit, 1 of {len(visit.to_prove)}" in words(typed(visit, "n note a", "b")[2])


def test_where_the_furnace_is_not_known_it_is_found_out_and_no_complaint_is_asked(diagnoses):
    state, _, _ = begin(diagnoses, started(furnace=""))
    state, _, _ = typed(state, "n")
    assert isinstance(state.mode, Identifying)


def test_cautions_are_in_full_once_and_in_one_line_afterwards(visit):
    caution = visit.knowledge.cautions["fuel-gas"]
    _, _, view = typed(visit, good(item_of(visit)))
    assert caution.short in words(view)
    assert caution.text[0] not in words(view)


def test_a_visit_taken_up_again_goes_on_where_it_was(visit, diagnoses):
    state = up_to(visit, "flame-current")
    state, _, _ = begin(diagnoses, state.events, visits(*BEFORE))
    assert state.mode == MakingSafe(first=False)
    state, _, _ = typed(state, "n")
    assert state.mode == Proving("flame-current")
    _, _, view = typed(state, "2.4")
    assert "A year ago 3.1 uA" in words(view)


def test_what_is_out_says_what_to_do_with_the_years_before(visit):
    state = up_to(visit, "flame-current")
    out = item_of(state).proof.out.split(".")[0]
    state, events, view = typed(state, "0.4")
    assert events[0].verdict == "out"
    assert out in words(view)
    assert "2 years ago 3.9 uA" in words(view)
    assert words(view).splitlines()[-2].startswith("1 put right")


def test_what_is_out_and_left_ends_the_visit_only_with_a_reason(visit):
    state, _, _ = typed(up_to(visit, "flame-current"), "0.4", "3")
    state, events, view = typed(up_to(state), "1", "b")
    assert not any(isinstance(each, Closed) for each in events)
    state, events, view = typed(state, "u")
    assert (events, view.refused) == ([], True)
    _, events, _ = typed(state, "u no rod on the van")
    assert (events[0].how, events[0].reason) == ("serviced", "no rod on the van")


def test_a_visit_can_end_unproven_or_with_the_furnace_tagged(visit):
    _, events, view = typed(visit, "u the tenant has to leave")
    assert (events[0].how, events[0].proof) == ("serviced", "unproven")
    assert "not all of it good" in words(view)
    assert "Why: the tenant has to leave" in words(view)
    _, events, view = typed(visit, "x the hood spills")
    assert (events[0].how, events[0].proof) == ("left", "tagged")
    assert "shut down and tagged" in words(view)


def test_co_over_its_limit_stops_the_visit(visit):
    state, events, _ = typed(up_to(visit, "carbon-monoxide"), "600")
    assert events[-1].stopped
    assert state.mode == Ended("left")


@pytest.mark.parametrize("line", ["", "?", "1e999", "nan", "3 V", "\x1b[31m", "x", "u", "s"])
def test_what_cannot_be_is_refused_and_nothing_is_put_down(visit, line):
    state, events, view = typed(visit, line)
    assert (state, events, view.refused) == (visit, [], True)


# --- compared with the years before -----------------------------------------------


def test_a_reading_shows_those_of_the_years_before_behind_its_verdict(visit):
    _, _, view = typed(up_to(visit, "flame-current"), "2.4")
    shown = " ".join(words(view).split())
    assert (
        "A year ago 3.1 uA, 2 years ago 3.9 uA: falling 0.75 uA a year, "
        "at the limit of 0.8 uA in about 2 years." in shown
    )
    assert item_of(up_to(visit, "flame-current")).proof.drift.falling in shown


def test_what_moves_stands_at_the_end_with_the_next_action_last(visit):
    state, _, _ = typed(up_to(visit, "flame-current"), "2.4")
    state = up_to(state, state.to_prove[-1].id)
    _, _, view = typed(state, good(item_of(state)))
    lines = words(view).splitlines()
    assert "What moves from visit to visit:" in lines
    assert any("Flame current: falling" in line for line in lines)
    assert lines[-1].startswith("1 close the visit")


def test_a_steady_reading_is_said_to_be_steady_and_is_not_listed(visit):
    state, _, view = typed(up_to(visit, "flame-current"), "3.5")
    assert "no clear drift" in words(view)
    assert not up_to(state).drifts


def test_another_label_shows_nothing_of_it(diagnoses):
    state, _, _ = begin(diagnoses, started(label="Serial 9"), visits(*BEFORE))
    state, _, view = typed(up_to(typed(state, "n")[0], "flame-current"), "2.4")
    assert "ago" not in words(view)


def test_a_label_noted_during_the_visit_counts_from_then_on(diagnoses):
    state, _, _ = begin(diagnoses, started(label=""), visits(*BEFORE))
    state, _, _ = typed(up_to(typed(state, "n")[0], "flame-current"), "n label SERIAL 1207")
    _, _, view = typed(state, "2.4")
    assert "A year ago 3.1 uA" in words(view)


def test_what_was_put_right_in_this_visit_is_no_drift(visit):
    state, _, _ = typed(up_to(visit, "flame-current"), "0.4", "1")
    state, _, view = typed(state, "2.4")
    assert "begins anew" in words(view)
    assert not up_to(state).drifts


# --- labels -----------------------------------------------------------------------


@given(st.text(max_size=20))
def test_case_and_runs_of_spaces_do_not_count_in_a_label(label):
    spread = "  ".join(label.split(" "))
    assert same_label(label, f" {spread} ") is bool(label.strip())


@given(st.text(max_size=20), st.text(max_size=20))
def test_a_label_matches_either_way_round(one, other):
    assert same_label(one, other) is same_label(other, one)


@pytest.mark.parametrize("other", ["", "Serial 120", "Serial 1207.*", "Serial1207", "%", "*"])
def test_another_label_does_not_match(other):
    assert not same_label(LABEL, other)


def test_every_label_is_known_once_as_it_was_last_written():
    assert known_labels(visits(*BEFORE)) == ("serial 1207",)
    assert len(labelled(visits(*BEFORE, past("2026-01-01", "3", "other")), [LABEL])) == 2


# --- the commands -----------------------------------------------------------------


@pytest.fixture(autouse=True)
def read_and_predicted_once(monkeypatch, knowledge, diagnosis):
    monkeypatch.setattr("lightoff.engine.library.load", lambda: knowledge)
    monkeypatch.setattr(Diagnosis, "of", lambda *_: diagnosis)


@pytest.fixture
def folder(tmp_path):
    """A folder of jobs in which two visits are."""
    for number, events in enumerate(BEFORE, start=1):
        put_down(tmp_path, number, events)
    return tmp_path


def put_down(folder, number, events):
    lines = (encode(line, event) for line, event in enumerate(events, start=1))
    (folder / f"job-{number:04d}.jsonl").write_bytes(b"".join(lines))


def run(*arguments, lines=()):
    typed_in = "".join(f"{line}\n" for line in lines)
    return CliRunner().invoke(lightoff, [*map(str, arguments)], input=typed_in)


def in_folder(folder, *arguments, lines=()):
    return run("yearly", "--journal-folder", folder, *arguments, lines=lines)


def events_of(folder, number):
    return read(folder / f"job-{number:04d}.jsonl")[0]


def test_the_label_is_asked_for_and_on_disk_before_the_first_question(folder):
    result = in_folder(folder, "--furnace", FURNACE, lines=["serial 1207"])
    assert result.exit_code == 0
    assert "2 earlier jobs with this label, the last of 2025-11-26." in result.stdout
    start, label = events_of(folder, 3)
    assert (start.purpose, start.furnace) == ("yearly", FURNACE)
    assert (label.about, label.text) == ("label", "serial 1207")
    assert "Saved." in result.stdout


def test_a_label_that_is_nearly_known_is_asked_for_again(folder):
    result = in_folder(folder, "--furnace", FURNACE, lines=["serial 1270", "serial 1207", "q"])
    assert "Spelt much like it: serial 1207." in result.stdout
    assert events_of(folder, 3)[1].text == "serial 1207"
    result = in_folder(folder, "--furnace", FURNACE, lines=["serial 1271", "", "q"])
    assert events_of(folder, 4)[1].text == "serial 1271"


def test_a_label_given_that_is_nearly_known_is_pointed_out(folder):
    result = in_folder(folder, "--furnace", FURNACE, "--label", "serial 1270", lines=["n", "q"])
    assert "No earlier job has this label." in result.stdout
    assert "Spelt much like it: serial 1207." in result.stdout


def test_leaving_at_the_label_begins_nothing(folder):
    assert in_folder(folder, "--furnace", FURNACE, lines=["q"]).exit_code == 0
    assert len(list(folder.glob("job-*"))) == 2


def test_a_label_may_be_left_blank(folder):
    in_folder(folder, "--furnace", FURNACE, lines=["", "n", "q"])
    assert not any(isinstance(each, Noted) for each in events_of(folder, 3))


def test_the_furnace_of_the_last_time_is_taken_on_request(folder):
    in_folder(folder, "--label", LABEL, lines=["y", "n", "q"])
    assert replay(events_of(folder, 3)).furnace == FURNACE


def test_ctrl_c_saves_and_the_visit_can_be_taken_up_again(folder, monkeypatch):
    lines = iter(["n", "6.8"])

    def typing(_prompt):
        try:
            return next(lines)
        except StopIteration:
            raise KeyboardInterrupt from None

    monkeypatch.setattr("builtins.input", typing)
    result = in_folder(folder, "--furnace", FURNACE, "--label", LABEL)
    assert result.exit_code == 130
    assert "Saved." in result.stdout
    assert [each.entered for each in replay(events_of(folder, 3)).proofs] == ["6.8"]
    monkeypatch.undo()
    resumed = run("diagnose", "--journal-folder", folder, "--resume", lines=["n", "q"])
    assert "Manifold pressure" in resumed.stdout


def test_the_list_is_printed_without_a_job(folder):
    result = in_folder(folder, "--list", "--furnace", FURNACE, "--label", LABEL)
    assert result.exit_code == 0
    assert "Bring: Manometer" in result.stdout
    assert "Earlier: 3.1 uA (2025-11-26), 3.9 uA (2024-11-25)" in result.stdout
    assert max(map(len, result.stdout.splitlines())) <= 80
    assert len(list(folder.glob("job-*"))) == 2


def test_the_list_as_json_holds_order_limits_tools_and_minutes(folder):
    result = in_folder(folder, "--list", "--furnace", FURNACE, "--label", LABEL, "--json")
    found = json.loads(result.stdout)
    ids = [each["id"] for each in found["items"]]
    assert ids.index("inlet-pressure") < ids.index("manifold-pressure") < ids.index("two-calls")
    assert found["minutes"] == sum(each["minutes"] for each in found["items"])
    assert {"manometer", "combustion-analyzer"} & set(found["tools"])
    flame = found["items"][ids.index("flame-current")]
    assert (flame["low"], flame["high"]) == (8e-7, 8e-6)
    assert [each["day"] for each in flame["readings"]] == ["2024-11-25", "2025-11-26"]
    assert flame["drift"]["per_year"] == pytest.approx(-8e-7, rel=0.01)


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (["--json"], "--json needs --list"),
        (["--furnace", "nonsense"], "no furnace is called"),
        (["--list", "--furnace", "nonsense"], "no furnace is called"),
        (["--label", "a" * 501], "longer than 500"),
    ],
)
def test_wrong_use_is_told_in_one_line(folder, arguments, says):
    result = in_folder(folder, *arguments)
    assert result.exit_code == 2
    assert says in result.stderr
    assert len(result.stderr.splitlines()) == 1


@pytest.mark.parametrize(
    ("line", "stands"),
    [
        ("u the tenant has to leave", "yearly visit ended, not all of it good"),
        ("x the hood spills", "shut down and tagged"),
    ],
)
def test_past_visits_say_how_they_ended_and_name_no_suspect(folder, line, stands):
    in_folder(folder, "--furnace", FURNACE, "--label", LABEL, lines=["n", line])
    jobs = json.loads(run("job", "list", "--journal-folder", folder, "--json").stdout)
    assert [each["stands"] for each in jobs] == ["yearly visit done"] * 2 + [stands]
    assert [each["leading"] for each in jobs] == [None] * 3
    shown = run("job", "show", "3", "--journal-folder", folder)
    assert line[2:] in shown.stdout
    replayed = run("job", "replay", "3", "--journal-folder", folder)
    assert replayed.exit_code == 0
    assert "Leading" not in replayed.stdout


def drift(folder, *arguments):
    return run("job", "drift", *arguments, "--journal-folder", folder)


def test_job_drift_shows_every_reading_and_what_moves(folder):
    result = drift(folder, "SERIAL   1207")
    assert result.exit_code == 0
    for word in ("2024-11-25", "2025-11-26", "3.9 uA", "3.1 uA", "0.8 to 8 uA"):
        assert word in result.stdout
    assert "Flame current: falling" in result.stdout
    assert max(map(len, result.stdout.splitlines())) <= 80


def test_job_drift_as_json(folder):
    found = json.loads(drift(folder, LABEL, "--json").stdout)
    assert (found["furnace"], len(found["visits"])) == (FURNACE, 2)
    (flame,) = found["quantities"]
    assert [each["value"] for each in flame["readings"]] == [3.9e-6, 3.1e-6]
    assert flame["drift"]["clear"]
    assert flame["drift"]["matters"]
    assert flame["drift"]["limit"] == 8e-7


def test_job_drift_of_a_label_that_no_job_has_names_the_nearest(folder):
    result = drift(folder, "serial 1270")
    assert result.exit_code == 1
    assert "did you mean serial 1207?" in result.stderr
    assert result.stdout == ""


def test_job_drift_leaves_out_another_type_and_tells_of_damage(folder):
    put_down(folder, 3, past("2023-01-01", "3 uA", furnace="metal-vent-induced"))
    put_down(folder, 4, past("2026-01-01", "2.6 uA"))
    (folder / "job-0005.jsonl").write_text("damage\n")
    result = drift(folder, LABEL)
    assert result.exit_code == 0
    assert "job-0003 is on another type of furnace" in result.stderr
    assert "job-0005" in result.stderr
    assert "2023" not in result.stdout


@pytest.mark.parametrize("name", [HOSTILE, "[link=x]y[/]", "'; rm -rf /", "\u202eabc", "a" * 5000])
def test_a_hostile_label_reaches_no_terminal_as_it_is(tmp_path, name):
    put_down(tmp_path, 1, past("2025-11-26", "3.1 uA", name))
    for result in (
        drift(tmp_path, name),
        drift(tmp_path, name[:3] + "?"),
        in_folder(tmp_path, "--list", "--furnace", FURNACE, "--label", name[:500]),
        in_folder(tmp_path, "--furnace", FURNACE, lines=[name[:400], "", "n", "q"]),
    ):
        assert result.exit_code in (0, 1)
        said = result.stdout + result.stderr
        assert not {"\x1b", "\u202e", "\x07"} & set(said)
        assert not any(line.startswith("forged line") for line in said.splitlines())


def test_hostile_journals_break_no_visit(tmp_path):
    put_down(tmp_path, 1, past("99999-99-99", "3.1 uA"))
    put_down(tmp_path, 2, past("2025-11-26", HOSTILE))
    put_down(tmp_path, 3, past("2025-11-26", "1e308 uA"))
    put_down(tmp_path, 4, past("2025-11-26", "3.1 uA", furnace="nonsense"))
    assert len(visits_in(tmp_path)) == 4
    lines = [LABEL, "", "n", "q"]
    assert in_folder(tmp_path, "--furnace", FURNACE, lines=lines).exit_code == 0
    assert drift(tmp_path, LABEL).exit_code == 0
