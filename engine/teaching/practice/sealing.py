"""Scenarios that cannot be read by eye.

A seal keeps an apprentice from seeing the answer by opening a file, and shows a file that
was changed. It is no secret: whoever has this program can unseal it, since the program
itself must. What must stay secret is kept away from the apprentice altogether.
"""

from __future__ import annotations

import base64
import zlib
from hashlib import sha256
from textwrap import wrap

FIRST_LINE = "lightoff sealed scenario 1"
LARGEST = 2_000_000
SUFFIX = ".sealed"


class SealError(ValueError):
    """The seal is broken; `str` says how."""


def digest_of(raw: bytes) -> str:
    """What tells one text of a scenario from another."""
    return sha256(raw).hexdigest()[:16]


def seal(name: str, raw: bytes) -> str:
    """A scenario's file, of this name, as text that says nothing to the eye."""
    packed = base64.b85encode(zlib.compress(name.encode() + b"\0" + raw, 9)).decode()
    return "\n".join([FIRST_LINE, digest_of(raw), *wrap(packed, 76), ""])


def unseal(text: str) -> tuple[str, bytes]:
    """Name and contents; SealError if it is no seal, or not the one that was made."""
    first, *rest = text.split("\n")
    if first.strip() != FIRST_LINE or not rest:
        raise SealError("this is no sealed scenario")
    try:
        unpacker = zlib.decompressobj()
        plain = unpacker.decompress(base64.b85decode("".join(rest[1:]).strip()), LARGEST)
    except (ValueError, zlib.error):
        raise SealError("the seal is broken: the file was changed or cut off") from None
    name, _, raw = plain.partition(b"\0")
    if digest_of(raw) != rest[0].strip() or unpacker.unconsumed_tail:
        raise SealError("the seal is broken: the file was changed or cut off")
    return name.decode(errors="replace"), raw
