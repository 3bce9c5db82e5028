"""`lightoff self-test`: short questions without a furnace, explained."""

from __future__ import annotations

import secrets
from collections import Counter
from dataclasses import asdict
from typing import TYPE_CHECKING

import click

from lightoff.cli import names, screen
from lightoff.cli.lines import numbered, show
from lightoff.cli.options import furnace_option, json_option

if TYPE_CHECKING:
    from collections.abc import Sequence

    from lightoff.engine.teaching.self_test.question import Question

DONT_KNOW = ("?", "dont know", "don't know")


@click.command("self-test")
@click.option("--number", type=click.IntRange(1, 100), default=10, show_default=True)
@click.option("--kind", "kinds", multiple=True, metavar="KIND", help="Of these kinds only.")
@furnace_option
@click.option("--seed", type=click.IntRange(min=0), help="The same questions again.")
@click.option("--print", "printed", is_flag=True, help="A sheet on paper, the answers behind it.")
@json_option
def self_test(
    number: int,
    kinds: tuple[str, ...],
    furnace_id: str | None,
    seed: int | None,
    printed: bool,
    as_json: bool,
) -> None:
    """Answer short questions, each explained.

    They are made from the model of the furnace.

    Kinds are place, job, label, senses and acts of a part; next, order and stalls of
    the sequence; meter, explains; venting, products and water.
    """
    from lightoff.engine.teaching.self_test.pool import KINDS, questions

    for kind in kinds:
        names.find("kind of question", kind, KINDS)
    knowledge = names.load_knowledge()
    furnace = names.find_furnace(knowledge, furnace_id)
    seed = secrets.randbelow(10**6) if seed is None else seed
    asked = questions(knowledge, furnace, number, seed, kinds)
    if as_json:
        screen.json_out([asdict(each) for each in asked])
    elif printed:
        _print(asked, seed)
    else:
        _ask_all(asked)
        screen.say(f"The same questions again: --seed {seed}", "note")


def _print(asked: Sequence[Question], seed: int) -> None:
    """Questions, then a page with the answers."""
    screen.say(f"Self-test {seed}", "head")
    for number, question in enumerate(asked, start=1):
        screen.say(f"\n{number}. {question.ask}", hang=3)
        show(numbered(question.choices))
    print("\f")
    screen.say(f"Answers to self-test {seed}", "head")
    for number, question in enumerate(asked, start=1):
        screen.say(f"{number}. {question.right + 1}. {question.why}", hang=3)


def _ask_all(asked: Sequence[Question]) -> None:
    """One after the other; what was done counts, however it ends."""
    from lightoff.cli.prompts import InputEnded, prepare_input

    prepare_input()
    done: list[tuple[Question, bool]] = []
    try:
        for number, question in enumerate(asked, start=1):
            chosen = _answer(question, f"{number} of {len(asked)}. ")
            if chosen is None:
                break
            right = chosen == question.right
            done.append((question, right))
            _explain(question, right)
    except (InputEnded, KeyboardInterrupt):
        print()
    _summarise(done)


def _answer(question: Question, number: str) -> int | None:
    """The choice, -1 for "don't know", None to stop."""
    from lightoff.cli.prompts import ask

    screen.say(f"{number}{question.ask}", "head")
    show(numbered(question.choices))
    while True:
        line = ask().lower().replace("\u2019", "'")
        if line in ("q", "quit"):
            return None
        if line in DONT_KNOW:
            return -1
        if line in [str(number) for number in range(1, len(question.choices) + 1)]:
            return int(line) - 1
        screen.say(f"Type 1 to {len(question.choices)}, ? for don't know, q to stop.", "warn")


def _explain(question: Question, right: bool) -> None:
    verdict = "Right." if right else f"It is {question.right + 1}."
    screen.say(f"{verdict} {question.why}", "name" if right else "", indent=2)
    screen.say()


def _summarise(done: Sequence[tuple[Question, bool]]) -> None:
    """How it went, what is weak, and what to read."""
    if not done:
        screen.say("Nothing was answered.")
        return
    screen.say(f"{sum(right for _, right in done)} of {len(done)} right.", "head")
    wrong = Counter(question.kind for question, right in done if not right)
    if wrong:
        screen.say(f"Weak in: {', '.join(wrong)}. More of it: --kind {next(iter(wrong))}")
    parts = dict.fromkeys(q.read_on for q, right in done if not right and q.read_on)
    for part in list(parts)[:3]:
        screen.say(f"Read: lightoff knowledge show part {part}")
