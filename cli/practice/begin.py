"""An attempt begun or taken up again, and the way out of it."""

from __future__ import annotations

import secrets
import sys
from pathlib import Path

from lightoff.cli import screen
from lightoff.cli.main import STOPPED
from lightoff.cli.practice.command import scenario_named, scenario_of_attempt
from lightoff.cli.practice.talk import LeaveError, Sitting
from lightoff.cli.prompts import InputEnded, now, prepare_input, usual_folder, version
from lightoff.engine.model import Knowledge
from lightoff.engine.reasoning.diagnosis import Diagnosis
from lightoff.engine.teaching.practice import sealing
from lightoff.engine.teaching.practice.bench import Bench
from lightoff.engine.teaching.practice.store import NAME, Attempt, Store


def attempts_file(folder: Path | None) -> Path:
    """Where attempts are kept."""
    return (folder or usual_folder().parent) / NAME


def talk(
    knowledge: Knowledge,
    name: str | None,
    resume: int | None,
    seed: int | None,
    folder: Path | None,
    at_once: bool,
    made_up: bool = False,
) -> int:
    """Begin an attempt or go on with one; the exit code."""
    prepare_input()
    with Store(attempts_file(folder)) as store:
        if resume is not None:
            sitting = _resumed(store, knowledge, resume)
        else:
            sitting = _begun(store, knowledge, name, seed, made_up)
        sitting.waits = sys.stdout.isatty() and not at_once
        try:
            return sitting.run()
        except (InputEnded, LeaveError):
            sitting.say_saved(folder)
            return 0
        except KeyboardInterrupt:
            print()
            sitting.say_saved(folder)
            return STOPPED


def _begun(
    store: Store, knowledge: Knowledge, name: str | None, seed: int | None, made_up: bool
) -> Sitting:
    seed = secrets.randbelow(2**31) if seed is None else seed
    if name is None:
        from lightoff.cli.practice.choice import next_scenario

        scenario, raw = next_scenario(store, knowledge, made_up, seed)
    else:
        scenario, raw = scenario_named(name, knowledge)
    diagnosis = Diagnosis.of(knowledge, scenario.furnace.id)
    attempt = store.begin(
        Attempt(
            id=0,
            scenario=scenario.id,
            sealed=sealing.seal(scenario.id, raw),
            digest=sealing.digest_of(raw),
            seed=seed,
            version=version(),
            began=now(),
        )
    )
    return Sitting(store, attempt, Bench.of(scenario, diagnosis, attempt.seed))


def _resumed(store: Store, knowledge: Knowledge, number: int) -> Sitting:
    attempt = store.attempt(number)
    scenario = scenario_of_attempt(attempt, knowledge)
    diagnosis = Diagnosis.of(knowledge, scenario.furnace.id)
    acts = store.acts(number)
    if _was_changed(attempt):
        screen.say("The scenario was changed since; this goes on with the one it began with.")
    return Sitting(store, attempt, Bench.of(scenario, diagnosis, attempt.seed, acts))


def _was_changed(attempt: Attempt) -> bool:
    from lightoff.engine.library.scenarios import scenario_files

    own = [path for path in scenario_files() if path.stem == attempt.scenario]
    return bool(own) and sealing.digest_of(own[0].read_bytes()) != attempt.digest
