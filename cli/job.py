"""`lightoff job`: past jobs listed, shown, reported, run again, compared over the years."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from lightoff.cli import screen
from lightoff.cli.options import journal_folder_option, json_option

if TYPE_CHECKING:
    from lightoff.cli.past_jobs import Past

name_argument = click.argument("name", metavar="[ID|latest]", default="latest")


@click.group(context_settings={"max_content_width": 80})
def job() -> None:
    """List, show and report past jobs; a furnace over the years."""


@job.command("list")
@journal_folder_option
@json_option
def list_(folder: Path | None, as_json: bool) -> None:
    """List all jobs, the oldest first.

    A journal that cannot be read gets one line of its own; the other jobs are listed.
    """
    from lightoff.cli import job_list
    from lightoff.cli.past_jobs import no_jobs, past_jobs

    folder = folder or _usual_folder()
    jobs = past_jobs(folder)
    rows = job_list.rows(jobs)
    if as_json:
        screen.json_out(rows)
    elif rows:
        job_list.show_list(rows)
    else:
        _tell(f"lightoff job list: {no_jobs(folder)}")
    for each in rows:
        if each["problem"]:
            _tell(each["problem"])


@job.command()
@name_argument
@journal_folder_option
@json_option
def show(name: str, folder: Path | None, as_json: bool) -> None:
    """Show what happened in a job.

    ID is the number of a job or the name of its journal. Questions and answers stand in
    their order, each with what it changed as far as today's knowledge has it.
    """
    from lightoff.cli import job_pages

    past = _found(name, folder)
    pages = job_pages.JobPages(past)
    if as_json:
        screen.json_out(pages.data())
    else:
        pages.show()


@job.command("replay")
@name_argument
@journal_folder_option
@json_option
@click.pass_context
def replay_(context: click.Context, name: str, folder: Path | None, as_json: bool) -> None:
    """Run a job again against today's knowledge.

    It shows what the journal speaks of and is not known any more, what would be asked
    otherwise, and which repair leads today. Exit 1 if the type of furnace is not known.
    """
    from lightoff.cli import replay_page

    past = _found(name, folder)
    replayed = replay_page.replayed(past)
    if as_json:
        screen.json_out(replay_page.data(replayed))
    else:
        replay_page.show(replayed)
    context.exit(0 if replayed.furnace else 1)


@job.command()
@name_argument
@click.option(
    "--page",
    type=click.Choice(["customer", "shop", "both"]),
    default="both",
    show_default=True,
    help="What stays with the customer, what stays in the shop, or both.",
)
@click.option(
    "--out",
    "file",
    metavar="FILE",
    type=click.Path(dir_okay=False, path_type=Path),
    help="Write a file instead: .md, .html or .pdf.",
)
@click.option("--overwrite", is_flag=True, help="Replace FILE if it is there.")
@journal_folder_option
@json_option
def report(
    name: str, page: str, file: Path | None, overwrite: bool, folder: Path | None, as_json: bool
) -> None:
    """Report a job: a page for the customer, and one for the shop.

    ID is the number of a job or the name of its journal. Without --out the report is
    written to the screen as Markdown.

    \b
      lightoff job report --page customer --out furnace.pdf
    """  # noqa: D301
    from lightoff.cli.report import writing

    if file is not None:
        writing.check_place(file, overwrite)
    past = _found(name, folder)
    documents = writing.pages_of(past, page)
    if file is not None:
        writing.write(file, documents)
        _tell(f"Written: {file}")
    if as_json:
        screen.json_out(writing.data(past, documents))
    elif file is None:
        click.echo(writing.text(documents), nl=False)


@job.command()
@click.argument("name", metavar="ID|latest")
@click.argument("about", metavar="ABOUT")
@click.argument("words", metavar="TEXT...", nargs=-1, required=True)
@journal_folder_option
def note(name: str, about: str, words: tuple[str, ...], folder: Path | None) -> None:
    """Write something down in a job, be it closed or not.

    ABOUT is label (whose furnace it is), who (did the work), part (that was fitted), told
    (to the customer) or note (anything else). It stands in the report.

    \b
      lightoff job note latest part igniter, silicon nitride
    """  # noqa: D301
    from lightoff.cli import job_note

    job_note.write_down(_found(name, folder).path, about, " ".join(words))


@job.command()
@click.argument("label")
@journal_folder_option
@json_option
def history(label: str, folder: Path | None, as_json: bool) -> None:
    """Show all jobs on one furnace, and what had to be done again.

    LABEL is what its jobs call it; case and runs of spaces do not count. Exit 1 if no job has
    this label.
    """
    from lightoff.cli import history as pages

    found = pages.history_of(folder or _usual_folder(), label)
    if as_json:
        screen.json_out(pages.data(found))
    else:
        pages.show(found)
    for problem in found.problems:
        _tell(problem)


@job.command("import")
@click.argument("source", metavar="FILE|-")
@journal_folder_option
@json_option
def import_(source: str, folder: Path | None, as_json: bool) -> None:
    """Bring in the record of a pocket page as a new job.

    FILE holds what was copied on the page; with - it is read from standard input. A record
    that was changed on its way is refused, and one that is here already is not doubled.

    \b
      lightoff job import record.txt
      lightoff diagnose --resume
    """  # noqa: D301
    from lightoff.cli import job_import

    done = job_import.imported(source, folder or _usual_folder())
    if as_json:
        screen.json_out(job_import.data(done))
    else:
        job_import.show(done)


@job.command()
@click.argument("label")
@journal_folder_option
@json_option
def drift(label: str, folder: Path | None, as_json: bool) -> None:
    """Show all readings on one furnace, and what moves.

    LABEL is what its jobs call it; case and runs of spaces do not count. Readings begin anew with a
    repair that may have moved them. Exit 1 if no job has this label.
    """
    from lightoff.cli import drift_pages

    found = drift_pages.drifts(folder or _usual_folder(), label)
    if as_json:
        screen.json_out(drift_pages.data(found))
    else:
        drift_pages.show(found)
    for each in found.elsewhere:
        _tell(f"{each.id} is on another type of furnace ({each.job.furnace}); it is left out")
    for problem in found.problems:
        _tell(problem)


def _found(name: str, folder: Path | None) -> Past:
    """The job that is meant, with a word about a last line that was cut off."""
    from lightoff.cli.past_jobs import find_past

    past = find_past(folder or _usual_folder(), name)
    if past.notice:
        _tell(past.notice)
    return past


def _usual_folder() -> Path:
    from lightoff.cli.prompts import usual_folder

    return usual_folder()


def _tell(line: str) -> None:
    click.echo(screen.clean(line), err=True)
