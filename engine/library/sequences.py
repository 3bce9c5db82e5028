"""The sequence of one furnace: names resolved, times and thresholds in SI units."""

from __future__ import annotations

from collections.abc import Callable, Iterable

from lightoff.engine.entries.furnaces import InputEntry, SequenceEntry, StepEntry
from lightoff.engine.library.files import check_id
from lightoff.engine.library.report import Spot
from lightoff.engine.library.values import figure
from lightoff.engine.library.wiring import Nets, Parts
from lightoff.engine.machine import sequence as state_graph
from lightoff.engine.machine.kinds import KINDS, Kind
from lightoff.engine.model import Condition, Input, Leave, Sequence, Step


def resolve_sequence(entry: SequenceEntry, parts: Parts, nets: Nets, spot: Spot) -> Sequence:
    """The sequence; mistakes are noted, those of the graph only if all names are known."""
    before = spot.report.noted
    sequence = _Resolver(entry, parts, nets, spot).sequence()
    if spot.report.noted == before:
        for where, what, mend in state_graph.problems(sequence):
            spot.at(*where).wrong(what, mend)
        _note_idle_relays(sequence, parts, spot)
    return sequence


def _note_idle_relays(sequence: Sequence, parts: Parts, spot: Spot) -> None:
    for part in parts.values():
        if part.kind == "relay" and not state_graph.energised_in(sequence, part.id):
            spot.at("steps").wrong(f"no step energises {part.id}", "add it to `energise` of a step")


class _Resolver:
    def __init__(self, entry: SequenceEntry, parts: Parts, nets: Nets, spot: Spot) -> None:
        self.entry = entry
        self.parts = parts
        self.nets = nets
        self.spot = spot
        self.conditions = [*entry.inputs, *(name + state_graph.SPENT for name in entry.counters)]

    def sequence(self) -> Sequence:
        entry, spot = self.entry, self.spot
        self.known_step(entry.starts, spot.at("starts"))
        for index, step in enumerate(entry.path):
            self.known_step(step, spot.at("path", index))
        if entry.board:
            self.known_control(entry.board, spot.at("board"))
        for name, tries in entry.counters.items():
            if tries < 1:
                spot.at("counters", name).wrong(f"{name} is spent at {tries}", "write 1 or more")
        for index, interrupt in enumerate(entry.interrupts):
            for place, step in enumerate(interrupt.from_):
                self.known_step(step, spot.at("interrupts", index, "from", place))
        return Sequence(
            starts=entry.starts,
            path=tuple(entry.path),
            board=entry.board,
            inputs={name: self.input(name, given) for name, given in entry.inputs.items()},
            counters=entry.counters,
            steps={name: self.step(name, given) for name, given in entry.steps.items()},
        )

    def input(self, name: str, given: InputEntry) -> Input:
        spot = self.spot.at("inputs", name)
        check_id(spot, name)
        read = [each for each in (given.volts, given.microamps, given.lit) if each is not None]
        if len(read) != 1:
            mend = "give one of volts, microamps or lit"
            spot.wrong(f"{name} reads nothing, or two things", mend)
        if given.lit is not None:
            return Input(name, "", None, None, 0.0, given.lit)
        if given.volts is not None and not any(
            set(given.volts) <= known for known in self.nets.terminals
        ):
            what = f"no net has both terminals {given.volts[0]} and {given.volts[1]}"
            spot.at("volts").wrong(what, "name two terminals of one net")
        if given.microamps is not None:
            self.known(given.microamps, "flame sensor", _senses_flame, spot.at("microamps"))
        by = given.by or self.entry.board
        if given.by:
            self.known_control(given.by, spot.at("by"))
        dimension = "current" if given.volts is None else "voltage"
        above = figure(given.above, dimension, spot.at("above"))
        return Input(name, by, given.volts, given.microamps, above or 0.0)

    def step(self, name: str, given: StepEntry) -> Step:
        spot = self.spot.at("steps", name)
        check_id(spot, name)
        self.known_relays(given.energise, spot.at("energise"))
        self.known_relays(given.energise_for, spot.at("energise-for"))
        for counter in (*given.counts, *given.clears):
            if counter not in self.entry.counters:
                spot.unknown("counter", counter, self.entry.counters)
        timed = tuple(
            (relay, figure(text, "time", spot.at("energise-for", relay)) or 0.0)
            for relay, text in given.energise_for.items()
        )
        leaves = (*self.interrupts(name), *self.own_leaves(given, spot.at("leaves")))
        for leave in leaves:
            if leave.to == name:
                spot.wrong(f"step {name} leads to itself", "lead it to another step")
        return Step(name, given, frozenset(given.energise), timed, leaves)

    def interrupts(self, step: str) -> Iterable[Leave]:
        for index, interrupt in enumerate(self.entry.interrupts):
            if step in interrupt.from_:
                spot = self.spot.at("interrupts", index)
                yield self.leave(interrupt.to, interrupt.when, "0 s", spot)

    def own_leaves(self, given: StepEntry, spot: Spot) -> Iterable[Leave]:
        for index, leave in enumerate(given.leaves):
            yield self.leave(leave.to, leave.when, leave.after, spot.at(index))

    def leave(self, to: str, when: str | list[str], after: str, spot: Spot) -> Leave:
        self.known_step(to, spot.at("to"))
        texts = [when] if isinstance(when, str) else when
        conditions = tuple(self.condition(text, spot.at("when")) for text in texts)
        seconds = figure(after, "time", spot.at("after")) or 0.0
        if seconds < 0.0:
            spot.at("after").wrong("a step cannot end before it begins", "give a positive time")
        return Leave(conditions, seconds, to)

    def condition(self, text: str, spot: Spot) -> Condition:
        name = text.removeprefix("not ")
        if name not in self.conditions:
            spot.unknown("input or `COUNTER spent`", name, self.conditions)
        return Condition(name, name == text)

    def known_step(self, name: str, spot: Spot) -> None:
        if name not in self.entry.steps:
            spot.unknown("step", name, self.entry.steps)

    def known_relays(self, names: Iterable[str], spot: Spot) -> None:
        for name in names:
            self.known(name, "relay", lambda kind: kind.name == "relay", spot)

    def known_control(self, name: str, spot: Spot) -> None:
        self.known(name, "control", lambda kind: "logic" in kind.values, spot)

    def known(self, name: str, what: str, is_one: Callable[[Kind], bool], spot: Spot) -> None:
        known = [part.id for part in self.parts.values() if is_one(KINDS[part.kind])]
        if name not in known:
            spot.unknown(f"{what} of this furnace", name, known)


def _senses_flame(kind: Kind) -> bool:
    return "flame" in kind.branches
