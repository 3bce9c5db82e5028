"""Reads YAML that may come from anybody: no tags, no anchors, no surprises.

Works on the parser's events, so that size, depth and number of nodes are capped before
anything is built. Plain scalars are integers, floats, `true`, `false` or else strings
(`on`, `yes`, `1:30` and `010` stay strings); keys are strings. Every value keeps its
place, and as many mistakes as possible are collected.
"""

from __future__ import annotations

import math
import re
import stat
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, NoReturn

import yaml

from lightoff.engine.model import Place

LARGEST_FILE = 1_000_000
"""Bytes."""
DEEPEST = 20
MOST_NODES = 100_000
MOST_PROBLEMS = 50
"""Mistakes listed of one file; reading stops there."""

YamlPath = tuple[str | int, ...]
"""Keys and positions from the top of a file to a value."""

Data = str | int | float | bool | list["Data"] | dict[str, "Data"]
"""What a file can say."""

Events = Iterator[yaml.Event]
Node = yaml.ScalarEvent | yaml.CollectionStartEvent

_PARSER: Any = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
_INTEGER = re.compile(r"[-+]?(?:0|[1-9][0-9]*)")
_FLOAT = re.compile(
    r"[-+]?(?:(?:[0-9]+\.[0-9]*|\.[0-9]+)(?:[eE][-+]?[0-9]+)?|[0-9]+[eE][-+]?[0-9]+)"
)
_NOTHING = frozenset(("", "~", "null", "Null", "NULL"))
_HIDDEN = re.compile(
    r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\u2028\u2029\u202a-\u202e\u2066-\u2069\ufeff]"
)
"""Control characters, line and paragraph separators, and marks that turn text around."""
_LONGEST_MESSAGE = 400
_DIGITS = 18
"""Digits an integer may have."""


@dataclass(frozen=True, slots=True)
class Problem:
    """A mistake in a file: where, what is wrong, how to mend it."""

    place: Place
    what: str
    mend: str

    def __post_init__(self) -> None:
        """Keep to one line, whatever of the file is quoted."""
        for name in ("what", "mend"):
            line = " ".join(_HIDDEN.sub("?", getattr(self, name)).split())
            object.__setattr__(self, name, line[:_LONGEST_MESSAGE])

    def __str__(self) -> str:
        return f"{self.place}: {self.what}; {self.mend}"


@dataclass(frozen=True, slots=True)
class Document:
    """What a file says. `data` is None if nothing could be read.

    `marks` holds the place of every value: of its key in a mapping, of itself in a list.
    """

    file: str
    data: Any
    marks: Mapping[YamlPath, Place]
    problems: tuple[Problem, ...]

    def place(self, path: YamlPath) -> Place:
        """Where a value stands, or the nearest thing around it that has a place."""
        while path not in self.marks and path:
            path = path[:-1]
        return self.marks.get(path, Place(self.file, 1))


def read(path: Path, name: str | None = None) -> Document:
    """Read a file; `name` is what it is called in problems. Never raises for its contents."""
    name = name or path.name
    try:
        if not stat.S_ISREG(path.stat().st_mode):
            return _unreadable(name, "is not a file", "give a YAML file")
        with path.open("rb") as stream:
            raw = stream.read(LARGEST_FILE + 1)
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or "no such path"
        return _unreadable(name, f"cannot be read: {reason}", "check its name and permissions")
    return parse(raw, name)


def parse(raw: bytes, name: str) -> Document:
    """Read the bytes of a file. Never raises for its contents."""
    if len(raw) > LARGEST_FILE:
        return _unreadable(name, f"is larger than {LARGEST_FILE} bytes", "split it")
    try:
        text = raw.decode("utf-8").removeprefix("\ufeff")
    except UnicodeDecodeError as error:
        line = raw.count(b"\n", 0, error.start) + 1
        return _unreadable(name, "is not UTF-8 text here", "save it as UTF-8", line)
    hidden = _HIDDEN.search(text)
    if hidden:
        line = text.count("\n", 0, hidden.start()) + 1
        what = f"holds the control character U+{ord(hidden[0]):04X}"
        return _unreadable(name, what, "take it out", line)
    return _Reader(name, text).document()


def _unreadable(name: str, what: str, mend: str, line: int = 1) -> Document:
    return Document(name, None, {}, (Problem(Place(name, line), f"the file {what}", mend),))


class _Stop(Exception):  # noqa: N818
    """Reading cannot go on; the problem has been noted."""


@dataclass(slots=True)
class _Reader:
    name: str
    text: str
    marks: dict[YamlPath, Place] = field(default_factory=dict)
    problems: list[Problem] = field(default_factory=list)
    nodes: int = 0

    def document(self) -> Document:
        data = None
        try:
            data = self.whole(yaml.parse(self.text, Loader=_PARSER))
        except _Stop:
            pass
        except (yaml.YAMLError, ValueError, RecursionError) as error:
            self.problems.append(_not_yaml(self.name, error))
        return Document(self.name, data, self.marks, tuple(self.problems))

    def whole(self, events: Events) -> Data:
        """The one document of the file."""
        next(events)
        start = next(events)
        if isinstance(start, yaml.StreamEndEvent):
            self.stop(Place(self.name, 1), "the file is empty", "fill it or remove it")
        assert isinstance(start, yaml.DocumentStartEvent)
        if start.version or start.tags:
            self.note(self.at(start), "a % directive is not read", "take the line out")
        data = self.value(next(events), events, ())
        next(events)
        more = next(events)
        if not isinstance(more, yaml.StreamEndEvent):
            self.note(self.at(more), "a second document starts", "keep one document in a file")
        return data

    def value(self, event: yaml.Event, events: Events, path: YamlPath) -> Data:
        self.marks.setdefault(path, self.at(event))
        self.cap(event, path)
        if isinstance(event, yaml.AliasEvent):
            self.note(self.at(event), f"*{event.anchor} is an alias", "write the value out")
            return ""
        assert isinstance(event, Node)
        self.refuse_labels(event)
        if isinstance(event, yaml.ScalarEvent):
            return self.scalar(event, path)
        if isinstance(event, yaml.SequenceStartEvent):
            return self.sequence(events, path)
        return self.mapping(events, path)

    def sequence(self, events: Events, path: YamlPath) -> list[Data]:
        items: list[Data] = []
        while not isinstance(event := next(events), yaml.SequenceEndEvent):
            items.append(self.value(event, events, (*path, len(items))))
        return items

    def mapping(self, events: Events, path: YamlPath) -> dict[str, Data]:
        entries: dict[str, Data] = {}
        while not isinstance(event := next(events), yaml.MappingEndEvent):
            key = self.key(event)
            inside = (*path, key)
            if key in entries:
                first = self.marks[inside].line
                self.note(self.at(event), f"{key} stands here twice (line {first})", "keep one")
                self.value(next(events), events, (*path, key, "twice"))
                continue
            self.marks[inside] = self.at(event)
            entries[key] = self.value(next(events), events, inside)
        return entries

    def key(self, event: yaml.Event) -> str:
        if not isinstance(event, yaml.ScalarEvent):
            self.stop(self.at(event), "a key is not a plain word", "write `key: value`")
        self.refuse_labels(event)
        self.refuse_hidden(event)
        return str(event.value)

    def scalar(self, event: yaml.ScalarEvent, path: YamlPath) -> str | int | float | bool:
        text: str = event.value
        self.refuse_hidden(event)
        if event.style:
            return text
        if text in _NOTHING:
            where = f"{path[-1]} has" if path and isinstance(path[-1], str) else "here is"
            self.note(self.at(event), f"{where} no value", "give one or take the line out")
            return ""
        return self.plain(text, event)

    def plain(self, text: str, event: yaml.Event) -> str | int | float | bool:
        if text in ("true", "false"):
            return text == "true"
        if _INTEGER.fullmatch(text):
            if len(text) <= _DIGITS:
                return int(text)
        elif not _FLOAT.fullmatch(text):
            return text
        elif math.isfinite(number := float(text)):
            return number
        self.note(self.at(event), f"{text[:20]} is out of range", "write a smaller number")
        return 0

    def refuse_labels(self, event: Node) -> None:
        if event.anchor:
            self.note(self.at(event), f"&{event.anchor} is an anchor", "take it out")
        if event.tag:
            self.note(self.at(event), f"{event.tag} is a tag", "take it out")

    def refuse_hidden(self, event: yaml.ScalarEvent) -> None:
        hidden = _HIDDEN.search(event.value)
        if hidden:
            what = f"a text holds the control character U+{ord(hidden[0]):04X}"
            self.note(self.at(event), what, "take it out")

    def cap(self, event: yaml.Event, path: YamlPath) -> None:
        self.nodes += 1
        if self.nodes > MOST_NODES:
            self.stop(self.at(event), f"more than {MOST_NODES} values in a file", "split it")
        if len(path) > DEEPEST:
            self.stop(self.at(event), f"nested deeper than {DEEPEST} levels", "flatten it")

    def at(self, event: yaml.Event) -> Place:
        return _place(self.name, event.start_mark)

    def note(self, place: Place, what: str, mend: str) -> None:
        self.problems.append(Problem(place, what, mend))
        if len(self.problems) >= MOST_PROBLEMS:
            raise _Stop

    def stop(self, place: Place, what: str, mend: str) -> NoReturn:
        self.note(place, what, mend)
        raise _Stop


def _place(name: str, mark: Any) -> Place:  # noqa: ANN401 - two kinds of marks, one shape
    return Place(name, mark.line + 1, mark.column + 1) if mark else Place(name, 1)


def _not_yaml(name: str, error: Exception) -> Problem:
    if not isinstance(error, yaml.MarkedYAMLError):
        return Problem(Place(name, 1), "the file is not YAML", "look for a stray character")
    place = _place(name, error.problem_mark or error.context_mark)
    reason = error.problem or error.context or "cannot be understood"
    return Problem(place, f"not YAML: {reason}", "check indents, quotes and brackets around here")
