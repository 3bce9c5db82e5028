"""What rules may name: checks, steps and suspects of the furnaces, and what is derived."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from lightoff.engine.entries.rules import RuleEntry
from lightoff.engine.library.files import Files, Item
from lightoff.engine.library.furnaces import Resolved
from lightoff.engine.library.readings import SATISFIED
from lightoff.engine.library.references import References
from lightoff.engine.library.report import Spot
from lightoff.engine.model import Check, Furnace
from lightoff.engine.outcomes import stalled_steps


@dataclass(frozen=True, slots=True)
class Known:
    """Names that rules may use, over all furnaces.

    Where files have mistakes of their own, names in them are taken on trust, so that one
    mistake is told once.
    """

    files: Files
    references: References
    furnaces: Mapping[str, Furnace]
    checks: Mapping[str, Mapping[str, Check]]
    """Check -> furnace -> the check there."""
    suspects: Mapping[str, frozenset[str]]
    """Part with a fault, or PART.FAULT -> furnaces that have it."""
    steps: Mapping[str, frozenset[str]]
    """Step of a healthy call, or `satisfied` -> furnaces that have it."""
    told_steps: frozenset[str]
    """Steps that an outcome of some check names alone: a call can be known to stall there."""
    facts: frozenset[str]
    furnaces_whole: bool
    checks_whole: bool

    def check(self, name: str, spot: Spot) -> Check | None:
        """The check on any furnace that has it; None if it is unknown or has mistakes."""
        if name not in self.files.checks.named:
            spot.unknown("check", name, self.files.checks.named)
        return next(iter(self.checks.get(name, {}).values()), None)

    def suspect(self, name: str, spot: Spot) -> None:
        """Note a name that is neither a part with a fault nor PART.FAULT."""
        if self.furnaces_whole and name not in self.suspects:
            spot.unknown("part with a fault, or PART.FAULT,", name, self.suspects)

    def step(self, name: str, spot: Spot) -> None:
        """Note a step in which no call can be known to stall."""
        if self.furnaces_whole and name not in self.steps:
            spot.unknown("step of a healthy call", name, self.steps)
        elif self.checks_whole and name not in self.told_steps:
            what = f"no check tells that a call stalls in {name} and nowhere else"
            spot.wrong(what, "use `found` with the outcome that holds it")

    def fact(self, name: str, spot: Spot) -> None:
        """Note a fact that no rule derives."""
        if self.files.rules.whole and name not in self.facts:
            spot.unknown("fact that some rule derives", name, self.facts)


def known_to_rules(
    files: Files,
    resolved: Mapping[str, Resolved],
    checks: Mapping[str, Mapping[str, Check]],
    references: References,
) -> Known:
    """Everything that rules may name."""
    furnaces = {id_: each.furnace for id_, each in resolved.items()}
    furnaces_whole = (
        files.furnaces.whole
        and set(furnaces) == files.furnaces.named
        and all(each.whole for each in resolved.values())
    )
    by_check: dict[str, dict[str, Check]] = {}
    for furnace, there in checks.items():
        for id_, check in there.items():
            by_check.setdefault(id_, {})[furnace] = check
    return Known(
        files=files,
        references=references,
        furnaces=furnaces,
        checks=by_check,
        suspects=_where({id_: _suspects(each) for id_, each in furnaces.items()}),
        steps=_where({id_: _steps(each) for id_, each in furnaces.items()}),
        told_steps=frozenset(
            step
            for there in by_check.values()
            for check in there.values()
            for outcome in check.outcomes
            for step in stalled_steps(check, outcome.id)
        ),
        facts=_derived(files.rules.items),
        furnaces_whole=furnaces_whole,
        checks_whole=furnaces_whole and set(by_check) == files.checks.named,
    )


def _suspects(furnace: Furnace) -> frozenset[str]:
    """Parts with their faults, those too that some choice of an option rules out."""
    ruled_out = [
        fault
        for option in furnace.entry.options.values()
        for choice in option.choices.values()
        for fault in choice.without
    ]
    faults = {*furnace.faults, *ruled_out}
    return frozenset((*faults, *(fault.partition(".")[0] for fault in faults)))


def _steps(furnace: Furnace) -> frozenset[str]:
    sequence = furnace.sequence
    return frozenset((*sequence.path, sequence.starts, SATISFIED))


def _where(names: Mapping[str, frozenset[str]]) -> dict[str, frozenset[str]]:
    """Name -> furnaces, from furnace -> names."""
    return {
        name: frozenset(furnace for furnace, there in names.items() if name in there)
        for name in sorted(frozenset().union(*names.values()))
    }


def _derived(rules: Mapping[str, Item[RuleEntry]]) -> frozenset[str]:
    return frozenset(
        effect.derive
        for item in rules.values()
        for effect in item.entry.then
        if effect.derive is not None
    )
