"""One attempt at the terminal: a line is read, an act is done and kept, the answer shown."""

from __future__ import annotations

import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from pathlib import Path

from lightoff.cli import screen
from lightoff.cli.practice import screens
from lightoff.cli.practice.closing import closing, repairs_by_words
from lightoff.cli.prompts import ask, now
from lightoff.engine.entries.checks import Phase
from lightoff.engine.model import Check, Knowledge
from lightoff.engine.reasoning.answers import ReadingError
from lightoff.engine.reasoning.interview import person_of
from lightoff.engine.reasoning.search import search
from lightoff.engine.reasoning.tell import (
    FORMS,
    check_that_reads,
    equipped,
    understand_places,
)
from lightoff.engine.teaching.practice.acts import AnyAct, Checked, Unsafe
from lightoff.engine.teaching.practice.bench import Bench, RefusedError
from lightoff.engine.teaching.practice.judging import job_of
from lightoff.engine.teaching.practice.seen import seen
from lightoff.engine.teaching.practice.store import Attempt, Store

TALK: tuple[Phase, ...] = ("make-safe", "customer")
SPEED = 120.0
LONGEST_WAIT = 1.0
"""A watched call runs so many times as fast as a real one, with no longer wait, s."""


class LeaveError(Exception):
    """The person leaves; what was done is kept."""


@dataclass
class Sitting:
    """One sitting over an attempt."""

    store: Store
    attempt: Attempt
    bench: Bench
    waits: bool = False
    choices: list[Callable[[], None]] = field(default_factory=list)
    """What a number alone means now."""

    @property
    def knowledge(self) -> Knowledge:
        return self.bench.diagnosis.knowledge

    @property
    def checks(self) -> Mapping[str, Check]:
        return self.bench.diagnosis.checks

    def run(self) -> int:
        """Line after line until it is closed."""
        if self.bench.is_over:
            self.show_marks()
            return 0
        screens.arrival(self.bench.scenario, resumed=bool(self.bench.acts))
        while not self.bench.is_over:
            screens.status(self.bench)
            self.hear(ask())
        self.show_marks()
        return 0

    def hear(self, line: str) -> None:
        """What a line leads to; a line that is not understood says what may be typed."""
        word, _, rest = line.partition(" ")
        word = word.lower()
        if not line:
            screens.short_help()
        elif line.isdecimal():
            self.choose(line)
        elif word in VERBS:
            VERBS[word](self, rest)
        elif word in FORMS:
            self.measure(line)
        elif word in self.by_hand:
            self.set_up(word, rest)
        else:
            self.look(line)

    @property
    def by_hand(self) -> list[str]:
        return [name for name, each in self.knowledge.aspects.items() if each.by_hand]

    def choose(self, number: str) -> None:
        index = screens.number_of(number, len(self.choices))
        if index is None:
            screen.say("No such number here; ? shows what you can do.", "warn")
        else:
            self.choices[index]()

    def do(self, act: Callable[[], AnyAct]) -> AnyAct | None:
        """Do an act and keep it; what cannot be done is said."""
        if self.work_has_ended():
            danger = self.stopped()[0]
            self.keep(Unsafe(time=now(), doing="go-on", why=danger))
            screens.stopped(self.knowledge, danger)
            return None
        try:
            done = act()
        except RefusedError as error:
            screen.say(str(error), "warn")
            return None
        self.keep(done)
        if isinstance(done, Unsafe):
            screens.unsafe(self.knowledge, done)
            return None
        return done

    def keep(self, act: AnyAct) -> None:
        self.store.put(self.attempt.id, len(self.bench.acts) + 1, act)
        self.bench = self.bench.after(act)
        if not isinstance(act, Checked):
            # A number of an old list must not mend or switch anything.
            self.choices = []

    def stopped(self) -> list[str]:
        """Cautions by which the work has ended, for all that was found."""
        job = job_of(self.bench.scenario, self.bench.diagnosis, self.bench.acts)
        advice = equipped(self.bench.diagnosis, job).advise(job, person_of(job))
        return [said.text for said in advice.stopped]

    def work_has_ended(self) -> bool:
        return not self.bench.is_mended and bool(self.stopped())

    # --- acts ---------------------------------------------------------------------

    @property
    def questions(self) -> list[Check]:
        """All questions to the customer, danger first, by numbers that stay."""
        told = [c for c in self.checks.values() if c.entry.reads.told and c.entry.phase in TALK]
        return sorted(told, key=lambda check: TALK.index(check.entry.phase))

    def ask_customer(self, rest: str) -> None:
        """The questions that are open, or those that some words or a number mean."""
        done = {act.answer.check for act in self.bench.acts if isinstance(act, Checked)}
        left = {n: c for n, c in enumerate(self.questions, start=1) if c.id not in done}
        index = screens.number_of(rest, len(self.questions))
        if index is not None:
            self.ask_one(self.questions[index])
            return
        hits = search(self.questions, rest) if rest else []
        if not left:
            screen.say("You have asked everything there is to ask.")
        elif len(hits) == 1:
            self.ask_one(hits[0])
        else:
            screens.questions(left)
            self.choices = [lambda c=c: self.ask_one(c) for c in self.questions]  # type: ignore[misc]

    def ask_one(self, check: Check) -> None:
        """A question to the customer: it is answered at any time, in danger too."""
        act = self.bench.check(check, now())
        self.keep(act)
        screens.answered(self.bench, check, act)
        if check.entry.phase == "make-safe" and (stopped := self.stopped()):
            screens.stopped(self.knowledge, stopped[0])

    def look(self, words: str) -> None:
        """A check, by words: anything to look at, listen to, measure or try."""
        asked = {check.id for check in self.questions}
        able = [check for check in self.checks.values() if check.id not in asked]
        named = [check for check in able if check.id == words.lower().replace(" ", "-")]
        hits = named or (search(able, words, most=9) if words else [])
        if not hits:
            screen.say("Nothing here has these words. ? shows what you can do.", "warn")
        elif named:
            self.check(named[0])
        else:
            # Words may be understood wrongly, and a check costs minutes.
            self.offer("Which? Type a number.", hits, self.check)

    def offer(self, head: str, hits: list[Check], then: Callable[[Check], None]) -> None:
        screens.offered(head, [check.entry.ask for check in hits])
        self.choices = [lambda each=each: then(each) for each in hits]  # type: ignore[misc]

    def check(self, check: Check) -> None:
        act = self.do(lambda: self.bench.check(check, now()))
        if act is not None:
            screens.answered(self.bench, check, act)

    def measure(self, line: str) -> None:
        """Any two points, or a part, in a step; what a check reads is that check."""
        try:
            told = understand_places(self.bench.scenario.furnace, line.split(), now())
        except ReadingError as error:
            screen.say(f"{str(error)[:1].upper()}{str(error)[1:]}.", "warn")
            return
        check = check_that_reads(self.checks.values(), told)
        if check is not None:
            self.check(check)
            return
        act = self.do(lambda: self.bench.measure(told, now()))
        if act is not None:
            screens.measured(self.bench, act)

    def set_up(self, aspect: str, state: str) -> None:
        known = self.knowledge.aspects[aspect].minutes
        if state not in known:
            screen.say(f"Say: {' or '.join(f'{aspect} {each}' for each in known)}.", "warn")
            return
        if self.do(lambda: self.bench.set_up(aspect, state, now())) is not None:
            screen.say(self.knowledge.aspects[aspect].how[state], indent=2)

    def call(self, _: str) -> None:
        """Run a call for heat, sped up."""
        act = self.do(lambda: self.bench.watch(now()))
        if act is None:
            return
        screen.say("You call for heat and watch:", "head")
        last = 0.0
        for sight in seen(self.bench.watched_trace()):
            if self.waits:
                time.sleep(min(LONGEST_WAIT, (sight.time - last) / SPEED))
            last = sight.time
            screens.sighted(sight)
        screens.call_ended(self.bench.watched_trace())

    def mend(self, words: str) -> None:
        """A repair, by words."""
        hits = repairs_by_words(self.knowledge, words)
        if not hits:
            screen.say("Say what to mend: mend igniter, mend clean flame sensor, ...", "warn")
        elif hits == [words]:
            self.mend_one(words)
        else:
            screens.offered("Which? Type a number.", [self.titled(each) for each in hits])
            self.choices = [lambda each=each: self.mend_one(each) for each in hits]  # type: ignore[misc]

    def titled(self, repair: str) -> str:
        return self.knowledge.repairs[repair].title

    def mend_one(self, repair: str) -> None:
        act = self.do(lambda: self.bench.mend(repair, now()))
        if act is not None:
            screens.mended(self.knowledge, repair, act)

    def hint(self, _: str) -> None:
        try:
            self.keep(self.bench.hint(now()))
        except RefusedError as error:
            screen.say(str(error), "warn")
            return
        screen.say(f"Hint: {self.bench.scenario.entry.hints[self.bench.standing.hints - 1]}")

    def notes(self, _: str) -> None:
        screens.notes(self.bench)

    def help(self, _: str) -> None:
        screens.help_(self.knowledge, self.by_hand)

    def leave(self, _: str) -> None:
        raise LeaveError

    def close(self, _: str) -> None:
        """Close with one's own diagnosis, unless one thinks better of it."""
        ended = closing(self.knowledge, self.bench.standing.mended)
        if ended is None:
            screen.say("You go on working.")
        else:
            self.keep(ended)

    # --- the end ------------------------------------------------------------------

    def show_marks(self) -> None:
        from lightoff.cli.practice.marks import show_marked
        from lightoff.engine.teaching.practice.marks import mark
        from lightoff.engine.teaching.practice.summary import summary_of

        screen.say("Marking ...", "note")
        marked = mark(self.bench)
        if self.attempt.summary is None:
            self.store.close_with(self.attempt.id, summary_of(self.bench, marked))
        show_marked(self.bench, marked)

    def say_saved(self, folder: Path | None) -> None:
        where = "" if folder is None else f" --data-folder {folder}"
        screen.say(f"Kept. Go on with: lightoff practice --resume {self.attempt.id}{where}")


VERBS: Mapping[str, Callable[[Sitting, str], None]] = {
    "?": Sitting.help,
    "help": Sitting.help,
    "ask": Sitting.ask_customer,
    "look": Sitting.look,
    "call": Sitting.call,
    "mend": Sitting.mend,
    "hint": Sitting.hint,
    "notes": Sitting.notes,
    "close": Sitting.close,
    "q": Sitting.leave,
    "quit": Sitting.leave,
}
"""First word of a line -> what it does; all other words look for a check."""
