"""Converts what stands in a file into an entry, and words what does not fit."""

from __future__ import annotations

import re
from typing import TypeVar

import msgspec

from lightoff.engine.entries.base import Entry
from lightoff.engine.library.report import Spot, suggestion
from lightoff.engine.strict_yaml import Data, YamlPath

E = TypeVar("E", bound=Entry)

_MESSAGE = re.compile(r"(?P<what>.*?)(?: - at `(?:key` in `)?\$(?P<path>.*)`)?", re.DOTALL)
_STEP = re.compile(r"\[(\d+|\.\.\.)\]|\.([^.\[]+)")
_QUOTED = re.compile(r"`([^`]*)`")
_ANY_KEY = "..."
MOST_UNKNOWN_KEYS = 20
"""Unknown keys listed of one entry."""

_KINDS_OF_VALUE = {
    "str": "text",
    "int": "a whole number",
    "float": "a number",
    "bool": "true or false",
    "array": "a list",
    "object": "a mapping",
    "null": "nothing",
}


def convert(data: Data, kind: type[E], spot: Spot) -> E | None:
    """The entry, or None after its mistakes have been noted.

    Unknown keys are all noted (up to a limit); of other mistakes in one entry, the first.
    """
    for already in range(MOST_UNKNOWN_KEYS):
        try:
            entry = msgspec.convert(data, kind)
        except msgspec.ValidationError as error:
            what, path = _read(str(error))
            path = _find_keys(data, kind, str(error), path)
            key = _unknown_key(what)
            _note(spot, kind, what, path)
            if key is None:
                return None
            data = _without(data, (*path, key))
        else:
            return None if already else entry
    return None


def _read(message: str) -> tuple[str, YamlPath]:
    match = _MESSAGE.fullmatch(message)
    assert match is not None
    steps = _STEP.findall(match["path"] or "")
    return match["what"], tuple(
        name or (_ANY_KEY if index == _ANY_KEY else int(index)) for index, name in steps
    )


def _find_keys(data: Data, kind: type[Entry], message: str, path: YamlPath) -> YamlPath:
    """Replace each "..." by the key of the mapping whose value causes the message."""
    while _ANY_KEY in path:
        index = path.index(_ANY_KEY)
        outside = path[:index]
        mapping = _inside(data, outside)
        assert isinstance(mapping, dict)
        items = list(mapping.items())
        while len(items) > 1:
            half = items[: len(items) // 2]
            fails = _fails(_replaced(data, outside, dict(half)), kind, message)
            items = half if fails else items[len(half) :]
        path = (*outside, items[0][0], *path[index + 1 :])
    return path


def _inside(data: Data, path: YamlPath) -> Data:
    for step in path:
        data = data[step]  # type: ignore[index]
    return data


def _replaced(data: Data, path: YamlPath, value: Data) -> Data:
    """The data with another value at a path; only what lies along it is copied."""
    if not path:
        return value
    inner = _replaced(_inside(data, path[:1]), path[1:], value)
    if isinstance(data, list):
        return [inner if index == path[0] else item for index, item in enumerate(data)]
    assert isinstance(data, dict)
    return {key: inner if key == path[0] else item for key, item in data.items()}


def _without(data: Data, path: YamlPath) -> Data:
    mapping = _inside(data, path[:-1])
    assert isinstance(mapping, dict)
    rest = {key: value for key, value in mapping.items() if key != path[-1]}
    return _replaced(data, path[:-1], rest)


def _fails(data: Data, kind: type[Entry], message: str) -> bool:
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
        here.wrong(f"this should be {_worded(names[0])}, not {_worded(names[1])}", _mend(*names))
    else:
        here.wrong(what, "mend its shape")


def _worded(names: str) -> str:
    return " or ".join(_KINDS_OF_VALUE.get(name, name) for name in names.split(" | "))


def _mend(expected: str, found: str) -> str:
    if "str" not in expected:
        return f"write {_worded(expected)}"
    return "put it in quotes" + (", or give its unit" if found in ("int", "float") else "")


def _keys(kind: type[Entry], path: YamlPath) -> list[str]:
    return [field.encode_name for field in getattr(_type_at(kind, path), "fields", ())]


def _choices(kind: type[Entry], path: YamlPath) -> list[str]:
    found = _type_at(kind, path)
    kinds = getattr(found, "types", (found,))
    return [str(value) for each in kinds for value in getattr(each, "values", ())]


def _type_at(kind: type[Entry], path: YamlPath) -> object:
    """What msgspec expects at a path."""
    from msgspec import inspect

    found: object = inspect.type_info(kind)
    for step in path:
        fields = {field.encode_name: field.type for field in getattr(found, "fields", ())}
        inner = getattr(found, "value_type", None)
        found = _given(fields.get(str(step)) or getattr(found, "item_type", inner))
    return found


def _given(found: object) -> object:
    """What is expected where something may be left out, if it is given."""
    from msgspec import inspect

    kinds = [each for each in getattr(found, "types", ()) if not isinstance(each, inspect.NoneType)]
    return kinds[0] if len(kinds) == 1 else found
