"""`lightoff experience`, and what closed jobs change in a diagnosis."""

import json

import pytest
from click.testing import CliRunner

from lightoff.cli.main import lightoff
from lightoff.engine.reasoning.job import Closed, Found, Started
from lightoff.engine.reasoning.journal import encode

T = "2026-01-02T10:11:12+00:00"
FURNACE = "two-pipe-condensing"
START = Started(time=T, furnace=FURNACE, version="0.0.1")
GOOD = f"{FURNACE}:\n  jobs: 3\n  faults:\n    igniter.open: 2.5\n    filter.plugged: 0.5\n"


@pytest.fixture(autouse=True)
def read_once(monkeypatch, knowledge):
    monkeypatch.setattr("lightoff.engine.library.load", lambda: knowledge)


@pytest.fixture
def folder(tmp_path):
    """A folder of jobs: two igniters, one filter, one that was only left."""
    folder = tmp_path / "jobs"
    for number, repair in enumerate(("replace-igniter", "replace-igniter", "replace-filter"), 1):
        put_down(folder, number, repair)
    put_down(folder, 4, "", how="left")
    return folder


def put_down(folder, number, repair, how="found"):
    folder.mkdir(exist_ok=True)
    glow = Found(time=T, check="igniter-glow", outcome="dark", entered="1")
    events = (START, glow, Closed(time=T, how=how, repair=repair))
    lines = [encode(place, event) for place, event in enumerate(events, 1)]
    (folder / f"job-{number:04d}.jsonl").write_bytes(b"".join(lines))


def lightoff_run(folder, *arguments, typed=None):
    chosen = [*map(str, arguments), "--journal-folder", str(folder)]
    return CliRunner().invoke(lightoff, chosen, input=typed)


def run(folder, *arguments):
    return lightoff_run(folder, "experience", *arguments)


def done(folder, *arguments):
    result = run(folder, *arguments)
    assert result.exit_code == 0, result.output
    return result.stdout


def data(folder, *arguments):
    return json.loads(done(folder, "list", "--json", *arguments))


def faults(folder):
    """Fault -> (share shipped, jobs, share now)."""
    (furnace,) = (each for each in data(folder)["furnaces"] if each["id"] == FURNACE)
    return {each["id"]: (each["shipped"], each["jobs"], each["now"]) for each in furnace["faults"]}


def refused(result, code, *words):
    """That a command ended with this code and one line for each mistake, nothing else."""
    assert (result.exit_code, result.stdout) == (code, "")
    assert "\x1b" not in result.stderr
    assert all(word in result.stderr for word in words), result.stderr


# --- list -------------------------------------------------------------------------


def test_the_list_says_of_each_fault_the_share_shipped_the_jobs_and_the_share_now(folder):
    rows = faults(folder)
    shipped, jobs, now = rows["filter.plugged"]
    assert jobs == 1
    assert now == pytest.approx((50 * shipped + 0.94 * 1) / 53, abs=1e-5)
    igniter = [row for fault, row in rows.items() if fault.startswith("igniter.")]
    assert sum(row[1] for row in igniter) == pytest.approx(2.0)
    assert sum(row[2] for row in rows.values()) == pytest.approx(0.94, abs=1e-4)
    shown = done(folder, "list")
    assert "3 own jobs" in shown
    assert "filter.plugged" in shown
    assert "vent-pipe.blocked " not in shown
    assert "vent-pipe.blocked " in done(folder, "list", "--all")


def test_the_list_names_jobs_imports_and_what_does_not_count(folder, tmp_path):
    put_down(folder, 5, "pray")
    (folder / "job-0006.jsonl").write_bytes(b"{}\n")
    imported(folder, tmp_path, "north")
    done(folder, "leave-out", "2")
    page = data(folder)
    assert page["own_jobs"] == ["job-0001", "job-0003"]
    assert page["imported"] == [{"name": "north", "jobs": {FURNACE: 3}}]
    assert page["left_out"] == ["job-0002"]
    assert "job-0006" in page["set_aside"][0]
    assert "pray" in page["not_known"][0]
    # A long path of the folder is broken anywhere at the edge of the screen.
    shown = "".join(done(folder, "list").split())
    for words in ("job-0002", "north,3jobs", "pray", "job-0006.jsonl:1"):
        assert words in shown


def test_without_jobs_the_list_shows_the_shipped_weights(tmp_path):
    assert all(shipped == now for shipped, _, now in faults(tmp_path / "none").values())
    assert "0 own jobs" in done(tmp_path / "none", "list")
    assert not (tmp_path / "none").exists()


def test_every_line_of_the_list_fits_80_columns(folder, monkeypatch):
    monkeypatch.setenv("COLUMNS", "80")
    assert max(map(len, done(folder, "list", "--all").splitlines())) <= 80


def test_an_unknown_furnace_is_refused_with_the_nearest(folder):
    refused(run(folder, "list", "--furnace", "two-pip"), 2, FURNACE)


# --- reversible -------------------------------------------------------------------


def test_off_and_on_again_changes_nothing_in_the_end(folder):
    before = data(folder)
    assert "experience use on" in done(folder, "use", "off")
    assert not data(folder)["use"]
    assert "Switched off" in done(folder, "list")
    done(folder, "use", "off")
    done(folder, "use", "on")
    assert data(folder) == before


def test_a_job_left_out_and_taken_in_again_changes_nothing_in_the_end(folder):
    before = data(folder)
    done(folder, "leave-out", "job-0003")
    assert faults(folder)["filter.plugged"][1] == 0
    done(folder, "take-in", "3")
    assert data(folder) == before


def test_an_import_that_is_dropped_changes_nothing_in_the_end(folder, tmp_path):
    before = data(folder)
    imported(folder, tmp_path, "north")
    assert faults(folder)["filter.plugged"][1] == 1.5
    done(folder, "drop", "north")
    assert data(folder) == before


@pytest.mark.parametrize("name", ["9", "../job-0001", "\x1b[31m"])
def test_a_job_that_does_not_exist_cannot_be_left_out_nor_taken_in(folder, name):
    refused(run(folder, "leave-out", name), 2, "no job")
    refused(run(folder, "take-in", name), 2, "no job left out")
    assert not (folder / "experience").exists()


@pytest.mark.parametrize("name", ["north", "../../jobs/job-0001", "off"])
def test_what_was_not_imported_cannot_be_dropped(folder, name):
    done(folder, "use", "off")
    refused(run(folder, "drop", name), 2, "no import")
    assert (folder / "experience" / "off").exists()
    assert (folder / "job-0001.jsonl").exists()


# --- export and import ------------------------------------------------------------


def imported(folder, tmp_path, name, text=GOOD):
    file = tmp_path / "sent.yaml"
    file.write_text(text, encoding="utf-8")
    return done(folder, "import", file, "--as", name)


def test_what_is_exported_is_imported_elsewhere_with_the_same_effect(folder, tmp_path):
    done(folder, "export", tmp_path / "shop.yaml")
    assert "drop shop" in done(tmp_path / "other", "import", tmp_path / "shop.yaml")
    assert faults(tmp_path / "other") == faults(folder)


def test_an_export_holds_own_counts_only_and_nothing_of_a_person_or_a_day(folder, tmp_path):
    imported(folder, tmp_path, "north")
    assert "3 jobs" in done(folder, "export", tmp_path / "shop.yaml")
    text = (tmp_path / "shop.yaml").read_text()
    assert text.startswith("# Experience for lightoff")
    assert "north" not in text
    assert "filter.plugged: 1\n" in text
    assert not any(word in text for word in ("2026", "job-", "igniter-glow", "dark", "0.0.1"))


def test_an_export_replaces_no_file_unless_told_to(folder, tmp_path):
    file = tmp_path / "shop.yaml"
    file.write_text("mine")
    refused(run(folder, "export", file), 2, "--overwrite")
    assert file.read_text() == "mine"
    done(folder, "export", file, "--overwrite")
    assert file.read_text() != "mine"


def test_there_is_nothing_to_export_without_a_proven_repair(tmp_path):
    refused(run(tmp_path / "none", "export", tmp_path / "x.yaml"), 1, "no closed job")
    assert not (tmp_path / "x.yaml").exists()


def test_an_export_to_where_no_folder_is_is_one_line(folder, tmp_path):
    refused(run(folder, "export", tmp_path / "no" / "x.yaml"), 1, "x.yaml")


def test_a_file_with_mistakes_is_not_imported_and_each_is_told_with_its_line(folder, tmp_path):
    file = tmp_path / "sent.yaml"
    file.write_text(GOOD.replace("igniter.open", "igniter.opn").replace("0.5", "-1"))
    result = run(folder, "import", file)
    refused(result, 1, f"{file}:4", "did you mean igniter.open", f"{file}:5")
    assert data(folder)["imported"] == []


@pytest.mark.parametrize("content", [b"", b"\xff\xfe", b"\x00", b"a: &x [*x]", b"{}"])
def test_hostile_content_is_refused_in_plain_words(folder, tmp_path, content):
    file = tmp_path / "sent.yaml"
    file.write_bytes(content)
    refused(run(folder, "import", file), 1, "sent.yaml:1")


def test_a_file_that_is_not_there_is_refused(folder, tmp_path):
    refused(run(folder, "import", tmp_path / "none.yaml"), 1, "none.yaml")


@pytest.mark.parametrize("name", ["../evil", "/evil", "", ".", "a b", "\x1b[31m", "x" * 99])
def test_a_name_that_cannot_be_one_is_refused(folder, tmp_path, name):
    file = tmp_path / "sent.yaml"
    file.write_text(GOOD)
    refused(run(folder, "import", file, "--as", name), 2, "north-shop")
    assert not (folder / "experience").exists()


def test_a_file_whose_name_cannot_be_used_needs_another(folder, tmp_path):
    file = tmp_path / "Our shop (2).yaml"
    file.write_text(GOOD)
    refused(run(folder, "import", file), 2, "--as")
    done(folder, "import", file, "--as", "our-shop")


def test_a_name_is_used_once(folder, tmp_path):
    imported(folder, tmp_path, "north")
    refused(run(folder, "import", tmp_path / "sent.yaml", "--as", "north"), 2, "drop it first")


def test_the_same_counts_twice_are_warned_of(folder, tmp_path):
    imported(folder, tmp_path, "north")
    again = run(folder, "import", tmp_path / "sent.yaml", "--as", "south")
    assert again.exit_code == 0
    assert "same counts as north" in again.stderr
    done(folder, "export", tmp_path / "own.yaml")
    assert "this shop's own jobs" in " ".join(
        run(folder, "import", tmp_path / "own.yaml").stderr.split()
    )


# --- in a diagnosis ---------------------------------------------------------------


def findings(tmp_path, folder, *options):
    file = tmp_path / "findings.yaml"
    file.write_text("status-light-after-call: ignition\n")
    chosen = ("diagnose", "--furnace", FURNACE, "--findings", file, *options)
    return lightoff_run(folder, *chosen)


def shares(result):
    report = json.loads(result.stdout)
    return {each["id"]: each["probability"] for each in report["suspects"]}, report["experience"]


def test_findings_from_a_file_are_read_by_the_shipped_weights_unless_asked(folder, tmp_path):
    shipped, none = shares(findings(tmp_path, folder, "--json"))
    counted, jobs = shares(findings(tmp_path, folder, "--json", "--experience"))
    assert (none, jobs) == (None, {"own_jobs": 3, "imported_jobs": 0})
    assert counted["igniter.open"] > shipped["igniter.open"]
    bare, _ = shares(findings(tmp_path, tmp_path / "none", "--json", "--experience"))
    assert bare == shipped


def test_asked_for_in_so_many_words_it_counts_though_switched_off(folder, tmp_path):
    done(folder, "use", "off")
    _, jobs = shares(findings(tmp_path, folder, "--json", "--experience"))
    assert jobs == {"own_jobs": 3, "imported_jobs": 0}


def test_experience_is_asked_for_with_findings_only(folder):
    refused(lightoff_run(folder, "diagnose", "--experience"), 2, "--findings")


COUNTS = "Counts 3 of this shop's jobs"


def test_a_job_says_on_its_first_screen_what_counts_and_how_to_switch_it_off(folder):
    begun = lightoff_run(folder, "diagnose", "--furnace", FURNACE, typed="q\n")
    line = next(line for line in begun.stdout.splitlines() if COUNTS in line)
    assert "lightoff experience use off" in line
    done(folder, "use", "off")
    assert (
        "Counts" not in lightoff_run(folder, "diagnose", "--furnace", FURNACE, typed="q\n").stdout
    )


def test_a_job_taken_up_again_says_it_too(folder):
    lightoff_run(folder, "diagnose", "--furnace", FURNACE, typed="n\nq\n")
    assert COUNTS in lightoff_run(folder, "diagnose", "--resume", typed="q\n").stdout


def test_a_first_screen_without_closed_jobs_says_nothing_of_it(tmp_path):
    begun = lightoff_run(tmp_path / "none", "diagnose", "--furnace", FURNACE, typed="q\n")
    assert begun.exit_code == 0
    assert "Counts" not in begun.stdout


@pytest.mark.parametrize("command", ["show", "replay"])
def test_a_past_job_is_looked_at_with_the_other_jobs(folder, command):
    page = json.loads(lightoff_run(folder, "job", command, "1", "--json").stdout)
    assert page["experience"] == {"own_jobs": 2, "imported_jobs": 0}
    shown = lightoff_run(folder, "job", command, "4").stdout
    assert COUNTS in shown
    done(folder, "use", "off")
    page = json.loads(lightoff_run(folder, "job", command, "1", "--json").stdout)
    assert page["experience"] is None


def test_a_folder_that_cannot_be_listed_is_one_line(tmp_path):
    (tmp_path / "file").write_text("no folder")
    refused(run(tmp_path / "file" / "jobs", "list"), 1, "cannot be")
