"""Converts what stands in a file into an entry, and words what does not fit."""

from __future__ import annotations

import re
from collections.abc import Mapping
from copy import deepcopy
from typing import Any, TypeVar

import msgspec

from lightoff.engine.library.report import Spot, suggestion
from lightoff.engine.model import Entry
from lightoff.engine.strict_yaml import YamlPath

E = TypeVar("E", bound=Entry)

_MESSAGE = re.compile(r"(?P<what>.*?)(?: - at `(?:key` in `)?\$(?P<path>.*)`)?", re.DOTALL)
_STEP = re.compile(r"\[(\d+|\.\.\.)\]|\.([^.\[]+)")
_QUOTED = re.compile(r"`([^`]*)`")
_ANY_KEY = "..."

_KINDS_OF_VALUE = {
    "str": "text",
    "int": "a whole number",
    "float": "a number",
    "bool": "true or false",
    "array": "a list",
    "object": "a mapping",
    "null": "nothing",
}


def convert(data: object, kind: type[E], spot: Spot) -> E | None:
    """The entry, or None after its mistakes have been noted.

    All unknown keys are noted; of other mistakes in one entry, the first.
    """
    spoilt = False
    while True:
        try:
            entry = msgspec.convert(data, kind)
        except msgspec.ValidationError as error:
            what, path = _read(str(error))
            path = _find_keys(data, kind, str(error), path)
            key = _unknown_key(what)
            _note(spot, kind, what, path)
            if key is None:
                return None
            data, spoilt = _without(data, (*path, key)), True
        else:
            return None if spoilt else entry


def _read(message: str) -> tuple[str, YamlPath]:
    match = _MESSAGE.fullmatch(message)
    assert match is not None
    steps = _STEP.findall(match["path"] or "")
    return match["what"], tuple(
        name or (_ANY_KEY if index == _ANY_KEY else int(index)) for index, name in steps
    )


def _find_keys(data: object, kind: type[Entry], message: str, path: YamlPath) -> YamlPath:
    """Replace each "..." by the key of the mapping whose value causes the message."""
    while _ANY_KEY in path:
        index = path.index(_ANY_KEY)
        outside = path[:index]
        for key, value in _inside(data, outside).items():
            if _fails(_replaced(data, outside, {key: value}), kind, message):
                path = (*outside, key, *path[index + 1 :])
                break
        else:
            return outside
    return path


def _inside(data: Any, path: YamlPath) -> Any:
    for step in path:
        data = data[step]
    return data


def _replaced(data: object, path: YamlPath, value: object) -> object:
    copy = deepcopy(data)
    _inside(copy, path[:-1])[path[-1]] = value
    return copy


def _without(data: object, path: YamlPath) -> object:
    copy = deepcopy(data)
    del _inside(copy, path[:-1])[path[-1]]
    return copy


def _fails(data: object, kind: type[Entry], message: str) -> bool:
    try:
        msgspec.convert(data, kind)
    except msgspec.ValidationError as error:
        return str(error) == message
    return False


def _unknown_key(what: str) -> str | None:
    return _QUOTED.findall(what)[0] if what.startswith("Object contains unknown field") else None


def _note(spot: Spot, kind: type[Entry], what: str, path: YamlPath) -> None:
    """Word a message of msgspec for a person."""
    here = spot.at(*path)
    names = _QUOTED.findall(what)
    if what.startswith("Object contains unknown field"):
        spot.at(*path, names[0]).wrong(
            f"there is no key {names[0]!r} here", suggestion(names[0], _keys(kind, path))
        )
    elif what.startswith("Object missing required field"):
        here.wrong(f"the key {names[0]!r} is missing", f"add `{names[0]}: ...`")
    elif what.startswith("Invalid enum value"):
        name = what.removeprefix("Invalid enum value ").strip("'")
        here.wrong(f"{name!r} is not allowed here", suggestion(name, _choices(kind, path)))
    elif what.startswith("Expected `array` of length"):
        here.wrong("this list has the wrong length", f"write {what.split()[4].rstrip(',')} of them")
    elif len(names) == 2:
        here.wrong(f"this should be {_worded(names[0])}, not {_worded(names[1])}", _mend(names[0]))
    else:
        here.wrong(what, "mend its shape")


def _worded(names: str) -> str:
    return " or ".join(_KINDS_OF_VALUE.get(name, name) for name in names.split(" | "))


def _mend(expected: str) -> str:
    return "put it in quotes" if "str" in expected else f"write {_worded(expected)}"


def _keys(kind: type[Entry], path: YamlPath) -> list[str]:
    return [field.encode_name for field in getattr(_type_at(kind, path), "fields", ())]


def _choices(kind: type[Entry], path: YamlPath) -> list[str]:
    return [str(value) for value in getattr(_type_at(kind, path), "values", ())]


def _type_at(kind: type[Entry], path: YamlPath) -> Any:
    """What msgspec expects at a path."""
    from msgspec import inspect

    found: Any = inspect.type_info(kind)
    for step in path:
        fields: Mapping[str, Any] = {f.encode_name: f.type for f in getattr(found, "fields", ())}
        found = fields.get(str(step)) or getattr(
            found, "item_type", getattr(found, "value_type", None)
        )
    return found
