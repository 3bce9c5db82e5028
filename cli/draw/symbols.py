"""How a branch of a part is drawn: one table, by the kind of the part and by the branch."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Symbol:
    """A symbol on a terminal and in an SVG file.

    `text` frames the part's name; `element` names the element drawn, `letter` is written
    in it. `opens` tells whether it makes and breaks the circuit; `stray` that it should carry
    nothing in a sound furnace.
    """

    text: str
    element: str
    opens: bool = False
    stray: bool = False
    letter: str = ""


BOX = Symbol("[{}]", "RBox")
CONTACT = Symbol("] [ {}", "Contact", opens=True)
SWITCH = Symbol("_/_ {}", "Switch", opens=True)
OVERCURRENT = Symbol("~ {}", "Fuse", opens=True)
CONDUCTOR = Symbol("= {}", "Conductor")
BOND = Symbol("{}", "Line")
NO_BOND = Symbol("... {}", "ResistorIEEE", stray=True)
COIL = Symbol("({})", "Inductor2")
MOTOR = Symbol("(M {})", "Motor", letter="M")
HEATER = Symbol("<{}>", "ResistorIEEE")
GAP = Symbol("> < {}", "SparkGap")
FLAME = Symbol(">| {}", "Diode")
FILM = Symbol("<{}>", "ResistorIEEE")
LEAK = Symbol("... {}", "ResistorIEEE", stray=True)
ALTERNATING = Symbol("(~ {})", "SourceSin")
DIRECT = Symbol("(+- {})", "BatteryCell")

SYMBOLS: dict[tuple[str, str], Symbol] = {
    # a branch of one kind
    ("supply", "source"): ALTERNATING,
    ("transformer", "secondary"): ALTERNATING,
    ("transformer", "primary"): COIL,
    ("thermocouple", "source"): DIRECT,
    ("relay", "contacts"): CONTACT,
    ("overcurrent", "contacts"): OVERCURRENT,
    ("vent-damper", "motor"): MOTOR,
    # a branch of any kind
    ("", "contacts"): SWITCH,
    ("", "second-stage"): SWITCH,
    ("", "path"): CONDUCTOR,
    ("", "neutral-bond"): BOND,
    ("", "line-bond"): NO_BOND,
    ("", "winding"): MOTOR,
    ("", "low-winding"): MOTOR,
    ("", "coil"): COIL,
    ("", "pilot-coil"): COIL,
    ("", "high-coil"): COIL,
    ("", "hold-coil"): COIL,
    ("", "element"): HEATER,
    ("", "gap"): GAP,
    ("", "flame"): FLAME,
    ("", "coating"): FILM,
    ("", "insulator"): LEAK,
    ("", "leak"): LEAK,
}
"""(kind, branch) -> symbol, the kind "" for any; what is not here is drawn as a box."""


def symbol(kind: str, branch: str) -> Symbol:
    """The symbol of a branch of a part of a kind."""
    return SYMBOLS.get((kind, branch)) or SYMBOLS.get(("", branch)) or BOX
