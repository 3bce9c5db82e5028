"""`lightoff practice` at the terminal: the furnace answers, nothing leaks, nothing is lost."""

import sqlite3

import pytest
from click.testing import CliRunner

from lightoff.cli import classroom, names
from lightoff.cli.main import lightoff
from lightoff.engine.library import scenarios
from lightoff.engine.reasoning.diagnosis import Diagnosis
from lightoff.engine.teaching.practice.sealing import seal
from lightoff.engine.teaching.practice.store import Store
from tests.scenario_text import cold_gym

LONG = (
    "?",
    "ask",
    "1",
    "2",
    "3",
    "4",
    "ask weather",
    "notes",
    "call",
    "power off",
    "door off",
    "look board",
    "1",
    "look igniter",
    "2",
    "ohms igniter",
    "power on",
    "volts R C proving-draft",
    "volts IGN N igniter-warm-up",
    "nonsense",
    "99",
    "",
    "notes",
)


@pytest.fixture(scope="module")
def diagnoses(knowledge):
    return {name: Diagnosis.of(knowledge, name) for name in knowledge.furnaces}


@pytest.fixture(autouse=True)
def loaded(monkeypatch, knowledge, diagnoses):
    monkeypatch.setattr(names, "load_knowledge", lambda: knowledge)
    monkeypatch.setattr(Diagnosis, "of", lambda _, name, __=None: diagnoses[name])
    monkeypatch.setenv("COLUMNS", "80")


@pytest.fixture
def running(monkeypatch, tmp_path):
    def run(*arguments, typed=(), interrupts=False, command="practice"):
        lines = iter(typed)

        def typing(_prompt=""):
            try:
                return next(lines)
            except StopIteration:
                raise (KeyboardInterrupt if interrupts else EOFError) from None

        monkeypatch.setattr("builtins.input", typing)
        given = [command, *map(str, arguments), "--data-folder", str(tmp_path / "data")]
        return CliRunner().invoke(lightoff, given)

    return run


def words(result):
    return " ".join(result.output.split())


# --- nothing leaks -----------------------------------------------------------------------


@pytest.mark.parametrize("name", ["bakery-flat", "boat-house", "bee-yard", "ferry-house"])
def test_nothing_before_the_end_names_what_is_hidden(running, knowledge, tmp_path, name):
    path = scenarios.shipped() / f"{name}.yaml"
    scenario, _ = scenarios.read_scenario(path, knowledge)
    shown = running(name, "--seed", 4, typed=LONG)
    assert shown.exit_code == 0
    base = (tmp_path / "data" / "attempts.db").read_bytes().decode("latin-1")
    told = [
        words(shown),
        base,
        words(running(command="progress")),
        words(running("--json", command="progress")),
        words(running("--help")),
        seal(name, path.read_bytes()),
    ]
    for fault in scenario.faults:
        secrets = (fault.id, fault.entry.name, " ".join(fault.entry.because.split()))
        for text in told:
            assert not any(secret in text for secret in secrets)


def test_mistakes_of_a_scenario_file_are_counted_but_not_shown(running, tmp_path):
    path = cold_gym(tmp_path, ("flame-sensor.coated", "flame-sensor.coatd"))
    result = running(path)
    assert result.exit_code == 1
    assert "1 mistake" in result.output
    assert "coat" not in result.output


# --- the talk ----------------------------------------------------------------------------


def test_a_whole_attempt_is_marked_with_its_path_and_the_best(running, tmp_path):
    path = cold_gym(tmp_path)
    typed = [*"1", "power off", "gas off", "door off", "mend clean-flame-sensor", "power on"]
    typed += ["gas on", "door on", "call", "close", "1", "", "the rod was dirty"]
    result = running(path, "--seed", 1, "--at-once", typed=["ask", *typed])
    told = words(result)
    assert result.exit_code == 0, result.output
    assert "Passed on safety." in told
    assert "The program's own path" in told
    assert "A whole call was watched" in told
    assert "the rod was dirty" in told
    assert "Flame sensor" in told


def test_an_unsafe_act_is_called_at_once_and_shuts_the_gate(running, tmp_path):
    typed = ["door off", "ohms igniter", "close", "4", "", ""]
    told = words(running(cold_gym(tmp_path), "--seed", 1, typed=typed))
    assert "STOP. Hands off" in told
    assert "NOT PASSED: One unsafe act" in told


def test_going_on_after_a_sign_of_danger_is_called(running, tmp_path):
    path = cold_gym(tmp_path, ("since-when:", 'smell-of-gas: "yes", since-when:'))
    typed = ["ask", "1", "call", "close", "2", "", ""]
    told = words(running(path, "--seed", 1, typed=typed))
    assert "The work ends here." in told
    assert "NOT PASSED" in told


def test_a_hint_is_no_act_and_costs_marks(running, tmp_path):
    path = cold_gym(tmp_path, ("since-when:", 'smell-of-gas: "yes", since-when:'))
    typed = ["ask", "1", "hint", "hint", "close", "2", "", ""]
    told = words(running(path, "--seed", 1, typed=typed))
    assert "What does the board see of the flame?" in told
    assert "There are no more hints." in told
    assert "Passed on safety. 95 of 100." in told


def test_leaving_at_a_sign_of_danger_is_right(running, tmp_path):
    path = cold_gym(tmp_path, ("since-when:", 'smell-of-gas: "yes", since-when:'))
    told = words(running(path, "--seed", 1, typed=["ask", "1", "close", "2", "", ""]))
    assert "Right to end the work here." in told
    assert "Passed on safety. 100 of 100." in told


def test_wrong_words_cost_nothing(running, tmp_path):
    typed = [
        "blub",
        "9" * 6000,
        "\u0663",
        "volts",
        "volts X Y heating",
        "power sideways",
        "mend",
        "close",
        "9",
    ]
    told = words(running(cold_gym(tmp_path), typed=typed))
    assert told.count("[0 min;") == len(typed)  # the last one closes nothing
    assert "Traceback" not in told


# --- nothing is lost ---------------------------------------------------------------------


@pytest.mark.parametrize("interrupts", [False, True])
def test_a_broken_off_attempt_goes_on_where_it_was(running, tmp_path, interrupts):
    first = running(
        cold_gym(tmp_path), "--seed", 1, typed=["ask", "1", "power off"], interrupts=interrupts
    )
    assert "lightoff practice --resume 1" in first.output
    assert first.exit_code == (130 if interrupts else 0)
    again = words(running("--resume", 1, typed=["notes"]))
    assert "Line power at the service switch: off" in again
    assert "power off" in again


def test_an_attempt_keeps_the_scenario_that_it_began_with(running, tmp_path, monkeypatch):
    path = cold_gym(tmp_path)
    monkeypatch.setattr(scenarios, "shipped", lambda: tmp_path)
    running(path, typed=["power off"])
    cold_gym(tmp_path, ("No heat in the gym", "Another title"))
    told = words(running("--resume", 1))
    assert "The scenario was changed since" in told
    assert "No heat in the gym" in told


def test_a_damaged_file_of_attempts_is_one_line_and_stays_as_it_is(running, tmp_path):
    running(cold_gym(tmp_path), typed=["power off"])
    base = tmp_path / "data" / "attempts.db"
    base.write_bytes(b"rubbish" * 200)
    result = running("--resume", 1)
    assert result.exit_code == 1
    assert result.output.count("\n") == 1
    assert "damaged" in result.output
    assert base.read_bytes() == b"rubbish" * 200


def test_acts_that_are_missing_are_noticed(running, tmp_path):
    running(cold_gym(tmp_path), typed=["power off", "power on"])
    base = sqlite3.connect(tmp_path / "data" / "attempts.db")
    with base:
        base.execute("delete from act where number = 1")
    base.close()
    result = running("--resume", 1)
    assert result.exit_code == 1
    assert "acts are missing" in result.output


def test_a_second_terminal_on_the_same_attempt_is_told(running, tmp_path, monkeypatch):
    running(cold_gym(tmp_path), typed=["power off"])
    put = Store.put

    def overtaken(self, attempt, number, act):
        with Store(self.path) as other:
            put(other, attempt, number, act)
        put(self, attempt, number, act)

    monkeypatch.setattr(Store, "put", overtaken)
    result = running("--resume", 1, typed=["door off"])
    assert result.exit_code == 1
    assert "another terminal" in result.output
    assert "--resume 1" in result.output
    monkeypatch.undo()


def test_a_full_disk_is_one_line_and_earlier_acts_stay(running, tmp_path, monkeypatch):
    running(cold_gym(tmp_path), typed=["power off"])
    made = Store.__init__

    def nearly_full(self, path):
        made(self, path)
        pages = self._base.execute("pragma page_count").fetchone()[0]
        self._base.execute(f"pragma max_page_count = {pages}")

    with monkeypatch.context() as patch:
        patch.setattr(Store, "__init__", nearly_full)
        result = running("--resume", 1, typed=["door off", *["power on", "power off"] * 100])
    assert result.exit_code == 1
    assert "make room" in result.output
    assert "Traceback" not in result.output
    again = words(running("--resume", 1, typed=["notes"]))
    assert "Burner and blower doors: off" in again


def test_a_number_that_is_no_attempt_is_told(running):
    result = running("--resume", 7)
    assert result.exit_code == 1
    assert "no attempt 7" in result.output


# --- sealed ------------------------------------------------------------------------------


def test_a_sealed_scenario_is_practised_like_a_plain_one(running, tmp_path):
    path = cold_gym(tmp_path)
    sealed = tmp_path / "gym.sealed"
    sealed.write_text(seal("cold-gym", path.read_bytes()))
    assert "No heat in the gym" in running(sealed, typed=[]).output


def test_a_seal_that_was_touched_is_refused(running, tmp_path):
    sealed = tmp_path / "gym.sealed"
    text = seal("cold-gym", cold_gym(tmp_path).read_bytes())
    sealed.write_text(text[:-8] + ("A" if text[-8] != "A" else "B") + text[-7:])
    result = running(sealed)
    assert result.exit_code == 1
    assert "the seal is broken" in result.output


# --- choosing, progress, class -----------------------------------------------------------


def closed(running, path, *arguments):
    typed = ["power off", "gas off", "door off", "mend replace-board", "close", "4", "", ""]
    return running(path, "--seed", 1, *arguments, typed=typed)


def test_without_a_name_an_easy_one_is_chosen_first_and_another_one_then(running):
    first = running(typed=["close", "4", "", ""]).output
    second = running(typed=[]).output
    assert "first-week" in first
    assert first.splitlines()[0] != second.splitlines()[0]


def test_progress_shows_marks_weak_areas_and_what_is_open(running, tmp_path):
    closed(running, cold_gym(tmp_path))
    running(cold_gym(tmp_path), typed=["power off"])
    told = words(running(command="progress"))
    assert "Weak: flame" in told
    assert "Attempt 2 (cold-gym) is not closed" in told


def test_an_attempt_is_handed_in_and_counts_once_in_a_class(running, tmp_path):
    closed(running, cold_gym(tmp_path))
    folder = tmp_path / "in"
    folder.mkdir()
    out = folder / "ann.attempt"
    runner = CliRunner()
    given = ["progress", "--data-folder", str(tmp_path / "data"), "export", "1", str(out)]
    assert runner.invoke(lightoff, [*given, "--as", "<b>Ann"]).exit_code == 0
    assert "there already" in runner.invoke(lightoff, given).output
    (folder / "copy.attempt").write_bytes(out.read_bytes())
    told = runner.invoke(lightoff, ["class", str(folder)])
    assert told.exit_code == 0
    assert "<b>Ann" in told.output
    assert "Clean the flame sensor" in told.output
    page = runner.invoke(lightoff, ["class", str(folder), "--html"]).output
    assert "<b>Ann" not in page
    assert "&lt;b&gt;Ann" in page
    table = runner.invoke(lightoff, ["class", str(folder), "--csv"]).output.splitlines()
    assert len(table) == 2


def test_a_damaged_attempt_is_named_and_left_out(running, tmp_path):
    closed(running, cold_gym(tmp_path))
    out = tmp_path / "ann.attempt"
    runner = CliRunner()
    given = ["progress", "--data-folder", str(tmp_path / "data"), "export", "1", str(out)]
    runner.invoke(lightoff, given)
    (tmp_path / "bob.attempt").write_bytes(out.read_bytes().replace(b'"safe":', b'"safe" :'))
    (tmp_path / "eve.attempt").write_bytes(b"\x00\xff")
    told = runner.invoke(lightoff, ["class", str(tmp_path)])
    assert told.exit_code == 1
    assert "bob.attempt: damaged" in told.output
    assert "eve.attempt: no attempt" in told.output
    assert "ann" in told.output


def test_a_cell_that_a_spreadsheet_would_run_is_made_text(running, tmp_path):
    closed(running, cold_gym(tmp_path))
    runner = CliRunner()
    out = tmp_path / "x.attempt"
    given = ["progress", "--data-folder", str(tmp_path / "data"), "export", "1", str(out)]
    runner.invoke(lightoff, [*given, "--as", "=1+1"])
    assert "\n'=1+1," in runner.invoke(lightoff, ["class", str(tmp_path), "--csv"]).output


def test_a_class_says_which_scenario_was_changed_since(running, tmp_path, monkeypatch):
    monkeypatch.setattr(scenarios, "shipped", lambda: tmp_path)
    closed(running, cold_gym(tmp_path))
    runner = CliRunner()
    out = tmp_path / "ann.attempt"
    given = ["progress", "--data-folder", str(tmp_path / "data"), "export", "1", str(out)]
    runner.invoke(lightoff, given)
    cold_gym(tmp_path, ("No heat in the gym", "Another title"))
    told = runner.invoke(lightoff, ["class", str(tmp_path)])
    assert told.exit_code == 0
    assert "cold-gym was changed since" in told.stderr


def test_an_export_that_cannot_be_written_says_that_the_attempt_is_kept(running, tmp_path):
    closed(running, cold_gym(tmp_path))
    given = ["progress", "--data-folder", str(tmp_path / "data"), "export", "1", "/dev/full/x"]
    told = CliRunner().invoke(lightoff, given)
    assert told.exit_code == 2
    assert "cannot be written" in told.output
    assert running("--resume", 1).exit_code == 0, "the attempt is kept"


@pytest.mark.parametrize("who", ["=1+1", "+1", "-1", "@SUM(A1)", " =1"])
def test_any_cell_that_is_run_is_quoted(who):
    assert classroom._harmless(who).startswith("'")
    assert classroom._harmless("Ann") == "Ann"


def test_an_open_attempt_is_not_handed_in(running, tmp_path):
    running(cold_gym(tmp_path), typed=["power off"])
    given = ["progress", "--data-folder", str(tmp_path / "data"), "export", "1", "x.attempt"]
    result = CliRunner().invoke(lightoff, given)
    assert result.exit_code == 1
    assert "not closed" in result.output
