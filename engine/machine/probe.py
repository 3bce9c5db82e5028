"""What an eye, ear, meter or gauge would show at a place and step of a trace."""

from __future__ import annotations

from collections.abc import Callable
from math import inf, isinf

from lightoff.engine.entries.checks import ReadsEntry
from lightoff.engine.machine.combustion import FUELS
from lightoff.engine.machine.kinds import KINDS
from lightoff.engine.machine.steady import disturbance, draft_at
from lightoff.engine.machine.trace import Segment, Trace
from lightoff.engine.model import Value

NO_EXCESS = 5.0
"""Excess air put down where nothing burns: far outside any flame."""


class Moment:
    """One time within a segment of a trace: what can be read there and then."""

    def __init__(self, segment: Segment, time: float) -> None:
        self.segment = segment
        self.time = time
        self.machine = segment.electrics.machine

    def volts(self, a: str, b: str) -> float:
        """Magnitude between two terminals; KeyError for an unknown one."""
        couple = self.machine.plan.roles.get("thermocouple")
        emf = 0.0 if couple is None else self.quantity(f"{couple}.emf")
        return abs(self.segment.electrics.volts(a, b, emf))

    def amperes(self, part: str, branch: str = "") -> float:
        """Magnitude of the current through a branch of a part; its first if unnamed."""
        branch = branch or self.machine.plan.first_branch(part)
        return abs(self.segment.electrics.amperes(part, branch))

    def pressure(self, high: str, low: str) -> float:
        """Pressure at one tap above that at another, Pa."""
        pressures = self.segment.steady.pressures
        return pressures[high] - pressures[low]

    def temperature(self, name: str) -> float:
        """K; the rise of the house air as a difference in K."""
        room = self.machine.furnace.site["room"]
        if name in ("rise", "supply"):
            rise = self.segment.steady.rise
            return rise if name == "rise" else room + rise
        return self.quantity(name)

    def flue(self, name: str) -> float:
        """A share of the dry flue gas, as an analyser shows it; plain air with no flame."""
        flue = self.segment.steady.flue
        if flue is None:
            return 0.2095 if name == "o2" else 0.0
        return {
            "o2": flue.oxygen,
            "co2": flue.carbon_dioxide,
            "co-air-free": flue.carbon_monoxide_air_free,
        }[name]

    def input(self) -> float:
        """Heat in the gas that goes to the burners, W, by its higher heating value."""
        fuel = FUELS[self.machine.furnace.entry.gas]
        return self.segment.steady.gas.flow * fuel.heating_value

    def quantity(self, name: str) -> float:
        """A lagging quantity, in SI units."""
        return self.segment.quantity(name, self.time)

    def shown(self, part: str, name: str) -> float:
        """What can be seen or heard of a part; KeyError if its kind shows no such thing."""
        if name not in KINDS[self.machine.furnace.parts[part].kind].shows:
            raise KeyError(name)
        return SHOWN[name](self, part)


def _roll_out(moment: Moment, part: str) -> float:
    return float(moment.segment.steady.roll_out)


def _excess_air(moment: Moment, part: str) -> float:
    flue = moment.segment.steady.flue
    return NO_EXCESS if flue is None else flue.excess_air


def _pilot_flame(moment: Moment, part: str) -> float:
    return moment.segment.steady.pilot if moment.segment.drive.pilot_lit else 0.0


def _turns(moment: Moment, part: str) -> float:
    drive = moment.segment.drive
    if part == moment.machine.plan.combustion.fan:
        return drive.inducer
    return drive.blower if part == moment.machine.plan.house_air.fan else 0.0


def _port_suction(moment: Moment, part: str) -> float:
    """Suction at the port that a hose hangs on, with the gauge right on the port."""
    if moment.machine.word(part, "port") == "plugged":
        return 0.0
    for switch, fitted in moment.machine.furnace.parts.items():
        if fitted.kind != "pressure-switch":
            continue
        for side in ("low", "high"):
            if moment.machine.word(switch, f"{side}-hose") == part:
                return -moment.segment.steady.pressures[moment.machine.word(switch, f"{side}-tap")]
    raise LookupError(f"no pressure switch has the hose {part}")


SHOWN: dict[str, Callable[[Moment, str], float]] = {
    "turns": _turns,
    "glow": lambda moment, part: moment.quantity(f"{part}.temperature"),
    "click": lambda moment, part: float(moment.segment.drive.valve),
    "draft": lambda moment, part: draft_at(moment.machine, part, moment.segment.steady.pressures),
    "port-suction": _port_suction,
    "level": lambda moment, part: moment.quantity(f"{part}.level"),
    "position": lambda moment, part: moment.quantity(f"{part}.position"),
    "first-flame": lambda moment, part: float(moment.segment.drive.first_lit),
    "far-flame": lambda moment, part: float(moment.segment.drive.far_lit),
    "pilot-flame": _pilot_flame,
    "sparks": lambda moment, part: float(moment.segment.sparks),
    "spills": lambda moment, part: moment.segment.steady.spilled,
    "excess-air": _excess_air,
    "roll-out": _roll_out,
    "disturbance": lambda moment, part: disturbance(moment.machine, moment.segment.drive.blower),
}
"""What parts show -> how it is read; the kind says which parts show it."""


def read(trace: Trace, reads: ReadsEntry) -> Value | None:
    """The reading of a check on a trace, in SI units or a word; None if never reached."""
    if reads.condition is not None:
        return condition(trace, *reads.condition.split("."))
    if reads.ohms is not None:
        return ohms(trace, reads.ohms)
    if reads.stalls:
        return trace.stalls_in()
    if reads.light:
        return light(trace, reads.during)
    if reads.seconds is not None:
        step = reads.seconds
        visit = next((visit for visit in trace.visits() if visit.step == step), None)
        return None if visit is None else visit.end - visit.start
    moment = at(trace, str(reads.during))
    return None if moment is None else _at_moment(moment, reads)


def at(trace: Trace, step: str) -> Moment | None:
    """The moment at which a step is read; None if the furnace never got there."""
    found = trace.during(step)
    return None if found is None else Moment(*found)


def condition(trace: Trace, part: str, name: str) -> Value:
    """A value of a part, or how it looks: a part that tripped in the call shows it."""
    values = trace.machine.values[part]
    return values["tripped-looks" if name == "looks" and _tripped(trace, part) else name]


def _tripped(trace: Trace, part: str) -> bool:
    """Whether a breaker, fuse or manual-reset switch opened for good in the call."""
    machine = trace.machine
    threshold = machine.thresholds.get(part)
    latches = part in machine.trip_currents or (threshold is not None and threshold.manual_reset)
    return latches and not trace.segments[-1].standing.positions[part]


def ohms(trace: Trace, place: str) -> float:
    """Resistance of an isolated branch, cold and at rest: PART or PART/BRANCH."""
    part, _, branch = place.partition("/")
    machine = trace.machine
    kind = KINDS[machine.furnace.parts[part].kind]
    branch = branch or machine.plan.first_branch(part)
    return inf if _tripped(trace, part) else kind.ohms(machine.values[part], branch)


def light(trace: Trace, step: str | None) -> str | None:
    """What the status light says: in a step, or as found at the end of the call.

    A step without words of its own leaves the light as it was before.
    """
    steps = trace.machine.furnace.sequence.steps
    words = ""
    for visit in trace.visits():
        if visit.start >= trace.call.satisfied:
            break
        words = steps[visit.step].entry.light or words
        if visit.step == step:
            return words
    return words if step is None else None


def _at_moment(moment: Moment, reads: ReadsEntry) -> float:
    if reads.volts is not None:
        return moment.volts(*reads.volts)
    if reads.amps is not None:
        part, _, branch = reads.amps.partition("/")
        return moment.amperes(part, branch)
    if reads.microamps is not None:
        return moment.segment.electrics.flame_current(reads.microamps)
    if reads.pressure is not None:
        return moment.pressure(*reads.pressure)
    if reads.temperature is not None:
        value = moment.temperature(reads.temperature)
        return value if not isinf(value) else 1e4
    if reads.flue is not None:
        return moment.flue(reads.flue)
    if reads.input:
        return moment.input()
    shown = reads.gauge or reads.sight or reads.sound
    assert shown is not None
    part, _, name = shown.partition(".")
    return moment.shown(part, name)
