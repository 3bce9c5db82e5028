"""A scenario as it is being written: answers so far -> what the scenario file says.

Answers are kept as text by the name of their question, so that a draft is plain YAML.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from math import ceil, isfinite
from typing import Any

import yaml

from lightoff.engine.library.scenarios import LONGEST
from lightoff.engine.machine.kinds import KINDS
from lightoff.engine.model import Fault, Furnace
from lightoff.engine.reasoning.search import stem, words_of

Answers = Mapping[str, str]
"""Question -> its answer. "" is an answer too: nothing told, no further line."""
Data = dict[str, Any]

ALL = "all"
ALL_BUT = "all but "
ALWAYS = "always"
NONE = "none"
FAULTS = ("fault", "second-fault")
TELLS = "tells."
LINES = ("learn", "hints")
"""Questions that take a sentence after the other."""
ROOM = 1.5
"""Times the minutes of the program's own path that are allowed if nothing else is said."""
STEP = 5.0
"""Minutes to which that is rounded up."""

_WIDTH = 100
_SHARE = re.compile(r"(?P<figure>[0-9]*\.?[0-9]+) ?(?P<percent>%?)")
_AFTER = re.compile(r"after ([0-9]{1,4})( calls?)?")
_FILLER = {
    "title": "None yet",
    "level": "first-week",
    "setting": "None yet.",
    "complaint": "None yet.",
    "minutes": "60",
    "lab": "None yet.",
}
"""What stands for an answer that is not there yet."""


class WrongAnswerError(ValueError):
    """An answer that means nothing here; the message says how to mend it."""


# --- answers -> scenario ----------------------------------------------------------


def scenario_data(id_: str, answers: Answers, furnace: Furnace, tools: Sequence[str]) -> Data:
    """What the file of a scenario says; what is not answered yet holds a filler.

    WrongAnswerError if an answer cannot be understood.
    """
    text = {**_FILLER, **answers}
    told = {
        name.removeprefix(TELLS): outcome
        for name, outcome in answers.items()
        if name.startswith(TELLS) and outcome
    }
    bag = tools_meant(text.get("tools", ALL), tools)
    return {
        "id": id_,
        "title": text["title"],
        "setting": _Folded(text["setting"]),
        "level": text["level"],
        "furnace": furnace.id,
        "faults": _hidden(answers, furnace),
        "complaint": _Folded(text["complaint"]),
        **({"tells": told} if told else {}),
        **({"tools": _Flow(bag)} if bag is not None else {}),
        "minutes": minutes_meant(text["minutes"]),
        **{name: lines_of(answers, name) or ["None yet."] for name in LINES},
        "lab": {"never": _Folded(text["lab"])},
        "source": "invented",
    }


def _hidden(answers: Answers, furnace: Furnace) -> list[Data]:
    """The faults with their degrees and when they show; any fault while there is none yet."""
    named = [name for name in FAULTS if answers.get(name, NONE) != NONE]
    if not named:
        return [{"fault": next(iter(furnace.faults))}]
    return [_one_hidden(answers, name) for name in named]


def _one_hidden(answers: Answers, name: str) -> Data:
    start = f"{name}-degree."
    sets = {
        key.removeprefix(start): _scalar(value)
        for key, value in answers.items()
        if key.startswith(start) and value
    }
    shows = shows_meant(answers.get(f"{name}-shows", ALWAYS))
    return {
        "fault": answers[name],
        **({"sets": _Flow.of(sets)} if sets else {}),
        **({"shows": _Flow.of(shows)} if isinstance(shows, dict) else {}),
    }


def _scalar(text: str) -> str | float:
    figure = _figure(text)
    return text if figure is None else figure


def _figure(text: str) -> float | None:
    try:
        figure = float(text)
    except ValueError:
        return None
    return figure if isfinite(figure) else None


def lines_of(answers: Answers, name: str) -> list[str]:
    """The sentences given for a question that takes several."""
    found: list[str] = []
    while line := answers.get(f"{name}.{len(found) + 1}"):
        found.append(line)
    return found


# --- what an answer means ---------------------------------------------------------


def shows_meant(text: str) -> str | Data:
    """`always`, a share such as 0.4 or 40%, or `after 2` calls."""
    words = " ".join(text.lower().split())
    if words == ALWAYS:
        return ALWAYS
    if after := _AFTER.fullmatch(words):
        return {"after-calls": int(after[1])}
    if share := _SHARE.fullmatch(words):
        return {"share": float(share["figure"]) / (100.0 if share["percent"] else 1.0)}
    raise WrongAnswerError(f"type {ALWAYS}, a share such as 0.4 or 40%, or: after 2")


def tools_meant(text: str, known: Sequence[str]) -> list[str] | None:
    """The tools in the bag, by number or id; None for all of them."""
    words = " ".join(text.lower().replace(",", " ").split())
    if words == ALL:
        return None
    without = words.startswith(ALL_BUT)
    named = [_tool(each, known) for each in words.removeprefix(ALL_BUT).split()]
    chosen = [each for each in known if (each in named) != without]
    if not chosen:
        raise WrongAnswerError("leave at least one tool in the bag")
    return chosen


def _tool(word: str, known: Sequence[str]) -> str:
    if word in known:
        return word
    if word.isascii() and word.isdecimal() and 1 <= int(word[:9]) <= len(known):
        return known[int(word) - 1]
    raise WrongAnswerError(
        f"{word[:40]} is no tool; give numbers from 1 to {len(known)}, or: all but 3 5"
    )


def minutes_meant(text: str) -> int | float:
    """A figure, whole if it is."""
    figure = _figure(text.lower().removesuffix("minutes").removesuffix("min"))
    if figure is None:
        raise WrongAnswerError(f"type a figure of minutes, 1 to {LONGEST:g}")
    return int(figure) if figure.is_integer() else figure


def minutes_to_allow(own: float) -> str:
    """Minutes for an apprentice, from those of the program's own path."""
    return f"{min(LONGEST, max(STEP, STEP * ceil(own * ROOM / STEP))):g}"


# --- faults -----------------------------------------------------------------------


def faults_meant(furnace: Furnace, text: str, most: int) -> list[Fault]:
    """The faults that a person may mean: that of the id, or those with most of the words."""
    if text in furnace.faults:
        return [furnace.faults[text]]
    wanted = {stem(word) for word in words_of(text)}
    scores = {id_: len(wanted & _stems(furnace, fault)) for id_, fault in furnace.faults.items()}
    best = max(scores.values())
    found = [furnace.faults[id_] for id_, score in scores.items() if score and score == best]
    return found[:most]


def _stems(furnace: Furnace, fault: Fault) -> set[str]:
    part = furnace.parts[fault.part].entry
    text = f"{fault.id} {fault.entry.name} {part.name} {part.area}"
    return {stem(word) for word in words_of(text)}


def degrees(furnace: Furnace, fault: Fault) -> dict[str, str]:
    """Values that a fault sets to a figure, of which there can be more or less."""
    specs = KINDS[furnace.parts[fault.part].kind].values
    return {
        name: str(given)
        for name, given in fault.entry.sets.items()
        if specs[name].dimension and str(given) not in specs[name].words and _has_figure(given)
    }


def _has_figure(given: object) -> bool:
    return any(map(str.isdecimal, str(given)))


# --- YAML -------------------------------------------------------------------------


class _Folded(str):
    """Text that is folded over lines."""


class _Flow(list[Any]):
    """A list that is written on one line."""

    @staticmethod
    def of(mapping: Mapping[str, Any]) -> _FlowMap:
        return _FlowMap(mapping)


class _FlowMap(dict[str, Any]):
    """A mapping that is written on one line."""


class _Dumper(yaml.SafeDumper):
    """Safe YAML in the style of the shipped scenarios."""

    def ignore_aliases(self, data: object) -> bool:
        return True

    def increase_indent(self, flow: bool = False, indentless: bool = False) -> None:
        """Lists stand further in than what they belong to."""
        super().increase_indent(flow, False)


def _text(dumper: _Dumper, text: _Folded) -> yaml.Node:
    style = ">" if len(text) > _WIDTH - 20 else None
    return dumper.represent_scalar("tag:yaml.org,2002:str", str(text), style=style)


def _list(dumper: _Dumper, some: _Flow) -> yaml.Node:
    return dumper.represent_sequence("tag:yaml.org,2002:seq", some, flow_style=True)


def _mapping(dumper: _Dumper, some: _FlowMap) -> yaml.Node:
    return dumper.represent_mapping("tag:yaml.org,2002:map", some.items(), flow_style=True)


_Dumper.add_representer(_Folded, _text)
_Dumper.add_representer(_Flow, _list)
_Dumper.add_representer(_FlowMap, _mapping)


def as_yaml(data: Mapping[str, Any]) -> str:
    """The text of a scenario file or of a draft."""
    text: str = yaml.dump(
        dict(data), Dumper=_Dumper, sort_keys=False, allow_unicode=True, width=_WIDTH
    )
    return text
