"""`lightoff knowledge new`: files of one's own, started from those that are known."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from shlex import quote
from typing import TYPE_CHECKING

import click

from lightoff.cli import names, screen

if TYPE_CHECKING:
    from lightoff.engine.model import Knowledge

USUAL = Path("our-knowledge")
"""The folder of a person's own knowledge, if none is named."""
LONGEST_NAME = 60
COPIED = {"part": "parts", "check": "checks", "rule": "rules", "repair": "repairs"}
"""Kind of entry that can be copied -> the folder of its files."""

to_option = click.option(
    "--to",
    "folder",
    metavar="DIR",
    type=click.Path(file_okay=False, path_type=Path),
    help="Your folder; else that of --knowledge or LIGHTOFF_KNOWLEDGE, else our-knowledge.",
)


@click.group()
def new() -> None:
    """Start a furnace of your own, or change a copy of an entry."""


@new.command("furnace")
@click.argument("name", metavar="NAME")
@click.option("--from", "from_id", metavar="ID", help="The furnace most like it.")
@to_option
def furnace(name: str, from_id: str | None, folder: Path | None) -> None:
    """Start a furnace of your own as a copy of a known one.

    It is written to DIR/furnaces/NAME.yaml; NAME is its id: lower-case words
    joined by hyphens. Comments in it say what to change. A file that is there
    is never written over.

    \b
      lightoff knowledge new furnace --from two-pipe-condensing attic-unit
    """  # noqa: D301
    from lightoff.engine.library.starting import started

    _check_name(name)
    known = names.load_knowledge()
    model = names.find_furnace(known, from_id)
    folder = folder or names.own_folder() or USUAL
    _write(folder, "furnaces", name, _Copy(known, "furnace", model.id, started))
    if name in known.furnaces:
        screen.say(f"It takes the place of the {name} that was known before.", "warn")
    _say_next("Its comments say what to change; then check it:", folder)


@new.command("copy")
@click.argument("kind", type=click.Choice(tuple(COPIED)), metavar="KIND")
@click.argument("name", metavar="ID")
@to_option
def copy(kind: str, name: str, folder: Path | None) -> None:
    """Copy a part, check, rule or repair to change it.

    KIND is part, check, rule or repair. The copy, DIR/parts/ID.yaml or the like,
    takes the place of the shipped entry as a whole: keep the lines that you do
    not change. A file that is there is never written over.

    \b
      lightoff knowledge new copy part igniter
    """  # noqa: D301
    from lightoff.engine.library.overlay import path_of
    from lightoff.engine.library.starting import copied

    known = names.load_knowledge()
    places = {id_: place for (what, id_), place in known.places.items() if what == kind}
    place = names.find(kind, name, places)
    own = names.own_folder()
    if own and path_of(place, own).is_relative_to(own):
        raise names.WrongNameError(f"{name} stands in {place} already; change it there")
    folder = folder or own or USUAL
    _write(folder, COPIED[kind], name, _Copy(known, kind, name, copied))
    _say_next(f"From now on it stands for the shipped {kind}. Change it, then check it:", folder)


@dataclass(frozen=True, slots=True)
class _Copy:
    """What is copied, and how: text of the file, id of one's own, first line -> text."""

    known: Knowledge
    kind: str
    id: str
    make: Callable[[str, str, str], str]

    def text(self, path: Path, name: str) -> str:
        """The text for a file of one's own; `path` is that within one's folder."""
        from lightoff.engine.library.overlay import chosen, path_of
        from lightoff.engine.library.schema import modeline
        from lightoff.engine.library.starting import CopyError

        source = path_of(self.known.places[self.kind, self.id], chosen())
        try:
            return self.make(source.read_text(encoding="utf-8"), name, modeline(path))
        except CopyError as error:
            raise click.ClickException(f"{source} cannot be copied: {error}") from None


def _write(folder: Path, section: str, name: str, copy: _Copy) -> None:
    """Write a new file of one's own, and the schemas for editors if there are none."""
    from lightoff.cli.knowledge_schema import write_all
    from lightoff.cli.scenario.files import write_sheet
    from lightoff.engine.library.schema import FOLDER

    within = Path(section) / f"{name}.yaml"
    text = copy.text(within, name)
    _make_folder(folder / section)
    write_sheet(folder / within, text)
    if not (folder / FOLDER).exists():
        write_all(folder / FOLDER)
    screen.say(f"Written: {folder / within}, a copy of {copy.id}.", "good")


def _say_next(words: str, folder: Path) -> None:
    screen.say(words, "next")
    click.echo(screen.clean(f"  lightoff knowledge check --knowledge {quote(str(folder))}"))


def _check_name(name: str) -> None:
    from lightoff.engine.library.files import is_id

    if not is_id(name):
        raise names.WrongNameError(
            f"{name[: names.LONGEST_QUOTED]!r} is no id; write lower-case words joined by "
            "hyphens, such as attic-unit"
        )
    if len(name) > LONGEST_NAME:
        raise names.WrongNameError(f"the name is too long; at most {LONGEST_NAME} letters")


def _make_folder(folder: Path) -> None:
    from lightoff.cli.scenario.files import NotWrittenError

    try:
        folder.mkdir(parents=True, exist_ok=True)
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise NotWrittenError(f"{folder} cannot be made: {reason}") from None
