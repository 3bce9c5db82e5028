"""A right scenario as text, for tests to break in one place."""

from pathlib import Path

COLD_GYM = """\
id: cold-gym
title: No heat in the gym
setting: A school gym. The furnace stands in a closet behind the stage.
level: first-week
furnace: two-pipe-condensing
faults:
  - fault: flame-sensor.coated
complaint: There is fire for a moment, and then it goes out again.
tells: {since-when: slowly-worse, always-or-sometimes: every-call}
minutes: 90
learn: [A weak flame signal looks like no flame.]
hints: [What does the board see of the flame?]
lab: {never: It is quickly done on paper.}
source: invented
"""


def cold_gym(folder: Path, *changes: tuple[str, str], name: str = "cold-gym.yaml") -> Path:
    """Its file in a folder, with each (old, new) replaced; every old one must be there."""
    text = COLD_GYM
    for old, new in changes:
        assert old in text
        text = text.replace(old, new)
    path = folder / name
    path.write_text(text, encoding="utf-8")
    return path
