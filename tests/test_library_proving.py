"""One line with place and mend for each mistake in what a drift means."""

from pathlib import Path

import pytest

from tests.small_knowledge import SMALL, mistakes, write

PROOF = """\
- id: {id}
  title: Volts
  checks: [{check}]
  good: [{good}]
  out: Mend it.
  drift: {drift}
  source: common-practice
"""


def proof(drift: str, id_: str = "volts", check: str = "volts-in-retry", good: str = "low") -> str:
    return PROOF.format(id=id_, check=check, good=good, drift=drift)


def of_drift(folder: Path, text: str) -> list[str]:
    found = mistakes(write(folder, {**SMALL, "proving.yaml": text}))
    return [line for line in found if line.startswith("proving.yaml")]


def test_a_drift_that_is_right_is_no_mistake(tmp_path: Path) -> None:
    right = "{falling: It tires., varies: 5 %, source: from-memory}"
    assert of_drift(tmp_path, proof(right)) == []


@pytest.mark.parametrize(
    ("drift", "says"),
    [
        ("{source: from-memory}", "proving.yaml:6: this drift means nothing; say what `falling`"),
        ("{falling: It tires.}", "the key 'source' is missing"),
        ("{falling: It tires., source: hearsay}", "no source is called 'hearsay'"),
        ("{faling: It tires., source: from-memory}", "did you mean falling?"),
        ("{falling: A., varies: 5 V, source: from-memory}", "5 V is a voltage, not a fraction"),
        ("{falling: A., varies: 150 %, source: from-memory}", "150 % is no share"),
        ("{falling: A., varies: -5 %, source: from-memory}", "-5 % is no share"),
        ("{falling: [A.], source: from-memory}", "should be text"),
    ],
)
def test_a_mistake_in_a_drift_is_told_with_its_line(tmp_path: Path, drift: str, says: str) -> None:
    (line,) = of_drift(tmp_path, proof(drift))
    assert line.startswith("proving.yaml:6:")
    assert says in line


@pytest.mark.parametrize(("check", "good"), [("since-when", "slow"), ("thermostat-looks", "sound")])
def test_what_is_told_or_seen_cannot_drift(tmp_path: Path, check: str, good: str) -> None:
    text = proof("{falling: A., source: from-memory}", check=check, good=good)
    (line,) = of_drift(tmp_path, text)
    assert f"no figure is read by {check}; leave out `drift`" in line
