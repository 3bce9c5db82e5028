"""What was done more than once on one furnace."""

from lightoff.engine.reasoning.job import Closed, Repaired, Started, replay
from lightoff.engine.reasoning.repeats import repeats

FURNACE = "two-pipe-condensing"


def job(day, cured_by="", furnace=FURNACE, vain=()):
    events = [Started(time=f"{day}T10:00:00+00:00", furnace=furnace, version="0")]
    events += [Repaired(time="t", repair=each) for each in vain]
    ending = Closed(time="t", how="found" if cured_by else "left", repair=cured_by)
    return replay([*events, ending])


def test_the_same_repair_twice_is_a_repeat_with_its_days(knowledge):
    jobs = [job("2025-01-01", "clean-flame-sensor"), job("2026-01-01", "clean-flame-sensor")]
    (again,) = repeats(knowledge, jobs)
    assert (again.what, again.times, again.days) == ("Clean the flame sensor", 2, 365)


def test_one_part_mended_in_two_ways_is_a_repeat_of_the_part(knowledge):
    jobs = [job("2025-01-01", "clean-flame-sensor"), job("2026-01-01", "replace-flame-sensor")]
    (again,) = repeats(knowledge, jobs)
    assert (again.what, again.times) == ("Flame sensor", 2)


def test_two_repairs_at_once_count_each(knowledge):
    both = "clean-flame-sensor+replace-igniter"
    jobs = [job("2025-01-01", both), job("2026-01-01", "replace-igniter")]
    assert [each.what for each in repeats(knowledge, jobs)] == ["Replace the igniter"]


def test_what_did_not_help_and_what_was_done_once_are_no_repeats(knowledge):
    vain = job("2025-01-01", "replace-igniter", vain=("clean-flame-sensor",))
    jobs = [vain, job("2026-01-01", "clean-flame-sensor"), job("2026-02-01")]
    assert repeats(knowledge, jobs) == ()


def test_a_furnace_and_a_repair_not_known_today_are_no_stumbling_block(knowledge):
    jobs = [job("2025-01-01", "prayer", "steam-boiler"), job("noon", "prayer", "steam-boiler")]
    (again,) = repeats(knowledge, jobs)
    assert (again.what, again.days) == ("prayer", None)
