"""What must be put right before a job may be closed: safeties bypassed, jumpers left in."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from lightoff.engine.model import Check, Rule
from lightoff.engine.reasoning.advice import Advice
from lightoff.engine.reasoning.diagnosis import Diagnosis
from lightoff.engine.reasoning.job import JobState


def open_items(diagnosis: Diagnosis, job: JobState, advice: Advice) -> tuple[str, ...]:
    """What is open, in words, the oldest first: what checks left behind, then what rules say.

    An item that was cleared is open again once what brought it up was found again.
    """
    cleared = dict(job.cleared)
    opened = [*_left_by_checks(diagnosis.checks, job), *_said_by_rules(job, advice)]
    still = (item for item, since in opened if item not in cleared or since > cleared[item])
    return tuple(dict.fromkeys(still))


def _left_by_checks(checks: Mapping[str, Check], job: JobState) -> Iterator[tuple[str, int]]:
    """What each check that was made leaves to be put back, and the number of its finding."""
    for number, finding in enumerate(job.findings, start=1):
        item = checks[finding.check].entry.opens
        if item and finding.outcome is not None:
            yield item, number


def _said_by_rules(job: JobState, advice: Advice) -> Iterator[tuple[str, int]]:
    """What each rule wants put right, and the number of the latest finding it rests on."""
    for said in advice.open_items:
        rests_on = [job.last_found(check) for check in _found_by(said.rule, advice.fired)]
        yield said.text, max(rests_on, default=0)


def _found_by(rule: Rule, fired: tuple[Rule, ...]) -> Iterator[str]:
    """The checks whose answers a rule rests on, itself or through facts derived from them."""
    pending, seen = [rule], {rule.id}
    while pending:
        for condition in pending.pop().conditions:
            if condition.subject == "found":
                yield condition.name
            elif condition.subject == "fact":
                deriving = [
                    each for each in fired if condition.name in each.derives and each.id not in seen
                ]
                seen.update(each.id for each in deriving)
                pending += deriving
