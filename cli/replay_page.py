"""A past job run again: what its journal speaks of and is not known today, what differs."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from lightoff.cli import screen
from lightoff.cli.experience_pages import counted_data, counted_line
from lightoff.cli.job_list import leading_data
from lightoff.cli.job_pages import in_words
from lightoff.cli.past_jobs import Past, moment_in_words, plain
from lightoff.cli.past_words import PastWords, outcome_in_words
from lightoff.cli.prompts import version
from lightoff.cli.today import Leading, Today
from lightoff.cli.wording import count, repair_title
from lightoff.engine.model import Knowledge
from lightoff.engine.reasoning.experience import Experience
from lightoff.engine.reasoning.identify import LookFor
from lightoff.engine.reasoning.interview import Ask, Conclude, Identify, MakeSafe, Next, Stop
from lightoff.engine.reasoning.job import replay
from lightoff.engine.reasoning.restate import Reread, Restated, Strange
from lightoff.engine.reasoning.retrace import Compared, compared, next_today

Data = dict[str, Any]

NOT_IN_JOURNAL = (
    "the probabilities of then",
    "what was advised then, other than what was asked and done",
    "the knowledge of then",
)
"""What cannot be compared, because no journal holds it."""

INSTEAD = {"nothing-found": "nothing is found wrong", "refer": "refer it: the cause is not known"}


@dataclass(frozen=True, slots=True)
class Replayed:
    """A job run again against today's knowledge.

    `leading` is None, `coming` too, if the furnace is not known today or was not found
    out; `furnace` says whether the first is so.
    """

    past: Past
    words: PastWords
    knowledge: Knowledge
    furnace: bool
    restated: Restated
    steps: tuple[Compared, ...]
    experience: Experience | None
    leading: Leading | None
    coming: Next | None

    @property
    def others(self) -> tuple[Compared, ...]:
        """Steps that would be other ones today."""
        return tuple(step for step in self.steps if not step.same)

    @property
    def cure_differs(self) -> bool:
        """Whether another repair than the one that cured leads today."""
        job = self.past.job
        return bool(job.cured_by and self.leading and self.leading.repair != job.cured_by)

    @property
    def same(self) -> bool:
        """Whether all is known today and nothing comes out otherwise."""
        restated = self.restated
        return not (restated.strange or restated.reread or self.others or self.cure_differs)


def replayed(past: Past) -> Replayed:
    """The job run again."""
    today, job = Today(past.path.parent, past.id), past.job
    furnace = today.furnace(job) is not None
    restated = today.restated(past.events)
    end = replay(event for _, event in restated.lines)
    going_on = furnace and job.closed is None
    return Replayed(
        past=past,
        words=today.words(job),
        knowledge=today.knowledge,
        furnace=furnace,
        restated=restated,
        steps=compared(today.diagnoses.of, restated.lines) if furnace else (),
        experience=today.experience,
        leading=today.leading(end),
        coming=next_today(today.diagnoses.of(end), end) if going_on else None,
    )


# --- as data ----------------------------------------------------------------------


def data(run: Replayed) -> Data:
    """The run for JSON."""
    job = run.past.job
    return {
        "id": run.past.id,
        "number": run.past.number,
        "furnace": job.furnace or None,
        "version_then": job.version,
        "version_now": version(),
        "same": run.same,
        "not_known": [
            {"event": each.number, "subject": each.subject, "name": each.name}
            for each in run.restated.strange
        ],
        "read_otherwise": [
            {
                "event": each.number,
                "check": each.check,
                "entered": each.entered,
                "then": each.then,
                "now": each.now,
            }
            for each in run.restated.reread
        ],
        "steps": [_step(run, step) for step in run.steps],
        "cured_by": job.cured_by or None,
        "leading": leading_data(run.leading),
        "experience": counted_data(run.experience, job.furnace),
        "next": None if run.coming is None else coming_in_words(run.knowledge, run.coming),
        "not_in_journal": list(NOT_IN_JOURNAL),
        "problem": run.past.notice or None,
    }


def _step(run: Replayed, step: Compared) -> Data:
    return {
        "event": step.number,
        "then": run.words.question(step.event),
        "now": coming_in_words(run.knowledge, step.coming),
        "same": step.same,
    }


# --- on the screen ----------------------------------------------------------------


def show(run: Replayed) -> None:
    """Write the run."""
    job = run.past.job
    screen.say(f"Job {run.past.number} ({run.past.id}), run again", "head")
    then = f"{moment_in_words(job.started)}, version {plain(job.version)}"
    screen.field("Begun", f"{then}; run again with version {version()}")
    screen.field("Furnace", run.words.furnace(job.furnace) if job.furnace else "not found out")
    screen.field("Stands", run.words.stands(job))
    counted = counted_line(run.experience, job.furnace)
    screen.field("Weights", *([counted] if counted else []))
    screen.say()
    _show_not_known(run)
    _show_steps(run)
    _show_leading(run)
    screen.say()
    held = "; ".join(NOT_IN_JOURNAL)
    screen.say(f"The journal does not hold: {held}. They are not compared.", "note")


def _show_not_known(run: Replayed) -> None:
    strange, reread = run.restated.strange, run.restated.reread
    if not strange and not reread:
        screen.say("All that the journal speaks of is known today.", "good")
    for each in strange:
        screen.say(_strange_in_words(each), "warn", hang=2)
    for other in reread:
        screen.say(_reread_in_words(run, other), "warn", hang=2)


def _strange_in_words(strange: Strange) -> str:
    what = f"Event {strange.number}: the {strange.subject} {plain(strange.name)} is not known today"
    end = "nothing can be run again" if strange.subject == "furnace" else "it is left out"
    return f"{what}; {end}."


def _reread_in_words(run: Replayed, reread: Reread) -> str:
    check = run.words.checks.get(reread.check)
    now, then = outcome_in_words(check, reread.now), outcome_in_words(check, reread.then)
    read = f"{run.words.ask(reread.check)} {plain(reread.entered)}"
    return f"Event {reread.number}: {read}: then it was {then!r}, today it is {now!r}."


def _show_steps(run: Replayed) -> None:
    if not run.steps:
        return
    screen.say()
    same, steps = len(run.steps) - len(run.others), count(len(run.steps), "step")
    if not run.others:
        screen.say(f"What was asked and done is what comes today: {steps}.", "good")
        return
    screen.say(f"The same comes today at {same} of {len(run.steps)} points. Elsewhere:", "head")
    for step in run.others:
        head = f"{step.number:>4}  "
        screen.say(f"{head}then: {run.words.question(step.event)}", hang=len(head))
        now = coming_in_words(run.knowledge, step.coming)
        screen.say(f"today: {now}", indent=len(head))


def _show_leading(run: Replayed) -> None:
    job = run.past.job
    if run.leading is None:
        return
    screen.say()
    if job.cured_by:
        style, also = ("warn", "another") if run.cure_differs else ("good", "the same")
        cured = f"Cured by then: {run.words.repair(job.cured_by)}"
        screen.say(f"{cured}. Leading today, {also}: {in_words(run.leading)}.", style)
    else:
        screen.say(f"Leading today: {in_words(run.leading)}.")
    if run.coming is not None:
        screen.say(f"What comes next today: {coming_in_words(run.knowledge, run.coming)}")


# --- words ------------------------------------------------------------------------


def coming_in_words(knowledge: Knowledge, coming: Next) -> str:
    """What comes next, in words."""
    match coming:
        case Stop(said=said):
            signs = (knowledge.cautions[each.text].title.partition(":")[0] for each in said)
            return f"the work is stopped: {', '.join(signs)}"
        case MakeSafe():
            return "signs of danger are asked for"
        case Identify(what=LookFor(feature=feature)):
            return feature.ask
        case Identify():
            return "the type of furnace is to be confirmed or chosen"
        case Ask(decision=decision):
            return _ask(knowledge, str(decision.check))
        case Conclude(decision=decision) if decision.repair is not None:
            return f"repair: {repair_title(knowledge, decision.repair)}"
        case Conclude(decision=decision):
            return INSTEAD[decision.kind]


def _ask(knowledge: Knowledge, check: str) -> str:
    """The question of a check, which any of the furnaces has."""
    return next(checks[check].entry.ask for checks in knowledge.checks.values() if check in checks)
