"""Entries of one's own, started as copies of those that are known."""

from __future__ import annotations

import json
from collections.abc import Mapping

from lightoff.engine.strict_yaml import Data, parse

CHANGE: Mapping[str, str] = {
    "like": "Checks and rules that are kept to that furnace are for this one as well.",
    "about": "How it burns, lights and is vented, in a few words.",
    "seen": "What tells this type from others at a glance.",
    "features": "The values there are stand in identify.yaml of the shipped files.",
    "gas": "natural-gas or propane.",
    "source": "Invented, as long as the figures are. Then the id of an entry in your sources.yaml.",
    "site": "The place it stands in.",
    "plate": "Copy the rating plate, and the manufacturer's instructions.",
    "call": "One call for heat as it is simulated.",
    "parts": (
        "A part that is not fitted: take it out here, in wiring and in the ways of air and gas.\n"
        "Another value: igniter: {values: {resistance: 45 ohm}, source: ID OF A SOURCE}.\n"
        "A fault it cannot have: igniter: {without: [ID OF THE FAULT]}."
    ),
    "wiring": "From the wiring diagram: each branch of a part between two terminals.",
    "combustion-air": "The ways of air and gas, in order; upper case is where pressure is read.",
    "sequence": (
        "From the sequence of operation: `after` holds the times, `counters` the tries.\n"
        "`light` is what the legend of the status light says in that step."
    ),
    "legend": "What the light shows on this board, and which of the words under `light` it means.",
    "options": "In what furnaces of this type differ.",
}
"""Key of a furnace -> what to change there."""


class CopyError(ValueError):
    """A text of which no copy can be made; the message says why."""


def started(text: str, id_: str, first: str) -> str:
    """The text of a furnace as that of another one: `first` in front, its own id and name."""
    before = parse(text.encode(), id_)
    if before.problems or not isinstance(before.data, dict):
        raise CopyError("the file cannot be read")
    name = f"{before.data.get('name', '')} ({id_})"
    own = {"id": id_, "name": json.dumps(name, ensure_ascii=False)}
    keys = {before.marks[(key,)].line: key for key in before.data}
    made = [first, *_heading(before.data)]
    key = ""
    for number, line in enumerate(text.splitlines(), start=1):
        if number in keys:
            key = keys[number]
            made += [f"# {words}" for words in CHANGE.get(key, "").splitlines()]
            made.append(f"{key}: {own[key]}" if key in own else line)
            if key == "id" and "like" not in before.data:
                made.append(f"like: {before.data.get('id', '')}")
        elif key and not (key in own and line.startswith(" ")):
            made.append(line)
    result = "\n".join(made) + "\n"
    after = parse(result.encode(), id_)
    like = before.data.get("like", before.data.get("id", ""))
    if after.problems or after.data != {**before.data, "id": id_, "name": name, "like": like}:
        raise CopyError("its file has no key of its own on each line")
    return result


def _heading(data: Mapping[str, Data]) -> list[str]:
    return [
        f"# Started from {data.get('id', '')}: every figure is still of that one. A comment says",
        "# what to change. Nothing here replaces the rating plate and the instructions of a",
        "# real furnace.",
    ]


def copied(text: str, id_: str, first: str) -> str:
    """One entry of a list of them, by its id, as the text of a file of its own."""
    before = parse(text.encode(), id_)
    entries = before.data if isinstance(before.data, list) else []
    ids = [each.get("id") if isinstance(each, dict) else None for each in entries]
    if before.problems or id_ not in ids:
        raise CopyError(f"it has no entry {id_} that can be read")
    index = ids.index(id_)
    start = before.marks[index,].line - 1
    end = before.marks[index + 1,].line - 1 if index + 1 < len(ids) else None
    lines = text.splitlines()[start:end]
    while lines and (not lines[-1].strip() or lines[-1].startswith("#")):
        lines.pop()
    result = "\n".join([first, *lines]) + "\n"
    after = parse(result.encode(), id_)
    if after.problems or after.data != [entries[index]]:
        raise CopyError(f"its entry {id_} does not stand on lines of its own")
    return result
