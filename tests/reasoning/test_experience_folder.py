"""What counts by a folder of journals, and what a person decides about it."""

import errno
import os
from dataclasses import replace

import pytest

from lightoff.engine.reasoning import experience_folder
from lightoff.engine.reasoning.experience import (
    Experience,
    Proven,
    Shared,
    credited,
)
from lightoff.engine.reasoning.experience_file import read_experience, written
from lightoff.engine.reasoning.experience_folder import gathered, in_use
from lightoff.engine.reasoning.job import Closed, Found, Started, Undone
from lightoff.engine.reasoning.journal import JobError, encode

FURNACE = "two-pipe-condensing"
T = "2026-01-02T10:11:12+00:00"
START = Started(time=T, furnace=FURNACE, version="0.0.1")


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
