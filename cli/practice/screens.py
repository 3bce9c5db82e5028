"""What an apprentice reads during an attempt: short, the next action last."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from lightoff.cli import screen
from lightoff.cli.lines import Line, numbered, show
from lightoff.engine.teaching.practice.acts import (
    AnyAct,
    Checked,
    Hinted,
    Measured,
    Mended,
    SetUp,
    Unsafe,
    Watched,
)

if TYPE_CHECKING:
    from lightoff.engine.machine.trace import Trace
    from lightoff.engine.model import Check, Knowledge, Scenario
    from lightoff.engine.teaching.practice.bench import Bench
    from lightoff.engine.teaching.practice.seen import Sight

HELP = (
    ("ask", "questions to the customer, danger first; ask 2, ask weather"),
    ("look igniter", "anything to look at, hear, measure or try, by words"),
    ("volts R C heating", "the meter between any two points, in a step"),
    ("ohms igniter", "a part on its own, with power off"),
    ("pressure ROOM COLLECTOR proving-draft", "a gauge between two taps, in a step"),
    ("call", "run a call for heat and watch it, sped up"),
    ("mend igniter", "repair or replace, by words"),
    ("hint", "a hint; it costs marks"),
    ("notes", "what you found so far"),
    ("close", "close the job with your own diagnosis"),
    ("q", "leave; what you did is kept"),
)
NOT_KNOWN = "That nobody here knows."
NOT_REACHED = "The furnace never gets there: there is nothing to read."


def arrival(scenario: Scenario, resumed: bool) -> None:
    """The job as it is met."""
    entry = scenario.entry
    screen.say(entry.title, "head")
    screen.say(entry.setting)
    screen.say(f"The customer: \u201c{entry.complaint}\u201d")
    screen.say(f"{entry.minutes:g} min are allowed. All people and places are invented.", "note")
    screen.say("In real work local codes and licensed practice come first.", "note")
    screen.say(
        "You go on where you left off; notes shows what you found."
        if resumed
        else "Ask about danger first: ask. All you can do: ?"
    )


def status(bench: Bench) -> None:
    """Clock and set-up, above the prompt."""
    aspects = bench.diagnosis.knowledge.aspects
    setup = ", ".join(
        f"{name} {bench.standing.setup[name]}" for name, each in aspects.items() if each.by_hand
    )
    screen.say(f"[{bench.standing.minutes:.0f} min; {setup}]", "note")


def short_help() -> None:
    """What may be typed, in one line."""
    screen.say("ask, look WORDS, volts A B STEP, call, mend WORDS, notes, close. More: ?")


def help_(knowledge: Knowledge, by_hand: Sequence[str]) -> None:
    """All that can be typed."""
    for typed, what in HELP:
        screen.say(f"{typed:<24} {what}" if len(typed) < 24 else f"{typed}  {what}", hang=25)
    for name in by_hand:
        states = ", ".join(f"{name} {state}" for state in knowledge.aspects[name].minutes)
        screen.say(f"{states:<24} {knowledge.aspects[name].name.lower()}", hang=25)


def number_of(typed: str, count: int) -> int | None:
    """Place, from 0, of the number that was typed, of so many; None if it is none of them."""
    numbers = [str(number) for number in range(1, count + 1)]
    return numbers.index(typed) if typed in numbers else None


def questions(left: Mapping[int, Check]) -> None:
    """Questions to the customer by the numbers they have."""
    screen.say("Ask which? Type a number.", "head")
    show([Line(f"{number}. {check.entry.ask}", "", 2, 4) for number, check in left.items()])


def offered(head: str, texts: Sequence[str]) -> None:
    """Things to choose from by number."""
    show([Line(head, "head"), *numbered(texts)])


def answered(bench: Bench, check: Check, act: AnyAct) -> None:
    """What a check showed."""
    assert isinstance(act, Checked)
    screen.say(check.entry.ask, "note", indent=2)
    screen.say(answer_text(check, act), "name", indent=2)


def answer_text(check: Check, act: Checked) -> str:
    """The answer in words: a figure as the instrument shows it, else what is seen."""
    return _in_words(check, act.answer.outcome, act.answer.shown)


def _in_words(check: Check, outcome: str | None, shown: str) -> str:
    if outcome is None:
        return NOT_KNOWN
    if shown and shown != outcome:
        return shown
    text = next((each.text for each in check.outcomes if each.id == outcome), outcome)
    return f"{text[:1].upper()}{text[1:]}."


def measured(bench: Bench, act: AnyAct) -> None:
    """What a reading of one's own showed."""
    assert isinstance(act, Measured)
    where = " to ".join(act.places) + (f" in {act.during}" if act.during else "")
    screen.say(f"{act.quantity}, {where}", "note", indent=2)
    screen.say(act.shown or NOT_REACHED, "name", indent=2)


def sighted(sight: Sight) -> None:
    """One thing seen in a call, with the time of the call."""
    minutes, seconds = divmod(round(sight.time), 60)
    screen.say(f"{minutes:3d}:{seconds:02d}  {sight.what}", hang=8)


def call_ended(trace: Trace) -> None:
    """That nothing more happens."""
    screen.say("You turn the thermostat back and wait. That is all there was to see.", "note")


def mended(knowledge: Knowledge, repair: str, act: AnyAct) -> None:
    """What was done, and what is to come."""
    assert isinstance(act, Mended)
    screen.say(f"Done: {knowledge.repairs[repair].title} ({act.minutes:g} min).", "name", indent=2)
    screen.say("Put back what you took off, switch on, and prove it with a call.", indent=2)


def unsafe(knowledge: Knowledge, act: Unsafe) -> None:
    """Stop before it happens, as a tutor would."""
    aspect = knowledge.aspects[act.why]
    screen.say("STOP. Hands off: this is not safe as things stand.", "warn")
    screen.say(f"{aspect.name}: {aspect.safe} first. {aspect.how[aspect.safe]}", indent=2)
    for danger in aspect.dangers:
        screen.say(f"Caution: {knowledge.cautions[danger].short}", "warn", indent=2, hang=2)
    screen.say(f"It was not done, but it counts. Type: {act.why} {aspect.safe}")


def stopped(knowledge: Knowledge, danger: str) -> None:
    """The work ends here: what the caution says."""
    caution = knowledge.cautions[danger]
    screen.say(f"STOP: {caution.title}.", "warn")
    for line in caution.text:
        screen.say(f"- {line}", indent=2, hang=2)
    screen.say("The work ends here. Do what this says, then: close")


def notes(bench: Bench) -> None:
    """All that was done, in order."""
    if not bench.acts:
        screen.say("Nothing was done yet. Begin with: ask")
    for number, act in enumerate(bench.acts, start=1):
        screen.say(f"{number:3d}. {act_in_words(bench, act)}", hang=5)


def act_in_words(bench: Bench, act: AnyAct) -> str:
    """An act with what it showed, as one would note it."""
    knowledge = bench.diagnosis.knowledge
    match act:
        case SetUp(aspect=aspect, state=state):
            return f"{knowledge.aspects[aspect].name}: {state}"
        case Checked(answer=answer):
            check = bench.diagnosis.checks[answer.check]
            return f"{check.entry.ask} {answer_text(check, act)}"
        case Measured(quantity=quantity, places=places, during=during, shown=shown):
            where = " to ".join(places) + (f" in {during}" if during else "")
            return f"{quantity}, {where}: {shown or NOT_REACHED}"
        case Watched(answers=answers):
            checks = bench.diagnosis.checks
            said = (_in_words(checks[a.check], a.outcome, a.shown) for a in answers)
            return f"Watched a call. {' '.join(said)}"
        case Mended(repair=repair):
            return f"Mended: {knowledge.repairs[repair].title}"
        case Hinted(number=number):
            return f"Hint {number}: {bench.scenario.entry.hints[number - 1]}"
        case Unsafe(doing=doing):
            return f"Unsafe, called off: {_wanted(bench, doing)}"
        case _:
            return "Closed the job"


def _wanted(bench: Bench, doing: str) -> str:
    """What was about to be done, in words."""
    if doing in bench.diagnosis.checks:
        return bench.diagnosis.checks[doing].entry.ask
    if doing in bench.diagnosis.knowledge.repairs:
        return bench.diagnosis.knowledge.repairs[doing].title
    return doing.removeprefix("told-").replace("-", " ")
