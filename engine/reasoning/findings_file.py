"""A file of findings: YAML `{check-id: outcome or reading with unit, ...}`."""

from __future__ import annotations

import difflib
from collections.abc import Mapping
from pathlib import Path

from lightoff.engine import strict_yaml
from lightoff.engine.model import Check
from lightoff.engine.reasoning.answers import (
    ReadingError,
    bare_unit,
    is_bare_number,
    reads_a_figure,
    understand,
)
from lightoff.engine.reasoning.belief import Finding
from lightoff.engine.strict_yaml import Document, Problem

Findings = tuple[Finding, ...]
Problems = tuple[Problem, ...]


def read_findings(path: Path, checks: Mapping[str, Check]) -> tuple[Findings, Problems]:
    """The findings of a file, and every mistake in it with its line.

    `checks` are those of the furnace, by id. Findings without mistakes are given even if
    others have some.
    """
    document = strict_yaml.read(path, str(path))
    if document.data is None:
        return (), document.problems
    if not isinstance(document.data, dict):
        what = "the file is not a list of `check: finding`"
        mend = "write one `check-id: outcome` or `check-id: 24 V` on each line"
        return (), (*document.problems, Problem(document.place(()), what, mend))
    findings: list[Finding] = []
    problems = list(document.problems)
    for name, value in document.data.items():
        try:
            findings.append(_finding(checks, name, value))
        except ReadingError as error:
            problems.append(_problem(document, name, str(error)))
    return tuple(findings), tuple(sorted(problems, key=lambda problem: problem.place.line))


def _finding(checks: Mapping[str, Check], name: str, value: object) -> Finding:
    check = checks.get(name)
    if check is None:
        raise ReadingError(_unknown_check(checks, name))
    if not isinstance(value, str | int | float) or isinstance(value, bool):
        raise ReadingError(f"{name} has no outcome and no reading; {_example(check)}")
    text = str(value)
    if is_bare_number(text):
        raise ReadingError(_without_unit(check, text))
    try:
        return understand(check, text)
    except ReadingError as error:
        raise ReadingError(f"{name}: {error}") from error


def _unknown_check(checks: Mapping[str, Check], name: str) -> str:
    near = difflib.get_close_matches(name, checks, n=3)
    mend = f"did you mean {' or '.join(near)}?" if near else "see `lightoff knowledge list checks`"
    return f"this furnace has no check {name[:60]}; {mend}"


def _without_unit(check: Check, text: str) -> str:
    # On a screen the unit meant by a bare number is shown beside it; in a file it is not.
    what = f"{check.id}: {text} has no unit" if reads_a_figure(check) else f"{check.id}: {text}"
    verb = "" if reads_a_figure(check) else " is no answer here"
    return f"{what}{verb}; {_example(check, text)}"


def _example(check: Check, number: str = "24") -> str:
    names = ", ".join(outcome.id for outcome in check.outcomes)
    if reads_a_figure(check):
        return f"write it as `{number} {bare_unit(check)}`, or as one of: {names}"
    return f"write one of: {names}"


def _problem(document: Document, name: str, message: str) -> Problem:
    what, _, mend = message.partition("; ")
    return Problem(document.place((name,)), what, mend or "read it again")
