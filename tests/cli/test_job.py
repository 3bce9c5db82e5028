"""`lightoff job`: past jobs listed, shown, and run again."""

import json

import pytest
from click.testing import CliRunner

from lightoff.cli.main import lightoff
from lightoff.engine.reasoning.diagnosis import Diagnosis, SimulatedFurnace
from lightoff.engine.reasoning.job import (
    Cleared,
    Closed,
    Found,
    Identified,
    InterviewSkipped,
    Repaired,
    Seen,
    Skipped,
    Started,
    Told,
    Undone,
)
from lightoff.engine.reasoning.journal import encode

T = "2026-01-02T10:11:12+00:00"
FURNACE = "two-pipe-condensing"
START = Started(time=T, furnace=FURNACE, version="0.0.1")
HOSTILE = "\x1b[31mred\u202e\nforged line\x07[bold]"


def found(check, outcome, entered="", **more):
    return Found(time=T, check=check, outcome=outcome, entered=entered, **more)


def signs(knowledge, *named):
    """The answers to the signs of danger."""
    return [
        found(check.id, "yes" if check.id in named else "no", "n")
        for check in knowledge.checks[FURNACE].values()
        if check.entry.phase == "make-safe"
    ]


@pytest.fixture(scope="module")
def diagnosis(knowledge):
    return Diagnosis.of(knowledge, FURNACE)


@pytest.fixture(autouse=True)
def read_and_predicted_once(monkeypatch, knowledge, diagnosis):
    monkeypatch.setattr("lightoff.engine.library.load", lambda: knowledge)
    monkeypatch.setattr(Diagnosis, "of", lambda *_: diagnosis)


@pytest.fixture
def folder(tmp_path):
    return tmp_path / "jobs"


def put_down(folder, number, *events):
    """A journal with these events."""
    folder.mkdir(exist_ok=True)
    path = folder / f"job-{number:04d}.jsonl"
    lines = [encode(place, event) for place, event in enumerate(events, start=1)]
    path.write_bytes(b"".join(lines))
    return path


def run(folder, *arguments):
    chosen = ["job", *map(str, arguments), "--journal-folder", str(folder)]
    return CliRunner().invoke(lightoff, chosen)


def data(folder, *arguments):
    result = run(folder, *arguments, "--json")
    assert result.exit_code == 0, result.output
    return json.loads(result.stdout)


def mended(knowledge):
    return [
        START,
        *signs(knowledge),
        found("status-light-after-call", "ignition", "4"),
        found("igniter-glow", "dark", "1"),
        Skipped(time=T, check="thermostat-display"),
        Repaired(time=T, repair="replace-flame-sensor"),
        Closed(time=T, how="found", repair="replace-igniter"),
    ]


# --- list -------------------------------------------------------------------------


def test_the_list_says_of_each_job_when_where_and_how_it_stands(folder, knowledge):
    put_down(folder, 1, *mended(knowledge))
    put_down(folder, 2, START, found("igniter-glow", "dark", "1"))
    put_down(folder, 12, START, *signs(knowledge, "smell-of-gas"), stopped("smell-of-gas"))
    listed = run(folder, "list")
    assert listed.exit_code == 0
    blocks = listed.stdout.split("\n   ")
    assert "1  2026-01-02 10:11" in blocks[0]
    assert f"{FURNACE}, 6 findings" in blocks[0]
    assert "mended: Replace the igniter" in listed.stdout
    assert "not finished" in listed.stdout
    assert "leading: " in listed.stdout
    assert f"stopped: {knowledge.cautions['smell-of-gas'].title.partition(':')[0]}" in (
        listed.stdout
    )


def stopped(*cautions):
    return Closed(time=T, how="left", stopped=cautions)


def test_the_list_as_json_names_the_cure_or_the_leading_repair(folder, knowledge):
    put_down(folder, 1, *mended(knowledge))
    put_down(folder, 2, START, found("igniter-glow", "dark", "1"))
    first, second = data(folder, "list")
    assert (first["id"], first["number"], first["closed"]) == ("job-0001", 1, "found")
    assert (first["cured_by"], first["leading"]) == ("replace-igniter", None)
    assert second["closed"] is None
    assert second["leading"]["repair"] in knowledge.repairs
    assert 0.0 < second["leading"]["probability"] < 1.0


def test_without_jobs_the_list_is_empty_and_says_how_to_start_one(folder):
    listed = run(folder, "list")
    assert (listed.exit_code, listed.stdout) == (0, "")
    assert "lightoff diagnose" in listed.stderr
    assert data(folder, "list") == []
    assert not folder.exists()


def test_journals_that_cannot_be_read_get_one_line_each_and_hide_no_other(folder, knowledge):
    good = put_down(folder, 1, *mended(knowledge))
    put_down(folder, 2, *mended(knowledge)).write_bytes(good.read_bytes().replace(b"dark", b"lark"))
    put_down(folder, 3)
    put_down(folder, 4, START).write_bytes(b"\xff\x00 no journal\n")
    put_down(folder, 5, START).write_bytes(encode(1, START)[:-9])
    (folder / "job-0006.jsonl").mkdir()
    torn = put_down(folder, 7, *mended(knowledge))
    torn.write_bytes(torn.read_bytes()[:-9])
    listed = run(folder, "list")
    assert listed.exit_code == 0
    assert "mended: Replace the igniter" in listed.stdout
    assert listed.stdout.count("cannot be read") == 5
    lines = listed.stderr.splitlines()
    assert [line.partition(".jsonl")[0][-8:] for line in lines] == [
        f"job-000{number}" for number in range(2, 8)
    ]
    assert "cut off" in lines[-1]
    problems = [job["problem"] for job in data(folder, "list")]
    assert problems == [None, *lines]


# --- which job --------------------------------------------------------------------


@pytest.mark.parametrize("name", ["2", "0002", "job-0002", "job-0002.jsonl", "latest", None])
def test_a_job_is_meant_by_number_by_name_or_as_the_latest(folder, name):
    put_down(folder, 1, START)
    put_down(folder, 2, START)
    assert data(folder, "show", *filter(None, [name]))["number"] == 2


@pytest.mark.parametrize("name", ["9", "job-9999", "../job-0001", "\x1b[31m", "-1", "9" * 40])
@pytest.mark.parametrize("command", ["show", "replay"])
def test_a_job_that_does_not_exist_is_one_line_and_exit_2(folder, command, name):
    put_down(folder, 1, START)
    chosen = ["job", command, "--journal-folder", str(folder), "--", name]
    result = CliRunner().invoke(lightoff, chosen)
    assert (result.exit_code, result.stdout) == (2, "")
    assert len(result.stderr.splitlines()) == 1
    assert "\x1b" not in result.stderr


@pytest.mark.parametrize("command", ["show", "replay"])
def test_no_job_at_all_or_a_damaged_one_is_one_line_and_exit_1(folder, command):
    none = run(folder, command)
    assert (none.exit_code, none.stdout) == (1, "")
    assert "lightoff diagnose" in none.stderr
    put_down(folder, 1, START).write_bytes(b"{}\n")
    damaged = run(folder, command, "1")
    assert (damaged.exit_code, damaged.stdout) == (1, "")
    assert len(damaged.stderr.splitlines()) == 1
    assert "job-0001.jsonl:1" in damaged.stderr


@pytest.mark.parametrize("command", ["show", "replay"])
def test_a_torn_last_line_is_told_and_the_rest_is_used(folder, knowledge, command):
    path = put_down(folder, 1, *mended(knowledge))
    path.write_bytes(path.read_bytes()[:-5])
    result = run(folder, command)
    assert result.exit_code == 0
    assert "cut off" in result.stderr
    assert "not finished" in result.stdout


@pytest.mark.parametrize("command", [["list"], ["show"], ["replay"], ["show", "1", "--json"]])
def test_nothing_is_changed_on_disk(folder, knowledge, command):
    path = put_down(folder, 1, *mended(knowledge))
    path.write_bytes(path.read_bytes()[:-5])
    before = [(each.name, each.read_bytes(), each.stat().st_mtime_ns) for each in folder.iterdir()]
    run(folder, *command)
    after = [(each.name, each.read_bytes(), each.stat().st_mtime_ns) for each in folder.iterdir()]
    assert after == before


# --- show -------------------------------------------------------------------------


def test_a_job_is_shown_in_its_order_with_answers_skips_and_repairs(folder, knowledge):
    put_down(folder, 1, *mended(knowledge))
    shown = " ".join(run(folder, "show").stdout.split())
    checks = knowledge.checks[FURNACE]
    in_order = [
        "Job 1 (job-0001)",
        "version 0.0.1",
        "mended: Replace the igniter",
        checks["status-light-after-call"].entry.ask,
        checks["igniter-glow"].entry.ask,
        f"Skipped: {checks['thermostat-display'].entry.ask}",
        f"still fails: {knowledge.repairs['replace-flame-sensor'].title}",
        "Closed, mended: Replace the igniter",
    ]
    places = [shown.index(words) for words in in_order]
    assert places == sorted(places)


def test_a_job_as_json_has_every_event_with_question_answer_and_what_it_changed(folder, knowledge):
    events = mended(knowledge)
    put_down(folder, 1, *events)
    page = data(folder, "show")
    assert (page["version"], page["cured_by"]) == ("0.0.1", "replace-igniter")
    assert [each["number"] for each in page["events"]] == list(range(1, len(events) + 1))
    glow = next(each for each in page["events"] if each.get("check") == "igniter-glow")
    check = knowledge.checks[FURNACE]["igniter-glow"]
    assert glow["question"] == check.entry.ask
    assert glow["answer"].lower() == next(
        each.text.lower() for each in check.outcomes if each.id == "dark"
    )
    assert glow["changed"]
    assert glow["leading"]["repair"] in knowledge.repairs
    assert all(rule["says"] for rule in page["rules"])


def test_a_reading_is_shown_as_typed_and_a_dont_know_as_not_known(folder):
    told = Told(
        time=T, quantity="volts", places=("R", "C"), during="heating", value=24.5, entered="24.5 V"
    )
    put_down(folder, 1, START, told, found("igniter-glow", None, "?"))
    shown = run(folder, "show").stdout
    assert "volts, R to C in heating" in shown
    assert "24.5 V" in shown
    assert "not known" in shown


def test_findings_that_fit_no_suspect_are_told(folder, knowledge, diagnosis):
    furnace = SimulatedFurnace(
        diagnosis.furnace, [diagnosis.furnace.faults["collector-hose.water"]]
    )
    checks = ("status-light-after-call", "draft-at-the-switch", "suction-at-collector")
    right = [furnace.answer(knowledge.checks[FURNACE][check]) for check in checks]
    events = [START, *(found(each.check, each.outcome, each.entered) for each in right)]
    put_down(folder, 1, *events)
    page = data(folder, "show")
    assert (page["misfits"], page["explained"]) == ([], True)
    wrong = [found("collector-hose-look", "off", "2")]
    put_down(folder, 2, *events, *wrong)
    assert data(folder, "show")["misfits"] == ["collector-hose-look"]
    assert "Fits none of the suspects well: Collector hose look" in run(folder, "show").stdout
    wrong += [found("inducer-turns-on-call", "stands", "3"), found("igniter-glow", "dark", "3")]
    put_down(folder, 3, *events, *wrong)
    assert not data(folder, "show")["explained"]
    assert "No suspect explains all findings" in run(folder, "show").stdout


def test_what_was_taken_back_is_marked_and_changes_nothing_at_the_end(folder):
    put_down(folder, 1, START, found("igniter-glow", "dark", "1"), Undone(time=T), Undone(time=T))
    put_down(folder, 2, START)
    page = data(folder, "show", "1")
    assert [each["taken_back"] for each in page["events"]] == [False, True, False, False]
    assert page["findings"] == 0
    assert page["leading"] == data(folder, "show", "2")["leading"]
    shown = " ".join(run(folder, "show", "1").stdout.split())
    assert "(taken back later)" in shown
    assert "Taken back: 2" in shown
    assert "Taken back: nothing" in shown


def test_events_of_the_whole_interview_have_their_words(folder, knowledge):
    feature = next(iter(knowledge.features.values()), None)
    seen = [Seen(time=T, feature=feature.id, value=next(iter(feature.values)))] if feature else []
    put_down(
        folder,
        1,
        Started(time=T, furnace="", version="0.0.1", lacks=("meter",), licence="none"),
        *seen,
        Identified(time=T, furnace=FURNACE),
        InterviewSkipped(time=T),
        found("igniter-glow", "dark", "1", unasked=True),
        Cleared(time=T, item="the jumper is out"),
        Closed(time="2026-01-03T09:00:00+00:00", how="left"),
    )
    shown = run(folder, "show").stdout
    for words in (
        "no licence for gas; without meter",
        "Type of furnace",
        "interview was left out",
        "Told unasked:",
        "Put right: the jumper is out",
        "2026-01-03",
        "Closed, left as it is",
    ):
        assert words in shown


def test_before_the_furnace_is_found_out_no_repair_leads(folder, knowledge):
    put_down(folder, 1, Started(time=T, furnace="", version="0.0.1"), *signs(knowledge))
    assert data(folder, "show")["leading"] is None
    assert data(folder, "list")[0]["furnace"] is None
    assert "furnace not found out" in run(folder, "list").stdout
    assert run(folder, "replay").exit_code == 0


@pytest.mark.parametrize("command", ["show", "replay"])
def test_every_line_fits_80_columns(folder, knowledge, command, monkeypatch):
    monkeypatch.setenv("COLUMNS", "80")
    put_down(folder, 1, *mended(knowledge))
    shown = run(folder, command).stdout
    assert max(map(len, shown.splitlines())) <= 80


def hostile_job():
    told = {"quantity": "volts", "places": (HOSTILE, HOSTILE), "during": HOSTILE}
    return [
        Started(time=HOSTILE, furnace=FURNACE, version=HOSTILE, lacks=(HOSTILE,)),
        found(HOSTILE, HOSTILE, HOSTILE),
        found("igniter-glow", HOSTILE, HOSTILE),
        Told(time=HOSTILE, value=1e300, entered=HOSTILE, **told),
        Seen(time=T, feature=HOSTILE, value=HOSTILE),
        Skipped(time=T, check=HOSTILE),
        Repaired(time=T, repair=HOSTILE),
        Cleared(time=T, item=HOSTILE),
        Closed(time=T, how="left", stopped=(HOSTILE,)),
    ]


@pytest.mark.parametrize("command", ["list", "show", "replay"])
def test_text_in_a_journal_cannot_steer_the_terminal_or_forge_a_line(folder, command):
    put_down(folder, 1, *hostile_job())
    put_down(folder, 2, Started(time=T, furnace=HOSTILE, version="0.0.1"))
    for result in (run(folder, command), run(folder, command, *["1"] * (command != "list"))):
        assert result.exit_code in (0, 1)
        assert result.exception is None or isinstance(result.exception, SystemExit)
        output = result.stdout + result.stderr
        assert not any(sign in output for sign in ("\x1b", "\u202e", "\x07"))
        assert not any(line.startswith("forged") for line in output.splitlines())
        assert "\\x1b" in output


def test_a_text_without_end_is_clipped(folder):
    put_down(folder, 1, START, found("crystal-ball", "red", "1" * 100_000))
    assert len(run(folder, "show").stdout) < 5_000


# --- replay -----------------------------------------------------------------------


def test_a_job_that_is_run_again_says_what_would_be_asked_otherwise(folder, knowledge):
    put_down(folder, 1, *mended(knowledge))
    page = data(folder, "replay")
    assert (page["version_then"], page["same"]) == ("0.0.1", False)
    assert page["not_known"] == page["read_otherwise"] == []
    others = [step for step in page["steps"] if not step["same"]]
    glow = knowledge.checks[FURNACE]["igniter-glow"].entry.ask
    assert glow in {step["then"] for step in others}
    assert all(step["now"] for step in page["steps"])
    assert page["cured_by"] == "replace-igniter"
    assert page["leading"]["repair"] in knowledge.repairs
    shown = " ".join(run(folder, "replay").stdout.split())
    assert f"then: {glow}" in shown
    assert "The journal does not hold: the probabilities of then" in shown
    assert "Cured by then: Replace the igniter" in shown


def test_a_job_that_is_the_same_today_says_so_and_what_comes_next(folder, knowledge):
    put_down(folder, 1, START, *signs(knowledge))
    page = data(folder, "replay")
    assert page["same"]
    assert page["next"]
    shown = run(folder, "replay").stdout
    assert "All that the journal speaks of is known today." in shown
    assert "What comes next today:" in shown


def test_what_is_not_known_today_is_named_with_its_event(folder, knowledge):
    put_down(
        folder,
        1,
        START,
        found("crystal-ball", "red"),
        found("igniter-glow", "purple"),
        Repaired(time=T, repair="pray"),
    )
    page = data(folder, "replay")
    assert not page["same"]
    assert page["not_known"] == [
        {"event": 2, "subject": "check", "name": "crystal-ball"},
        {"event": 3, "subject": "outcome", "name": "igniter-glow: purple"},
        {"event": 4, "subject": "repair", "name": "pray"},
    ]
    shown = " ".join(run(folder, "replay").stdout.split())
    assert "Event 2: the check crystal-ball is not known today; it is left out." in shown
    assert "Left out: it is not known today." in run(folder, "show").stdout


def test_a_reading_with_another_outcome_today_is_told(folder, knowledge):
    put_down(folder, 1, START, found("manifold-pressure-in-trial", "none", "3.5 inwc"))
    (other,) = data(folder, "replay")["read_otherwise"]
    assert (other["event"], other["then"], other["entered"]) == (2, "none", "3.5 inwc")
    assert other["now"] != "none"
    assert "3.5 inwc: then it was" in " ".join(run(folder, "replay").stdout.split())


def test_another_leading_repair_than_the_one_that_cured_is_told(folder, knowledge):
    put_down(folder, 1, START, Closed(time=T, how="found", repair="replace-pressure-switch"))
    assert "Leading today, another:" in " ".join(run(folder, "replay").stdout.split())
    assert not data(folder, "replay")["same"]


def test_a_furnace_not_known_today_cannot_be_run_again_and_is_exit_1(folder):
    put_down(folder, 1, Started(time=T, furnace="steam-engine", version="0.0.1"), found("x", "y"))
    result = run(folder, "replay")
    assert result.exit_code == 1
    assert "steam-engine" in result.stdout
    assert "nothing can be run again" in " ".join(result.stdout.split())
    page = run(folder, "replay", "--json")
    assert page.exit_code == 1
    assert json.loads(page.stdout)["not_known"][0]["subject"] == "furnace"
    shown = run(folder, "show")
    assert shown.exit_code == 0
    assert "x (not known today)" in shown.stdout
