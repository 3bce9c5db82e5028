"""A scenario that the program makes up from the model, good enough for its own check."""

from __future__ import annotations

import random
from collections.abc import Collection, Iterator, Sequence
from typing import Any, get_args

import yaml

from lightoff.engine.entries.scenarios import Level
from lightoff.engine.library.scenarios import scenario_of
from lightoff.engine.model import Check, Fault, Scenario
from lightoff.engine.reasoning.diagnosis import Diagnosis, SimulatedFurnace
from lightoff.engine.strict_yaml import parse
from lightoff.engine.teaching.check import Checked, check_scenario
from lightoff.engine.teaching.draft import minutes_to_allow

MOST_TRIED = 10
"""Faults tried for one that passes the check and is of the level asked for."""
LEVELS: tuple[str, ...] = get_args(Level)
HARDEST = (3.0, 4.0, 5.5, 7.0)
"""Figure of difficulty up to which a scenario is of a level, all but the last (from memory)."""
SETTINGS = (
    "A row house with the furnace in the basement, behind the washing machine.",
    "A bungalow. The furnace stands in a closet off the hall.",
    "A village library. The furnace stands in a room behind the stacks.",
    "A frame maker's workshop with a furnace in the storeroom.",
    "A youth hostel. The furnace is in a cellar room with a low door.",
    "A nursery for seedlings with a small office and its furnace.",
)


class NothingFitsError(Exception):
    """No fault that was tried makes a scenario that passes."""


def make_up(
    diagnosis: Diagnosis, seed: int, level: str, areas: Collection[str] = ()
) -> tuple[Scenario, bytes]:
    """A scenario of a fault in one of some areas (all if none), with the text of its file.

    The nearest to the level of those tried; each passes `check_scenario`.
    NothingFitsError if none does.
    """
    chance = random.Random(f"{seed} {level}")
    wanted = LEVELS.index(level)
    found: list[tuple[int, int, Scenario, bytes]] = []
    for number, fault in enumerate(_faults(diagnosis, chance, areas)):
        checked, raw = _tried(diagnosis, fault, chance, seed)
        if checked is None or not checked.is_sound or checked.difficulty is None:
            continue
        off = abs(LEVELS.index(checked.scenario.entry.level) - wanted)
        found.append((off, number, checked.scenario, raw))
        if off == 0:
            break
    if not found:
        raise NothingFitsError("no fault that was tried makes a sound scenario; try another seed")
    _, _, scenario, raw = min(found, key=lambda each: each[:2])
    return scenario, raw


def _faults(diagnosis: Diagnosis, chance: random.Random, areas: Collection[str]) -> Iterator[Fault]:
    """Faults in the areas, drawn by how often they occur; then any."""
    parts = diagnosis.furnace.parts
    every = list(diagnosis.furnace.faults.values())
    own = [each for each in every if parts[each.part].entry.area in areas] or every
    for _ in range(min(MOST_TRIED, len(own))):
        (drawn,) = chance.choices(own, [each.entry.weight for each in own])
        own.remove(drawn)
        yield drawn


def _tried(
    diagnosis: Diagnosis, fault: Fault, chance: random.Random, seed: int
) -> tuple[Checked | None, bytes]:
    """A scenario of a fault, checked; with the level and the minutes that this shows."""
    data = _data(diagnosis, fault, chance.choice(SETTINGS), seed)
    if data is None:
        return None, b""
    checked = check_scenario(_read(data, diagnosis)[0], diagnosis)
    if checked.difficulty is not None:
        data["level"] = _level(checked.difficulty.figure)
        data["minutes"] = float(minutes_to_allow(checked.minutes))
    scenario, raw = _read(data, diagnosis)
    return check_scenario(scenario, diagnosis), raw


def _level(figure: float) -> str:
    return LEVELS[sum(figure > most for most in HARDEST)]


def _data(diagnosis: Diagnosis, fault: Fault, setting: str, seed: int) -> dict[str, Any] | None:
    """What its file says; None if the customer would notice nothing."""
    said = list(_complaint(diagnosis, fault))
    if not said:
        return None
    part = diagnosis.furnace.parts[fault.part].entry
    signs = [c for c in diagnosis.checks.values() if c.entry.phase == "make-safe"]
    return {
        "id": f"made-up-{seed}",
        "title": "A call for heat, made up for you",
        "setting": setting,
        "level": LEVELS[0],
        "furnace": diagnosis.furnace.id,
        "faults": [{"fault": fault.id}],
        "complaint": " ".join(said),
        "tells": {check.id: "no" for check in signs if "no" in check.entry.outcomes},
        "minutes": 24 * 60,
        "learn": [fault.entry.because],
        "hints": [
            "At which step does the call stop getting further?",
            f"Look further in this area: {part.area}.",
            f"Have a look at this: {part.name}.",
        ],
        "lab": {"never": "Made up by the program: in simulation only."},
        "source": "invented",
    }


def _complaint(diagnosis: Diagnosis, fault: Fault) -> Iterator[str]:
    """What the customer says of it that he would not say of a sound furnace."""
    faulty = SimulatedFurnace(diagnosis.furnace, [fault])
    sound = SimulatedFurnace(diagnosis.furnace, [])
    for check in _noticed(list(diagnosis.checks.values())):
        found, usual = faulty.answer(check), sound.answer(check)
        if found.outcome != usual.outcome:
            text = next(each.text for each in check.outcomes if each.id == found.outcome)
            yield f"{text[:1].upper()}{text[1:].rstrip('.')}."


def _noticed(checks: Sequence[Check]) -> list[Check]:
    return [
        check
        for check in checks
        if check.entry.phase == "customer"
        and not check.entry.reads.told
        and not check.entry.provokes
        and not check.trying
    ]


def _read(data: dict[str, Any], diagnosis: Diagnosis) -> tuple[Scenario, bytes]:
    raw = yaml.safe_dump(data, sort_keys=False, allow_unicode=True, width=96).encode()
    scenario, problems = scenario_of(parse(raw, data["id"]), data["id"], diagnosis.knowledge)
    assert scenario is not None, problems
    return scenario, raw
