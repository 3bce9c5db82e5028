"""`lightoff experience`: how often faults occur, by this shop's closed jobs and others'."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar

import click

from lightoff.cli import names, screen
from lightoff.cli.options import journal_folder_option, json_option, this_furnace_option

if TYPE_CHECKING:
    from lightoff.engine.model import Knowledge
    from lightoff.engine.reasoning.experience import Shared
    from lightoff.engine.reasoning.experience_folder import Gathered

T = TypeVar("T")

SUGGESTED = "like north-shop: small letters, digits and hyphens, at most 40"

name_argument = click.argument("name", metavar="NAME")
job_argument = click.argument("name", metavar="JOB")


@click.group(context_settings={"max_content_width": 80})
def experience() -> None:
    """Let closed jobs say how often faults occur.

    Each closed job with a proven repair makes its fault likelier in the next one. The
    shipped weights stay worth 50 jobs.
    """


# --- what there is ----------------------------------------------------------------


@experience.command("list")
@this_furnace_option
@click.option("--all", "every", is_flag=True, help="Faults without a job too.")
@journal_folder_option
@json_option
def list_(furnace_id: str | None, every: bool, folder: Path | None, as_json: bool) -> None:
    """List what counts, and what it changes.

    Of each fault the share shipped, the jobs, and the share now; then what does not count
    and why.
    """
    from lightoff.cli import experience_pages

    known = names.load_knowledge()
    chosen = names.find_furnace(known, furnace_id).id if furnace_id else ""
    page = experience_pages.ExperiencePage(known, _gathered(known, _or_usual(folder)), chosen)
    if as_json:
        screen.json_out(page.data())
    else:
        page.show(every)


@experience.command()
@click.argument("choice", type=click.Choice(["on", "off"]))
@journal_folder_option
def use(choice: str, folder: Path | None) -> None:
    """Use it, or use the shipped weights alone.

    Nothing is deleted: after `off` comes `on` again.
    """
    from lightoff.engine.reasoning.experience_folder import switch

    _guarded(lambda: switch(_or_usual(folder), choice == "on"))
    if choice == "on":
        screen.say("Closed jobs count from now on.")
    else:
        screen.say("The shipped weights are used alone. To count closed jobs again:")
        screen.say("lightoff experience use on", indent=2)


# --- own jobs ---------------------------------------------------------------------


@experience.command("leave-out")
@job_argument
@journal_folder_option
def leave_out(name: str, folder: Path | None) -> None:
    """Do not count a job that was closed wrongly.

    JOB is the number of a job or the name of its journal. Its journal stays as it is.
    """
    from lightoff.cli.past_jobs import find_past
    from lightoff.engine.reasoning import experience_folder

    folder = _or_usual(folder)
    job = find_past(folder, name).id
    _guarded(lambda: experience_folder.leave_out(folder, job))
    screen.say(f"{job} does not count. To count it again: lightoff experience take-in {job}")


@experience.command("take-in")
@job_argument
@journal_folder_option
def take_in(name: str, folder: Path | None) -> None:
    """Count a job again that was left out."""
    from lightoff.cli.past_jobs import journal_id
    from lightoff.engine.reasoning import experience_folder

    folder = _or_usual(folder)
    left_out = _guarded(lambda: experience_folder.left_out(folder))
    job = names.find("job left out", journal_id(name), {each: each for each in left_out})
    _guarded(lambda: experience_folder.take_in(folder, job))
    screen.say(f"{job} is taken in again.")


# --- with others ------------------------------------------------------------------


@experience.command()
@click.argument("file", metavar="FILE", type=click.Path(dir_okay=False, path_type=Path))
@click.option("--overwrite", is_flag=True, help="Replace FILE if it is there.")
@journal_folder_option
def export(file: Path, overwrite: bool, folder: Path | None) -> None:
    """Write this shop's own counts to a file.

    It holds how often each fault was the cause, nothing else; what was imported is not in
    it, so that nothing is counted twice.
    """
    from lightoff.engine.reasoning.experience_file import written
    from lightoff.engine.reasoning.experience_folder import write_whole

    if file.exists() and not overwrite:
        raise click.UsageError(f"{file} is there already; --overwrite replaces it")
    known = names.load_knowledge()
    shared = _own_shared(known, _gathered(known, _or_usual(folder)))
    if not shared.jobs:
        raise click.ClickException("no closed job with a proven repair counts yet")
    _guarded(lambda: write_whole(file, written(shared)))
    jobs = sum(shared.jobs.values())
    screen.say(f"Written to {file}: the counts of {jobs} {'job' if jobs == 1 else 'jobs'}.")


@experience.command("import")
@click.argument("file", metavar="FILE", type=click.Path(dir_okay=False, path_type=Path))
@click.option("--as", "name", metavar="NAME", help="What to call it; the name of FILE if left out.")
@journal_folder_option
def import_(file: Path, name: str | None, folder: Path | None) -> None:
    """Count the jobs of another shop too.

    FILE is one that `lightoff experience export` wrote. It is dropped again with
    `lightoff experience drop NAME`.
    """
    from lightoff.engine.reasoning import experience_folder
    from lightoff.engine.reasoning.experience_file import read_experience

    folder = _or_usual(folder)
    name = _name_for(file, name)
    known = names.load_knowledge()
    gathered = _gathered(known, folder)
    if name in _guarded(lambda: experience_folder.imported_names(folder)):
        raise names.WrongNameError(
            f"{name} is imported already; drop it first, or give another name with --as"
        )
    reading = read_experience(file, known)
    if mistakes := [*reading.problems, *reading.unknown]:
        listed = "\n".join(map(str, mistakes))
        raise click.ClickException(f"nothing is imported: the file has mistakes\n{listed}")
    _guarded(lambda: experience_folder.keep(folder, name, reading.shared))
    _say_imported(known, gathered, name, reading.shared)


def _name_for(file: Path, name: str | None) -> str:
    from lightoff.engine.reasoning.experience_folder import NAME

    chosen = file.stem.lower() if name is None else name
    if NAME.fullmatch(chosen):
        return chosen
    if name is None:
        raise click.UsageError(f"the name of the file cannot be used; give one, {SUGGESTED}: --as")
    raise click.UsageError(
        f"{name[: names.LONGEST_QUOTED]!r} cannot be a name; give one {SUGGESTED}"
    )


def _say_imported(known: Knowledge, before: Gathered, name: str, shared: Shared) -> None:
    """That it counts now; and a warning if the same counts are counted already."""
    jobs = sum(shared.jobs.values())
    screen.say(f"{name} counts now, with {jobs} {'job' if jobs == 1 else 'jobs'}.")
    screen.say(f"To undo this: lightoff experience drop {name}")
    alike = [other for other, counts in before.imported.items() if counts == shared]
    if shared == _own_shared(known, before):
        alike.append("this shop's own jobs")
    if alike:
        same = f"It holds the same counts as {' and '.join(alike)}: if they are the same jobs, "
        screen.say(f"{same}they count twice now, and it should be dropped.", "warn", stderr=True)


@experience.command()
@name_argument
@journal_folder_option
def drop(name: str, folder: Path | None) -> None:
    """Count no longer what was imported as NAME."""
    from lightoff.engine.reasoning import experience_folder

    folder = _or_usual(folder)
    imported = _guarded(lambda: experience_folder.imported_names(folder))
    names.find("import", name, {each: each for each in imported})
    _guarded(lambda: experience_folder.drop(folder, name))
    screen.say(f"{name} does not count any more.")


# --- what they share --------------------------------------------------------------


def _own_shared(known: Knowledge, gathered: Gathered) -> Shared:
    """The own jobs as counts."""
    from lightoff.engine.reasoning.experience import Shared
    from lightoff.engine.reasoning.prediction import predict

    own = gathered.experience
    jobs = {furnace: own.jobs(furnace)[0] for furnace in sorted(known.furnaces)}
    worked = {furnace: count for furnace, count in jobs.items() if count}
    counts = {
        furnace: own.own_counts(
            furnace, predict(known.furnaces[furnace], list(known.checks[furnace].values()))
        )
        for furnace in worked
    }
    return Shared(worked, counts)


def _gathered(known: Knowledge, folder: Path) -> Gathered:
    from lightoff.engine.reasoning.experience_folder import gathered

    return _guarded(lambda: gathered(known, folder))


def _guarded(act: Callable[[], T]) -> T:
    """What an act gives; what a person can mend about it is one line and exit 1."""
    from lightoff.engine.reasoning.journal import JobError

    try:
        return act()
    except JobError as error:
        raise click.ClickException(str(error)) from None


def _or_usual(folder: Path | None) -> Path:
    from lightoff.cli.prompts import usual_folder

    return folder or usual_folder()
