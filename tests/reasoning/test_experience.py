"""Closed jobs and how often faults occur: priors, what a job adds, files and the folder."""

import errno
import os
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from lightoff.engine import strict_yaml
from lightoff.engine.reasoning import experience_folder
from lightoff.engine.reasoning.belief import Finding, log_prior, posterior
from lightoff.engine.reasoning.diagnosis import Diagnosis
from lightoff.engine.reasoning.experience import (
    PRIOR_JOBS,
    Experience,
    Proven,
    Shared,
    added,
    credited,
    shares_after,
    shares_of,
    with_experience,
)
from lightoff.engine.reasoning.experience_file import HEAD, read_experience, understood, written
from lightoff.engine.reasoning.experience_folder import gathered, in_use
from lightoff.engine.reasoning.job import Closed, Found, Started, Undone
from lightoff.engine.reasoning.journal import JobError, encode
from lightoff.engine.reasoning.suspects import suspects_of
from lightoff.engine.reasoning.table import Hypothesis
from tests.reasoning.tables import binary, hypotheses, table, tables

FURNACE = "two-pipe-condensing"
T = "2026-01-02T10:11:12+00:00"
START = Started(time=T, furnace=FURNACE, version="0.0.1")


def whole_table():
    """No fault, something else, one steady fault, one that comes and goes, all with priors."""
    kinds = (
        Hypothesis("no-fault", (), "no-repair", 0.04),
        Hypothesis("something-else", (), "refer", 0.02),
        Hypothesis("a", ("a",), "mend-a", 0.47),
        Hypothesis("b", ("b",), "mend-b", 0.282),
        Hypothesis("b (not showing)", ("b",), "mend-b", 0.188, showing=False),
    )
    return table(kinds, {"look": binary([0.5, 0.5, 0.9, 0.1, 0.5])})


counts_of = st.lists(st.integers(0, 40) | st.floats(0.001, 40), min_size=8, max_size=8)


def counted(of, jobs):
    """Counts for the faults of a table from a list of figures."""
    return {each.faults[0]: float(n) for each, n in zip(of.hypotheses, jobs, strict=False)}


# --- priors -----------------------------------------------------------------------


def test_without_a_job_the_table_is_the_very_same():
    of = whole_table()
    assert with_experience(of, {}) is of
    assert with_experience(of, {"a": 0.0}) is of


def test_as_many_jobs_as_the_shipped_weights_are_worth_count_half():
    now = shares_of(with_experience(whole_table(), {"b": PRIOR_JOBS}))
    assert now["a"] == pytest.approx(0.47 / 2)
    assert now["b"] == pytest.approx(0.47 / 2 + 0.94 / 2)


def test_no_fault_and_something_else_keep_their_shares_and_a_fault_its_proportion():
    now = {each.id: each.prior for each in with_experience(whole_table(), {"b": 7.0}).hypotheses}
    assert (now["no-fault"], now["something-else"]) == (0.04, 0.02)
    assert now["b"] / now["b (not showing)"] == pytest.approx(0.282 / 0.188)


@given(tables(), counts_of)
def test_the_sum_of_all_shares_is_kept(of, jobs):
    now = with_experience(of, counted(of, jobs))
    before = sum(each.prior for each in of.hypotheses)
    assert sum(each.prior for each in now.hypotheses) == pytest.approx(before, rel=1e-12)


@given(tables(), counts_of, st.integers(0, 7), st.floats(0.01, 100))
def test_more_jobs_of_a_fault_raise_it_and_lower_the_rest(of, jobs, which, more):
    counts = counted(of, jobs)
    fault = list(counts)[which % len(counts)]
    before = shares_after(shares_of(of), counts)
    now = shares_after(shares_of(of), {**counts, fault: counts[fault] + more})
    assert now[fault] > before[fault]
    assert all(now[each] < before[each] for each in now if each != fault)


@given(
    st.lists(st.dictionaries(st.sampled_from("abcd"), st.floats(0, 9)), max_size=6), st.randoms()
)
def test_the_order_of_jobs_does_not_matter(each_adds, chance):
    other = list(each_adds)
    chance.shuffle(other)
    assert added(each_adds) == added(other)


def test_a_fault_that_the_table_lacks_is_refused():
    with pytest.raises(KeyError):
        with_experience(whole_table(), {"c": 1.0})


def test_what_a_fault_would_show_stays_as_it_was():
    of = whole_table()
    assert with_experience(of, {"a": 3.0}).likelihood is of.likelihood


# --- what a job adds --------------------------------------------------------------


def shared_repair():
    """Two faults with one repair, told apart by a look; a third with its own."""
    return table(hypotheses(["r", "r", "s"], [3.0, 1.0, 4.0]), {"look": binary([0.2, 0.8, 0.5])})


def job(*repairs, **known):
    return Proven("job-0001", "f", repairs, **known)


def test_a_repair_of_one_fault_adds_one_job_to_it():
    assert credited(shared_repair(), job("s")) == {"h2": 1.0}


def test_a_repair_of_several_faults_is_shared_out_by_what_was_found():
    of, findings = shared_repair(), (Finding("look", "a"),)
    shares = np.exp(posterior(of, findings).log_weights)[:2]
    expected = shares / shares.sum()
    adds = credited(of, job("r", findings=findings))
    assert adds == {"h0": round(expected[0], 3), "h1": round(expected[1], 3)}


def test_without_findings_that_can_be_weighed_it_is_shared_out_by_prior():
    unknown = (Finding("crystal-ball", "red"), Finding("look", "purple"), Finding("look", None))
    for findings in ((), unknown):
        assert credited(shared_repair(), job("r", findings=findings)) == {"h0": 0.75, "h1": 0.25}


def test_findings_that_no_fault_of_the_repair_allows_leave_the_priors():
    of = table(hypotheses(["r", "r", "s"], [3.0, 1.0, 4.0]), {"look": binary([0.0, 0.0, 1.0])})
    assert credited(of, job("r", findings=(Finding("look", "a"),))) == {"h0": 0.75, "h1": 0.25}


def test_two_repairs_count_for_both():
    adds = credited(shared_repair(), job("r", "s"))
    assert adds["h2"] == 1.0
    assert adds["h0"] + adds["h1"] == pytest.approx(1.0)


def test_a_repair_that_mends_nothing_in_the_table_adds_nothing():
    assert credited(shared_repair(), job("pray", repaired=("pray",))) == {}


@given(tables(), st.integers(0, 7), st.booleans())
def test_every_repair_adds_one_job_whatever_was_found(of, which, found):
    repair = of.hypotheses[which % len(of.hypotheses)].repair
    findings = (Finding(of.checks[0], "a"),) if found else ()
    assert sum(credited(of, job(repair, findings=findings)).values()) == pytest.approx(1.0)


def test_a_diagnosis_holds_the_fault_of_many_jobs_likelier(knowledge, diagnosis):
    own = tuple(Proven(f"job-{n:04d}", FURNACE, ("replace-igniter",)) for n in range(1, 21))
    after = Diagnosis.of(knowledge, FURNACE, Experience(own))
    find = (Finding("status-light-after-call", "ignition"),)

    def igniter(of):
        return {each.id: each.probability for each in suspects_of(posterior(of.table, find))}[
            "igniter.open"
        ]

    assert igniter(after) > igniter(diagnosis) + 0.05
    assert np.exp(log_prior(after.table)).sum() == pytest.approx(1.0)


def test_jobs_on_another_furnace_change_nothing(knowledge, diagnosis):
    other = Experience((Proven("job-0001", "steam-engine", ("replace-igniter",)),))
    assert other.on(FURNACE, diagnosis.table) is diagnosis.table
    assert (other.jobs(FURNACE), other.jobs()) == ((0, 0), (1, 0))


# --- the file ---------------------------------------------------------------------


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


# --- the folder -------------------------------------------------------------------


def put_down(folder, number, *events):
    folder.mkdir(exist_ok=True)
    path = folder / f"job-{number:04d}.jsonl"
    path.write_bytes(b"".join(encode(place, event) for place, event in enumerate(events, 1)))
    return path


def closed(repair, how="found"):
    return Closed(time=T, how=how, repair=repair)


def found(check, outcome, entered=""):
    return Found(time=T, check=check, outcome=outcome, entered=entered)


def test_only_jobs_closed_with_a_proven_repair_count(tmp_path, knowledge):
    put_down(tmp_path, 1, START, closed("replace-igniter"))
    put_down(tmp_path, 2, START, closed("", "left"))
    put_down(tmp_path, 3, START, closed("", "nothing"))
    put_down(tmp_path, 4, START, found("igniter-glow", "dark"))
    put_down(tmp_path, 5)
    everything = gathered(knowledge, tmp_path)
    assert [each.job for each in everything.own] == ["job-0001"]
    assert everything.set_aside == []


def test_a_job_that_is_damaged_or_of_an_unknown_furnace_is_named_and_hides_no_other(
    tmp_path, knowledge
):
    put_down(tmp_path, 1, START).write_bytes(b"{}\n")
    put_down(tmp_path, 2, replace_furnace("steam-engine"), closed("replace-igniter"))
    put_down(tmp_path, 3, START, closed("replace-igniter"))
    everything = gathered(knowledge, tmp_path)
    assert [each.job for each in everything.own] == ["job-0003"]
    damaged, foreign = everything.set_aside
    assert "job-0001.jsonl:1" in damaged
    assert "job-0002" in foreign
    assert "steam-engine" in foreign


def replace_furnace(furnace):
    return Started(time=T, furnace=furnace, version="0.0.1")


def test_a_repair_that_is_not_known_today_is_told_and_the_other_of_a_pair_counts(
    tmp_path, knowledge
):
    put_down(tmp_path, 1, START, closed("pray"))
    put_down(tmp_path, 2, START, closed("pray+replace-igniter"))
    everything = gathered(knowledge, tmp_path)
    assert [each.repairs for each in everything.own] == [("replace-igniter",)]
    assert len(everything.not_known) == 2
    assert all("pray" in line for line in everything.not_known)


def test_what_was_taken_back_in_a_job_does_not_weigh(tmp_path, knowledge, diagnosis):
    put_down(tmp_path, 1, START, closed("replace-board"))
    put_down(
        tmp_path, 2, START, found("board-light", "dark"), Undone(time=T), closed("replace-board")
    )
    first, second = gathered(knowledge, tmp_path).own
    assert credited(diagnosis.table, first) == credited(diagnosis.table, second)


def test_findings_not_known_today_do_not_hinder(tmp_path, knowledge, diagnosis):
    put_down(tmp_path, 1, START, found("crystal-ball", "red"), closed("replace-board"))
    (only,) = gathered(knowledge, tmp_path).own
    assert sum(credited(diagnosis.table, only).values()) == pytest.approx(1.0)


def test_a_job_left_out_does_not_count_until_it_is_taken_in(tmp_path, knowledge):
    put_down(tmp_path, 1, START, closed("replace-igniter"))
    before = gathered(knowledge, tmp_path)
    experience_folder.leave_out(tmp_path, "job-0001")
    assert in_use(knowledge, tmp_path) is None
    assert gathered(knowledge, tmp_path).left_out == ["job-0001"]
    experience_folder.take_in(tmp_path, "job-0001")
    assert gathered(knowledge, tmp_path) == before


def test_switched_off_nothing_counts_and_nothing_is_lost(tmp_path, knowledge):
    put_down(tmp_path, 1, START, closed("replace-igniter"))
    before = in_use(knowledge, tmp_path)
    experience_folder.switch(tmp_path, on=False)
    assert in_use(knowledge, tmp_path) is None
    assert in_use(knowledge, tmp_path, even_if_off=True) == before
    experience_folder.switch(tmp_path, on=True)
    assert in_use(knowledge, tmp_path) == before


def test_a_job_does_not_speak_for_itself(tmp_path, knowledge):
    put_down(tmp_path, 1, START, closed("replace-igniter"))
    assert in_use(knowledge, tmp_path, apart_from="job-0001") is None
    assert in_use(knowledge, tmp_path, apart_from="job-0002") is not None


SHARED = Shared({FURNACE: 3}, {FURNACE: {"igniter.open": 2.5, "filter.plugged": 0.5}})


def test_what_is_kept_counts_and_what_is_dropped_does_not(tmp_path, knowledge, diagnosis):
    experience_folder.keep(tmp_path, "north", SHARED)
    experience = in_use(knowledge, tmp_path)
    assert experience.jobs() == (0, 3)
    assert experience.counts(FURNACE, diagnosis.table) == SHARED.counts[FURNACE]
    experience_folder.drop(tmp_path, "north")
    assert in_use(knowledge, tmp_path) is None


def test_an_imported_file_that_was_damaged_since_is_named_and_left_out(tmp_path, knowledge):
    experience_folder.keep(tmp_path, "north", SHARED)
    experience_folder.keep(tmp_path, "south", SHARED)
    (tmp_path / "experience" / "south.yaml").write_text("x: [}")
    everything = gathered(knowledge, tmp_path)
    assert list(everything.imported) == ["north"]
    assert "south.yaml:1" in everything.set_aside[0]


def test_faults_of_an_import_that_are_not_known_today_are_told_and_the_others_count(
    tmp_path, knowledge
):
    old = {"igniter.open": 2.0, "igniter.sulking": 1.0}
    experience_folder.keep(tmp_path, "north", Shared({FURNACE: 3}, {FURNACE: old}))
    everything = gathered(knowledge, tmp_path)
    assert everything.imported["north"].counts == {FURNACE: {"igniter.open": 2.0}}
    assert "igniter.sulking" in everything.not_known[0]


@pytest.mark.parametrize(
    "name", ["", ".", "..", "../x", "a/b", "/etc/x", "a\\b", "A", "a.b", "-a", "a\n", "é", "a" * 41]
)
def test_a_name_cannot_leave_the_folder(tmp_path, name):
    with pytest.raises(ValueError, match=r".*"):
        experience_folder.keep(tmp_path, name, SHARED)
    with pytest.raises(ValueError, match=r".*"):
        experience_folder.drop(tmp_path, name)
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("failing", ["fsync", "replace"])
@pytest.mark.parametrize("error", [OSError(errno.ENOSPC, "disk full"), KeyboardInterrupt()])
def test_a_write_that_fails_leaves_the_old_file_and_no_other(tmp_path, monkeypatch, failing, error):
    path = tmp_path / "counts.yaml"
    path.write_text("old")

    def fails(*_):
        raise error

    monkeypatch.setattr(os, failing, fails)
    with pytest.raises((JobError, KeyboardInterrupt)):
        experience_folder.write_whole(path, "new")
    assert [(each.name, each.read_text()) for each in tmp_path.iterdir()] == [
        ("counts.yaml", "old")
    ]


def test_a_file_that_cannot_be_written_is_an_error_in_one_line(tmp_path):
    with pytest.raises(JobError, match="nowhere") as raised:
        experience_folder.write_whole(tmp_path / "nowhere" / "x.yaml", "new")
    assert len(str(raised.value).splitlines()) == 1


def test_export_then_import_elsewhere_gives_the_same_priors(tmp_path, knowledge, diagnosis):
    put_down(tmp_path / "here", 1, START, found("igniter-glow", "dark"), closed("replace-board"))
    put_down(tmp_path / "here", 2, START, closed("replace-igniter+replace-thermostat-cable"))
    here = in_use(knowledge, tmp_path / "here")
    counts = here.own_counts(FURNACE, diagnosis.table)
    experience_folder.write_whole(
        tmp_path / "sent.yaml", written(Shared({FURNACE: here.jobs()[0]}, {FURNACE: counts}))
    )
    reading = read_experience(tmp_path / "sent.yaml", knowledge)
    experience_folder.keep(tmp_path, "sent", reading.shared)
    there = in_use(knowledge, tmp_path)
    assert there.jobs() == (0, 2)
    assert (
        there.on(FURNACE, diagnosis.table).hypotheses
        == here.on(FURNACE, diagnosis.table).hypotheses
    )


def test_nothing_is_gathered_where_there_is_no_folder(tmp_path, knowledge):
    assert in_use(knowledge, tmp_path / "nowhere") is None
    assert not (tmp_path / "nowhere").exists()


def test_own_and_imported_counts_add_up(knowledge, diagnosis):
    own = (Proven("job-0001", FURNACE, ("replace-filter",)),)
    both = replace(Experience(own), imported={"north": SHARED})
    counts = both.counts(FURNACE, diagnosis.table)
    assert counts == {"filter.plugged": 1.5, "igniter.open": 2.5}
    assert both.jobs() == (1, 3)
