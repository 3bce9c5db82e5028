"""The shop's experience on disk: its journals, and beside them what a person decided.

It goes with a folder of journals, in `experience/` inside it:

    NAME.yaml          counts imported under this name
    job-0003.left-out  a job that was closed wrongly and does not count
    off                nothing counts: the shipped weights are used

What the own jobs add is read from the journals each time, so it cannot differ from them.
Every change is one file that appears whole or goes.
"""

from __future__ import annotations

import os
import re
from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from pathlib import Path
from tempfile import mkstemp

from lightoff.engine.model import Knowledge
from lightoff.engine.reasoning.experience import Experience, Proven, Shared
from lightoff.engine.reasoning.experience_file import read_experience, written
from lightoff.engine.reasoning.job import AnyEvent, JobState, replay
from lightoff.engine.reasoning.journal import JobError, journals, read, sync_folder
from lightoff.engine.reasoning.restate import restated
from lightoff.engine.reasoning.table import repairs_in

NAME = re.compile(r"[a-z0-9](?:[a-z0-9-]{0,38}[a-z0-9])?")
"""What imported counts can be called: it is the name of a file too."""

FOLDER, OFF, LEFT_OUT, SUFFIX = "experience", "off", ".left-out", ".yaml"


@dataclass(slots=True)
class Gathered:
    """All that there is, whether it is used or not, and what of it does not count."""

    use: bool
    own: list[Proven] = field(default_factory=list)
    imported: dict[str, Shared] = field(default_factory=dict)
    left_out: list[str] = field(default_factory=list)
    """Jobs that a person left out."""
    set_aside: list[str] = field(default_factory=list)
    """Journals and files that cannot be used, each with why, in one line."""
    not_known: list[str] = field(default_factory=list)
    """Repairs and faults that are not known today, each with where it stands, in one line."""

    @property
    def experience(self) -> Experience:
        return Experience(tuple(self.own), self.imported)


def in_use(
    knowledge: Knowledge, folder: Path, *, even_if_off: bool = False, apart_from: str = ""
) -> Experience | None:
    """What counts by the journals of a folder, one job left out if its id is given.

    None if nothing does or it is switched off.
    """
    if is_off(folder) and not even_if_off:
        return None
    experience = gathered(knowledge, folder).experience.apart_from(apart_from)
    return experience if any(experience.jobs()) else None


def gathered(knowledge: Knowledge, folder: Path) -> Gathered:
    """All that there is in a folder of journals; JobError if it cannot be listed."""
    found = Gathered(use=not is_off(folder), left_out=left_out(folder))
    for path in journals(folder):
        if path.stem not in found.left_out:
            _gather_job(found, knowledge, path)
    for name in imported_names(folder):
        _gather_file(found, knowledge, name, _file(folder, name))
    return found


def _gather_job(found: Gathered, knowledge: Knowledge, path: Path) -> None:
    try:
        events, _ = read(path)
    except JobError as error:
        found.set_aside.append(str(error))
        return
    job = replay(events) if events else None
    if job is None or job.closed != "found":
        return
    furnace = knowledge.furnaces.get(job.furnace)
    if furnace is None:
        found.set_aside.append(f"{path.stem}: the furnace {job.furnace} is not known today")
        return
    mends = Counter(fault.repair for fault in furnace.faults.values())
    repairs = tuple(dict.fromkeys(repairs_in(job.cured_by)))
    found.not_known.extend(
        f"{path.stem}: the repair {each} is not known today" for each in repairs if not mends[each]
    )
    if known := tuple(each for each in repairs if mends[each]):
        # Where a repair mends one fault only, what was found before tells no more.
        telling = any(mends[each] > 1 for each in known)
        end = _today(knowledge, events) if telling else None
        found.own.append(_proven(path.stem, furnace.id, known, end))


def _today(knowledge: Knowledge, events: tuple[AnyEvent, ...]) -> JobState:
    """The end of a job with what of it is known today."""
    return replay(event for _, event in restated(knowledge, events).lines)


def _proven(job: str, furnace: str, repairs: tuple[str, ...], end: JobState | None) -> Proven:
    if end is None:
        return Proven(job, furnace, repairs)
    return Proven(job, furnace, repairs, end.findings, end.repaired)


def _gather_file(found: Gathered, knowledge: Knowledge, name: str, path: Path) -> None:
    reading = read_experience(path, knowledge)
    if reading.problems:
        found.set_aside.append(str(reading.problems[0]))
    else:
        found.imported[name] = reading.shared
        found.not_known.extend(f"{name}: {each.what} today" for each in reading.unknown)


# --- what a person decides --------------------------------------------------------


def is_off(folder: Path) -> bool:
    """Whether the shipped weights are used alone."""
    return (folder / FOLDER / OFF).exists()


def switch(folder: Path, on: bool) -> None:
    """Use the experience of a folder, or do not; JobError if that cannot be kept."""
    _mark(folder, OFF, not on)


def left_out(folder: Path) -> list[str]:
    """Jobs that do not count because a person said so."""
    return [name.removesuffix(LEFT_OUT) for name in _names(folder) if name.endswith(LEFT_OUT)]


def leave_out(folder: Path, job: str) -> None:
    """Let a job (id of its journal) not count."""
    _mark(folder, job + LEFT_OUT, True)


def take_in(folder: Path, job: str) -> None:
    """Let a job count again that was left out."""
    _mark(folder, job + LEFT_OUT, False)


def imported_names(folder: Path) -> list[str]:
    """What has been imported, by the names it goes by."""
    stems = [name.removesuffix(SUFFIX) for name in _names(folder) if name.endswith(SUFFIX)]
    return [stem for stem in stems if NAME.fullmatch(stem)]


def keep(folder: Path, name: str, shared: Shared) -> None:
    """Put imported counts into the folder; ValueError for a name that cannot be one."""
    path = _file(folder, name)
    with _told(path.parent):
        _make(folder)
    write_whole(path, written(shared))


def drop(folder: Path, name: str) -> None:
    """Take imported counts out of the folder; ValueError for a name that cannot be one."""
    _mark(folder, _file(folder, name).name, False)


def _file(folder: Path, name: str) -> Path:
    if not NAME.fullmatch(name):
        raise ValueError(name)
    return folder / FOLDER / (name + SUFFIX)


# --- files ------------------------------------------------------------------------


def write_whole(path: Path, text: str) -> None:
    """The file with all of the text, on disk, or (after JobError) as it was before."""
    with _told(path):
        handle, new = mkstemp(dir=path.parent, prefix=".new-")
        try:
            with os.fdopen(handle, "wb") as stream:
                stream.write(text.encode())
                stream.flush()
                os.fsync(handle)
            os.replace(new, path)
        except BaseException:
            with suppress(OSError):
                os.unlink(new)
            raise
        sync_folder(path.parent)


def _mark(folder: Path, name: str, there: bool) -> None:
    """Make an empty file of this name, or take a file away, on disk."""
    path = folder / FOLDER / name
    with _told(path):
        if there:
            _make(folder)
            os.close(os.open(path, os.O_WRONLY | os.O_CREAT, 0o600))
            sync_folder(path.parent)
        elif path.exists():
            path.unlink()
            sync_folder(path.parent)


def _make(folder: Path) -> None:
    """The folder of journals and that of the experience, for their owner only."""
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    (folder / FOLDER).mkdir(mode=0o700, exist_ok=True)


def _names(folder: Path) -> list[str]:
    """Files of the experience, in the order of their names; none if there is no such folder."""
    path = folder / FOLDER
    with _told(path):
        try:
            return sorted(each.name for each in path.iterdir())
        except FileNotFoundError:
            return []


@contextmanager
def _told(path: Path) -> Iterator[None]:
    """Errors of the system as JobError, in one line with the file."""
    try:
        yield
    except OSError as error:
        what = f"cannot be used ({error.strerror or type(error).__name__})"
        raise JobError(str(path), what, "mend that and give the command again") from error
