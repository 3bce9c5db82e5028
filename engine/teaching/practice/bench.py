"""The simulated furnace as an apprentice meets it: it answers what was really done.

Power, doors and gas are as the person left them. A call for heat is a fresh chance for
faults that come and go. Nothing here says what is wrong.
"""

from __future__ import annotations

import random
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from math import isinf

import numpy as np

from lightoff.engine import units
from lightoff.engine.entries.lists import AspectEntry
from lightoff.engine.machine import probe
from lightoff.engine.machine.trace import SATISFIED, Trace
from lightoff.engine.model import Check, HiddenFault, Overrides, Scenario, Value
from lightoff.engine.outcomes import outcome_index
from lightoff.engine.reasoning.answers import reads_a_figure
from lightoff.engine.reasoning.diagnosis import Diagnosis
from lightoff.engine.reasoning.job import Told
from lightoff.engine.reasoning.planning.costs import VERIFY_MINUTES
from lightoff.engine.reasoning.prediction import PROVOKED, Traces, meter_spread
from lightoff.engine.reasoning.tell import FORMS, bare_check
from lightoff.engine.teaching.practice.acts import (
    Answer,
    AnyAct,
    Checked,
    Ended,
    Hinted,
    Measured,
    Mended,
    SetUp,
    Unsafe,
    Watched,
)
from lightoff.engine.teaching.practice.standing import (
    CALLING,
    Standing,
    by_itself_of,
    measuring,
    standing_after,
)

MEASURING = 2.0
"""Minutes of a reading between two points of one's own choice (from memory)."""
GOING_ON = 1.0
"""Minutes that a call is watched once nothing more happens (from memory)."""


class RefusedError(Exception):
    """Something that cannot be done as things stand; nothing happened. `str` says why."""


@dataclass(frozen=True)
class Bench:
    """A scenario being worked on. `seed` decides scatter and chance, nothing else does."""

    scenario: Scenario
    diagnosis: Diagnosis
    seed: int
    acts: tuple[AnyAct, ...]
    traces: Traces = field(repr=False, compare=False)
    """Calls that were simulated, shared by all that come of one attempt."""

    @classmethod
    def of(
        cls,
        scenario: Scenario,
        diagnosis: Diagnosis,
        seed: int,
        acts: Sequence[AnyAct] = (),
    ) -> Bench:
        """An attempt as it stands after some acts."""
        return cls(scenario, diagnosis, seed, tuple(acts), Traces(scenario.furnace))

    def before(self, number: int) -> Bench:
        """The same as it stood before the act of a number, from 0."""
        return replace(self, acts=self.acts[:number])

    def after(self, act: AnyAct) -> Bench:
        """The same with one more act done."""
        return replace(self, acts=(*self.acts, act))

    @cached_property
    def standing(self) -> Standing:
        return standing_after(self.acts, self._aspects, self.diagnosis.checks)

    @property
    def _aspects(self) -> Mapping[str, AspectEntry]:
        return self.diagnosis.knowledge.aspects

    @property
    def is_over(self) -> bool:
        return bool(self.acts) and isinstance(self.acts[-1], Ended)

    @property
    def is_mended(self) -> bool:
        return self.scenario.repairs <= set(self.standing.mended)

    def as_found(self, aspect: str) -> bool:
        """Whether an aspect of the set-up is as it was on arrival."""
        return self.standing.setup[aspect] == self._aspects[aspect].start

    # --- set-up -------------------------------------------------------------------

    def _misfit(self, setup: Mapping[str, str]) -> str:
        """The first aspect that is not as a reading needs it, of those brought about by hand."""
        return next(
            (
                name
                for name, state in setup.items()
                if self._aspects[name].by_hand and self.standing.setup[name] != state
            ),
            "",
        )

    def _unsafe(self, setup: Mapping[str, str]) -> str:
        """The first aspect that must be safe and is not."""
        needed = (name for name, state in setup.items() if self._aspects[name].safe == state)
        return next((each for each in needed if self._aspects[each].safe != self._state(each)), "")

    def _state(self, aspect: str) -> str:
        return self.standing.setup[aspect]

    def _changes(self, setup: Mapping[str, str]) -> float:
        aspects = self._aspects
        return sum(
            aspects[name].minutes[state]
            for name, state in setup.items()
            if self._state(name) != state
        )

    # --- the furnace --------------------------------------------------------------

    def _showing(self, call: int, provokes: tuple[str, ...] = ()) -> Overrides:
        """How the furnace differs from a sound one in a call."""
        left = [
            each
            for each in self.scenario.hidden
            if each.fault.repair not in self.standing.mended
            and (self._shows(each, call) or self._is_brought_out(each, call, provokes))
        ]
        return {place: value for each in left for place, value in each.fault.overrides.items()}

    def _shows(self, hidden: HiddenFault, call: int) -> bool:
        chance = random.Random(f"{self.seed} {hidden.fault.id} {call}")
        return call >= hidden.after_calls and chance.random() < hidden.share

    def _is_brought_out(self, hidden: HiddenFault, call: int, provokes: tuple[str, ...]) -> bool:
        if set(hidden.fault.entry.shows_when).isdisjoint(provokes):
            return False
        chance = random.Random(f"{self.seed} {hidden.fault.id} {call} {provokes}")
        return chance.random() < PROVOKED

    def _trace(
        self, setup: Mapping[str, str], trying: Overrides, provokes: tuple[str, ...] = ()
    ) -> Trace:
        """One call with the furnace set up so, with what is tried on it."""
        so = self.diagnosis.knowledge.standing[self.scenario.furnace.id]
        as_set = {p: v for item in setup.items() for p, v in so[item].items()}
        showing = self._showing(self.standing.call, provokes)
        return self.traces.of({**showing, **trying, **as_set})

    # --- acts ---------------------------------------------------------------------

    def set_up(self, aspect: str, state: str, time: str) -> SetUp:
        """Bring an aspect to a state by hand; RefusedError if it is so already."""
        if self._state(aspect) == state:
            raise RefusedError("It is so already.")
        minutes = self._aspects[aspect].minutes[state]
        return SetUp(time=time, minutes=minutes, aspect=aspect, state=state)

    def check(self, check: Check, time: str) -> Checked | Unsafe:
        """Make a check; RefusedError if hands or bag do not reach."""
        if check.entry.reads.told:
            outcome = self.scenario.tells.get(check.id)
            answer = Answer(check.id, outcome, outcome or "")
            return Checked(time=time, minutes=check.entry.minutes, answer=answer)
        self._in_the_bag(check.entry.tools)
        if unsafe := self._unsafe(check.setup):
            return Unsafe(time=time, doing=check.id, why=unsafe)
        if check.setup.get("door") == "off" and self._state("door") != "off":
            raise RefusedError("The doors are on: nobody gets there. Take them off (door off).")
        misfit = self._misfit(check.setup)
        by_itself = by_itself_of(check.setup, self._aspects)
        trace = self._trace(
            {**self.standing.setup, **by_itself}, check.trying, tuple(check.entry.provokes)
        )
        minutes = check.entry.minutes + self._changes(by_itself)
        answer = self._answer(check, probe.read(trace, check.entry.reads))
        return Checked(time=time, minutes=minutes, answer=answer, misfit=misfit)

    def measure(self, told: Told, time: str) -> Measured | Unsafe:
        """Read a quantity between points of one's own choice, in a step or at rest."""
        self._in_the_bag(FORMS[told.quantity].tools)
        setup = {"power": "on" if told.during else "off"} if told.quantity != "seconds" else {}
        if unsafe := self._unsafe(setup):
            return Unsafe(time=time, doing=told.check, why=unsafe)
        if told.quantity != "seconds" and self._state("door") != "off":
            raise RefusedError("The doors are on: nobody gets there. Take them off (door off).")
        by_itself = by_itself_of(measuring(told.during), self._aspects)
        check = bare_check(self.scenario.furnace, told)
        reading = probe.read(
            self._trace({**self.standing.setup, **by_itself}, {}), check.entry.reads
        )
        value = None if reading is None else self._scattered(check, float(reading))
        return Measured(
            time=time,
            minutes=MEASURING + self._changes(by_itself),
            quantity=told.quantity,
            places=told.places,
            during=told.during,
            value=value,
            shown="" if value is None else units.show(value, check.dimension),
            misfit=self._misfit(setup),
        )

    def watch(self, time: str) -> Watched:
        """Run a call for heat and watch it to its end."""
        call = self.standing.call if self.standing.fresh else self.standing.call + 1
        calling = by_itself_of(CALLING, self._aspects)
        begun = replace(self, acts=(*self.acts, Watched(time=time, works=False)))
        trace = begun._trace(begun.standing.setup, {})
        answers = tuple(
            begun._answer(check, probe.read(trace, check.entry.reads))
            for check in self.diagnosis.checks.values()
            if self._is_seen(check)
        )
        works = not self._showing(call) and all(
            self.as_found(name) for name, aspect in self._aspects.items() if aspect.safe
        )
        minutes = min(VERIFY_MINUTES, _last_change(trace) / 60.0 + GOING_ON)
        return Watched(
            time=time, minutes=minutes + self._changes(calling), works=works, answers=answers
        )

    def watched_trace(self) -> Trace:
        """What happened in the call that is going on, or was watched last."""
        return self._trace(self.standing.setup, {})

    def mend(self, repair: str, time: str) -> Mended | Unsafe:
        """Do a repair, with whatever tools it takes. RefusedError if it was done before."""
        entry = self.diagnosis.knowledge.repairs[repair]
        if repair in self.standing.mended:
            raise RefusedError("You have done that already.")
        for name, aspect in self._aspects.items():
            in_danger = entry.take_out and set(aspect.dangers) & set(entry.hazards)
            if in_danger and self._state(name) != aspect.safe:
                return Unsafe(time=time, doing=repair, why=name)
        return Mended(time=time, minutes=entry.minutes, repair=repair)

    def hint(self, time: str) -> Hinted:
        """The next hint; RefusedError if there are no more."""
        number = self.standing.hints + 1
        if number > len(self.scenario.entry.hints):
            raise RefusedError("There are no more hints.")
        return Hinted(time=time, number=number)

    def _in_the_bag(self, tools: list[str] | tuple[str, ...]) -> None:
        missing = [
            self.diagnosis.knowledge.tools[tool].name
            for tool in tools
            if tool not in self.scenario.tools
        ]
        if missing:
            raise RefusedError(f"Not in your bag: {', '.join(missing)}.")

    def _is_seen(self, check: Check) -> bool:
        """Whether a check is answered by watching a call, with the set-up as it is."""
        reads = check.entry.reads
        shows = reads.stalls or (reads.light and reads.during is None)
        alone = not check.trying and not check.entry.provokes
        return shows and alone and not self._misfit(check.setup)

    def _answer(self, check: Check, reading: Value | None) -> Answer:
        """The reading as the person sees it, and the outcome that it is."""
        if reading is None or isinstance(reading, str) or not check.dimension:
            outcome = check.outcomes[outcome_index(check, reading)].id
            return Answer(check.id, outcome, outcome)
        value = self._scattered(check, float(reading))
        outcome = check.outcomes[outcome_index(check, value)].id
        shown = units.show(value, check.dimension) if reads_a_figure(check) else outcome
        return Answer(check.id, outcome, shown)

    def _scattered(self, check: Check, value: float) -> float:
        """The value with the scatter of a hand-held instrument; the same if read twice."""
        if isinf(value) or not value:
            return value
        chance = random.Random(f"{self.seed} {check.entry.reads} {self.standing.call}")
        spread = float(meter_spread(check, np.array([value]))[0])
        scattered = value + max(-2.0, min(2.0, chance.gauss(0.0, 1.0))) * spread
        return scattered if scattered * value > 0.0 else value


def _last_change(trace: Trace) -> float:
    """Seconds to the last change of step, or to the last one before nobody waits longer."""
    starts = [visit.start for visit in trace.visits()]
    if trace.stalls_in() != SATISFIED:
        starts = [start for start in starts if start < trace.call.satisfied]
    return max(starts)
