"""Questions about burning and venting: figures from the combustion equation, and why."""

from __future__ import annotations

from dataclasses import dataclass

from lightoff.engine.machine.combustion import FUELS, ICE_POINT, Fuel, dew_point
from lightoff.engine.teaching.self_test.question import Question, Source

METHANE = Fuel.of({"CH4": 1.0})
EXCESSES = (0.2, 0.5, 1.0)
"""Excess air as a share: lean on air, usual for induced draft, too much (common practice)."""


@dataclass(frozen=True, slots=True)
class Fact:
    """A fact of the trade that no furnace's model holds (common practice)."""

    ask: str
    right: str
    wrong: tuple[str, ...]
    why: str


FACTS = (
    Fact(
        "Where does the fan of an induced-draft furnace sit?",
        "Behind the heat exchanger: it draws the flue gas through",
        ("Before the burners: it pushes air into them", "In the return duct", "On the roof"),
        "Induced draft keeps the heat exchanger below room pressure, so a leak draws air in and "
        "lets no flue gas out. Forced draft pushes from before the burners.",
    ),
    Fact(
        "What sets forced draft apart from induced draft?",
        "The fan pushes: the burner side is above room pressure",
        ("There is no fan at all", "The fan draws: it sits at the outlet", "It needs no air"),
        "With forced draft a leak lets flue gas out, so its joints must be tight.",
    ),
    Fact(
        "A furnace is vented direct. Where does the air for the fire come from?",
        "From outdoors, through a pipe of its own",
        ("From the room it stands in", "From the return duct", "From the vent pipe"),
        "Two pipes close the fire off from the house. Taking air from the room needs openings to "
        "it, and fans in the house may draw the flue gas back.",
    ),
    Fact(
        "A furnace takes the air for its fire from the room. What must be looked after?",
        "Openings for air, and fans in the house that draw against it",
        ("Nothing: it brings its own air", "The pipe for air from outdoors", "Only the filter"),
        "A tight room or a strong exhaust fan starves the fire or pulls flue gas into the house. "
        "Sizes of openings are set by local codes.",
    ),
    Fact(
        "Why may a condensing furnace have a plastic vent?",
        "Its flue gas is cool and wet: plastic bears the water, and the heat is gone",
        (
            "Plastic bears more heat than metal",
            "Its flue gas is dry",
            "There is no flue gas left",
        ),
        "Only pipe that the instructions allow, put together as they say. The water is acidic and "
        "eats common metal vents.",
    ),
    Fact(
        "Why must the vent of a condensing furnace fall back to the furnace?",
        "So that its water runs to the drain and does not stand in the pipe",
        ("So that hot gas rises better", "So that rain runs out", "So that it can be seen"),
        "A pool in a sag closes the pipe: the inducer runs and draft is not proved.",
    ),
    Fact(
        "What is carbon monoxide a sign of?",
        "Burning with too little air, or a flame that is cooled or disturbed",
        ("Too much air in the flue", "A clean flame", "A wet vent"),
        "It has no smell and kills. Measure it, and leave nothing running that makes it.",
    ),
)


def fact(source: Source) -> Question | None:
    """A fact of venting."""
    drawn = source.chance.choice(FACTS)
    return source.put("venting", drawn.ask, drawn.right, drawn.wrong, drawn.why)


def products(source: Source) -> Question | None:
    """Volumes in the combustion equation of methane, CH4 + 2 O2 -> CO2 + 2 H2O."""
    figures = {
        "water vapour does it make": METHANE.water,
        "carbon dioxide does it make": METHANE.carbon_dioxide,
        "air does it need at the least": METHANE.stoichiometric_air,
    }
    what = source.chance.choice(sorted(figures))
    right = figures[what]
    wrong = (0.5, 1.0, 2.0, 5.0, METHANE.stoichiometric_air, 20.0)
    ask = f"Methane burns completely. How many volumes of {what}, per volume of gas?"
    why = "CH4 + 2 O2 makes CO2 + 2 H2O. Oxygen is about a fifth of air."
    texts = [_about(each) for each in wrong if abs(each - right) > 0.1 * right]
    return source.put("products", ask, _about(right), texts, why)


def _about(volumes: float) -> str:
    return f"about {volumes:.1f}" if volumes % 1 > 0.05 else f"about {volumes:.0f}"


def water(source: Source) -> Question | None:
    """Below which flue-gas temperature water comes out."""
    name = source.furnace.entry.gas
    excess_air = source.chance.choice(EXCESSES)
    celsius = dew_point(FUELS[name], excess_air) - ICE_POINT
    excess = round(100 * excess_air)
    ask = f"{name.replace('-', ' ').capitalize()} burns with {excess} % excess air."
    right = f"about {celsius:.0f} \u00b0C ({celsius * 1.8 + 32:.0f} \u00b0F)"
    wrong = [f"about {c} \u00b0C ({c * 1.8 + 32:.0f} \u00b0F)" for c in (0, 20, 100, 150)]
    why = (
        "Burning hydrogen makes water vapour. A condensing furnace cools its flue gas below this "
        "dew point, gains the heat of the water, and must drain it. More excess air lowers it."
    )
    asked = f"{ask} Below which temperature does water come out of the flue gas?"
    return source.put("water", asked, right, wrong, why)
