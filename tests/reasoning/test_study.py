"""A study: its tasks, outcomes, file, summary and comparison."""

from dataclasses import replace
from itertools import combinations

import msgspec
import pytest

from lightoff.engine.reasoning.planning.choice import Decision
from lightoff.engine.reasoning.planning.costs import REFER_MINUTES
from lightoff.engine.reasoning.study.difference import Comparison
from lightoff.engine.reasoning.study.outcome import Done, Made, Outcome, Stamp, outcome_of
from lightoff.engine.reasoning.study.records import StudyError, StudyFile, outcomes
from lightoff.engine.reasoning.study.summary import summary_of
from lightoff.engine.reasoning.study.sums import ONE_AREA, TWO_AREAS, Tally
from lightoff.engine.reasoning.study.tasks import Task, tasks
from lightoff.engine.reasoning.study.work import digest, stamp_now

STAMP = Stamp(version="1", program="p", knowledge="k")
FURNACE = "two-pipe-condensing"
OPEN, AGED, FILTER = "igniter.open", "igniter.aged", "filter.plugged"


def task(*faults: str, seed: int = 0, errors: float = 0.0) -> Task:
    return Task(furnace=FURNACE, faults=faults or (OPEN,), seed=seed, errors=errors)


def told(of: Task, right: bool = True, checks: int = 2, advised: str = "x", **more) -> Outcome:
    """An outcome made up: so many checks of 2 minutes, a repair of 10."""
    needed = advised if right else "another"
    return Outcome(
        task=of,
        stamp=STAMP,
        needed=(needed,),
        checks=tuple(Made(f"check-{number}", "yes", 2.0, 1.0) for number in range(checks)),
        repairs=(Done(advised, 10.0, 40.0),),
        ended="cured" if right else "refer",
        right_at_first=right,
        right_in_the_end=right,
        suspect="s",
        suspect_probability=0.97,
        suspect_right=right,
        price=100.0,
        **more,
    )


def advising(*repairs: str, first: str = "igniter-glow"):
    """Make one check, then do these repairs in turn, then refer."""
    left = [
        Decision("check", first, None, "", 0.0, 0.0),
        *(Decision("repair", None, each, each, 0.9, 0.0) for each in repairs),
        Decision("refer", None, None, "", 0.0, 0.0),
    ]
    return lambda belief, job: left.pop(0)


# --- tasks ------------------------------------------------------------------------


def test_every_fault_is_a_task_and_every_pair_that_can_be_there_at_once(furnace):
    all_ = [each.faults for each in tasks(furnace, pairs=True)]
    assert [each for each in all_ if len(each) == 1] == [(fault,) for fault in furnace.faults]
    possible = {
        (one.id, other.id)
        for one, other in combinations(furnace.faults.values(), 2)
        if not set(one.overrides) & set(other.overrides)
    }
    assert {each for each in all_ if len(each) == 2} == possible
    assert (OPEN, AGED) not in possible
    assert len(all_) == len(set(all_))


def test_a_named_fault_keeps_itself_and_the_pairs_that_hold_it(furnace):
    some = [each.faults for each in tasks(furnace, pairs=True, only=[FILTER])]
    assert (FILTER,) in some
    assert len(some) > 50
    assert all(FILTER in faults for faults in some)


def test_seeds_are_played_only_where_answers_may_be_wrong(furnace):
    assert [each.seed for each in tasks(furnace, seeds=3, only=[OPEN])] == [0]
    assert [each.seed for each in tasks(furnace, seeds=3, errors=0.1, only=[OPEN])] == [0, 1, 2]


# --- outcomes ---------------------------------------------------------------------


def test_a_right_first_repair_is_right_at_first_and_in_the_end(diagnosis):
    outcome = outcome_of(diagnosis, task(), STAMP, advising("replace-igniter"))
    assert outcome.right_at_first
    assert outcome.right_in_the_end
    assert outcome.right
    assert outcome.needed == ("replace-igniter",)
    assert [(each.check, each.outcome) for each in outcome.checks] == [("igniter-glow", "dark")]


def test_a_wrong_first_repair_is_right_only_in_the_end(diagnosis):
    choose = advising("replace-gas-valve", "replace-igniter")
    outcome = outcome_of(diagnosis, task(), STAMP, choose)
    assert (outcome.right_at_first, outcome.right_in_the_end, outcome.right) == (False, True, False)
    assert outcome.advised_first == "replace-gas-valve"


def test_one_of_two_repairs_that_are_needed_is_right_at_first(diagnosis):
    choose = advising("replace-igniter", "replace-filter")
    outcome = outcome_of(diagnosis, task(OPEN, FILTER), STAMP, choose)
    assert outcome.right_at_first
    assert outcome.right
    half = outcome_of(diagnosis, task(OPEN, FILTER), STAMP, advising("replace-igniter"))
    assert (half.right_at_first, half.right_in_the_end) == (True, False)


def test_a_pair_advised_for_a_single_fault_is_half_in_vain(diagnosis):
    choose = advising("replace-igniter+replace-filter")
    outcome = outcome_of(diagnosis, task(), STAMP, choose)
    assert (outcome.right_at_first, outcome.right_in_the_end, outcome.right) == (False, True, False)


def test_a_job_stopped_on_answers_read_right_is_right_and_on_a_misread_one_is_not(diagnosis):
    fault = "intake-pipe.draws-flue-gas"
    stopped = outcome_of(diagnosis, task(fault), STAMP, advising(first="flue-co"))
    assert (stopped.ended, stopped.right_at_first, stopped.right) == ("stopped", True, True)
    seeds = (task(OPEN, seed=seed, errors=1.0) for seed in range(20))
    misread = [outcome_of(diagnosis, each, STAMP, advising(first="flue-co")) for each in seeds]
    assert any(each.ended == "stopped" for each in misread)
    assert not any(each.right for each in misread if each.ended == "stopped")


def test_a_job_that_did_not_cure_costs_its_referral_and_the_repair_it_needed(diagnosis):
    cured = outcome_of(diagnosis, task(), STAMP, advising("replace-igniter"))
    given_up = outcome_of(diagnosis, task(), STAMP, advising())
    assert given_up.price == pytest.approx(cured.price + REFER_MINUTES)


def test_minutes_are_checks_with_set_up_repairs_and_one_call_after_each(diagnosis):
    choose = advising("replace-gas-valve", "replace-igniter")
    outcome = outcome_of(diagnosis, task(), STAMP, choose)
    hands = sum(each.minutes for each in outcome.repairs)
    made = sum(each.minutes + each.setup for each in outcome.checks)
    assert outcome.minutes == pytest.approx(made + hands + 2 * 15.0)


def test_a_diagnosis_that_breaks_down_is_told_and_stops_no_other(diagnosis):
    def broken(belief, job):
        raise LookupError("no outcome for 3 V")

    outcome = outcome_of(diagnosis, task(), STAMP, broken)
    assert (outcome.ended, outcome.problem) == ("failed", "LookupError: no outcome for 3 V")


def test_the_same_task_has_the_same_record_every_time(diagnosis):
    one, other = (outcome_of(diagnosis, task(OPEN, errors=0.2, seed=4), STAMP) for _ in range(2))
    assert msgspec.json.encode(one) == msgspec.json.encode(other)


# --- the file ---------------------------------------------------------------------


def kept(path, *made: Outcome):
    with StudyFile.open(path, STAMP) as file:
        for outcome in made:
            file.add(outcome)
    return path


def test_what_was_written_is_read_again(tmp_path):
    made = [told(task(seed=seed, errors=0.1)) for seed in range(3)]
    path = kept(tmp_path / "out.jsonl", *made[:2])
    kept(path, made[2])
    assert list(outcomes(path)) == made


def test_a_torn_last_line_is_cut_off_with_a_notice_and_the_rest_stays(tmp_path):
    made = [told(task(seed=seed, errors=0.1)) for seed in range(2)]
    path = kept(tmp_path / "out.jsonl", *made)
    path.write_bytes(path.read_bytes()[:-20])
    assert list(outcomes(path)) == made[:1]
    with StudyFile.open(path, STAMP) as file:
        assert "cut off" in file.notice
        file.add(made[1])
    assert list(outcomes(path)) == made


@pytest.mark.parametrize("content", [b"{}\n", b"hello", b"hello\n", b'{"task": 3}\n', b"\xff\n"])
def test_a_file_that_is_no_study_is_refused_by_line_and_left_as_it_is(tmp_path, content):
    path = tmp_path / "precious.txt"
    path.write_bytes(content)
    with pytest.raises(StudyError, match=r"precious\.txt:1: .*name a file"):
        StudyFile.open(path, STAMP)
    assert path.read_bytes() == content


def test_a_bad_line_in_the_middle_is_named(tmp_path):
    path = kept(tmp_path / "out.jsonl", told(task()))
    path.write_bytes(path.read_bytes() + b"nonsense\n" + path.read_bytes())
    with pytest.raises(StudyError, match=r"out\.jsonl:2: this is no line of a study"):
        list(outcomes(path))


@pytest.mark.parametrize(
    ("other", "why"),
    [({"knowledge": "new"}, "other knowledge"), ({"program": "new"}, "another state")],
)
def test_a_file_of_other_knowledge_or_program_is_refused_with_what_to_do(tmp_path, other, why):
    path = kept(tmp_path / "out.jsonl", told(task()))
    before = path.read_bytes()
    with pytest.raises(StudyError, match=rf"{why}.*--against"):
        StudyFile.open(path, msgspec.structs.replace(STAMP, **other))
    assert path.read_bytes() == before


def test_a_file_that_another_study_writes_to_is_refused(tmp_path):
    path = tmp_path / "out.jsonl"
    with (
        StudyFile.open(path, STAMP),
        pytest.raises(StudyError, match="another study is writing"),
    ):
        StudyFile.open(path, STAMP)


def test_a_record_of_an_older_program_with_fields_of_its_own_can_be_compared(tmp_path):
    path = kept(tmp_path / "out.jsonl", told(task()))
    path.write_bytes(path.read_bytes().replace(b'"task":{', b'"task":{"mood":1,', 1))
    assert list(outcomes(path)) == [told(task())]


def test_a_digest_changes_with_the_content_and_with_the_name_of_a_file(tmp_path):
    def of(name: str, content: str) -> str:
        folder = tmp_path / f"{name}-{content}"
        folder.mkdir()
        (folder / name).write_text(content)
        return digest(folder, folder.iterdir())

    assert len({of("a.yaml", "1"), of("a.yaml", "2"), of("b.yaml", "1")}) == 3
    assert stamp_now() == stamp_now()


# --- the summary ------------------------------------------------------------------


def tallied(furnace, *made: Outcome):
    tally = Tally(furnace)
    for outcome in made:
        tally.add(outcome)
    return summary_of(tally)


def test_means_count_a_fault_by_how_often_it_occurs(furnace):
    weights = {each: furnace.faults[each].entry.weight for each in (OPEN, FILTER)}
    assert weights[OPEN] != weights[FILTER]
    made = [told(task(OPEN), checks=2), told(task(FILTER), right=False, checks=8)]
    figures = tallied(furnace, *made).figures
    assert figures.right == pytest.approx(weights[OPEN] / sum(weights.values()))
    mean = (2 * weights[OPEN] + 8 * weights[FILTER]) / sum(weights.values())
    assert figures.checks == pytest.approx(mean)


def test_several_seeds_of_a_fault_weigh_as_much_as_one_of_another(furnace):
    seeds = [told(task(OPEN, seed=seed, errors=0.1), checks=4) for seed in range(5)]
    one = told(task(AGED, errors=0.1), checks=4)
    assert tallied(furnace, *seeds, one).figures.checks == pytest.approx(4)


def test_areas_name_their_worst_fault_and_pairs_stand_apart(furnace):
    made = [
        told(task(OPEN), checks=9),
        told(task(AGED), right=False, checks=1),
        told(task(OPEN, FILTER)),
        told(task(OPEN, "igniter-plug.open")),
    ]
    areas = {area.name: area for area in tallied(furnace, *made).areas}
    assert set(areas) == {"ignition", ONE_AREA, TWO_AREAS}
    assert areas["ignition"].worst == AGED
    assert areas["ignition"].worst_right == 0.0
    assert areas[TWO_AREAS].worst == f"{OPEN} + {FILTER}"


def test_what_was_advised_instead_of_what_was_needed_is_counted(furnace):
    wrong = [told(task(OPEN, seed=seed, errors=0.1), right=False, advised="y") for seed in range(3)]
    confused = tallied(furnace, *wrong, told(task(FILTER))).confused
    assert [(each.needed, each.advised, each.times) for each in confused] == [("another", "y", 3)]


def test_minutes_fall_under_measuring_set_up_repairs_and_verifying(furnace):
    summary = tallied(furnace, told(task(OPEN), checks=3))
    figures = summary.figures
    parts = (figures.measuring, figures.setting_up, figures.repairing, figures.verifying)
    assert parts == (6.0, 3.0, 10.0, 15.0)
    assert figures.minutes == sum(parts)
    assert [each.check for each in summary.checks] == ["check-0", "check-1", "check-2"]


def test_how_sure_the_first_suspect_was_is_set_against_how_often_it_was_right(furnace):
    made = [told(task(OPEN, seed=seed, errors=0.1), right=seed > 0) for seed in range(4)]
    (said,) = tallied(furnace, *made).said
    assert (said.low, said.high, said.diagnoses) == (0.95, 0.99, 4)
    assert said.right == pytest.approx(0.75)


def test_a_diagnosis_that_broke_down_counts_in_no_mean(furnace):
    broken = Outcome(task=task(FILTER), stamp=STAMP, problem="x")
    summary = tallied(furnace, told(task(OPEN)), broken)
    assert summary.failed == 1
    assert summary.figures == tallied(furnace, told(task(OPEN))).figures
    assert tallied(furnace, broken).figures.diagnoses == 0


def test_the_summary_does_not_depend_on_the_order_of_the_outcomes(furnace):
    made = [told(task(each), checks=number) for number, each in enumerate(furnace.faults)]
    assert tallied(furnace, *made) == tallied(furnace, *reversed(made))


# --- the difference ---------------------------------------------------------------


def compared(furnace, before, now):
    comparison = Comparison(furnace, [each.task for each in now])
    for outcome in before:
        comparison.add_before(outcome)
    for outcome in now:
        comparison.add_now(outcome)
    return comparison.difference()


def test_faults_that_became_right_and_wrong_are_told_with_their_change_in_minutes(furnace):
    before = [told(task(OPEN), checks=2), told(task(FILTER), right=False), told(task(AGED))]
    now = [told(task(OPEN), right=False, checks=5), told(task(FILTER)), told(task(AGED))]
    difference = compared(furnace, before, now)
    assert [each.name for each in difference.became_wrong] == [OPEN]
    assert [each.name for each in difference.became_right] == [FILTER]
    assert [each.name for each in difference.changed] == [OPEN]
    (change,) = difference.changed
    assert (change.checks, change.minutes) == (3.0, 9.0)


def test_only_diagnoses_that_are_in_both_are_compared(furnace):
    before = [told(task(OPEN), checks=2), told(task(FILTER), checks=40)]
    now = [told(task(OPEN), checks=3), told(task(AGED), checks=40)]
    difference = compared(furnace, before, now)
    assert difference.compared == 1
    assert (difference.before.checks, difference.now.checks) == (2, 3)


def test_another_seed_or_share_of_errors_is_another_diagnosis(furnace):
    before = [told(task(OPEN, seed=1, errors=0.1)), told(task(OPEN, errors=0.2))]
    assert compared(furnace, before, [told(task(OPEN, errors=0.1))]).compared == 0


def test_nothing_changes_against_itself(furnace):
    made = [told(task(OPEN)), told(task(FILTER), right=False)]
    difference = compared(furnace, made, made)
    assert difference.changed == difference.became_right == difference.became_wrong == ()
    assert difference.before == difference.now


def test_a_diagnosis_that_breaks_down_now_became_wrong(furnace):
    broken = Outcome(task=task(OPEN), stamp=STAMP, problem="x")
    difference = compared(furnace, [told(task(OPEN))], [broken])
    assert [each.name for each in difference.became_wrong] == [OPEN]


def test_a_fault_diagnosed_twice_before_counts_once(furnace):
    twice = [told(task(OPEN), checks=2), told(task(OPEN), checks=2)]
    difference = compared(furnace, twice, [told(task(OPEN), checks=2)])
    assert difference.before == replace(difference.now)
