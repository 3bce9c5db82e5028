"""Jobs that reports are made of."""

from lightoff.cli.past_jobs import find_past
from lightoff.cli.report.facts import Facts
from lightoff.engine.reasoning.job import Closed, Cured, Found, Noted, Proved, Rated, Started
from lightoff.engine.reasoning.journal import Journal

DAY = "2026-01-02"
START = Started(time=f"{DAY}T10:00:00+00:00", furnace="two-pipe-condensing", version="0")


def at(minute):
    return f"{DAY}T10:{minute:02d}:00+00:00"


def found(check, outcome, minute=5, entered=""):
    return Found(time=at(minute), check=check, outcome=outcome, entered=entered)


def noted(about, text, minute=50):
    return Noted(time=at(minute), about=about, text=text)


SEARCH = (
    START,
    found("smell-of-gas", "no", 1),
    found("where-the-call-stalls", "stops-at-trial", 6),
    found("igniter-glow", "dark", 8),
    found("ohms-of-igniter", "open", 12, "5 kohm"),
)
CURED = (*SEARCH, Cured(time=at(30), repair="replace-igniter"))


def proved(proof, check, outcome, verdict="good", entered="", reason=""):
    return Proved(
        time=at(40),
        proof=proof,
        check=check,
        outcome=outcome,
        verdict=verdict,
        entered=entered,
        reason=reason,
    )


PROVED = (
    *CURED,
    proved("flame-current", "flame-current-heating", "normal", entered="3.4 uA"),
    proved("carbon-monoxide", "flue-co", None, "not-done", reason="no analyser"),
)
RATED = Rated(time=at(3), rating="input", entered="76 kBtu/h")


def closed(how, **more):
    return Closed(time=at(55), how=how, **more)


def facts_of(folder, *events):
    """What a report knows of a job of these events."""
    path = Journal.bring_in(folder, events)
    return Facts(find_past(folder, path.stem))


def texts(document):
    """All texts of a page."""
    return "\n".join(_texts(document))


def _texts(thing):
    if isinstance(thing, str):
        yield thing
    elif isinstance(thing, tuple):
        for each in thing:
            yield from _texts(each)
    elif hasattr(thing, "__dataclass_fields__"):
        for name in thing.__dataclass_fields__:
            yield from _texts(getattr(thing, name))
