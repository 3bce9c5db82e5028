"""What each sound furnace does in a call, held against published and usual figures.

Every row says where its limits are from: `published` names the source, `common practice` is a
fact of the trade, `from memory` has no document at hand.
"""

import pytest

from lightoff.engine.machine.trace import SATISFIED
from tests.conftest import loaded
from tests.machine.played import (
    Read,
    draft,
    flue,
    flue_fahrenheit,
    input_rate,
    inwc,
    microamps,
    pascal,
    played,
    rise,
    seconds,
    shown,
    volts,
)

Row = tuple[str, Read, float, float, str]
NO_GAS = "gas-cock.closed"
"""With no gas every try is as long as the control lets it be."""
CO = "published: ANSI Z21.47-1993, 400 ppm at most; under 100 common practice"


def burning(step: str) -> list[Row]:
    """What holds for the flame of any of them."""
    return [
        (f"O2 %, {step}", flue("o2", step, 100), 6, 9, "published: 6 to 9 %, field guide"),
        (f"CO air-free ppm, {step}", flue("co-air-free", step, 1e6), 0, 100, CO),
    ]


def electrical(step: str) -> list[Row]:
    return [
        ("line volts", volts(step, "L1", "N"), 114, 126, "published: ANSI C84.1 range A"),
        ("R to C", volts(step, "R", "C"), 24, 28, "common practice"),
        ("supply of the house", volts(step, "LINE-IN", "NEUTRAL-IN"), 114, 126, "published: C84.1"),
    ]


NATURAL_GAS: list[Row] = [
    ("inlet at rest", inwc("standby", "INLET"), 5, 7.0001, "published: 7, trades college"),
    ("inlet burning", inwc("heating", "INLET"), 5, 7, "common practice"),
    ("manifold", inwc("heating", "MANIFOLD"), 3.2, 3.8, "common practice; 3.5 from memory"),
    ("manifold after the call", inwc("blower-off-delay", "MANIFOLD"), 0, 0, "common practice"),
]
HOT_SURFACE: list[Row] = [
    ("seconds of draft proving", seconds("proving-draft"), 0.5, 10, "common practice"),
    ("seconds of pre-purge", seconds("pre-purge"), 15, 30, "common practice"),
    ("seconds of warm-up", seconds("igniter-warm-up"), 17, 45, "common practice"),
    ("seconds of trial", seconds("trial-for-ignition", NO_GAS), 4, 7, "common practice"),
    ("seconds between trials", seconds("inter-purge", NO_GAS), 20, 120, "published: exercise 500"),
    ("seconds to the blower", seconds("flame-proved"), 30, 45, "common practice"),
    ("seconds of post-purge", seconds("post-purge"), 5, 30, "common practice"),
    ("seconds of run-on", seconds("blower-off-delay"), 60, 180, "common practice"),
    ("igniter volts", volts("igniter-warm-up", "IGN", "N"), 102, 132, "published: 85 to 110 %"),
    ("flame current", microamps("flame-sensor", "heating"), 1, 6, "common practice"),
    ("flame current, typical", microamps("flame-sensor", "heating"), 2, 5, "published: 2 to 5 uA"),
]
NATURAL_DRAFT: list[Row] = [
    ("seconds to the blower", seconds("burners-warming"), 30, 180, "common practice"),
    ("draft of the vent, Pa", pascal("heating", "VENT"), -5, -2.5, "published: -2.5 to -5 Pa"),
    ("hood against the room, Pa", pascal("heating", "HOOD"), -5, 0, "published: not below -5 Pa"),
    ("share that spills", shown("draft-hood", "spills", "heating"), 0, 0, "common practice"),
    ("temperature rise F", rise("heating"), 45, 80, "common practice: within the plate"),
    ("flue gas F", flue_fahrenheit("heating"), 275, 450, "common practice: over 275"),
    ("input kBtu/h", input_rate("heating"), 72, 88, "published: within 10 % of the plate"),
    (
        "across the limit",
        volts("heating", "W", "HIGH-OUT"),
        0,
        0.5,
        "published: none across a closed switch",
    ),
]
LIMITS: dict[str, list[Row]] = {
    "two-pipe-condensing": [
        *electrical("heating"),
        *NATURAL_GAS,
        *HOT_SURFACE,
        *burning("heating"),
        ("draft at the switch", draft("pressure-switch", "heating"), 1.0, 2.5, "its set point"),
        ("temperature rise F", rise("heating"), 35, 65, "common practice"),
        ("flue gas F", flue_fahrenheit("heating"), 90, 140, "common practice: condensing"),
        ("input kBtu/h", input_rate("heating"), 72, 88, "published: within 10 % of the plate"),
    ],
    "two-stage-condensing": [
        *electrical("heating"),
        *electrical("high-fire"),
        *HOT_SURFACE,
        *burning("heating"),
        *burning("high-fire"),
        ("manifold, low fire", inwc("heating", "MANIFOLD"), 1.3, 1.8, "common practice"),
        ("manifold, high fire", inwc("high-fire", "MANIFOLD"), 3.2, 3.8, "common practice"),
        ("inlet, high fire", inwc("high-fire", "INLET"), 5, 7, "common practice"),
        ("draft, low fire", draft("pressure-switch", "heating"), 0.42, 1.0, "its set point"),
        ("draft, high fire", draft("high-pressure-switch", "high-fire"), 1.0, 2.5, "its set point"),
        ("not proved in low fire", draft("high-pressure-switch", "heating"), 0, 0.85, "opens"),
        ("seconds to high fire", seconds("high-fire-draft"), 1, 45, "from memory"),
        ("rise F, low fire", rise("heating"), 35, 65, "common practice"),
        ("rise F, high fire", rise("high-fire"), 35, 65, "common practice"),
        ("flue F, low fire", flue_fahrenheit("heating"), 85, 140, "common practice: condensing"),
        ("flue F, high fire", flue_fahrenheit("high-fire"), 90, 140, "common practice"),
        ("kBtu/h, low fire", input_rate("heating"), 49, 58, "common practice: 60 to 70 % of high"),
        ("kBtu/h, high fire", input_rate("high-fire"), 72, 88, "published: within 10 %"),
    ],
    "metal-vent-induced": [
        *electrical("heating"),
        *NATURAL_GAS,
        *HOT_SURFACE,
        *burning("heating"),
        ("draft at the switch", draft("pressure-switch", "heating"), 0.6, 1.5, "its set point"),
        ("temperature rise F", rise("heating"), 45, 75, "common practice"),
        ("flue gas F", flue_fahrenheit("heating"), 275, 450, "common practice: over 275"),
        ("input kBtu/h", input_rate("heating"), 72, 88, "published: within 10 % of the plate"),
    ],
    "spark-pilot-natural-draft": [
        *electrical("heating"),
        *NATURAL_GAS,
        *NATURAL_DRAFT,
        *burning("heating"),
        ("seconds until the damper is open", seconds("damper-opening"), 5, 30, "from memory"),
        ("seconds of the pilot trial", seconds("pilot-trial", NO_GAS), 60, 90, "from memory"),
        ("seconds until the pilot is proved", seconds("pilot-trial"), 0, 4, "from memory"),
        ("rest between trials", seconds("pilot-rest", NO_GAS), 20, 300, "published: exercise 500"),
        ("flame current", microamps("pilot-electrode", "heating"), 1, 6, "common practice"),
        ("feed of the module", volts("pilot-trial", "TH", "C"), 20.4, 26.4, "85 to 110 %"),
    ],
    "standing-pilot": [
        *electrical("heating"),
        *NATURAL_GAS,
        *NATURAL_DRAFT,
        *burning("heating"),
        (
            "millivolts that hold the valve",
            volts("standby", "HOLD", "COUPLE-GROUND", 1e3),
            8,
            17,
            "from memory: about half of 25 to 35 mV open",
        ),
        (
            "millivolts lost at the nut",
            volts("standby", "SPILL-OUT", "HOLD", 1e3),
            0,
            1,
            "from memory",
        ),
        ("volts at the valve", volts("heating", "VALVE", "C"), 20.4, 26.4, "85 to 110 %"),
    ],
}
ROWS = [(furnace, *row) for furnace, rows in LIMITS.items() for row in rows]


@pytest.mark.parametrize(
    ("furnace", "read", "lowest", "highest", "source"),
    [(row[0], *row[2:]) for row in ROWS],
    ids=[f"{row[0]}: {row[1]}" for row in ROWS],
)
def test_a_sound_furnace_reads_within(
    furnace: str, read: Read, lowest: float, highest: float, source: str
) -> None:
    assert lowest <= round(read(furnace), 6) <= highest, source


@pytest.mark.parametrize("furnace", list(loaded().furnaces))
def test_a_sound_call_goes_from_start_to_stop(furnace: str) -> None:
    assert played(furnace).stalls_in() == SATISFIED


@pytest.mark.parametrize("furnace", list(loaded().furnaces))
def test_rise_and_pressures_are_those_of_the_plate(furnace: str) -> None:
    plate = loaded().furnaces[furnace].plate
    step = "high-fire" if "high-fire" in loaded().furnaces[furnace].sequence.steps else "heating"
    inch = 249.08
    read = {
        "input": input_rate(step)(furnace) * 1000 * 0.29307107,
        "temperature-rise": rise(step)(furnace) / 1.8,
        "manifold": inwc(step, "MANIFOLD")(furnace) * inch,
        "inlet": inwc(step, "INLET")(furnace) * inch,
        "external-static": inwc(step, "SUPPLY", "RETURN")(furnace) * inch,
    }
    for name, value in read.items():
        lowest, highest = plate[name]
        assert lowest <= value <= highest, name


def test_every_furnace_has_its_limits_tested() -> None:
    """The direct-spark furnace has a file of its own beside this one."""
    assert {*LIMITS, "direct-spark-propane"} == set(loaded().furnaces)
