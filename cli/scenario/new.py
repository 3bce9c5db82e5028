"""`lightoff scenario new` at the terminal: asks, keeps a draft on disk, writes the scenario.

Every answer is in the draft before the next question is shown, so the end of the input,
Ctrl-C and a closed terminal lose nothing. What is asked stands in scenario_steps.py.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from shlex import quote
from typing import TYPE_CHECKING

import click

from lightoff.cli import names, screen
from lightoff.cli.main import STOPPED, WRONG_USE
from lightoff.cli.prompts import InputEnded, ask
from lightoff.cli.scenario import page as scenario_page
from lightoff.cli.scenario import steps as scenario_steps
from lightoff.cli.scenario.drafts import Drafts, file_name
from lightoff.cli.scenario.files import write_new, write_over
from lightoff.cli.scenario.naming import chosen, not_a_scenario_file, settled
from lightoff.cli.scenario.prompts import (
    ask_in_full,
    begin_line,
    half_typed,
    looks_for_fault,
    meant,
    offer,
    prepare_input,
    refuse,
)
from lightoff.cli.scenario.steps import Question, questions
from lightoff.cli.scenario.trial import Trial
from lightoff.engine.teaching import draft
from lightoff.engine.teaching.draft import WrongAnswerError

if TYPE_CHECKING:
    from lightoff.engine.model import Knowledge

BACK = "b"
HALF = "unfinished."
COMMAND = "lightoff scenario"
OTHER_WORDS = "use other words, or see: lightoff knowledge list faults"
MEND_FAULTS = "several have these words; type its number, or other words"


def write_anew(known: Knowledge, given: Path | None) -> int:
    """Ask for a scenario and write it to a file, asked for too if None; the exit code."""
    prepare_input()
    return Writing(known, given).guarded()


class Writing:
    """One sitting: the answers so far, and where they are kept."""

    def __init__(self, known: Knowledge, given: Path | None) -> None:
        self.known = known
        self.path = given
        self.answers: dict[str, str] = {}
        self.earlier: dict[str, str] = {}
        """Answers that were taken back, offered again."""
        self.recalled: dict[str, str] = {}
        """Answers of the draft, not yet looked at."""
        self.half: dict[str, str] = {}
        """A line that was not finished, under HALF and its question."""
        self.asking = ""
        self.drafts = Drafts()
        self.overwrites = False
        self.is_written = False
        self.bench = Trial(known)

    # --- the frame --------------------------------------------------------------------

    def guarded(self) -> int:
        """Ask and write, and end in plain words however it ends."""
        try:
            self._begin()
            self._ask_all()
            return self._write()
        except InputEnded:
            self._stopped()
            return 1
        except KeyboardInterrupt:
            if self.asking and (half := half_typed()):
                self.half = {f"{HALF}{self.asking}": half}
            self._stopped()
            return STOPPED
        except OSError as error:
            screen.say(f"A file cannot be used: {error}.", "bad", stderr=True)
            self._stopped()
            return WRONG_USE

    def _begin(self) -> None:
        if self.path is not None:
            if problem := not_a_scenario_file(self.path, self.known):
                raise names.WrongNameError(problem)
            kept = self.drafts.recall(self.path)
            self.half = {name: each for name, each in kept.items() if name.startswith(HALF)}
            self.recalled = {name: kept[name] for name in kept if name not in self.half}
        screen.say(
            "A new scenario. Enter takes what is offered; b goes back; Ctrl-C stops.", "head"
        )
        if self.recalled or self.half:
            screen.say(f"Going on from {self.drafts.of(self.path)}.", "note")
        if self.path is not None:
            self._settle(self.path)

    def _settle(self, path: Path) -> None:
        self.path, self.overwrites = settled(path, self.known, self.drafts)

    def _stopped(self) -> None:
        """Say where the answers are; on the screen if they cannot be on disk."""
        print()
        if self.is_written:
            screen.say(f"{self.path} is written. Next: {self._command('check')}", "next")
            return
        kept = self._kept()
        if not kept:
            screen.say("Stopped before the first answer; there is nothing to save.")
            return
        if self.path is None:
            self.path = self.drafts.free(Path(file_name(kept.get("title", ""))))
        if self.drafts.save(self.path, kept):
            at = self.drafts.of(self.path)
            screen.say(f"Saved in {at}. To go on: {self._command('new')}", "next")
        else:
            screen.say("The draft cannot be saved. This is what it would hold:", "bad", stderr=True)
            click.echo(draft.as_yaml(kept), nl=False)

    def _kept(self) -> dict[str, str]:
        return {**self.answers, **self.recalled, **self.earlier, **self.half}

    def _command(self, name: str) -> str:
        return f"{COMMAND} {name} {quote(str(self.path))}"

    # --- questions --------------------------------------------------------------------

    def _ask_all(self) -> None:
        while question := self._next():
            if question.name in self.recalled:
                self._recall(question)
                continue
            question = self._completed(question)
            self.asking = question.name
            answer = self._answer_to(question)
            self.asking = ""
            if answer is None:
                self._go_back()
            elif answer == scenario_steps.REST and question.name.startswith(draft.TELLS):
                self._tell_no_more()
            else:
                self._put_down(question.name, answer)
            if self.path is None and "title" in self.answers:
                self._settle(chosen(self.answers["title"], self.known, self.drafts))
            self._save()

    def _next(self) -> Question | None:
        asked = questions(self.known, self.answers)
        return next((each for each in asked if each.name not in self.answers), None)

    def _recall(self, question: Question) -> None:
        """Take an answer from the draft, if it is still one."""
        answer = self.recalled.pop(question.name)
        problem = self._problem(question, answer)
        if problem:
            refuse(f"{question.name} in the draft: {problem}")
            self.earlier[question.name] = answer
        else:
            self.answers[question.name] = answer

    def _put_down(self, name: str, answer: str) -> None:
        self.earlier.pop(name, None)
        self.half.pop(f"{HALF}{name}", None)
        self.answers[name] = answer
        if name == "level":
            self.bench.begin(self.answers)

    def _tell_no_more(self) -> None:
        while (question := self._next()) and question.name.startswith(draft.TELLS):
            self._put_down(question.name, "")

    def _go_back(self) -> None:
        if not self.answers:
            refuse("this is the first question")
            return
        name, answer = self.answers.popitem()
        self.earlier[name] = answer

    def _save(self) -> None:
        if self.path is not None and self._kept() and not self.drafts.save(self.path, self._kept()):
            self.drafts.warn()

    def _completed(self, question: Question) -> Question:
        """The question with what must be worked out for it, and the answer taken back."""
        if question.name == "minutes":
            question = replace(question, default=self.bench.minutes(self._id(), self.answers))
        if question.name == "complaint":
            question = replace(question, help=(*question.help, *self.bench.seen(self.answers)))
        if question.name in self.earlier:
            answer = self.earlier[question.name]
            nothing = question.enter if answer and question.default == "" else ""
            enter = answer or question.enter
            question = replace(question, default=answer, enter=enter, nothing=nothing)
        return question

    def _answer_to(self, question: Question) -> str | None:
        """Ask until there is an answer that can be one; None to go back."""
        ask_in_full(question)
        begin_line(self.half.get(f"{HALF}{question.name}", ""))
        offers = question.offers
        while (typed := ask()) != BACK:
            if typed == scenario_steps.REST and question.name.startswith(draft.TELLS):
                return typed
            if looks_for_fault(question, typed):
                offers = scenario_steps.faults_offered(self.bench.furnace(self.answers), typed)
                if len(offers) != 1:
                    offer(offers)
                    refuse(
                        MEND_FAULTS if offers else f"nothing is called {typed[:60]}; {OTHER_WORDS}"
                    )
                    continue
            try:
                answer = meant(question, offers, typed)
            except WrongAnswerError as error:
                refuse(str(error))
                continue
            problem = self._problem(question, answer)
            if not problem:
                return answer
            refuse(problem)
        return None

    def _problem(self, question: Question, answer: str) -> str:
        """Why this cannot be the answer, from those who read the finished file; "" if it can."""
        if screen.clean(answer) != answer:
            return (
                f"it holds signs that cannot be shown ({screen.clean(answer)[:40]}); leave them out"
            )
        if question.closed and answer and answer not in dict(question.offers):
            return f"{answer[:40]} is not offered; choose one by its number"
        try:
            _, problem = self.bench.read(self._id(), {**self.answers, question.name: answer})
        except WrongAnswerError as error:
            return str(error)
        return problem

    def _id(self) -> str:
        return self.path.stem if self.path else "none-yet"

    # --- the end ----------------------------------------------------------------------

    def _write(self) -> int:
        """Write the file, show what the check says of it, and what to do next."""
        assert self.path is not None
        found, problem = self.bench.read(self._id(), self.answers)
        if found is None:
            raise click.ClickException(f"the scenario cannot be read back: {problem}")
        text = self.bench.text(self._id(), self.answers)
        try:
            self._write_file(text)
        except OSError as error:
            reason = error.strerror or str(error)
            screen.say(f"{self.path} cannot be written: {reason}. Its text:", "bad", stderr=True)
            click.echo(text, nl=False)
            return WRONG_USE
        self.is_written = True
        self.drafts.drop(self.path)
        screen.say()
        for name, answer in self.recalled.items():
            screen.say(f"Not used of the draft: {name}: {answer}", "warn")
        screen.say(f"Written: {self.path}. Now the check ...", "good")
        checked = self.bench.checked(self._id(), self.answers)
        scenario_page.show_checked(str(self.path), checked, ())
        if checked is None or not checked.is_sound:
            screen.say(f"Next: mend the file, then: {self._command('check')}", "next")
            return 1
        screen.say(f"Next: {self._command('sheet')} (with --key: the answer)", "next")
        return 0

    def _write_file(self, text: str) -> None:
        """A new file; over another one only if that was said."""
        while True:
            assert self.path is not None
            try:
                over = self.overwrites and self.path.exists()
                (write_over if over else write_new)(self.path, text)
            except FileExistsError:
                self._settle(self.path)
                text = self.bench.text(self._id(), self.answers)
            else:
                return
