"""What holds for each calculation there is: examples, sources, cautions, refusals, units."""

import math

import pytest

from lightoff.engine.library.files import is_id
from lightoff.engine.library.references import PLAIN_SOURCES
from lightoff.engine.service.calculations import CALCULATIONS, SUBJECTS
from lightoff.engine.service.calculations.entry import Choice, ImpossibleError, Input
from lightoff.engine.service.calculations.measures import BASE, read, unit_of
from lightoff.engine.service.calculations.working import answer, given, understood
from lightoff.engine.units import units_of

every = pytest.mark.parametrize("calculation", CALCULATIONS.values(), ids=list(CALCULATIONS))
every_input = pytest.mark.parametrize(
    ("calculation", "asked"),
    [
        pytest.param(each, asked, id=f"{each.name}.{asked.name}")
        for each in CALCULATIONS.values()
        for asked in each.inputs
        if isinstance(asked, Input)
    ],
)


def test_names_are_ids_and_none_is_taken_twice():
    names = [each.name for group in SUBJECTS.values() for each in group]
    assert len(names) == len(set(names)) == len(CALCULATIONS)
    assert all(map(is_id, names))


@every
def test_the_example_works_and_gives_results_that_are_declared(calculation):
    found = answer(calculation, calculation.example)
    assert found.figures
    assert set(found.figures) <= {each.name for each in calculation.results}
    assert all(map(math.isfinite, found.figures.values()))


@every
def test_every_source_is_known_and_every_hazard_has_its_caution(calculation, knowledge):
    sources = {*calculation.sources, *(limit.source for limit in calculation.limits)}
    assert sources <= knowledge.sources.keys() | PLAIN_SOURCES
    assert set(calculation.hazards) <= knowledge.cautions.keys()
    assert calculation.hazards
    assert calculation.sources
    assert calculation.formula


def test_sources_marked_for_calculations_are_named_by_one(knowledge):
    named = {id_ for each in CALCULATIONS.values() for id_ in each.sources}
    named |= {limit.source for each in CALCULATIONS.values() for limit in each.limits}
    marked = {id_ for id_, each in knowledge.sources.items() if each.calculations}
    assert marked <= named


@every
def test_limits_are_about_inputs_and_results_and_say_what_to_do(calculation):
    figures = {each.name for each in (*calculation.inputs, *calculation.results)}
    optional = {
        each.name for each in calculation.inputs if isinstance(each, Input) and each.optional
    }
    for limit in calculation.limits:
        assert limit.of in figures
        assert limit.low is not None or limit.high is not None
        assert set(limit.needs) <= optional
        assert limit.out.endswith(".")


@every
def test_each_needed_input_that_is_missing_is_named(calculation):
    for asked in calculation.inputs:
        if not asked.is_needed:
            continue
        typed = {name: text for name, text in calculation.example.items() if name != asked.name}
        with pytest.raises(ImpossibleError, match="it is not given") as error:
            answer(calculation, typed)
        assert error.value.input == asked.name
        assert error.value.mend


@every_input
def test_what_cannot_be_is_refused_by_every_input(calculation, asked):
    low, high = (read(text, asked.measure.dimension) for text in (asked.low, asked.high))
    assert low < high
    base = BASE[asked.measure.dimension]
    for wrong in (low - 1e-3 * (high - low), high + 1e-3 * (high - low)):
        with pytest.raises(ImpossibleError) as error:
            understood(asked, f"{wrong:.12g} {base}".strip())
        assert error.value.input == asked.name
    for wrong in ("nan", "inf", "1e999", "", "x", "1 furlongs per fortnight"):
        with pytest.raises(ImpossibleError):
            understood(asked, wrong)
    if asked.measure.dimension != "pressure":
        with pytest.raises(ImpossibleError, match=r"not a|is no unit"):
            understood(asked, "1 inwc")


@every_input
def test_a_usual_figure_says_where_it_comes_from_and_can_be(calculation, asked):
    if asked.usual is None:
        assert not asked.usual_from
        return
    assert asked.usual_from
    figures = given(calculation, calculation.example).figures
    usual = read(asked.usual, asked.measure.dimension) if isinstance(asked.usual, str) else None
    low, high = (read(text, asked.measure.dimension) for text in (asked.low, asked.high))
    assert low <= (figures[asked.name] if usual is None else usual) <= high


@every
def test_a_choice_that_does_not_exist_is_refused_with_those_that_do(calculation):
    for asked in calculation.inputs:
        if isinstance(asked, Choice):
            with pytest.raises(ImpossibleError, match=f"give {next(iter(asked.choices))}"):
                understood(asked, "town-gas")


@every
def test_the_answer_is_the_same_whatever_the_units(calculation):
    expected = answer(calculation, calculation.example)
    for name, figure in expected.given.figures.items():
        asked = next(each for each in calculation.inputs if each.name == name)
        others = units_of(asked.measure.dimension)
        for other in (*others, *{"pressure": ("hPa",), "volume": ("gallon",)}.get(name, ())):
            unit = unit_of(other, asked.measure.dimension)
            assert unit is not None
            typed = {**calculation.example, name: f"{unit.from_si(figure):.15g} {other}"}
            found = answer(calculation, typed).figures
            for key, value in expected.figures.items():
                # A margin between two temperatures loses digits of both.
                assert found[key] == pytest.approx(value, rel=1e-9, abs=1e-9)
