"""A record that was carried here from a pocket page: its text -> the events of a job.

A record is a text to read with a block behind it: base64 of a JSON list of events between
`BEGIN RECORD` and `END RECORD CRC-32`. On its way it may have been broken into other lines,
indented or quoted; if anything else was changed, the checksum says so.
"""

from __future__ import annotations

import binascii
import re
from base64 import b64decode
from zlib import crc32

import msgspec

from lightoff.engine.reasoning.job import AnyEvent, Started
from lightoff.engine.reasoning.journal import Events

BLOCK = re.compile(
    r"BEGIN\s+RECORD(?P<content>.*?)END\s+RECORD\s+(?P<checksum>[0-9a-f]{8})\b", re.DOTALL
)
QUOTING = re.compile(r"[\s>]+")
LONGEST = 4_000_000
"""Characters of a text in which a record is looked for: far more than any job fills."""

COPY_AGAIN = "copy the whole record on the page once more"

_decode = msgspec.json.Decoder(list[AnyEvent]).decode


class RecordError(Exception):
    """Why a text holds no job, and how to mend that; `str` gives it in one line."""

    def __init__(self, what: str, mend: str = COPY_AGAIN) -> None:
        super().__init__(f"{what}; {mend}")


def events_in(text: str) -> Events:
    """The events of the one record in a text; RecordError if there is none, or it is damaged."""
    events = _events(_content(text))
    if not events or not isinstance(events[0], Started):
        raise RecordError("the record does not begin with the start of a job")
    if any(isinstance(event, Started) for event in events[1:]):
        raise RecordError("the record holds two jobs", "bring them in one by one")
    return events


def _content(text: str) -> bytes:
    """What stands in the block, as it was written."""
    if len(text) > LONGEST:
        raise RecordError("the text is far longer than a record", "give the record alone")
    blocks = list(BLOCK.finditer(text))
    if not blocks:
        raise RecordError("there is no whole record from BEGIN RECORD to END RECORD")
    if len(blocks) > 1:
        raise RecordError(f"there are {len(blocks)} records", "bring them in one by one")
    try:
        content = b64decode(QUOTING.sub("", blocks[0]["content"]), validate=True)
    except (binascii.Error, ValueError):
        raise RecordError("the record has characters that do not belong there") from None
    if f"{crc32(content):08x}" != blocks[0]["checksum"]:
        raise RecordError("the record is not as it was written: its checksum differs")
    return content


def _events(content: bytes) -> Events:
    try:
        return tuple(_decode(content))
    except (msgspec.MsgspecError, ValueError, RecursionError) as error:
        mend = "bring it in with the version of the program that made the page"
        raise RecordError(f"the record cannot be read ({error})", mend) from error
