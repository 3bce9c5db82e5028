"""The next scenario for somebody: from what is weak, at the right difficulty."""

from __future__ import annotations

import click

from lightoff.cli import screen
from lightoff.engine.library.scenarios import read_scenario, scenario_files
from lightoff.engine.model import Knowledge, Scenario
from lightoff.engine.reasoning.diagnosis import Diagnosis
from lightoff.engine.teaching.made_up import NothingFitsError, make_up
from lightoff.engine.teaching.practice.progress import (
    Closed,
    Shipped,
    choose_next,
    closed_of,
    level_of,
    weak_areas,
)
from lightoff.engine.teaching.practice.store import Store, StoreError


def next_scenario(
    store: Store, knowledge: Knowledge, made_up: bool, seed: int
) -> tuple[Scenario, bytes]:
    """The scenario to practise now, with its text; says nothing of what it hides.

    It is made up where that is asked for, and once all of the level were practised.
    """
    try:
        closed = closed_of(store.attempts())
    except ValueError as error:
        raise StoreError(f"{store.path}: the file is damaged ({error})") from None
    chosen = choose_next(list(_shipped(knowledge)), closed)
    if made_up or chosen.again:
        return _made_up(knowledge, closed, seed)
    screen.say(chosen.why, "note")
    return chosen.what.scenario, chosen.what.raw


def _shipped(knowledge: Knowledge) -> list[Shipped]:
    found = ((read_scenario(path, knowledge, path.name)[0], path) for path in scenario_files())
    return [Shipped(each, path.read_bytes()) for each, path in found if each is not None]


def _made_up(knowledge: Knowledge, closed: list[Closed], seed: int) -> tuple[Scenario, bytes]:
    """One made up from weak areas, of the furnace practised last."""
    last = closed[-1].summary.furnace if closed else ""
    furnace = last if last in knowledge.furnaces else next(iter(knowledge.furnaces))
    screen.say("Making one up for you ...", "note")
    diagnosis = Diagnosis.of(knowledge, furnace)
    try:
        return make_up(diagnosis, seed, level_of(closed), weak_areas(closed))
    except NothingFitsError as error:
        raise click.ClickException(str(error)) from None
