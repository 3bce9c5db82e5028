"""Calculations worked out from what is typed, with results in units of the trade or SI."""

from lightoff.engine.service.calculations import CALCULATIONS
from lightoff.engine.service.calculations.measures import unit_of
from lightoff.engine.service.calculations.working import Answer, answer


def worked(name: str, **typed: str) -> Answer:
    """The answer to what is typed; `heating_value` stands for heating-value."""
    return answer(CALCULATIONS[name], {key.replace("_", "-"): text for key, text in typed.items()})


def result(of: str, unit: str, name: str, **typed: str) -> float:
    """One result of a calculation in a unit."""
    dimension = next(
        each.measure.dimension for each in CALCULATIONS[name].results if each.name == of
    )
    figure = worked(name, **typed).figures[of]
    found = unit_of(unit, dimension) if unit else None
    assert found is not None or not unit
    return found.from_si(figure) if found else figure


def verdicts(name: str, **typed: str) -> list[str]:
    """How the figures stand to the limits."""
    return [each.word for each in worked(name, **typed).verdicts]
