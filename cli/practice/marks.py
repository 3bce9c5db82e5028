"""The marks of an attempt: each with why, and the path beside the best one."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from lightoff.cli import screen
from lightoff.cli.practice.beside import show_beside
from lightoff.cli.practice.screens import act_in_words
from lightoff.cli.wording import capital, percent, repair_title
from lightoff.engine.model import NO_FAULT, SOMETHING_ELSE
from lightoff.engine.teaching.practice.acts import Ended, Hinted, SetUp, Unsafe

if TYPE_CHECKING:
    from lightoff.engine.model import Knowledge
    from lightoff.engine.reasoning.planning.choice import Decision
    from lightoff.engine.teaching.practice.bench import Bench
    from lightoff.engine.teaching.practice.judging import Judged
    from lightoff.engine.teaching.practice.marks import Marked

USELESS = {
    "misfit": "the set-up did not fit: this says nothing of the furnace",
    "asked-before": "you knew the answer already",
    "nothing-new": "by what you knew it could settle next to nothing",
    "all-known": "you knew enough to mend it",
}
MATTERS = 0.02
Suspects = tuple[tuple[str, float], ...]
UNMARKED = SetUp | Hinted | Unsafe


def show_marked(bench: Bench, marked: Marked) -> None:
    """All of it, the result last."""
    show_path(bench, marked)
    show_beside(bench)
    show_truth(bench)
    show_marks(marked)
    show_result(bench, marked)


def show_truth(bench: Bench) -> None:
    """What was wrong, and what is to be learned."""
    screen.say("What was wrong", "head")
    for fault in bench.scenario.faults:
        part = bench.scenario.furnace.parts[fault.part].entry.name
        screen.say(f"{part}: {fault.entry.name}. {fault.entry.because}", indent=2, hang=2)
    for line in bench.scenario.entry.learn:
        screen.say(f"- {line}", indent=2, hang=2)


def show_path(bench: Bench, marked: Marked) -> None:
    """Each step with its clock, what would have been best, and the suspects before it."""
    screen.say("Step by step: what you knew, and what would have been best", "head")
    minutes = 0.0
    before: Suspects = ()
    for number, judged in enumerate(marked.judged, start=1):
        minutes += judged.act.minutes
        screen.say(f"{number:3d}. {minutes:4.0f} min  {act_in_words(bench, judged.act)}", hang=15)
        for line in _said_of(bench, judged, before):
            screen.say(line, indent=15, hang=2)
        before = judged.suspects or before


def _said_of(bench: Bench, judged: Judged, before: Suspects) -> Iterator[str]:
    """What is said of a step; the suspects only where they changed."""
    knowledge = bench.diagnosis.knowledge
    if isinstance(judged.act, UNMARKED) or not judged.suspects:
        return
    likely = [
        f"{_named(knowledge, repair)} {percent(share)}"
        for repair, share in judged.suspects
        if share >= MATTERS
    ]
    if judged.suspects != before:
        yield f"Suspects then: {'; '.join(likely)}"
    if judged.useless:
        yield f"Told nothing new: {USELESS[judged.useless]}."
    if judged.regret:
        better = "" if judged.best is None else f" Better: {_decision(bench, judged.best)}"
        yield f"{judged.regret:.0f} min dearer than the best.{better}"


def _named(knowledge: Knowledge, repair: str) -> str:
    if repair in (NO_FAULT, SOMETHING_ELSE):
        return capital(repair_title(knowledge, repair))
    return repair_title(knowledge, repair)


def _decision(bench: Bench, best: Decision) -> str:
    if best.check is not None:
        return bench.diagnosis.checks[best.check].entry.ask
    if best.repair is not None:
        return f"{repair_title(bench.diagnosis.knowledge, best.repair)}."
    return "hand it on." if best.kind == "refer" else "find nothing wrong."


def show_marks(marked: Marked) -> None:
    """Each mark with its weight and why."""
    screen.say("Marks", "head")
    weights = sum(mark.weight for mark in marked.marks)
    for mark in marked.marks:
        whole = 100.0 * mark.weight / weights
        screen.say(
            f"{capital(mark.name):<8} {whole * mark.share:5.1f} of {whole:5.1f}  {mark.why}",
            indent=2,
            hang=25,
        )
    if marked.hints:
        screen.say(f"Hints    {-5.0 * marked.hints:5.1f}           {marked.hints} taken.", indent=2)


def show_result(bench: Bench, marked: Marked) -> None:
    """Safety as a gate, and the whole."""
    last = bench.acts[-1]
    assert isinstance(last, Ended)
    if last.words:
        screen.say(f"Your own words: {last.words}")
    for sign in marked.not_asked:
        ask = bench.diagnosis.checks[sign].entry.ask
        screen.say(f"Not asked before you began: {ask}", "warn", hang=2)
    allowed = bench.scenario.entry.minutes
    over = "" if marked.minutes <= allowed else f", {marked.minutes - allowed:.0f} too many"
    screen.say(f"Clock: {marked.minutes:.0f} of {allowed:g} min{over}.")
    if marked.is_safe:
        screen.say(f"Passed on safety. {marked.total:.0f} of 100.", "name")
    else:
        count = len(marked.unsafe)
        acts = "One unsafe act" if count == 1 else f"{count} unsafe acts"
        screen.say(f"NOT PASSED: {acts}. Safety is a gate.", "warn")
        screen.say(f"Without them it would be {marked.total:.0f} of 100.")
    screen.say("Next: lightoff practice, or lightoff progress")
