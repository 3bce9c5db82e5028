"""What changed between two runs of the same diagnoses: right or wrong, checks, minutes."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from lightoff.engine.model import Furnace
from lightoff.engine.reasoning.study.outcome import Outcome
from lightoff.engine.reasoning.study.summary import Figures, figures_of
from lightoff.engine.reasoning.study.sums import Case, Tally
from lightoff.engine.reasoning.study.tasks import Task

SAME = 1e-9
"""Minutes or checks by which two means may differ through rounding alone."""


@dataclass(frozen=True, slots=True)
class Change:
    """One fault or pair whose diagnoses came out otherwise."""

    faults: tuple[str, ...]
    before: Figures
    now: Figures

    @property
    def name(self) -> str:
        return " + ".join(self.faults)

    @property
    def minutes(self) -> float:
        """Minutes more than before."""
        return self.now.minutes - self.before.minutes

    @property
    def checks(self) -> float:
        return self.now.checks - self.before.checks


@dataclass(frozen=True, slots=True)
class Difference:
    """Two runs on one furnace, as far as the same diagnoses are in both."""

    furnace: str
    compared: int
    before: Figures
    now: Figures
    became_right: tuple[Change, ...]
    """Faults of which more diagnoses are right than before, and fewer, below."""
    became_wrong: tuple[Change, ...]
    changed: tuple[Change, ...]
    """All that take other checks or minutes, the biggest change of minutes first."""


class Comparison:
    """Outcomes of before and of now on one furnace; only tasks that are in both count."""

    def __init__(self, furnace: Furnace, asked: Iterable[Task]) -> None:
        """`asked` are the tasks of now."""
        self._asked = {task for task in asked if task.furnace == furnace.id}
        self._in_both: set[Task] = set()
        self._before, self._now = Tally(furnace), Tally(furnace)

    def add_before(self, outcome: Outcome) -> None:
        """Count an outcome of before, once; all of them come before those of now."""
        if outcome.task in self._asked and outcome.task not in self._in_both:
            self._in_both.add(outcome.task)
            self._before.add(outcome)

    def add_now(self, outcome: Outcome) -> None:
        if outcome.task in self._in_both:
            self._now.add(outcome)

    @property
    def compared(self) -> int:
        """How many tasks of now were there before."""
        return len(self._in_both)

    def difference(self) -> Difference:
        """What changed."""
        before, now = self._before.cases(), self._now.cases()
        earlier = {case.faults: case for case in before}
        pairs = [(earlier[case.faults], case) for case in now]
        return Difference(
            furnace=self._now.furnace.id,
            compared=sum(case.sums.diagnoses + case.sums.failed for case in now),
            before=figures_of([one for one, _ in pairs]),
            now=figures_of([other for _, other in pairs]),
            became_right=_changes(pair for pair in pairs if _more_right(*pair) > 0),
            became_wrong=_changes(pair for pair in pairs if _more_right(*pair) < 0),
            changed=_changes(pair for pair in pairs if _is_other(*pair)),
        )


def _more_right(before: Case, now: Case) -> int:
    """How many diagnoses more are right; one that broke down is not."""
    return now.sums.right - before.sums.right


def _is_other(before: Case, now: Case) -> bool:
    change = _change(before, now)
    return abs(change.minutes) > SAME or abs(change.checks) > SAME


def _change(before: Case, now: Case) -> Change:
    return Change(now.faults, figures_of([before]), figures_of([now]))


def _changes(pairs: Iterable[tuple[Case, Case]]) -> tuple[Change, ...]:
    """The biggest change of minutes first."""
    changes = [_change(before, now) for before, now in pairs]
    return tuple(sorted(changes, key=lambda each: (-abs(each.minutes), each.faults)))
