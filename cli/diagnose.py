"""`lightoff diagnose`: question by question at the terminal, or from a file of findings."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from lightoff.cli.options import journal_folder_option, json_option, this_furnace_option

if TYPE_CHECKING:
    from lightoff.engine.entries.rules import Licence
    from lightoff.engine.model import Furnace, Knowledge
    from lightoff.engine.reasoning.advice import Advice, Person
    from lightoff.engine.reasoning.diagnosis import Diagnosis
    from lightoff.engine.reasoning.experience import Experience
    from lightoff.engine.reasoning.interview import Next
    from lightoff.engine.reasoning.job import JobState
    from lightoff.engine.reasoning.planning.choice import Decision


@click.command()
@this_furnace_option
@click.option(
    "--findings",
    "findings_path",
    metavar="FILE",
    type=click.Path(exists=True, dir_okay=False, path_type=Path),
    help="Findings as YAML, one `check: outcome` or `check: 24 V` a line; nothing is asked.",
)
@json_option
@click.option(
    "--without",
    "lacks",
    metavar="TOOL",
    multiple=True,
    help="A tool that is not there; give the option again for more.",
)
@click.option(
    "--licence",
    type=click.Choice(["none", "gas"]),
    default="gas",
    help="What you may work on; gas if left out.",
)
@click.option("--resume", is_flag=True, help="Take up the last unfinished job.")
@click.option(
    "--experience",
    "with_experience",
    is_flag=True,
    help="With --findings: count this shop's closed jobs, as a job at the prompt does.",
)
@click.option(
    "--pairs",
    "two_faults",
    is_flag=True,
    help="With --findings: reckon with two faults at once, whatever one fault explains.",
)
@journal_folder_option
@click.pass_context
def diagnose(
    context: click.Context,
    furnace_id: str | None,
    findings_path: Path | None,
    as_json: bool,
    lacks: Sequence[str],
    licence: Licence,
    resume: bool,
    with_experience: bool,
    two_faults: bool,
    folder: Path | None,
) -> None:
    """Ask what to check next, until the repair is found.

    It begins with what must be made safe, hears the customer, looks round, watches one
    call, and then measures. Every answer is saved at once. With --findings nothing is
    asked: it says what the findings mean and what to do next, by the shipped weights alone
    unless --experience is given, so that a file gives the same answer everywhere.
    """
    if as_json and findings_path is None:
        raise click.UsageError("--json needs --findings FILE")
    if with_experience and findings_path is None:
        raise click.UsageError("--experience needs --findings FILE; a job counts them anyway")
    if two_faults and findings_path is None:
        raise click.UsageError("--pairs needs --findings FILE; in a job, type m for it")
    if resume and (findings_path is not None or furnace_id is not None or lacks):
        raise click.UsageError("--resume takes up a job as it is; leave the other options out")
    from lightoff.cli.names import find, find_furnace, load_knowledge
    from lightoff.engine.reasoning.advice import Person

    knowledge = load_knowledge()
    for tool in lacks:
        find("tool", tool, knowledge.tools)
    person = Person(frozenset(lacks), licence)
    if findings_path is not None:
        furnace = find_furnace(knowledge, furnace_id)
        experience = _experience(knowledge, folder) if with_experience else None
        _from_findings(knowledge, furnace, findings_path, person, as_json, experience, two_faults)
        return
    from lightoff.cli import prompts

    if resume:
        context.exit(prompts.resumed_job(knowledge, folder))
    named = None if furnace_id is None else find_furnace(knowledge, furnace_id)
    context.exit(prompts.new_job(knowledge, named, folder, person))


# --- from a file ------------------------------------------------------------------


def _experience(knowledge: Knowledge, folder: Path | None) -> Experience | None:
    """What counts by this shop's jobs; asked for in so many words, so even if switched off."""
    from lightoff.cli.prompts import usual_folder
    from lightoff.engine.reasoning.experience_folder import in_use
    from lightoff.engine.reasoning.journal import JobError

    try:
        return in_use(knowledge, folder or usual_folder(), even_if_off=True)
    except JobError as error:
        raise click.ClickException(str(error)) from None


def _from_findings(
    knowledge: Knowledge,
    furnace: Furnace,
    path: Path,
    person: Person,
    as_json: bool,
    experience: Experience | None,
    two_faults: bool,
) -> None:
    from lightoff.cli import experience_pages, screen
    from lightoff.engine.reasoning.diagnosis import Diagnosis
    from lightoff.engine.reasoning.findings_file import read_findings
    from lightoff.engine.reasoning.job import JobState

    findings, problems = read_findings(path, knowledge.checks[furnace.id])
    if problems:
        mistakes = "\n".join(map(str, problems))
        raise click.ClickException(f"the findings have mistakes\n{mistakes}")
    diagnosis = Diagnosis.of(knowledge, furnace.id, experience)
    state = JobState(
        furnace.id,
        "",
        "",
        findings=findings,
        checks_done=tuple(finding.check for finding in findings),
        lacks=tuple(sorted(person.lacks)),
        licence=person.licence,
        interview_skipped=True,
        two_faults=two_faults,
    )
    if as_json:
        counted = experience_pages.counted_data(experience, furnace.id)
        screen.json_out({**report(diagnosis, state), "experience": counted})
    else:
        if line := experience_pages.counted_line(experience, furnace.id):
            screen.say(line, "note")
        _show(diagnosis, state)


def report(diagnosis: Diagnosis, state: JobState) -> dict[str, Any]:
    """What the findings of a job mean, and what to do next, for JSON.

    Nothing comes next, and no repair is advised, where a rule stops the work.
    """
    from lightoff.engine.reasoning.interview import measured_next, person_of
    from lightoff.engine.reasoning.open_list import open_items
    from lightoff.engine.reasoning.suspects import suspects_of

    advice = diagnosis.advise(state, person_of(state))
    coming = measured_next(diagnosis, state, advice)
    return {
        "furnace": diagnosis.furnace.id,
        "stopped": _stopped(advice),
        "suspects": [
            {
                "id": suspect.id,
                "faults": suspect.faults,
                "parts": suspect.parts,
                "repair": suspect.repair,
                "probability": suspect.probability,
            }
            for suspect in suspects_of(advice.belief)
        ],
        "next": _next(diagnosis, state, coming),
        "decision": _decision(coming),
        "cautions": _cautions(diagnosis, advice, coming),
        "obligations": [said.text for said in advice.obligations],
        "open": open_items(diagnosis, state, advice),
        "rules": [{"id": rule.id, "says": rule.entry.says} for rule in advice.fired],
        "works_now": _works_now(diagnosis, state, advice),
    }


def _works_now(diagnosis: Diagnosis, state: JobState, advice: Advice) -> dict[str, Any] | None:
    """How to catch a fault that is hidden now; None if the furnace most likely fails."""
    works = diagnosis.works_now(state, advice)
    if works is None or advice.stopped:
        return None
    return {
        "no_fault": works.sound,
        "hidden": [{"id": each.id, "probability": each.probability} for each in works.hidden],
        "provoke": works.provoke,
        "record": [
            {"check": each.check, "gain": each.gain, "shows": dict(each.shows)}
            for each in works.record
        ],
    }


def _stopped(advice: Advice) -> dict[str, str] | None:
    """The first caution that stops the work, and why in the words of its rule."""
    if not advice.stopped:
        return None
    first = advice.stopped[0]
    return {"caution": first.text, "why": first.rule.entry.says}


def _decision_in(coming: Next) -> Decision | None:
    from lightoff.engine.reasoning.interview import Ask, Conclude

    return coming.decision if isinstance(coming, Ask | Conclude) else None


def _decision(coming: Next) -> dict[str, Any]:
    decision = _decision_in(coming)
    if decision is None:
        return {"kind": "stop", "repair": None, "probability": None, "stays": None}
    return {
        "kind": decision.kind,
        "repair": decision.repair,
        "probability": decision.probability,
        "stays": decision.stays,
    }


def _next(diagnosis: Diagnosis, state: JobState, coming: Next) -> dict[str, Any] | None:
    decision = _decision_in(coming)
    if decision is None or decision.check is None:
        return None
    from lightoff.cli.asides import why, why_in_a_line
    from lightoff.engine.reasoning.answers import bare_unit
    from lightoff.engine.reasoning.interview import leading_belief, person_of

    check = diagnosis.checks[decision.check]
    belief = leading_belief(diagnosis, state, diagnosis.advise(state, person_of(state)), check.id)
    return {
        "check": check.id,
        "ask": check.entry.ask,
        "how": check.entry.how,
        "outcomes": [outcome.id for outcome in check.outcomes],
        "unit": bare_unit(check),
        "why": why_in_a_line(why(diagnosis, belief, state, check.id)),
        "minutes": decision.minutes,
        "hazards": check.entry.hazards,
        "setup": check.setup,
    }


def _cautions(diagnosis: Diagnosis, advice: Advice, coming: Next) -> list[dict[str, str]]:
    """What stops the work; or what rules caution about, and the hazards of what comes next."""
    from lightoff.engine.reasoning.table import repairs_in

    decision = _decision_in(coming)
    repairs = diagnosis.knowledge.repairs
    if decision is None:
        names = [said.text for said in advice.stopped]
    elif decision.check is not None:
        hazards = diagnosis.checks[decision.check].entry.hazards
        names = [*(said.text for said in advice.cautions), *hazards]
    else:
        wanted = repairs_in(decision.repair) if decision.repair else ()
        hazards = [hazard for each in wanted for hazard in repairs[each].hazards]
        names = [*(said.text for said in advice.cautions), *hazards]
    cautions = [diagnosis.knowledge.cautions[name] for name in dict.fromkeys(names)]
    return [{"id": each.id, "title": each.title, "text": " ".join(each.text)} for each in cautions]


def _show(diagnosis: Diagnosis, state: JobState) -> None:
    from lightoff.cli import job_screens, safety_screens, suspect_screens, views, wording
    from lightoff.cli.danger import what_to_do
    from lightoff.cli.lines import show
    from lightoff.engine.reasoning.interview import measured_next, person_of
    from lightoff.engine.reasoning.open_list import open_items

    advice = diagnosis.advise(state, person_of(state))
    decision = _decision_in(measured_next(diagnosis, state, advice))
    if decision is None:
        signs = tuple(said.text for said in advice.stopped)
        show(safety_screens.stop_lines(what_to_do(diagnosis.knowledge.cautions, signs)))
        return
    show(suspect_screens.suspects_lines(wording.all_suspects(diagnosis, advice.belief)))
    if decision.kind == "check":
        show(job_screens.next_check_lines(views.question(diagnosis, state, advice, decision, ())))
    else:
        open_now = open_items(diagnosis, state, advice)
        works = diagnosis.works_now(state, advice)
        show(
            job_screens.advice_lines(views.advice(diagnosis, advice, decision, (), open_now, works))
        )
