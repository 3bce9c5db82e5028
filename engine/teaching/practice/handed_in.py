"""An attempt as a file to hand in: what was done and how it was marked, with a checksum.

The checksum shows a file that was damaged or touched by hand. It does not keep somebody
with this program from making a file up; marks that count are given under supervision.
"""

from __future__ import annotations

from pathlib import Path
from zlib import crc32

import msgspec

from lightoff.engine.teaching.practice.acts import AnyAct
from lightoff.engine.teaching.practice.store import Attempt
from lightoff.engine.teaching.practice.summary import Summary

SUFFIX = ".attempt"
LARGEST = 2_000_000


class HandedInError(ValueError):
    """A file that is no attempt, or is damaged; `str` gives it in one line."""


class HandedIn(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A closed attempt. `digest` is that of the scenario as it was then."""

    who: str
    scenario: str
    digest: str
    began: str
    version: str
    summary: Summary
    acts: tuple[AnyAct, ...]


class _File(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    lightoff_attempt: msgspec.Raw
    crc32: str


def encode(who: str, attempt: Attempt, summary: Summary, acts: tuple[AnyAct, ...]) -> bytes:
    """The contents of the file."""
    handed = HandedIn(
        who=who,
        scenario=attempt.scenario,
        digest=attempt.digest,
        began=attempt.began,
        version=attempt.version,
        summary=summary,
        acts=acts,
    )
    raw = msgspec.json.encode(handed)
    return msgspec.json.encode(_File(msgspec.Raw(raw), f"{crc32(raw):08x}")) + b"\n"


def read(path: Path) -> HandedIn:
    """HandedInError, naming the file, for anything but an unchanged attempt."""
    try:
        if path.stat().st_size > LARGEST:
            raise HandedInError(f"{path}: too large for an attempt; left out")
        found = msgspec.json.decode(path.read_bytes(), type=_File)
        raw = bytes(found.lightoff_attempt)
        if f"{crc32(raw):08x}" != found.crc32:
            raise HandedInError(f"{path}: damaged or changed by hand; ask for it anew")
        return msgspec.json.decode(raw, type=HandedIn)
    except OSError as error:
        raise HandedInError(f"{path}: cannot be read ({error.strerror}); left out") from None
    except (msgspec.MsgspecError, RecursionError, UnicodeDecodeError):
        raise HandedInError(f"{path}: no attempt, or damaged; ask for it anew") from None
