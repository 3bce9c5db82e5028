"""What is kept of an attempt once it is marked: enough for progress and for a class."""

from __future__ import annotations

import msgspec

from lightoff.engine.teaching.practice.acts import Checked, Ended
from lightoff.engine.teaching.practice.bench import Bench
from lightoff.engine.teaching.practice.marks import Marked, good_parts


class Summary(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """An attempt in figures. Marks are shares, 0 to 1; `total` is 0 to 100."""

    scenario: str
    title: str
    furnace: str
    level: str
    areas: tuple[str, ...]
    """Areas of the furnace in which the fault was."""
    total: float
    safe: bool
    marks: dict[str, float]
    minutes: float
    allowed: float
    regret: float
    hints: int
    useless: tuple[str, ...]
    """Checks that could tell nothing new."""
    needed: tuple[str, ...]
    blamed: tuple[str, ...]
    good: tuple[str, ...]
    """Repairs of what was good."""
    words: str = ""


def summarise(bench: Bench, marked: Marked) -> Summary:
    """The summary of a marked attempt."""
    last = bench.acts[-1]
    assert isinstance(last, Ended)
    entry = bench.scenario.entry
    parts = bench.scenario.furnace.parts
    return Summary(
        scenario=bench.scenario.id,
        title=entry.title,
        furnace=bench.scenario.furnace.id,
        level=entry.level,
        areas=tuple(dict.fromkeys(parts[fault.part].entry.area for fault in bench.scenario.faults)),
        total=round(marked.total, 1),
        safe=marked.is_safe,
        marks={each.name: round(each.share, 3) for each in marked.marks},
        minutes=round(marked.minutes, 1),
        allowed=entry.minutes,
        regret=round(marked.regret, 1),
        hints=marked.hints,
        useless=tuple(
            each.act.answer.check
            for each in marked.judged
            if each.useless and isinstance(each.act, Checked)
        ),
        needed=tuple(sorted(bench.scenario.repairs)),
        blamed=last.blamed,
        good=tuple(good_parts(bench, marked.judged)),
        words=last.words,
    )


def summary_of(bench: Bench, marked: Marked) -> str:
    """The same as JSON."""
    return msgspec.json.encode(summarise(bench, marked)).decode()


def read_summary(text: str | bytes) -> Summary:
    """ValueError if it is none."""
    return msgspec.json.decode(text, type=Summary)
