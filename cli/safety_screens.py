"""What is shown before the first question, and when work stops."""

from __future__ import annotations

from collections.abc import Iterable

from lightoff.cli.danger import Caution
from lightoff.cli.lines import Line, Lines, numbered, sign_lines
from lightoff.cli.views import Feature, FurnaceList, Signs


def make_safe_lines(shown: Signs) -> Lines:
    """What comes first on every job, and the signs to stop work at."""
    return [
        Line("Make safe first.", "head"),
        *(Line(f"- {note}", indent=2, hang=2) for note in shown.notes),
        *sign_lines(shown.signs),
        *make_safe_keys(),
    ]


def make_safe_keys() -> Lines:
    """How the signs of danger are answered."""
    return [
        Line("Type the number of each that is so, or n if you looked and none is.", "next"),
        Line("q leave", "note"),
    ]


def feature_lines(shown: Feature) -> Lines:
    """Something to look at that tells the furnaces apart."""
    return [
        Line(),
        Line(f"--- Which furnace is it? ({shown.left} types left) ---", "head"),
        Line(shown.ask, "next"),
        *numbered(shown.how),
        *sign_lines(shown.values),
        Line("Type the number of what you see, or ? if you cannot tell."),
        Line(KEYS_WHILE_IDENTIFYING, "note"),
    ]


KEYS_WHILE_IDENTIFYING = "b back   ! danger, stop work   q save and leave"


def furnace_lines(shown: FurnaceList) -> Lines:
    """The furnace to be confirmed, or types to choose from by number."""
    if len(shown.rows) == 1 and not shown.contradicted:
        name, seen = shown.rows[0]
        return [
            Line(),
            Line("--- Which furnace is it? ---", "head"),
            Line(f"Taken to be: {name}."),
            *(Line(f"- {words}", indent=2, hang=2) for words in seen),
            Line("Is this what you see? Type y if it is, n if not.", "next"),
            Line(KEYS_WHILE_IDENTIFYING, "note"),
        ]
    doubt = [Line("What you saw fits none of the furnaces known here.", "warn")]
    lines: Lines = [Line(), *(doubt if shown.contradicted else [])]
    lines.append(Line("Which furnace is it?", "next"))
    for number, (name, seen) in enumerate(shown.rows, start=1):
        lines.append(Line(f"{number}  {name}", "name", indent=2, hang=3))
        lines.append(Line("; ".join(seen), indent=5))
    return [*lines, Line("Type its number."), Line(KEYS_WHILE_IDENTIFYING, "note")]


def stop_lines(stop: Iterable[Caution]) -> Lines:
    """What to do about a danger, in order; the work ends here."""
    lines: Lines = []
    for caution in stop:
        lines += [Line(), Line(caution.title, "bad"), *numbered(caution.lines)]
    return [*lines, Line(), Line("No diagnosis until this is settled. The job is closed as left.")]
