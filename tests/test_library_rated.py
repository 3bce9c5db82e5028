"""What is read off the furnace itself takes the place of the ratings of its type."""

from __future__ import annotations

import pytest

from lightoff.engine import library
from lightoff.engine.library.rated import RatingError, by_model, of_plate, ratings_for, understood
from lightoff.engine.machine.plan import Machine, Plan
from lightoff.engine.machine.probe import Moment, at
from lightoff.engine.machine.simulate import simulate
from lightoff.engine.model import Furnace, Knowledge
from lightoff.engine.service.proving import yearly
from lightoff.engine.units import UnitError

ONE_STAGE = (
    "two-pipe-condensing",
    "metal-vent-induced",
    "direct-spark-propane",
    "spark-pilot-natural-draft",
    "standing-pilot",
)
PLATES: dict[str, dict[str, str]] = {
    "small": {"input": "45 kBtu/h"},
    "large": {"input": "120 kBtu/h"},
    "large and cool": {"input": "120 kBtu/h", "temperature-rise": "30 to 60 F rise"},
    "hot": {"temperature-rise": "50 to 80 F rise"},
    "weak draft switch": {"pressure-switch": "0.45 inwc"},
    "stiffer draft switch": {"pressure-switch": "0.65 inwc"},
    "thin igniter": {"igniter": "40 ohm"},
    "in the hills": {"altitude": "4500 ft"},
}


def rated(knowledge: Knowledge, furnace: str, figures: dict[str, str]) -> Knowledge:
    model = knowledge.furnaces[furnace]
    known = {rating.id: rating for rating in ratings_for(knowledge, model)}
    read = [
        (name, understood(model, known[name], text))
        for name, text in figures.items()
        if name in known
    ]
    return library.load_rated(knowledge, furnace, read)


def heating(furnace: Furnace) -> Moment:
    trace = simulate(Machine(Plan(furnace)))
    assert trace.stalls_in() == "satisfied"
    moment = at(trace, "heating")
    assert moment is not None
    return moment


@pytest.mark.parametrize("furnace", ONE_STAGE)
@pytest.mark.parametrize("plate", PLATES)
def test_a_sound_furnace_works_within_the_plate_that_was_read_off_it(
    knowledge: Knowledge, furnace: str, plate: str
) -> None:
    known = rated(knowledge, furnace, PLATES[plate])
    model = known.furnaces[furnace]
    moment = heating(model)
    for name, value in {
        "manifold": moment.pressure("MANIFOLD", "ROOM"),
        "inlet": moment.pressure("INLET", "ROOM"),
        "temperature-rise": moment.temperature("rise"),
    }.items():
        low, high = model.plate[name]
        assert low <= value <= high, name
    for item in yearly(known, furnace):
        if item.expected is not None and item.id in (
            "input",
            "temperature-rise",
            "draft-at-switch",
        ):
            band = item.outcomes[0].band
            assert band.low <= float(item.expected) < band.high, item.id


def test_a_furnace_of_another_size_burns_as_the_plate_says_with_the_same_pressures(
    knowledge: Knowledge,
) -> None:
    """Similarity: flows go with the input, pressures, rise and O2 do not."""
    small = heating(
        rated(knowledge, "two-pipe-condensing", {"input": "40 kBtu/h"}).furnaces[
            "two-pipe-condensing"
        ]
    )
    usual = heating(knowledge.furnaces["two-pipe-condensing"])
    assert small.input() / usual.input() == pytest.approx(0.5, rel=1e-6)
    assert small.temperature("rise") == pytest.approx(usual.temperature("rise"), rel=1e-6)
    assert small.flue("o2") == pytest.approx(usual.flue("o2"), rel=1e-6)
    assert small.pressure("ROOM", "COLLECTOR") == pytest.approx(usual.pressure("ROOM", "COLLECTOR"))


def test_bands_of_checks_follow_the_plate(knowledge: Knowledge) -> None:
    known = rated(knowledge, "two-pipe-condensing", {"manifold": "3.0 inwc"})
    check = known.checks["two-pipe-condensing"]["manifold-pressure-heating"]
    texts = [outcome.text for outcome in check.outcomes]
    assert "normal: 2.56 to 3.44 inwc" in texts


def test_only_the_furnace_that_was_read_changes(knowledge: Knowledge) -> None:
    known = rated(knowledge, "two-pipe-condensing", {"input": "100 kBtu/h"})
    for id_, furnace in known.furnaces.items():
        same = furnace.plate == knowledge.furnaces[id_].plate
        assert same == (id_ != "two-pipe-condensing")


def test_what_is_not_known_any_more_is_left_out(knowledge: Knowledge) -> None:
    read = [("length-of-cat", "1 m"), ("manifold", "none"), ("input", "100 kBtu/h")]
    known = library.load_rated(knowledge, "two-pipe-condensing", read)
    assert known.furnaces["two-pipe-condensing"].entry.plate["input"].startswith("95 to 105")
    assert library.load_rated(knowledge, "two-pipe-condensing", read[:2]) is knowledge


@pytest.mark.parametrize(
    ("name", "text", "kept"),
    [
        ("input", "80 kBtu/h", "76 to 84 kBtu/h"),
        ("input", "80000 Btu/h", "76 to 84 kBtu/h"),
        ("input", "23.4 kW", "75.85 to 83.84 kBtu/h"),
        ("external-static", "0.5 inwc", "0 to 0.5 inwc"),
        ("external-static", "125 Pa", "0 to 0.5018 inwc"),
        ("temperature-rise", "40 to 70 F rise", "40 to 70 F rise"),
        ("gas", "propane", "propane"),
        ("pressure-switch", "0.9 inwc", "0.9 inwc"),
    ],
)
def test_a_figure_is_kept_as_a_range_in_the_unit_of_the_plate(
    knowledge: Knowledge, name: str, text: str, kept: str
) -> None:
    furnace = knowledge.furnaces["two-pipe-condensing"]
    rating = next(each for each in ratings_for(knowledge, furnace) if each.id == name)
    assert understood(furnace, rating, text) == kept


@pytest.mark.parametrize(
    ("name", "text"),
    [
        ("input", "80"),
        ("input", "8 kBtu/h"),
        ("input", "-80 kBtu/h"),
        ("input", "80 inwc"),
        ("input", ""),
        ("manifold", "3.8 to 3.2 inwc"),
        ("manifold", "[red]3.5[/] inwc"),
        ("altitude", "high"),
        ("gas", "coal"),
        ("pressure-switch", "90 inwc"),
        ("igniter", "open"),
    ],
)
def test_a_figure_that_cannot_be_is_refused_with_what_the_model_has(
    knowledge: Knowledge, name: str, text: str
) -> None:
    furnace = knowledge.furnaces["two-pipe-condensing"]
    rating = next(each for each in ratings_for(knowledge, furnace) if each.id == name)
    with pytest.raises(RatingError):
        understood(furnace, rating, text)


def test_every_rating_says_what_holds_by_the_model(knowledge: Knowledge) -> None:
    for furnace in knowledge.furnaces.values():
        ratings = ratings_for(knowledge, furnace)
        assert {"altitude", "input", "manifold", "temperature-rise"} <= {
            each.id for each in ratings
        }
        for rating in ratings:
            assert by_model(furnace, rating)


@pytest.mark.parametrize(
    ("band", "told"),
    [
        ("below plate.manifold.low inwc", "below 3.2 inwc"),
        ("plate.manifold.low - 0.2 to plate.manifold.high + 0.2 inwc", "3 to 4 inwc"),
        ("above plate.manifold.high Pa", "above 946.538 Pa"),
        ("below 2 V", "below 2 V"),
    ],
)
def test_a_band_takes_its_figures_from_the_plate_in_its_own_unit(band: str, told: str) -> None:
    assert of_plate(band, {"manifold": "3.2 to 3.8 inwc"}, {}) == told


def test_a_band_of_a_plate_in_a_wrong_unit_is_refused() -> None:
    with pytest.raises(UnitError):
        of_plate("below plate.manifold.low V", {"manifold": "3.2 to 3.8 inwc"}, {})
    with pytest.raises(KeyError):
        of_plate("below plate.input.low kW", {"manifold": "3.2 to 3.8 inwc"}, {})
