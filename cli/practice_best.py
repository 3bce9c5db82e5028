"""The program's own path through a scenario, step by step, by the same clock."""

from __future__ import annotations

from collections.abc import Iterator

from lightoff.cli.practice_screens import act_in_words
from lightoff.engine.teaching.practice.acts import SetUp
from lightoff.engine.teaching.practice.bench import Bench
from lightoff.engine.teaching.practice.player import attempt


def best_path(bench: Bench) -> Iterator[str]:
    """Its steps with their minutes; with the same scatter and chance as the person's."""
    own = attempt(bench.scenario, bench.diagnosis, bench.seed)
    minutes = 0.0
    for act in own.acts:
        minutes += act.minutes
        is_told = hasattr(act, "answer") and (
            bench.diagnosis.checks[act.answer.check].entry.reads.told
        )
        if not isinstance(act, SetUp) and not is_told:
            yield f"{minutes:4.0f} min  {act_in_words(own, act)}"
