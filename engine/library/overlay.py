"""A person's own knowledge: a folder laid over the one that comes with the program."""

from __future__ import annotations

import os
from pathlib import Path

from lightoff.engine.library.files import Layer
from lightoff.engine.model import Place

ENVIRONMENT = "LIGHTOFF_KNOWLEDGE"
"""The variable that names the folder. Processes that work for this one inherit it."""
NEEDED = (
    *("sources.yaml", "cautions.yaml", "tools.yaml", "setups.yaml"),
    *("repairs/*.yaml", "parts/*.yaml", "checks/*.yaml", "furnaces/*.yaml"),
)
"""What a folder that stands alone must have."""


def shipped() -> Path:
    """The knowledge folder that comes with the program."""
    from importlib.resources import files

    return Path(str(files("lightoff.knowledge")))


def chosen() -> Path | None:
    """The folder that is to be laid over the shipped one, None if there is none."""
    named = os.environ.get(ENVIRONMENT)
    return Path(named) if named else None


def layers(overlay: Path | None) -> tuple[Layer, ...]:
    """The shipped folder, and the one laid over it; its files begin with its name."""
    lowest = Layer(shipped())
    if overlay is None:
        return (lowest,)
    name = overlay.absolute().name or "root"
    if (lowest.folder / name).exists():
        name = f"./{name}"
    return lowest, Layer(overlay, f"{name}/")


def is_whole(folder: Path) -> bool:
    """Whether a folder has all kinds of files, so that it can stand without the shipped one."""
    return all(any(folder.glob(pattern)) for pattern in NEEDED)


def path_of(place: Place, overlay: Path | None) -> Path:
    """The file in which a place of the shipped knowledge, or of what is laid over it, is."""
    layer = next(each for each in reversed(layers(overlay)) if place.file.startswith(each.prefix))
    return layer.folder / place.file.removeprefix(layer.prefix)
