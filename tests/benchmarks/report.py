"""Seconds that the report of a long job takes, page by page and format by format.

    python -m tests.benchmarks.report [--findings 30]

A job with that many findings is answered by the simulated furnace; imports and the reading
of the knowledge are shown apart, since every command pays them.
"""

import argparse
import tempfile
from pathlib import Path
from time import perf_counter

from lightoff.cli.past_jobs import find_past
from lightoff.cli.report import writing
from lightoff.cli.report.formats import MODULES, writer_of
from lightoff.engine import library
from lightoff.engine.reasoning.diagnosis import Diagnosis, SimulatedFurnace
from lightoff.engine.reasoning.job import Closed, Cured, Found, Started
from lightoff.engine.reasoning.journal import Journal

FURNACE, FAULT = "two-pipe-condensing", "igniter.open"


def job_of(diagnosis, findings):
    """A job with the first findings that the furnace with its fault gives."""
    furnace = SimulatedFurnace(diagnosis.furnace, [diagnosis.furnace.faults[FAULT]])
    answers = (furnace.answer(check) for check in diagnosis.checks.values())
    known = [each for each in answers if each.outcome is not None][:findings]
    found = [
        Found(time=at(number), check=each.check, outcome=each.outcome, entered=each.entered)
        for number, each in enumerate(known)
    ]
    repair = diagnosis.furnace.faults[FAULT].repair
    ending = Closed(time=at(59), how="found", repair=repair, proof="unproven", reason="made up")
    start = Started(time=at(0), furnace=FURNACE, version="0")
    return (start, *found, Cured(time=at(59), repair=repair), ending)


def at(minute):
    return f"2026-01-02T{10 + minute // 60}:{minute % 60:02d}:00+00:00"


def main():
    options = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    options.add_argument("--findings", type=int, default=30)
    chosen = options.parse_args()
    start = perf_counter()
    knowledge = library.load()
    print(f"reading all knowledge            {perf_counter() - start:6.2f} s")
    events = job_of(Diagnosis.of(knowledge, FURNACE), chosen.findings)
    with tempfile.TemporaryDirectory() as folder:
        path = Journal.bring_in(Path(folder), events)
        start = perf_counter()
        documents = writing.pages_of(find_past(Path(folder), path.stem), writing.BOTH)
        print(f"both pages, knowledge read anew  {perf_counter() - start:6.2f} s")
    for ending in MODULES:
        start = perf_counter()
        content = writer_of(ending)(documents)
        seconds = perf_counter() - start
        print(f"written as {ending:5} {seconds:22.2f} s  {len(content)} bytes")


if __name__ == "__main__":
    main()
