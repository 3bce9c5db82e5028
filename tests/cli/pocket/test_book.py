"""A furnace compiled for the pocket page says what the model says."""

import json
from base64 import b64decode

import msgspec
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from lightoff.cli.pocket.book import book_of, packed
from lightoff.engine.reasoning.diagnosis import Diagnosis
from lightoff.engine.reasoning.planning.costs import setup_arrays


def unpacked(table):
    runs = np.frombuffer(b64decode(table["runs"]), dtype="<u2").reshape(-1, 2)
    return np.repeat(np.array(table["figures"])[runs[:, 0]], runs[:, 1])


@given(
    arrays(np.float64, st.tuples(st.integers(1, 9), st.integers(1, 9)), elements=st.floats(0, 1))
)
def test_a_packed_table_holds_every_figure_to_the_last_digit(figures):
    assert np.array_equal(unpacked(packed(figures)), figures.ravel())


def test_a_run_longer_than_two_bytes_can_say_is_written_in_pieces():
    figures = np.full((300, 300), 0.25)
    assert np.array_equal(unpacked(packed(figures)), figures.ravel())


@pytest.fixture(scope="module")
def diagnosis(knowledge):
    return Diagnosis.of(knowledge, "standing-pilot")


@pytest.fixture(scope="module")
def book(diagnosis):
    return json.loads(msgspec.json.encode(book_of(diagnosis, "0")))


def test_table_checks_and_prices_are_those_of_the_diagnosis(diagnosis, book):
    assert np.array_equal(unpacked(book["table"]), diagnosis.table.likelihood.ravel())
    assert [check["id"] for check in book["checks"]] == list(diagnosis.table.checks)
    assert [check["minutes"] for check in book["checks"]] == diagnosis.costs.minutes.tolist()
    needs = setup_arrays(diagnosis.costs).needs
    assert [check["needs"] for check in book["checks"]] == needs.tolist()


def test_every_repair_caution_and_proof_that_is_named_has_its_words(book):
    assert {each["repair"] for each in book["hypotheses"]} >= book["proofs"]["by"].keys()
    for listed in book["proofs"]["by"].values():
        assert book["proofs"]["items"].keys() >= set(listed)
    hazards = {hazard for check in book["checks"] for hazard in check["hazards"]}
    stops = {text for rule in book["rules"] for text in rule["then"].get("stop", [])}
    assert hazards | stops | set(book["stopWork"]) <= book["cautions"].keys()
