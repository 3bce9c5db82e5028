"""What the program makes of a scenario while it is being written: does it read, how does it run."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from lightoff.cli import names, screen
from lightoff.cli.prompts import Ahead
from lightoff.cli.scenario.drafts import read_back
from lightoff.engine.library.scenarios import LONGEST
from lightoff.engine.teaching import draft
from lightoff.engine.teaching.draft import Answers

if TYPE_CHECKING:
    from lightoff.engine.model import Furnace, Knowledge, Scenario
    from lightoff.engine.reasoning.diagnosis import Diagnosis
    from lightoff.engine.teaching.check import Checked

UNKNOWN_MINUTES = 60.0
"""For the program's path where it has none."""
ANY_ID = "none-yet"


class Trial:
    """Tries the answers out on the furnace; its diagnosis is made ahead while one types."""

    def __init__(self, known: Knowledge) -> None:
        self.known = known
        self.ahead: Ahead[Diagnosis] | None = None

    def begin(self, answers: Answers) -> None:
        """Make the diagnosis of the furnace in the background."""
        if self.ahead is None:
            furnace = self.furnace(answers).id
            self.ahead = Ahead(lambda: _diagnosis(self.known, furnace))
            self.ahead.begin()

    def furnace(self, answers: Answers) -> Furnace:
        """The furnace that is named, the first one before that."""
        furnaces = self.known.furnaces
        return furnaces.get(answers.get("furnace", "")) or next(iter(furnaces.values()))

    def text(self, id_: str, answers: Answers) -> str:
        """The scenario file; WrongAnswerError if an answer cannot be understood."""
        tools = list(self.known.tools)
        return draft.as_yaml(draft.scenario_data(id_, answers, self.furnace(answers), tools))

    def read(self, id_: str, answers: Answers) -> tuple[Scenario | None, str]:
        """The scenario as it reads from a file, and its first mistake."""
        found, problems = read_back(self.text(id_, answers), id_, self.known)
        return found, f"{problems[0].what}; {problems[0].mend}" if problems else ""

    def seen(self, answers: Answers) -> list[str]:
        """What somebody who watches the furnace would notice, in lines."""
        from lightoff.cli.show_run import in_words

        found, _ = self.read(ANY_ID, answers)
        if found is None:
            return []
        why = [" ".join(each.fault.entry.because.split()) for each in found.hidden]
        try:
            trace = names.simulated(found.furnace, [each.fault for each in found.hidden])
        except click.ClickException as error:
            return [*why, f"Watching it: {error.message}."]
        last = found.furnace.sequence.steps.get(trace.stalls_in())
        does = f" In this step: {last.entry.does}" if last else ""
        return [*why, f"Watching it: {in_words(self.known, trace)}{does}"]

    def minutes(self, id_: str, answers: Answers) -> str:
        """Minutes to allow, by what the program itself needs; says what it finds."""
        screen.say("Working out how long the program itself takes ...", "note")
        checked = self.checked(id_, {**answers, "minutes": f"{LONGEST:g}"})
        own = checked.minutes if checked else 0.0
        if own:
            screen.say(f"It takes {own:.0f} min with these tools.", "note")
        for sentence in checked.refused if checked else ():
            screen.say(f"The check will refuse it: {sentence} (b goes back.)", "warn")
        return draft.minutes_to_allow(own or UNKNOWN_MINUTES)

    def checked(self, id_: str, answers: Answers) -> Checked | None:
        """What the check of the scenario says; None if it has mistakes."""
        from lightoff.engine.teaching.check import check_scenario

        found, _ = self.read(id_, answers)
        if found is None:
            return None
        made = self.ahead.result() if self.ahead else None
        if made is None or made.furnace.id != found.furnace.id:
            made = _diagnosis(self.known, found.furnace.id)
        return check_scenario(found, made)


def _diagnosis(known: Knowledge, furnace: str) -> Diagnosis:
    from lightoff.engine.reasoning.diagnosis import Diagnosis

    return Diagnosis.of(known, furnace)
