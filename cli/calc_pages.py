"""What `lightoff calc` shows: the list, what a calculation needs, and an answer."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from lightoff.cli import screen
from lightoff.engine.entries.lists import SourceEntry
from lightoff.engine.service.calculations import SUBJECTS
from lightoff.engine.service.calculations.entry import Calculation, Choice, Input, Result
from lightoff.engine.service.calculations.measures import (
    BASE,
    Measure,
    read,
    written,
    written_twice,
)
from lightoff.engine.service.calculations.working import Answer, Verdict

STANDING = "standing-note"
"""Id of the caution that stands under every answer."""

# --- the list and what one needs ------------------------------------------------------


def show_list(as_json: bool) -> None:
    """All calculations by subject."""
    if as_json:
        screen.json_out(
            [
                {"id": each.name, "title": each.title, "subject": subject}
                for subject, group in SUBJECTS.items()
                for each in group
            ]
        )
        return
    longest = max(len(each.name) for group in SUBJECTS.values() for each in group)
    for subject, group in SUBJECTS.items():
        screen.say(subject, "head")
        for each in group:
            screen.say(
                screen.text((each.name.ljust(longest + 2), "name"), each.title),
                indent=2,
                hang=longest + 2,
            )
    screen.say("What one needs: lightoff calc NAME", "note")


def show_needs(calculation: Calculation, si: bool, as_json: bool) -> None:
    """What a calculation is for, its formula, and the inputs it takes."""
    if as_json:
        screen.json_out(_needs_data(calculation))
        return
    _show_head(calculation)
    rows = [(each.name, _usual_in_words(each, si), _what(each)) for each in calculation.inputs]
    screen.say()
    screen.table(("input", "if not given", "what it is"), rows)
    screen.say()
    command = " ".join(f"{name}={figure}" for name, figure in calculation.example.items())
    screen.say(f"For example: lightoff calc {calculation.name} {command}", "note", hang=2)


def _show_head(calculation: Calculation) -> None:
    screen.say(calculation.title, "head")
    screen.say(calculation.when)
    screen.field("Formula", *calculation.formula)


def _what(asked: Input | Choice) -> str:
    if isinstance(asked, Choice):
        return f"{asked.what}: {', '.join(asked.choices)}"
    return asked.what


def _usual_in_words(asked: Input | Choice, si: bool) -> str:
    if isinstance(asked, Choice):
        return next(iter(asked.choices))
    if asked.is_needed:
        return "needed"
    if asked.usual is None:
        return "left out"
    if callable(asked.usual):
        return "by the gas"
    return written(read(asked.usual, asked.measure.dimension), asked.measure, si)


def _needs_data(calculation: Calculation) -> dict[str, Any]:
    return {
        "id": calculation.name,
        "title": calculation.title,
        "when": calculation.when,
        "formula": list(calculation.formula),
        "inputs": [_input_data(each) for each in calculation.inputs],
        "results": [
            {"id": each.name, "what": each.what, "unit": BASE[each.measure.dimension]}
            for each in calculation.results
        ],
        "sources": list(calculation.sources),
        "hazards": list(calculation.hazards),
        "example": dict(calculation.example),
    }


def _input_data(asked: Input | Choice) -> dict[str, Any]:
    if isinstance(asked, Choice):
        return {
            "id": asked.name,
            "what": asked.what,
            "choices": list(asked.choices),
            "needed": False,
        }
    return {
        "id": asked.name,
        "what": asked.what,
        "dimension": asked.measure.dimension,
        "low": asked.low,
        "high": asked.high,
        "usual": asked.usual if isinstance(asked.usual, str) else None,
        "usual_from": asked.usual_from or None,
        "needed": asked.is_needed,
    }


# --- an answer ------------------------------------------------------------------------


def show_answer(calculation: Calculation, answer: Answer, si: bool, as_json: bool) -> None:
    """Formula, inputs, results, limits with their verdict, sources and cautions."""
    if as_json:
        screen.json_out(_answer_data(calculation, answer))
        return
    from lightoff.cli.names import load_lists

    sources, cautions = load_lists()
    _show_head(calculation)
    screen.say()
    screen.table(("input", "figure", "what it is"), _input_rows(calculation, answer, si))
    rows = [
        (each.name, written_twice(answer.figures[each.name], each.measure, si), each.what)
        for each in calculation.results
        if each.name in answer.figures
    ]
    screen.say()
    screen.table(("result", "figure", "what it is"), rows)
    for note in answer.notes:
        screen.say(note)
    screen.say()
    for verdict in answer.verdicts:
        _show_verdict(calculation, verdict, sources, si)
    screen.field("Source", *(_source(sources, each) for each in calculation.sources))
    for hazard in calculation.hazards:
        screen.say(f"Caution: {cautions[hazard].short}", "warn", hang=9)
    screen.say(cautions[STANDING].short, "note")


def _input_rows(
    calculation: Calculation, answer: Answer, si: bool
) -> Iterator[tuple[str, str, str]]:
    given = answer.given
    for each in calculation.inputs:
        if isinstance(each, Choice):
            shown, taken = given.word(each.name), "not given: the usual one"
        elif each.name in given:
            shown = written_twice(given[each.name], each.measure, si)
            taken = f"not given: {each.usual_from}"
        else:
            continue
        yield each.name, shown, taken if each.name in given.assumed else each.what


def _show_verdict(
    calculation: Calculation, verdict: Verdict, sources: dict[str, SourceEntry], si: bool
) -> None:
    limit = verdict.limit
    told = f"{limit.what} [{_source(sources, limit.source)}]"
    if verdict.word == "unknown":
        needs = " and ".join(limit.needs)
        screen.field("Limit", f"{told}: no verdict without {needs}.")
        return
    measure = _measure_of(calculation, limit.of)
    value = written(verdict.value, measure, si)
    style = "good" if verdict.word == "within" else "bad"
    screen.field(
        "Limit",
        f"{told}:",
        screen.text(
            (f"{limit.of} {value}, {_allowed(verdict, measure, si)}: {verdict.word}", style)
        ),
    )
    if verdict.word != "within":
        screen.field("", limit.out)


def _allowed(verdict: Verdict, measure: Measure, si: bool) -> str:
    low, high = (
        None if bound is None else written(bound, measure, si)
        for bound in (verdict.low, verdict.high)
    )
    if low and high:
        return f"allowed {low} to {high}"
    return f"at least {low}" if low else f"at most {high}"


def _measure_of(calculation: Calculation, name: str) -> Measure:
    figures: list[Input | Result] = [
        each for each in calculation.inputs if isinstance(each, Input)
    ] + list(calculation.results)
    return next(each.measure for each in figures if each.name == name)


def _source(sources: dict[str, SourceEntry], id_: str) -> str:
    return sources[id_].title


def _answer_data(calculation: Calculation, answer: Answer) -> dict[str, Any]:
    given = answer.given
    return {
        "calculation": calculation.name,
        "formula": list(calculation.formula),
        "inputs": {
            each.name: _figure_data(given[each.name], each.measure)
            for each in calculation.inputs
            if isinstance(each, Input) and each.name in given
        },
        "choices": dict(given.words),
        "assumed": sorted(given.assumed & {*given.figures, *given.words}),
        "results": {
            each.name: _figure_data(answer.figures[each.name], each.measure)
            for each in calculation.results
            if each.name in answer.figures
        },
        "notes": list(answer.notes),
        "limits": [_verdict_data(each) for each in answer.verdicts],
        "sources": list(calculation.sources),
        "hazards": list(calculation.hazards),
    }


def _figure_data(value: float, measure: Measure) -> dict[str, Any]:
    return {
        "value": value,
        "unit": BASE[measure.dimension],
        "trade": written(value, measure, si=False),
        "si": written(value, measure, si=True),
    }


def _verdict_data(verdict: Verdict) -> dict[str, Any]:
    limit = verdict.limit
    known = verdict.word != "unknown"
    return {
        "of": limit.of,
        "what": limit.what,
        "low": verdict.low,
        "high": verdict.high,
        "value": verdict.value if known else None,
        "verdict": verdict.word if known else None,
        "source": limit.source,
        "out": limit.out if verdict.word in ("below", "above") else None,
    }
