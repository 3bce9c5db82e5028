"""What proving shows, as plain facts in words: drawn by proof_screens."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from lightoff.cli.danger import Caution, cautions_of
from lightoff.cli.drift_words import drift_in_words, earlier_rows
from lightoff.cli.setup import setup_to_put_back
from lightoff.cli.wording import capital
from lightoff.engine import units
from lightoff.engine.reasoning.answers import bare_unit, is_a_figure, reads_a_figure, with_unit
from lightoff.engine.service.proving import Item, failing_in

if TYPE_CHECKING:
    from lightoff.cli.job_state import Proving, State
    from lightoff.engine.model import Check, Knowledge
    from lightoff.engine.reasoning.job import Proved


@dataclass(frozen=True, slots=True)
class ProofQuestion:
    """One thing to be proved. `unit` is what a number alone means, "" if no figure."""

    number: int
    of: int
    title: str
    ask: str
    how: tuple[str, ...]
    setup: tuple[str, ...]
    cautions: tuple[Caution, ...]
    outcomes: tuple[str, ...]
    unit: str
    good: str
    expected: str
    """What a sound furnace reads, "" where the model cannot say."""
    minutes: float
    afterwards: str
    """What is put back when it is done."""
    visit: bool = False
    """It belongs to the yearly visit: no repair is proved."""


@dataclass(frozen=True, slots=True)
class ProofFailed:
    """Something that was tried and is not good."""

    title: str
    found: str
    good: str
    out: str
    """What to do about it."""
    may_look_on: bool
    """The cause may be looked for: a repair did not cure after all."""
    earlier: tuple[str, ...] = ()
    """What was read in the years before, and how it moves."""


@dataclass(frozen=True, slots=True)
class ProofsDone:
    """All was tried: what is not good, by number, with what came of it."""

    tried: int
    failing: tuple[tuple[str, str], ...]
    drifts: tuple[tuple[str, str, str], ...] = ()
    """What moves from year to year: title, how, and what it means."""
    visit: bool = False


ProofScreen = ProofQuestion | ProofFailed | ProofsDone


def screen_of(state: State, mode: Proving) -> ProofScreen:
    """What is shown while something is proved."""
    items = state.to_prove
    if not mode.item:
        return _done(state, items)
    item = next(each for each in items if each.id == mode.item)
    if mode.failing:
        return ProofFailed(
            title=item.proof.title,
            found=_said(state, item),
            good=good_in_words(item),
            out=item.proof.out,
            may_look_on=bool(state.job.to_prove),
            earlier=earlier_rows(state.course(item)),
        )
    return _question(state, items, item)


def _done(state: State, items: tuple[Item, ...]) -> ProofsDone:
    failing = failing_in(items, state.verdicts)
    return ProofsDone(
        tried=len(items),
        failing=tuple((each.proof.title, _said(state, each)) for each in failing),
        drifts=tuple(
            (each.item.proof.title, drift_in_words(each), each.meaning) for each in state.drifts
        ),
        visit=not state.job.to_prove,
    )


def _question(state: State, items: tuple[Item, ...], item: Item) -> ProofQuestion:
    check = item.check
    tried = [each for each in items if each.id in state.verdicts and each.id != item.id]
    return ProofQuestion(
        number=len(tried) + 1,
        of=len(items),
        title=item.proof.title,
        ask=check.entry.ask,
        how=(*check.entry.how, *(state.open_items if item.proof.clears else ())),
        setup=(*_put_back(state), *setup_of(state.knowledge, check)),
        cautions=cautions_of(state.knowledge.cautions, check.entry.hazards, state.told),
        outcomes=tuple(capital(outcome.text) for outcome in check.outcomes),
        unit=bare_unit(check),
        good=good_in_words(item),
        expected=expected_in_words(item),
        minutes=check.entry.minutes,
        afterwards=check.entry.opens,
        visit=not state.job.to_prove,
    )


def _put_back(state: State) -> tuple[str, ...]:
    """What the search has changed, put back before anything is proved."""
    if state.job.proofs or not state.job.to_prove:
        return ()
    return setup_to_put_back(state.diagnosis, state.job)


def setup_of(knowledge: Knowledge, check: Check) -> tuple[str, ...]:
    """What a check needs that is not so by itself, in words."""
    return tuple(
        knowledge.aspects[aspect].how[to]
        for aspect, to in check.setup.items()
        if aspect in knowledge.aspects and to != knowledge.aspects[aspect].start
    )


def good_in_words(item: Item) -> str:
    """What proves it."""
    return " or ".join(outcome.text.removeprefix(f"{outcome.id}: ") for outcome in item.outcomes)


def expected_in_words(item: Item) -> str:
    """What the sound furnace reads, where it is a figure; "" else."""
    if not reads_a_figure(item.check) or isinstance(item.expected, str | None):
        return ""
    return units.show(item.expected, item.check.dimension)


def _said(state: State, item: Item) -> str:
    last = next(each for each in reversed(state.job.proofs) if each.proof == item.id)
    return said_in_words(item.check, last)


def said_in_words(check: Check, said: Proved) -> str:
    """What came of trying something."""
    if said.verdict == "not-done":
        return f"not done, {said.reason}"
    words = next((each.text for each in check.outcomes if each.id == said.outcome), "")
    if is_a_figure(check, said.entered):
        return f"{with_unit(check, said.entered)} ({words})"
    return words
