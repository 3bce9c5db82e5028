"""What all entries share: what stands in the YAML files, as typed structures.

Ids are not yet looked up and figures still carry their units; `library` turns entries into
the resolved structures of `model`.
"""

from __future__ import annotations

import msgspec

Scalar = str | int | float
"""A value as it stands in a file: a word, a bare number, or a number with its unit."""

Words = list[str]


class Entry(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, rename="kebab"):
    """Base of all entries: kebab-case keys, unknown keys refused."""
