"""What repairs demand to be proved: the list, what is expected of a sound furnace, verdicts."""

from __future__ import annotations

import pytest

from lightoff.engine.machine.kinds import KINDS
from lightoff.engine.machine.plan import Machine, Plan
from lightoff.engine.machine.simulate import simulate
from lightoff.engine.model import Furnace, Knowledge
from lightoff.engine.outcomes import outcome_index
from lightoff.engine.service.proving import (
    Item,
    demanded,
    failing_in,
    is_proven,
    open_in,
    touched,
    yearly,
)

FURNACES = (
    "two-pipe-condensing",
    "two-stage-condensing",
    "metal-vent-induced",
    "direct-spark-propane",
    "spark-pilot-natural-draft",
    "standing-pilot",
)


def all_items(knowledge: Knowledge, furnace: str) -> tuple[Item, ...]:
    return yearly(knowledge, furnace)


@pytest.mark.parametrize("furnace", FURNACES)
def test_a_sound_furnace_proves_every_reading_that_the_model_knows(
    knowledge: Knowledge, furnace: str
) -> None:
    for item in all_items(knowledge, furnace):
        if item.expected is None:
            assert item.check.entry.reads.told
            continue
        outcome = item.check.outcomes[outcome_index(item.check, item.expected)]
        assert item.verdict(outcome.id) == "good", item.id


@pytest.mark.parametrize("furnace", FURNACES)
def test_every_part_that_guards_the_burner_is_proved_after_any_repair(
    knowledge: Knowledge, furnace: str
) -> None:
    model = knowledge.furnaces[furnace]
    guards = {part.id for part in model.parts.values() if KINDS[part.kind].guards}
    assert guards
    for repair in {fault.repair for fault in model.faults.values()}:
        proved = {
            part for item in demanded(knowledge, furnace, [repair]) for part in item.proof.safety
        }
        assert guards <= proved, repair


@pytest.mark.parametrize("furnace", FURNACES)
def test_what_guards_the_burner_does_stop_it_where_it_is_a_contact(
    knowledge: Knowledge, furnace: str
) -> None:
    """Common practice: no gas with a safety's contacts open."""
    model = knowledge.furnaces[furnace]
    plan = Plan(model)
    for part in model.parts.values():
        if not KINDS[part.kind].guards or "contacts" not in part.values:
            continue
        trace = simulate(Machine(plan, {(part.id, "contacts"): "open"}))
        steps = {visit.step for visit in trace.visits()}
        if part.id == "high-pressure-switch":
            assert "high-fire" not in steps
        else:
            assert "heating" not in steps, part.id


def repair_of(furnace: Furnace, fault: str) -> str:
    return furnace.faults[fault].repair


@pytest.mark.parametrize(
    ("fault", "demands", "spares"),
    [
        (
            "gas-valve.coil-open",
            {"manifold-pressure", "inlet-pressure", "input"},
            {"external-static"},
        ),
        ("filter.plugged", {"temperature-rise", "external-static"}, {"input", "draft-at-switch"}),
        ("flame-sensor.coated", {"flame-current"}, {"input", "vent-tight"}),
        ("collector-hose.water", {"draft-at-switch", "vent-tight"}, {"inlet-pressure"}),
        ("fuse.blown-alone", {"two-calls", "room-co"}, {"manifold-pressure", "temperature-rise"}),
    ],
)
def test_a_repair_demands_what_rests_on_the_parts_that_it_mends(
    knowledge: Knowledge, fault: str, demands: set[str], spares: set[str]
) -> None:
    furnace = knowledge.furnaces["two-pipe-condensing"]
    found = {item.id for item in demanded(knowledge, furnace.id, [repair_of(furnace, fault)])}
    assert demands <= found
    assert not spares & found
    always = {
        "carbon-monoxide",
        "gas-tight",
        "two-calls",
        "room-co",
        "back-as-found",
        "customer-told",
    }
    assert always <= found


def test_two_repairs_demand_what_either_does(knowledge: Knowledge) -> None:
    furnace = knowledge.furnaces["two-pipe-condensing"]
    one = repair_of(furnace, "filter.plugged")
    other = repair_of(furnace, "collector-hose.water")
    both = {item.id for item in demanded(knowledge, furnace.id, [one, other])}
    singly = [
        {item.id for item in demanded(knowledge, furnace.id, [each])} for each in (one, other)
    ]
    assert both == singly[0] | singly[1]


def test_a_repair_that_the_furnace_never_needs_demands_all(knowledge: Knowledge) -> None:
    furnace = knowledge.furnaces["standing-pilot"]
    areas = {part.entry.area for part in furnace.parts.values()}
    assert touched(furnace, ["replace-igniter"]) == areas


def test_bands_of_what_is_proved_are_those_of_the_rating_plate(knowledge: Knowledge) -> None:
    for furnace in knowledge.furnaces.values():
        items = {item.id: item for item in all_items(knowledge, furnace.id)}
        for id_, rating in {"input": "input", "temperature-rise": "temperature-rise"}.items():
            (outcome,) = items[id_].outcomes
            assert (outcome.band.low, outcome.band.high) == pytest.approx(furnace.plate[rating])


def test_nothing_is_proved_until_all_is_good(knowledge: Knowledge) -> None:
    items = all_items(knowledge, "two-pipe-condensing")
    verdicts = {item.id: "good" for item in items}
    assert is_proven(items, verdicts)
    assert not failing_in(items, verdicts)
    for item in items:
        assert not is_proven(items, {**verdicts, item.id: "out"})
        assert not is_proven(items, {**verdicts, item.id: "not-done"})
        left = {id_: verdict for id_, verdict in verdicts.items() if id_ != item.id}
        assert not is_proven(items, left)
        assert open_in(items, left) == (item,)
        assert failing_in(items, {**verdicts, item.id: "out"}) == (item,)
