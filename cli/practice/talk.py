"""One attempt at the terminal: a line is read, an act is done and kept, the answer shown."""

from __future__ import annotations

import secrets
import sys
import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from pathlib import Path

from lightoff.cli import screen
from lightoff.cli.main import STOPPED
from lightoff.cli.practice import screens
from lightoff.cli.practice.command import scenario_named, scenario_of_attempt
from lightoff.cli.prompts import InputEnded, ask, now, usual_folder, version
from lightoff.engine.entries.checks import Phase
from lightoff.engine.model import Check, Knowledge
from lightoff.engine.reasoning.answers import ReadingError
from lightoff.engine.reasoning.diagnosis import Diagnosis
from lightoff.engine.reasoning.interview import person_of
from lightoff.engine.reasoning.search import search, stem, words_of
from lightoff.engine.reasoning.tell import (
    FORMS,
    check_that_reads,
    equipped,
    understand_places,
)
from lightoff.engine.teaching.practice import sealing
from lightoff.engine.teaching.practice.acts import AnyAct, Checked, Ended, Ending, Unsafe
from lightoff.engine.teaching.practice.bench import Bench, RefusedError
from lightoff.engine.teaching.practice.judging import job_of
from lightoff.engine.teaching.practice.seen import seen
from lightoff.engine.teaching.practice.store import NAME, Attempt, Store

TALK: tuple[Phase, ...] = ("make-safe", "customer")
SPEED = 120.0
LONGEST_WAIT = 1.0
"""A watched call runs so many times as fast as a real one, with no longer wait, s."""
HOWS: tuple[tuple[Ending, str], ...] = (
    ("mended", "It is mended, and I have seen it run."),
    ("made-safe", "It is shut down and tagged: it must not run."),
    ("nothing-wrong", "Nothing is wrong with it."),
    ("given-up", "I hand the job on."),
)


class LeaveError(Exception):
    """The person leaves; what was done is kept."""


def attempts_file(folder: Path | None) -> Path:
    """Where attempts are kept."""
    return (folder or usual_folder().parent) / NAME


def talk(
    knowledge: Knowledge,
    name: str | None,
    resume: int | None,
    seed: int | None,
    folder: Path | None,
    at_once: bool,
    made_up: bool = False,
) -> int:
    """Begin an attempt or go on with one; the exit code."""
    with Store(attempts_file(folder)) as store:
        if resume is not None:
            sitting = _resumed(store, knowledge, resume)
        else:
            sitting = _begun(store, knowledge, name, seed, made_up)
        sitting.waits = sys.stdout.isatty() and not at_once
        try:
            return sitting.run()
        except (InputEnded, LeaveError):
            sitting.say_saved(folder)
            return 0
        except KeyboardInterrupt:
            print()
            sitting.say_saved(folder)
            return STOPPED


def _begun(
    store: Store, knowledge: Knowledge, name: str | None, seed: int | None, made_up: bool
) -> Sitting:
    seed = secrets.randbelow(2**31) if seed is None else seed
    if name is None:
        from lightoff.cli.practice.choice import next_scenario

        scenario, raw = next_scenario(store, knowledge, made_up, seed)
    else:
        scenario, raw = scenario_named(name, knowledge)
    diagnosis = Diagnosis.of(knowledge, scenario.furnace.id)
    attempt = store.begin(
        Attempt(
            id=0,
            scenario=scenario.id,
            sealed=sealing.seal(scenario.id, raw),
            digest=sealing.digest_of(raw),
            seed=seed,
            version=version(),
            began=now(),
        )
    )
    return Sitting(store, attempt, Bench.of(scenario, diagnosis, attempt.seed))


def _resumed(store: Store, knowledge: Knowledge, number: int) -> Sitting:
    attempt = store.attempt(number)
    scenario = scenario_of_attempt(attempt, knowledge)
    diagnosis = Diagnosis.of(knowledge, scenario.furnace.id)
    acts = store.acts(number)
    if _was_changed(attempt):
        screen.say("The scenario was changed since; this goes on with the one it began with.")
    return Sitting(store, attempt, Bench.of(scenario, diagnosis, attempt.seed, acts))


def _was_changed(attempt: Attempt) -> bool:
    from lightoff.engine.library.scenarios import scenario_files

    own = [path for path in scenario_files() if path.stem == attempt.scenario]
    return bool(own) and sealing.digest_of(own[0].read_bytes()) != attempt.digest


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
            self.choose(int(line))
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

    def choose(self, number: int) -> None:
        if not 1 <= number <= len(self.choices):
            screen.say("No such number here; ? shows what you can do.", "warn")
            return
        self.choices[number - 1]()

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
        if rest.isdecimal() and int(rest) in left:
            self.ask_one(left[int(rest)])
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
        """Close with one's own diagnosis; an empty line goes back to the work."""
        screens.offered("How do you leave it? Type a number.", [words for _, words in HOWS])
        chosen = ask()
        if not chosen.isdecimal() or not 1 <= int(chosen) <= len(HOWS):
            screen.say("You go on working.")
            return
        how = HOWS[int(chosen) - 1][0]
        blamed = self.blame() if how in ("mended", "given-up", "made-safe") else ()
        if blamed is None:
            screen.say("You go on working.")
            return
        screen.say("What was it, in your own words? (Enter for nothing)")
        self.keep(Ended(time=now(), how=how, blamed=blamed, words=ask()))

    def blame(self) -> tuple[str, ...] | None:
        """What is blamed: the repairs that name it; None to go back to the work."""
        done = self.bench.standing.mended
        titles = [self.titled(each) for each in done]
        own = f" Enter for what you mended: {'; '.join(titles)}." if titles else " Enter for none."
        screen.say(f"What was to blame? Name the repair; a comma between two.{own}")
        said = ask()
        if not said:
            return done
        blamed: list[str] = []
        for words in said.split(","):
            repair = self.one_repair(words.strip())
            if repair is None:
                return None
            blamed.append(repair)
        return tuple(dict.fromkeys(blamed))

    def one_repair(self, words: str) -> str | None:
        hits = repairs_by_words(self.knowledge, words)
        while len(hits) != 1:
            if not hits:
                screen.say(f"Nothing is called {words}.", "warn")
                return None
            screens.offered("Which? Type a number.", [self.titled(each) for each in hits])
            chosen = ask()
            if not chosen:
                return None
            if chosen.isdecimal() and 1 <= int(chosen) <= len(hits):
                return hits[int(chosen) - 1]
        return hits[0]

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


MOST_REPAIRS = 9


def repairs_by_words(knowledge: Knowledge, words: str) -> list[str]:
    """The repairs that some words mean, best first; none for no words."""
    wanted = {stem(word) for word in words_of(words)}
    if words in knowledge.repairs:
        return [words]
    scores = {
        id_: len(
            wanted & {stem(word) for word in words_of(f"{id_.replace('-', ' ')} {each.title}")}
        )
        for id_, each in knowledge.repairs.items()
    }
    best = max(scores.values(), default=0)
    found = [id_ for id_, score in scores.items() if score == best and best]
    return found[:MOST_REPAIRS]


def _called(repair: str, title: str) -> str:
    return f"{repair.replace('-', ' ')} {title}"


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
