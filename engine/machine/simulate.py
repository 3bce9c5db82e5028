"""Faults and a call -> trace, from event to event: there is no time step to choose.

Between two events every lagging quantity relaxes exponentially towards its target, so
the next crossing of a threshold has a closed form. At an event the discrete state
settles: circuits, contacts, motors, gas and flame in turn until nothing changes, then
the sequence takes the first way out that is open.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterator
from dataclasses import replace

from lightoff.engine.machine.airgas import crossing_time, relaxed
from lightoff.engine.machine.drive import AT_REST, Drive
from lightoff.engine.machine.electrics import Powered, powered
from lightoff.engine.machine.gastrain import pilot_flame
from lightoff.engine.machine.kinds.base import Standing
from lightoff.engine.machine.plan import Machine
from lightoff.engine.machine.steady import Steady, steady
from lightoff.engine.machine.trace import Segment, Trace
from lightoff.engine.model import Call, Condition, Step

MOST_EVENTS = 10_000
"""More in one call are no furnace: a board that browns out restarts every few seconds."""

MOST_ROUNDS = 40
NEVER = float("inf")
PAST = 1e-9
"""How far past a threshold a quantity is set when it crosses it: a share, but of 1 at least."""

PILOT_BURNS_FROM = 0.25
"""Share of its gas below which a pilot goes out (from memory)."""

CLEAR_AT = 0.6
"""Share of the flooding level below which a drain runs clear again (from memory)."""


class ChatterError(RuntimeError):
    """The state at an event never settles, or events never end."""


def simulate(machine: Machine, call: Call | None = None) -> Trace:
    """Play one call for heat. Raises ChatterError if the furnace never settles."""
    return _Run(machine, call or machine.furnace.call).play()


class _Run:
    """The moving state of one simulated call."""

    def __init__(self, machine: Machine, call: Call) -> None:
        sequence = machine.furnace.sequence
        self.machine = machine
        self.roles = machine.plan.roles
        self.call = call
        holds = machine.number(self.roles["thermostat"], "holds")
        self.satisfied = min(call.satisfied, call.starts + holds)
        self.time = 0.0
        self.step = sequence.steps[sequence.starts]
        self.entered = 0.0
        self.visit = 0
        self.seen = {name: each.lit for name, each in sequence.inputs.items() if each.lit}
        self.counts = dict.fromkeys(sequence.counters, 0)
        self.drive = _found(machine)
        self.known: dict[Drive, Steady] = {}
        self.quantities = {name: heading for name, (heading, _) in self._steady().targets.items()}
        self.standing = Standing(positions=_positions_at_rest(machine))
        self.solved: dict[Hashable, Powered] = {}
        self.powered = self._powered()
        self.segments: list[Segment] = []

    def play(self) -> Trace:
        self._settle()
        while self.time < self.call.watched:
            if len(self.segments) > MOST_EVENTS:
                raise ChatterError(self._where("events never end"))
            end = min(self._next_event(), self.call.watched)
            self._record(end)
            self._advance(end)
            self._settle()
        return Trace(self.machine, self.call, tuple(self.segments))

    def _where(self, what: str) -> str:
        return f"{self.machine.furnace.id}: {what} at {self.time:.3f} s in {self.step.id}"

    # --- settling -----------------------------------------------------------------

    def _settle(self) -> None:
        """Bring the discrete state to rest, through as many steps as are left at once."""
        for _ in range(MOST_ROUNDS):
            self._settle_in_step()
            way_out = self._way_out()
            if way_out is None:
                return
            self._record(self.time)
            self._enter(self.machine.furnace.sequence.steps[way_out])
        raise ChatterError(self._where("steps chase each other"))

    def _settle_in_step(self) -> None:
        self.standing.calling = self.call.starts <= self.time < self.satisfied
        self.standing.second = self.call.second_stage <= self.time < self.satisfied
        self.standing.energised = self._energised()
        for _ in range(MOST_ROUNDS):
            self.powered = self._powered()
            changed = [
                self._turn_motors(),
                self._trip(),
                self._move_contacts(),
                self._let_go(),
                self._burn(),
            ]
            if not any(changed):
                return
        raise ChatterError(self._where("contacts chatter"))

    def _powered(self) -> Powered:
        """Both nets solved; a call comes back to the same few standings again and again."""
        key = self.standing.key()
        known = self.solved.get(key)
        if known is None:
            known = self.solved[key] = powered(self.machine, self.standing)
        return known

    def _energised(self) -> frozenset[str]:
        timed = [
            relay for relay, seconds in self.step.energise_for if self.time < self.entered + seconds
        ]
        return self.step.energise.union(timed)

    def _turn_motors(self) -> bool:
        changed = self.powered.turning != self.standing.turning
        self.standing.turning = self.powered.turning
        return changed

    def _trip(self) -> bool:
        """Open breakers and fuses whose current is too high; they stay open."""
        tripped = [part for part in self.powered.overloaded if self.standing.positions[part]]
        self.standing.positions.update(dict.fromkeys(tripped, False))
        return bool(tripped)

    def _move_contacts(self) -> bool:
        changed = False
        for part, threshold in self.machine.thresholds.items():
            closed = self.standing.positions[part]
            now = threshold.closed(self.quantities[threshold.quantity], closed)
            if now != closed:
                self.standing.positions[part] = now
                changed = True
        return changed

    def _let_go(self) -> bool:
        """Shut a valve that a thermocouple no longer holds; only a hand opens it again."""
        level = self._holding_level()
        couple = self.roles.get("thermocouple")
        if level is None or self.quantities[f"{couple}.emf"] >= level:
            return False
        self.standing.positions[self.roles["gas-valve"]] = False
        return True

    def _holding_level(self) -> float | None:
        """What the thermocouple must give to hold the valve, in volts; None if it is shut."""
        valve = self.roles["gas-valve"]
        if not self.standing.positions.get(valve, False):
            return None
        if self.machine.word(valve, "knob") == "held-down":
            return None
        share = abs(self.powered.electrics.across(valve, "hold-coil"))
        holds = self.machine.number(valve, "holds-above")
        return holds / share if share > 0.0 else NEVER

    def _burn(self) -> bool:
        """Settle what drives air and gas, what burns, and the flame at the sensor."""
        drive = self._lit(self._driven())
        changed = drive != self.drive
        self.drive = drive
        flame = self._steady().flame
        changed |= flame != self.standing.flame
        self.standing.flame = flame
        return changed

    def _driven(self) -> Drive:
        powered = self.powered
        return self.drive._replace(
            inducer=powered.speeds.get(self.machine.plan.combustion.fan, 0.0),
            blower=powered.speeds.get(self.machine.plan.house_air.fan, 0.0),
            stage=powered.gas.stage,
            pilot_gas=powered.gas.pilot,
            flooded=self._flooded(),
            damper_driven=powered.damper_driven,
            damper_open=self._damper_open(),
            igniter_watts=powered.igniter_watts,
        )

    def _damper_open(self) -> bool:
        damper = self.roles.get("vent-damper")
        if damper is None:
            return False
        return self.quantities[f"{damper}.position"] >= self.machine.number(damper, "proves-at")

    def _flooded(self) -> bool:
        drain = self.roles.get("drain")
        if drain is None:
            return False
        return self.quantities[f"{drain}.level"] >= self._flooding_level(drain)

    def _flooding_level(self, drain: str) -> float:
        share = CLEAR_AT if self.drive.flooded else 1.0
        return share * self.machine.number(drain, "floods-at")

    def _lit(self, drive: Drive) -> Drive:
        """What burns: lit by igniter, spark or pilot, carried over, or out for want of gas."""
        machine, burners = self.machine, self.roles["burners"]
        at_rest = self._steady(drive)
        pilot = at_rest.pilot >= PILOT_BURNS_FROM and (
            self.drive.pilot_lit or self._spark_lights("pilot")
        )
        sound = at_rest.gas.flow > 0 and at_rest.first_burner > 0.5
        lights = (
            self._igniter_hot()
            or self._spark_lights("burners")
            or (pilot and self._pilot_reaches(at_rest.pilot))
        )
        first = sound and (self.drive.first_lit or lights)
        carried = machine.word(
            burners, "crossover"
        ) == "clear" and at_rest.gas.manifold >= machine.number(burners, "crossover-needs")
        far = first and (self.drive.far_lit or carried)
        return drive._replace(pilot_lit=pilot, first_lit=first, far_lit=far)

    def _spark_lights(self, place: str) -> bool:
        electrode = self.machine.plan.spark
        if electrode is None or not self.powered.sparks:
            return False
        return self.machine.word(electrode, "lights") == place

    def _pilot_reaches(self, strength: float) -> bool:
        pilot = self.roles["pilot"]
        if self.machine.word(pilot, "aim") != "at-burners":
            return False
        return strength >= self.machine.number(pilot, "lights-from")

    def _igniter_hot(self) -> bool:
        igniter = self.roles.get("igniter")
        if igniter is None or self.machine.word(igniter, "position") != "in-place":
            return False
        heat = self.quantities[f"{igniter}.temperature"]
        return heat >= self.machine.number(igniter, "lights-at")

    def _steady(self, drive: Drive | None = None) -> Steady:
        drive = drive or self.drive
        known = self.known.get(drive)
        if known is None:
            known = self.known[drive] = steady(self.machine, drive)
        return known

    # --- the sequence ---------------------------------------------------------------

    def _way_out(self) -> str | None:
        for leave in self.step.leaves:
            if self.time >= self.entered + leave.after and all(map(self._holds, leave.when)):
                return leave.to
        return None

    def _holds(self, condition: Condition) -> bool:
        return self._truth(condition.name) == condition.expected

    def _truth(self, name: str) -> bool:
        inputs = self._inputs()
        if name in inputs:
            return inputs[name]
        counter = name.removesuffix(" spent")
        return self.counts[counter] >= self.machine.furnace.sequence.counters[counter]

    def _inputs(self) -> dict[str, bool]:
        """What the controls take for true, and what is seen to burn."""
        if not self.seen:
            return self.powered.inputs
        lit = {"burners": self.drive.first_lit, "pilot": self.drive.pilot_lit}
        return {**self.powered.inputs, **{name: lit[what] for name, what in self.seen.items()}}

    def _enter(self, step: Step) -> None:
        self.step, self.entered = step, self.time
        self.visit += 1
        for counter in step.entry.clears:
            self.counts[counter] = 0
        for counter in step.entry.counts:
            self.counts[counter] += 1

    # --- time -------------------------------------------------------------------------

    def _next_event(self) -> float:
        timers = [time for time in self._timers() if time > self.time]
        crossings = [self.time + seconds for seconds in self._crossings()]
        return min(timers + crossings, default=NEVER)

    def _timers(self) -> Iterator[float]:
        yield self.call.starts
        yield self.satisfied
        yield self.call.second_stage
        for leave in self.step.leaves:
            yield self.entered + leave.after
        for _, seconds in self.step.energise_for:
            yield self.entered + seconds

    def _crossings(self) -> Iterator[float]:
        targets = self._steady().targets
        for quantity, level in self._watched():
            target, tau = targets[quantity]
            yield crossing_time(self.quantities[quantity], target, level, tau)

    def _watched(self) -> Iterator[tuple[str, float]]:
        """The levels whose crossing would change something now."""
        for part, threshold in self.machine.thresholds.items():
            closed = self.standing.positions[part]
            if closed or not threshold.manual_reset:
                yield threshold.quantity, threshold.opens if closed else threshold.closes
        igniter, drain = self.roles.get("igniter"), self.roles.get("drain")
        if igniter is not None and not self._igniter_hot():
            yield f"{igniter}.temperature", self.machine.number(igniter, "lights-at")
        if drain is not None:
            yield f"{drain}.level", self._flooding_level(drain)
        level = self._holding_level()
        if level is not None:
            yield f"{self.roles['thermocouple']}.emf", level

    def _record(self, end: float) -> None:
        self.segments.append(
            Segment(
                start=self.time,
                end=end,
                step=self.step.id,
                visit=self.visit,
                standing=replace(self.standing, positions=dict(self.standing.positions)),
                electrics=self.powered.electrics,
                drive=self.drive,
                sparks=self.powered.sparks,
                steady=self._steady(),
                quantities=dict(self.quantities),
                inputs=self._inputs(),
            )
        )

    def _advance(self, end: float) -> None:
        watched = list(self._watched())
        for name, (target, tau) in self._steady().targets.items():
            before = self.quantities[name]
            now = relaxed(before, target, tau, end - self.time)
            self.quantities[name] = _past_level(
                now, target, [level for quantity, level in watched if quantity == name]
            )
        self.time = end


def _past_level(value: float, target: float, levels: list[float]) -> float:
    """A quantity that has just reached a level counts as past it, despite rounding."""
    for level in levels:
        if abs(value - level) <= PAST * max(1.0, abs(level)) and value != target:
            nudge = PAST * max(1.0, abs(level))
            return level + nudge if target > level else level - nudge
    return value


def _found(machine: Machine) -> Drive:
    """The drive before anything happens: at rest, but for a pilot that burns all the time."""
    if "thermocouple" not in machine.plan.roles:
        return AT_REST
    gas = AT_REST._replace(
        pilot_gas=machine.word(machine.plan.roles["gas-valve"], "switch") != "off"
    )
    lit = machine.word(machine.plan.roles["pilot"], "found") == "lit"
    return gas._replace(pilot_lit=lit and pilot_flame(machine, gas) >= PILOT_BURNS_FROM)


def _positions_at_rest(machine: Machine) -> dict[str, bool]:
    """Breakers closed; a sensing contact as its threshold has it at rest; a pilot's valve held."""
    positions = dict.fromkeys(machine.trip_currents, True)
    if "thermocouple" in machine.plan.roles:
        positions[machine.plan.roles["gas-valve"]] = True
    for part, threshold in machine.thresholds.items():
        positions[part] = threshold.opens > threshold.closes
    return positions
