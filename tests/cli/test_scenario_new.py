"""`lightoff scenario new`: nothing typed is lost, no file is written over, what it writes reads."""

import errno
import os

import pytest
from click.testing import CliRunner

from lightoff.cli import names
from lightoff.cli.main import lightoff
from lightoff.cli.scenario import drafts as scenario_drafts
from lightoff.cli.scenario import new as command
from lightoff.cli.scenario import trial
from lightoff.engine import strict_yaml
from lightoff.engine.library.scenarios import read_scenario
from lightoff.engine.reasoning.diagnosis import Diagnosis
from lightoff.engine.teaching import draft
from tests.conftest import FURNACE

FAULT = ["flame-sensor.coated", "", ""]
"""With its usual degree, in every call."""
TO_TELLS = ["No heat in the gym", "", *FAULT, "", "1", "A gym.", "It lights and goes out."]
TO_THE_END = [*TO_TELLS, ".", "", "", "A weak flame looks like none.", "", "Look.", "", ""]


@pytest.fixture(scope="module")
def diagnosis(knowledge):
    return Diagnosis.of(knowledge, FURNACE)


@pytest.fixture(autouse=True)
def in_folder(monkeypatch, knowledge, diagnosis, tmp_path):
    monkeypatch.setattr(names, "load_knowledge", lambda: knowledge)
    monkeypatch.setattr(trial, "_diagnosis", lambda *_: diagnosis)
    monkeypatch.setenv("COLUMNS", "80")
    monkeypatch.chdir(tmp_path)


def new(lines, *arguments):
    """Type lines; the input ends after them."""
    typed = "".join(f"{line}\n" for line in lines)
    call = ["scenario", "new", *map(str, arguments)]
    return CliRunner().invoke(lightoff, call, input=typed, catch_exceptions=False)


def flat(result):
    return " ".join(result.output.split())


def written(knowledge, path):
    found, problems = read_scenario(path, knowledge)
    assert problems == []
    return found


# --- the file --------------------------------------------------------------------------


def test_what_was_answered_stands_in_the_file_and_is_checked(knowledge, tmp_path):
    result = new(TO_THE_END, "gym.yaml")
    assert result.exit_code == 0, result.output
    scenario = written(knowledge, tmp_path / "gym.yaml")
    entry = scenario.entry
    assert (entry.title, entry.level) == ("No heat in the gym", "first-week")
    assert [each.fault.id for each in scenario.hidden] == ["flame-sensor.coated"]
    assert entry.complaint == "It lights and goes out."
    assert (entry.tools, entry.tells, entry.hints) == (None, {}, ["Look."])
    assert "gym.yaml: sound" in flat(result)
    assert flat(result).endswith("lightoff scenario sheet gym.yaml (with --key: the answer)")
    assert os.listdir(tmp_path) == ["gym.yaml"]


def test_enter_allows_half_again_the_minutes_of_the_program(knowledge, tmp_path):
    result = new(TO_THE_END, "gym.yaml")
    own = float(flat(result).split("Path of the program: ")[1].split()[0])
    allowed = written(knowledge, tmp_path / "gym.yaml").entry.minutes
    assert 1.45 * own <= allowed <= 1.5 * own + 6.0


def test_without_a_file_its_name_is_made_from_the_title(knowledge, tmp_path):
    title, *rest = TO_THE_END
    assert new([title, "", *rest]).exit_code == 0
    assert written(knowledge, tmp_path / "no-heat-in-the-gym.yaml").id == "no-heat-in-the-gym"


def test_degree_share_second_fault_facts_and_tools_are_written(knowledge, tmp_path):
    lines = ["Two at once", "", "igniter.aged", "x2.8", "40%", "filter.plugged", "", "after 2"]
    lines += ["2", "", "", "2", ".", "6 1 hand-tools", "300", "Learn.", "", "Look.", "", ""]
    new(lines, "two.yaml")
    scenario = written(knowledge, tmp_path / "two.yaml")
    one, other = scenario.entry.faults
    assert (one.sets, one.shows.share) == ({"resistance": "x2.8"}, 0.4)
    assert (other.fault, other.sets, other.shows.after_calls) == ("filter.plugged", {}, 2)
    assert scenario.tells == {"smell-of-gas": "no"}
    assert scenario.tools == {"meter", "flashlight", "hand-tools"}


def test_a_refused_scenario_is_written_all_the_same_and_says_what_to_do(tmp_path):
    lines = list(TO_THE_END)
    lines[lines.index(".") + 2] = "5"
    result = new(lines, "gym.yaml")
    assert result.exit_code == 1
    assert "5 min are allowed" in flat(result)
    assert flat(result).endswith("Next: mend the file, then: lightoff scenario check gym.yaml")
    assert (tmp_path / "gym.yaml").exists()


@pytest.mark.parametrize(
    "text",
    ["no", "~", "on: [off]", "# 1", "- x", "'\"", "<script>", "1:30", "{a: b}", "é ü", "x " * 80],
)
def test_any_text_is_read_back_as_it_was_typed(tmp_path, text):
    text = " ".join(text.split())
    path = tmp_path / "x.yaml"
    path.write_text(draft.as_yaml({"setting": draft._Folded(text), "title": text}))
    assert strict_yaml.read(path).data == {"setting": text, "title": text}


# --- wrong answers ---------------------------------------------------------------------


@pytest.mark.parametrize(
    ("so_far", "wrong", "said"),
    [
        ([], "", "this needs an answer"),
        ([], "a\x1b[31mb", "signs that cannot be shown"),
        (["T"], "99", "type a number from 1 to"),
        (["T", ""], "zebra", "nothing is called zebra"),
        (["T", ""], "3", "type words for it first"),
        (["T", ""], "igniter", "type its number, or other words"),
        (["T", "", "igniter.aged"], "lots", "'lots' is no amount"),
        (["T", "", "igniter.aged"], "x1", "no change of degree"),
        (["T", "", "igniter.aged", ""], "often", "a share such as 0.4"),
        (["T", "", "igniter.aged", ""], "2", "no share of the calls"),
        (["T", "", "igniter.aged", ""], "after 99", "give 1 to 20"),
        (["T", "", "igniter.aged", "", ""], "igniter.open", "cannot be there at once"),
        (["T", "", "igniter.aged", "", "", ""], "9", "type a number from 1 to 5"),
        (TO_TELLS, "3", "type a number from 1 to 2"),
        ([*TO_TELLS, "."], "1 99", "99 is no tool"),
        ([*TO_TELLS, ".", ""], "soon", "type a figure of minutes"),
        ([*TO_TELLS, ".", ""], "nan", "type a figure of minutes"),
        ([*TO_TELLS, ".", ""], "0", "nobody works"),
    ],
)
def test_a_wrong_answer_is_asked_again_with_how_to_mend_it(tmp_path, so_far, wrong, said):
    result = new([*so_far, wrong], "x.yaml")
    assert said in flat(result)
    assert "\x1b" not in result.output
    kept = tmp_path / "x.yaml.draft"
    assert wrong == "" or not kept.exists() or wrong not in kept.read_text().split()


@pytest.mark.parametrize("name", ["X y.yaml", "gym.txt", "none/gym.yaml", "a" * 300 + ".yaml", "."])
def test_a_name_that_cannot_be_a_scenario_is_wrong_use(tmp_path, name):
    result = new(TO_THE_END, name)
    assert result.exit_code == 2
    assert len(result.output.splitlines()) == 1
    assert os.listdir(tmp_path) == []


# --- nothing is lost -------------------------------------------------------------------


@pytest.mark.parametrize("count", range(1, len(TO_THE_END)))
def test_broken_off_anywhere_it_goes_on_to_the_same_file(knowledge, tmp_path, count):
    assert new(TO_THE_END[:count], "gym.yaml").exit_code == 1
    assert not (tmp_path / "gym.yaml").exists()
    result = new(TO_THE_END[count:], "gym.yaml")
    assert result.exit_code == 0, result.output
    assert written(knowledge, tmp_path / "gym.yaml").entry.hints == ["Look."]
    assert os.listdir(tmp_path) == ["gym.yaml"]


def test_ctrl_c_says_in_one_line_where_the_draft_is(monkeypatch, tmp_path):
    lines = iter(TO_TELLS[:4])

    def ask():
        for line in lines:
            return line
        raise KeyboardInterrupt

    monkeypatch.setattr(command, "ask", ask)
    result = new([], "gym.yaml")
    assert result.exit_code == 130
    last = result.output.splitlines()[-1]
    assert last == "Saved in gym.yaml.draft. To go on: lightoff scenario new gym.yaml"
    assert strict_yaml.read(tmp_path / "gym.yaml.draft").data["title"] == TO_TELLS[0]


def test_broken_off_before_a_file_is_named_the_title_names_the_draft(tmp_path):
    result = new(["No heat in the gym"])
    assert "lightoff scenario new no-heat-in-the-gym.yaml" in flat(result)
    assert os.listdir(tmp_path) == ["no-heat-in-the-gym.yaml.draft"]


def test_broken_off_at_once_leaves_nothing(tmp_path):
    assert "nothing to save" in new([], "gym.yaml").output
    assert os.listdir(tmp_path) == []


def test_an_answer_taken_back_is_offered_again_and_can_be_changed(knowledge, tmp_path):
    lines = list(TO_THE_END)
    at = lines.index("It lights and goes out.")
    lines[at : at + 1] = ["b", "b", "", "A hall.", "It goes out."]
    assert new(lines, "gym.yaml").exit_code == 0
    entry = written(knowledge, tmp_path / "gym.yaml").entry
    assert (entry.level, entry.setting) == ("first-week", "A hall.")


def test_a_fact_told_can_be_taken_back(knowledge, tmp_path):
    lines = list(TO_THE_END)
    at = lines.index(".")
    lines[at:at] = ["1", "b", "-"]
    new(lines, "gym.yaml")
    assert written(knowledge, tmp_path / "gym.yaml").tells == {}


@pytest.mark.parametrize(
    "text", ["", "[a]", "title: [a]", "title: {a: b}", "title: a\ntitle: b", "\x00", "a: *b"]
)
def test_a_draft_that_cannot_be_read_is_told_and_left_as_it_is(tmp_path, text):
    (tmp_path / "gym.yaml.draft").write_text(text)
    result = new(TO_THE_END, "gym.yaml")
    assert result.exit_code == 1
    assert "gym.yaml.draft" in result.output
    assert (tmp_path / "gym.yaml.draft").read_text() == text


def test_a_wrong_answer_in_a_draft_is_told_and_asked_again(tmp_path):
    (tmp_path / "gym.yaml.draft").write_text('title: 7\nfurnace: none\nsetting: "[b]a"\n')
    result = new([""], "gym.yaml")
    assert "furnace in the draft" in flat(result)
    assert "\x1b" not in result.output
    kept = strict_yaml.read(tmp_path / "gym.yaml.draft").data
    assert (kept["title"], kept["setting"]) == ("7", "[b]a")


# --- files that are there, disks that are full ------------------------------------------


def test_a_file_that_is_there_is_kept_unless_it_is_said(tmp_path):
    (tmp_path / "gym.yaml").write_text("mine")
    result = new([""], "gym.yaml")
    assert "is there already" in flat(result)
    assert (tmp_path / "gym.yaml").read_text() == "mine"
    assert new(["other.yaml", *TO_THE_END], "gym.yaml").exit_code == 0
    assert (tmp_path / "gym.yaml").read_text() == "mine"
    assert (tmp_path / "other.yaml").exists()
    assert new(["o", *TO_THE_END], "gym.yaml").exit_code == 0
    assert (tmp_path / "gym.yaml").read_text().startswith("id: gym\n")


def test_a_file_that_comes_about_meanwhile_is_not_written_over(monkeypatch, tmp_path):
    real = command.write_new

    def late(path, text):
        if path.name == "gym.yaml":
            path.write_text("theirs")
        real(path, text)

    monkeypatch.setattr(command, "write_new", late)
    result = new([*TO_THE_END, "other.yaml"], "gym.yaml")
    assert result.exit_code == 0, result.output
    assert (tmp_path / "gym.yaml").read_text() == "theirs"
    assert (tmp_path / "other.yaml").read_text().startswith("id: other\n")


def test_the_draft_of_another_scenario_is_not_written_over(tmp_path):
    (tmp_path / "other.yaml.draft").write_text("title: theirs")
    (tmp_path / "gym.yaml").write_text("mine")
    assert "unfinished" in new(["other.yaml"], "gym.yaml").output
    assert (tmp_path / "other.yaml.draft").read_text() == "title: theirs"


def full(*_):
    raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))


def test_on_a_full_disk_the_text_is_on_the_screen(monkeypatch, tmp_path):
    monkeypatch.setattr(command, "write_new", full)
    result = new(TO_THE_END, "gym.yaml")
    assert result.exit_code == 2
    assert "gym.yaml cannot be written: No space left on device" in result.stderr
    text = result.stdout[result.stdout.index("id: gym") :]
    assert strict_yaml.parse(text.encode(), "x").data["complaint"] == "It lights and goes out."


def test_a_draft_that_cannot_be_saved_is_on_the_screen(monkeypatch, tmp_path):
    monkeypatch.setattr(scenario_drafts, "write_over", full)
    result = new(TO_TELLS, "gym.yaml")
    assert result.stderr.count("make room") == 1
    text = result.stdout[result.stdout.index("title: No heat") :]
    assert strict_yaml.parse(text.encode(), "x").data["setting"] == "A gym."


def test_half_a_file_is_not_left_behind(monkeypatch, tmp_path):
    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(OSError, match="No space"):
        command.write_new(tmp_path / "x.yaml", "text")
    (tmp_path / "y.yaml").write_text("mine")
    with pytest.raises(OSError, match="No space"):
        command.write_over(tmp_path / "y.yaml", "text")
    assert os.listdir(tmp_path) == ["y.yaml"]
    assert (tmp_path / "y.yaml").read_text() == "mine"
