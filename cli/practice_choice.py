"""The next scenario for somebody: from what is weak, at the right difficulty."""

from __future__ import annotations

from lightoff.cli import screen
from lightoff.engine.library.scenarios import read_scenario, scenario_files
from lightoff.engine.model import Knowledge, Scenario
from lightoff.engine.teaching.practice.progress import Shipped, choose_next, closed_of
from lightoff.engine.teaching.practice.store import Store


def next_scenario(store: Store, knowledge: Knowledge) -> tuple[Scenario, bytes]:
    """The scenario to practise now, with its text; says why, and nothing of what it hides."""
    shipped = []
    for path in scenario_files():
        scenario, _ = read_scenario(path, knowledge, path.name)
        if scenario is not None:
            shipped.append(Shipped(scenario, path.read_bytes()))
    chosen = choose_next(shipped, closed_of(store.attempts()))
    screen.say(chosen.why, "note")
    return chosen.what.scenario, chosen.what.raw
