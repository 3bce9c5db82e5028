"""Where the true repair stands when the interview is over; prints figures.

    python -m tests.benchmarks.interview [--furnace two-pipe-condensing]

A simulated furnace with each fault in turn answers what can be asked, seen and heard
before a tool is taken out; what it cannot know (its history, what stands around it) is
answered "don't know". Per fault: questions, minutes, and the rank of the true repair
among the suspects. The mean counts each fault by how often it occurs.
"""

from __future__ import annotations

import argparse
from dataclasses import dataclass, replace

from lightoff.engine import library
from lightoff.engine.model import Fault
from lightoff.engine.reasoning.belief import Belief, Finding
from lightoff.engine.reasoning.diagnosis import Diagnosis, SimulatedFurnace
from lightoff.engine.reasoning.interview import Ask, MakeSafe, person_of, what_next
from lightoff.engine.reasoning.job import JobState
from lightoff.engine.reasoning.planning.costs import minutes_of
from lightoff.engine.reasoning.suspects import suspects_of

FIRST_FEW = 3


@dataclass(frozen=True)
class Interviewed:
    """One interview: what was asked, and where the true repair stands after it."""

    fault: Fault
    asked: tuple[str, ...]
    minutes: float
    rank: int

    @property
    def among_first(self) -> bool:
        return self.rank <= FIRST_FEW


def interviewed(diagnosis: Diagnosis, fault: Fault) -> Interviewed:
    """Answer the interview for a furnace with a fault, up to the first tool taken out."""
    furnace = SimulatedFurnace(diagnosis.furnace, [fault])
    job = JobState(diagnosis.furnace.id, "", "")
    asked: list[str] = []
    minutes = 0.0
    while True:
        advice = diagnosis.advise(job, person_of(job))
        coming = what_next(diagnosis, job, advice)
        if isinstance(coming, MakeSafe):
            job = found(job, *(Finding(sign, "no") for sign in coming.checks))
        elif isinstance(coming, Ask) and coming.phase != "narrow":
            check = diagnosis.checks[str(coming.decision.check)]
            setup = diagnosis.setup_now(job)
            minutes += minutes_of(diagnosis.table, diagnosis.costs, check.id, setup)
            asked.append(check.id)
            job = found(job, furnace.answer(check))
        else:
            return Interviewed(fault, tuple(asked), minutes, rank_of(fault, advice.belief))


def found(job: JobState, *findings: Finding) -> JobState:
    """The job with some findings more."""
    return replace(
        job,
        findings=job.findings + findings,
        checks_done=job.checks_done + tuple(finding.check for finding in findings),
    )


def rank_of(fault: Fault, belief: Belief) -> int:
    """Place of the first suspect that asks for the repair of the fault, from 1."""
    repairs = [suspect.repair for suspect in suspects_of(belief)]
    return repairs.index(fault.repair) + 1


def share_among_first(results: list[Interviewed]) -> float:
    """Share of faults, by weight, whose repair is among the first few suspects."""
    total = sum(result.fault.entry.weight for result in results)
    return sum(each.fault.entry.weight for each in results if each.among_first) / total


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--furnace", default="two-pipe-condensing")
    diagnosis = Diagnosis.of(library.load(), options.parse_args().furnace)
    results = [interviewed(diagnosis, fault) for fault in diagnosis.furnace.faults.values()]
    for each in results:
        mark = "  " if each.among_first else "! "
        figures = f"{len(each.asked):3} asked{each.minutes:6.0f} min   rank {each.rank:2}"
        print(f"{mark}{each.fault.id:38}{figures}")
    share = share_among_first(results)
    asked = sum(len(each.asked) for each in results) / len(results)
    minutes = sum(each.minutes for each in results) / len(results)
    print(f"\n{len(results)} interviews, {asked:.1f} questions and {minutes:.0f} min in the mean")
    print(f"true repair among the first {FIRST_FEW} suspects: {share:.1%} of faults by weight")


if __name__ == "__main__":
    main()
