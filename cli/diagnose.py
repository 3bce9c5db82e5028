"""`lightoff diagnose`: question by question at the terminal, or from a file of findings."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from lightoff.cli.options import furnace_option, json_option

if TYPE_CHECKING:
    from lightoff.engine.model import Furnace, Knowledge
    from lightoff.engine.reasoning.belief import Belief
    from lightoff.engine.reasoning.choice import Decision
    from lightoff.engine.reasoning.diagnosis import Diagnosis
    from lightoff.engine.reasoning.job import JobState


@click.command()
@furnace_option
@click.option(
    "--findings",
    "findings_path",
    metavar="FILE",
    type=click.Path(exists=True, dir_okay=False, path_type=Path),
    help="Findings as YAML, one `check: outcome` or `check: 24 V` a line; nothing is asked.",
)
@json_option
@click.option("--resume", is_flag=True, help="Take up the last unfinished job.")
@click.option(
    "--journal-folder",
    metavar="DIR",
    type=click.Path(file_okay=False, path_type=Path),
    help="Where jobs are kept, instead of LIGHTOFF_HOME or the user's data folder.",
)
@click.pass_context
def diagnose(
    context: click.Context,
    furnace_id: str | None,
    findings_path: Path | None,
    as_json: bool,
    resume: bool,
    journal_folder: Path | None,
) -> None:
    """Ask what to check next, until the repair is found.

    Every answer is saved at once. With --findings nothing is asked: it says what the
    findings mean and what to do next.
    """
    _refuse_what_does_not_go_together(furnace_id, findings_path, as_json, resume)
    from lightoff.cli.names import find_furnace, load_knowledge

    knowledge = load_knowledge()
    if findings_path is not None:
        _from_findings(knowledge, find_furnace(knowledge, furnace_id), findings_path, as_json)
        return
    from lightoff.cli import prompts

    if resume:
        context.exit(prompts.resumed_job(knowledge, journal_folder))
    several = furnace_id is None and len(knowledge.furnaces) > 1
    furnace = None if several else find_furnace(knowledge, furnace_id)
    context.exit(prompts.new_job(knowledge, furnace, journal_folder))


def _refuse_what_does_not_go_together(
    furnace_id: str | None, findings_path: Path | None, as_json: bool, resume: bool
) -> None:
    if as_json and findings_path is None:
        raise click.UsageError("--json needs --findings FILE")
    if resume and (findings_path is not None or furnace_id is not None):
        raise click.UsageError("--resume takes up a job as it is; leave --furnace, --findings out")


# --- from a file ------------------------------------------------------------------


def _from_findings(knowledge: Knowledge, furnace: Furnace, path: Path, as_json: bool) -> None:
    from lightoff.cli import screen
    from lightoff.engine.reasoning.diagnosis import Diagnosis
    from lightoff.engine.reasoning.findings_file import read_findings
    from lightoff.engine.reasoning.job import JobState

    findings, problems = read_findings(path, knowledge.checks[furnace.id])
    if problems:
        mistakes = "\n".join(map(str, problems))
        raise click.ClickException(f"the findings have mistakes\n{mistakes}")
    diagnosis = Diagnosis.of(knowledge, furnace.id)
    done = tuple(finding.check for finding in findings)
    state = JobState(furnace.id, "", "", findings=findings, checks_done=done)
    if as_json:
        screen.json_out(report(diagnosis, state))
    else:
        _show(diagnosis, state)


def report(diagnosis: Diagnosis, state: JobState) -> dict[str, Any]:
    """What the findings of a job mean, and what to do next, for JSON."""
    from lightoff.engine.reasoning.suspects import suspects_of

    belief = diagnosis.belief(state)
    decision = diagnosis.decide(belief, state)
    return {
        "furnace": diagnosis.furnace.id,
        "stopped": None,
        "suspects": [
            {
                "id": suspect.id,
                "faults": suspect.faults,
                "parts": suspect.parts,
                "repair": suspect.repair,
                "probability": suspect.probability,
            }
            for suspect in suspects_of(belief)
        ],
        "next": _next(diagnosis, state, belief, decision),
        "decision": {
            "kind": decision.kind,
            "repair": decision.repair,
            "probability": decision.probability,
        },
        "cautions": _cautions(diagnosis, decision),
    }


def _next(
    diagnosis: Diagnosis, state: JobState, belief: Belief, decision: Decision
) -> dict[str, Any] | None:
    if decision.check is None:
        return None
    from lightoff.cli.views import why, why_in_a_line
    from lightoff.engine.reasoning.answers import bare_unit

    check = diagnosis.checks[decision.check]
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


def _cautions(diagnosis: Diagnosis, decision: Decision) -> list[dict[str, str]]:
    """The cautions of the next check, or of the repair."""
    if decision.check is not None:
        hazards = diagnosis.checks[decision.check].entry.hazards
    else:
        repair = diagnosis.knowledge.repairs.get(decision.repair or "")
        hazards = repair.hazards if repair else []
    cautions = [diagnosis.knowledge.cautions[hazard] for hazard in hazards]
    return [{"id": each.id, "title": each.title, "text": " ".join(each.text)} for each in cautions]


def _show(diagnosis: Diagnosis, state: JobState) -> None:
    from lightoff.cli import job_screens, suspect_screens, views, wording
    from lightoff.cli.lines import show

    belief = diagnosis.belief(state)
    decision = diagnosis.decide(belief, state)
    show(suspect_screens.suspects_lines(wording.all_suspects(diagnosis, belief)))
    if decision.kind == "check":
        question = views.question(diagnosis, state, decision, told=(), further=False)
        show(job_screens.next_check_lines(question))
    else:
        advice = views.advice(diagnosis, belief, decision, told=())
        show(job_screens.advice_lines(advice))
