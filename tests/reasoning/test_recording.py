"""What to do about a furnace that works now."""

from types import SimpleNamespace

import numpy as np
import pytest

from lightoff.engine.entries.checks import ReadsEntry
from lightoff.engine.reasoning.belief import Finding, prior
from lightoff.engine.reasoning.recording import (
    RECORDED,
    can_be_recorded,
    hidden_suspects,
    showing,
    works_now,
)
from lightoff.engine.reasoning.table import Hypothesis
from tests.reasoning.tables import binary, table

PLUG = {"faults": ("plug",), "repair": "mend-plug", "shows": 0.5}
RELAY = {"faults": ("relay",), "repair": "mend-relay", "shows": 0.5}
KINDS = (
    Hypothesis("no-fault", (), "no-repair", 0.3),
    Hypothesis("plug", prior=0.15, **PLUG),
    Hypothesis("plug, hidden", prior=0.15, showing=False, **PLUG),
    Hypothesis("relay", prior=0.1, **RELAY),
    Hypothesis("relay, hidden", prior=0.1, showing=False, **RELAY),
    Hypothesis("fan", ("fan",), "mend-fan", 0.2),
)
OF = table(
    KINDS,
    {
        "works": binary([1.0, 0.01, 1.0, 0.01, 1.0, 0.01]),
        "volts": binary([0.9, 0.1, 0.9, 0.9, 0.9, 0.5]),
        "amps": binary([0.9, 0.6, 0.9, 0.9, 0.9, 0.5]),
        "look": binary([0.9, 0.0, 0.9, 1.0, 0.9, 0.5]),
        "shake": binary([0.99, 0.1, 0.1, 0.99, 0.99, 0.99]),
    },
)


def check(name, reads, provokes=()):
    return SimpleNamespace(id=name, entry=SimpleNamespace(reads=reads, provokes=provokes))


CHECKS = {
    each.id: each
    for each in (
        check("works", ReadsEntry(stalls=True)),
        check("volts", ReadsEntry(volts=("R", "C"), during="heating")),
        check("amps", ReadsEntry(amps="fan", during="heating")),
        check("look", ReadsEntry(condition="plug.looks")),
        check("shake", ReadsEntry(volts=("R", "W"), during="heating"), ["wiggle"]),
    )
}
WORKS = prior(OF).given(Finding("works", "a"))


def test_a_furnace_that_fails_is_told_nothing_about_recording():
    assert works_now(prior(OF).given(Finding("works", "b")), CHECKS) is None


def test_where_nothing_can_be_hidden_there_is_nothing_to_record():
    plain = table((KINDS[0], KINDS[5]), {"works": binary([1.0, 0.01])})
    belief = prior(plain).given(Finding("works", "a"))
    assert works_now(belief, {"works": CHECKS["works"]}) is None


def test_hidden_faults_are_named_likeliest_first():
    assert [each.id for each in hidden_suspects(WORKS)] == ["plug", "relay"]
    now = works_now(WORKS, CHECKS)
    assert now.hidden == hidden_suspects(WORKS)
    assert now.share == pytest.approx(WORKS.probabilities[[0, 2, 4]].sum())


def test_in_the_call_in_which_it_shows_nothing_is_hidden_and_something_is_wrong():
    then, now = showing(WORKS).probabilities, WORKS.probabilities
    assert then[[0, 2, 4]] == pytest.approx(np.zeros(3))
    assert then[1] / then[3] == pytest.approx((now[1] + now[2]) / (now[3] + now[4]))


def test_what_tells_hidden_faults_apart_when_one_shows_is_recorded():
    now = works_now(WORKS, CHECKS)
    assert now.record[0].check == "volts"
    assert len(now.record) <= RECORDED
    assert now.record[0].shows == (("plug", "b"), ("relay", "a"))
    assert all(0.0 < each.gain <= 1.0 for each in now.record)


def test_a_look_is_not_recorded_nor_a_reading_with_something_tried():
    assert not can_be_recorded(CHECKS["look"])
    trying = ReadsEntry(volts=("R", "C"), during="heating", after_trying={"door.switch": "x"})
    assert not can_be_recorded(check("trial", trying))
    assert can_be_recorded(CHECKS["amps"])


def test_what_may_bring_it_out_is_named_once_in_a_call():
    assert works_now(WORKS, CHECKS).provoke == ("shake",)
    shaken = WORKS.given(Finding("shake", "a"))
    assert works_now(shaken, CHECKS).provoke == ()
    assert works_now(shaken.in_another_call().given(Finding("works", "a")), CHECKS).provoke


def test_checks_that_cannot_be_made_are_not_named():
    now = works_now(WORKS, CHECKS, left_out={"volts", "shake"})
    assert "volts" not in [each.check for each in now.record]
    assert now.provoke == ()
