"""Options of a furnace: what each choice makes of the model, and mistakes in them."""

from __future__ import annotations

from pathlib import Path

import pytest

from lightoff.engine import library
from lightoff.engine.library import options
from lightoff.engine.machine.combustion import FUELS
from lightoff.engine.machine.plan import Machine, Plan
from lightoff.engine.machine.probe import Moment, at
from lightoff.engine.machine.simulate import simulate
from lightoff.engine.model import Furnace, Knowledge
from tests.small_knowledge import FURNACE, SMALL, write

OPTIONS = """
options:
  gas:
    ask: Which gas?
    choices:
      natural-gas: {about: As it is.}
      propane: {about: Converted., gas: propane, values: {valve.regulator: 10 inwc}}
  altitude: {ask: How high?, figure: altitude}
"""
CASES = [
    (furnace.id, f"{name}={choice}")
    for furnace in library.load().furnaces.values()
    for name, option in furnace.entry.options.items()
    for choice in (option.choices or ("2000 ft", "5000 ft"))
]


def chosen(monkeypatch: pytest.MonkeyPatch, text: str) -> Knowledge:
    monkeypatch.setenv(options.ENVIRONMENT, text)
    return library.load()


def heating(furnace: Furnace) -> Moment:
    trace = simulate(Machine(Plan(furnace)))
    assert trace.stalls_in() == "satisfied"
    moment = at(trace, "heating")
    assert moment is not None
    return moment


def fired(furnace: Furnace, moment: Moment) -> float:
    return moment.segment.steady.gas.flow * FUELS[furnace.entry.gas].heating_value


@pytest.mark.parametrize(("furnace", "choice"), CASES)
def test_a_furnace_works_within_its_plate_under_every_choice(
    monkeypatch: pytest.MonkeyPatch, furnace: str, choice: str
) -> None:
    found = chosen(monkeypatch, choice).furnaces[furnace]
    moment = heating(found)
    for name, value in {
        "manifold": moment.pressure("MANIFOLD", "ROOM"),
        "inlet": moment.pressure("INLET", "ROOM"),
        "temperature-rise": moment.temperature("rise"),
    }.items():
        low, high = found.plate[name]
        assert low <= value <= high, name
    # O2 of 6 to 9 % (common practice); thin air comes closest to the lower end.
    assert 0.055 <= moment.flue("o2") <= 0.095
    assert moment.flue("co-air-free") < 100e-6


def test_propane_keeps_the_input_with_other_orifices_and_pressures(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    usual = library.load().furnaces["two-pipe-condensing"]
    gas = chosen(monkeypatch, "gas=propane").furnaces["two-pipe-condensing"]
    assert fired(gas, heating(gas)) == pytest.approx(fired(usual, heating(usual)), rel=0.05)
    # Manifold 10 to 11 inwc on propane (published: a trades college's answer key).
    assert heating(gas).pressure("MANIFOLD", "ROOM") / 249.08 == pytest.approx(10.0, abs=0.5)


def test_input_falls_with_altitude_as_the_root_of_the_air_pressure(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """ISA: 0.9122 through a fixed orifice at 5000 ft (computed from the standard)."""
    low = library.load().furnaces["two-pipe-condensing"]
    high = chosen(monkeypatch, "altitude=5000 ft").furnaces["two-pipe-condensing"]
    ratio = fired(high, heating(high)) / fired(low, heating(low))
    assert ratio == pytest.approx(0.9122, rel=1e-3)


def test_the_faults_that_a_choice_rules_out_are_gone(monkeypatch: pytest.MonkeyPatch) -> None:
    found = chosen(monkeypatch, "cooling-coil=none").furnaces["two-pipe-condensing"]
    assert "cooling-coil.plugged" not in found.faults


def test_bands_follow_the_gas(monkeypatch: pytest.MonkeyPatch) -> None:
    knowledge = chosen(monkeypatch, "gas=propane")
    check = knowledge.checks["two-pipe-condensing"]["manifold-pressure-heating"]
    normal = next(outcome.band for outcome in check.outcomes if outcome.id == "normal")
    assert normal.low < 10 * 249.08 < normal.high


def small_with(folder: Path, *changes: tuple[str, str]) -> list[str]:
    text = SMALL[FURNACE] + OPTIONS
    for old, new in changes:
        assert old in text
        text = text.replace(old, new, 1)
    _, problems = library.check(write(folder, {**SMALL, FURNACE: text}))
    return [str(problem) for problem in problems]


def test_options_without_a_mistake_are_no_problem(tmp_path: Path) -> None:
    assert small_with(tmp_path) == []


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ("valve.regulator", "valv.regulator", "no part of this furnace is called 'valv'"),
        ("valve.regulator", "valve.regulat", "no value of a gas-valve is called 'regulat'"),
        ("figure: altitude", "figure: altitud", "did you mean altitude?"),
        (", figure: altitude", "", "altitude leaves nothing to choose"),
        ("options:", "chosen: {gas: propan}\noptions:", "did you mean propane?"),
        ("options:", "chosen: {gass: propane}\noptions:", "did you mean gas?"),
        (
            "options:",
            "chosen: {altitude: high}\noptions:",
            "no choice of altitude is called 'high'",
        ),
    ],
)
def test_a_mistake_in_an_option_is_told_with_a_mend(
    tmp_path: Path, old: str, new: str, told: str
) -> None:
    problems = small_with(tmp_path, (old, new))
    assert any(told in problem and problem.startswith(FURNACE) for problem in problems), problems


def test_a_choice_that_is_none_says_so(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv(options.ENVIRONMENT, "propane")
    with pytest.raises(ValueError, match="write OPTION=CHOICE"):
        library.load()


SHIPPED = "furnaces/two-pipe-condensing.yaml"


def shipped_with(folder: Path, legend: str) -> tuple[Knowledge | None, list[str]]:
    """The shipped knowledge with a legend in its first furnace, laid over from a folder."""
    text = (library.shipped() / SHIPPED).read_text() + legend
    (folder / "furnaces").mkdir()
    (folder / SHIPPED).write_text(text)
    knowledge, problems = library.check_over(folder)
    return knowledge, [str(problem) for problem in problems]


def test_a_furnace_of_ones_own_may_say_what_its_light_shows(tmp_path: Path) -> None:
    legend = "\nlegend: {one long and two short: draft, steady: normal}\n"
    knowledge, problems = shipped_with(tmp_path, legend)
    assert knowledge is not None
    assert problems == []
    check = knowledge.checks["two-pipe-condensing"]["status-light-after-call"]
    texts = {outcome.id: outcome.text for outcome in check.outcomes}
    assert texts["draft"].endswith("(on this board: one long and two short)")
    assert "on this board" not in texts["ignition"]


def test_a_legend_in_words_of_no_step_is_told(tmp_path: Path) -> None:
    _, problems = shipped_with(tmp_path, "\nlegend: {steady: norml}\n")
    assert any("word for the light in a step is called 'norml'" in each for each in problems)


def test_no_shipped_furnace_has_a_legend_of_its_light() -> None:
    assert not any(furnace.entry.legend for furnace in library.load().furnaces.values())
