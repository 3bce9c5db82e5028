"""How long the main steps take; prints figures, asserts nothing.

    python -m tests.benchmarks.speed

Medians of several runs on one core, without any cache: machines are noisy.
"""

from __future__ import annotations

import statistics
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path
from tempfile import TemporaryDirectory

from lightoff.engine import library
from lightoff.engine.machine.plan import Machine, Plan
from lightoff.engine.machine.simulate import simulate
from lightoff.engine.reasoning.belief import Finding
from lightoff.engine.reasoning.diagnosis import Diagnosis
from lightoff.engine.reasoning.job import JobState
from lightoff.engine.reasoning.prediction import predict

FURNACE = "two-pipe-condensing"


def median_ms(work: Callable[[], object], runs: int) -> float:
    times = []
    for _ in range(runs):
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
    return 1e3 * statistics.median(times)


def shell(*arguments: str, typed: str = "") -> Callable[[], object]:
    command = [str(Path(sys.executable).with_name("lightoff")), *arguments]
    return lambda: subprocess.run(command, input=typed, text=True, capture_output=True, check=True)


def main() -> None:
    knowledge = library.load()
    furnace, checks = knowledge.furnaces[FURNACE], list(knowledge.checks[FURNACE].values())
    diagnosis = Diagnosis.of(knowledge, FURNACE)
    state = JobState(FURNACE, "", "")
    start = diagnosis.belief(state)
    first = diagnosis.decide(start, state).check
    assert first is not None
    finding = Finding(first, diagnosis.checks[first].outcomes[0].id)

    def find_and_choose() -> None:
        diagnosis.decide(start.given(finding), state)

    faults = list(furnace.faults.values())

    def all_calls() -> None:
        plan = Plan(furnace)
        for fault in faults:
            simulate(Machine(plan, fault.overrides))

    table = f"prediction table, {len(faults)} faults x {len(checks)} checks"

    def all_tables() -> None:
        for each in knowledge.furnaces.values():
            predict(each, list(knowledge.checks[each.id].values()))

    def first_question() -> None:
        with TemporaryDirectory() as folder:
            shell("diagnose", "--journal-folder", folder, typed="n\nq\n")()

    figures = {
        "reading all knowledge": median_ms(library.load, 5),
        "one simulated call (mean over faults)": median_ms(all_calls, 5) / len(faults),
        table: median_ms(lambda: predict(furnace, checks), 5),
        f"prediction tables of all {len(knowledge.furnaces)} furnaces": median_ms(all_tables, 3),
        "one finding and the next choice": median_ms(find_and_choose, 50),
        "lightoff --help, cold": median_ms(shell("--help"), 7),
        "diagnose to its first question and out again, cold": median_ms(first_question, 7),
    }
    for name, figure in figures.items():
        print(f"{name:60} {figure:9.2f} ms")


if __name__ == "__main__":
    main()
