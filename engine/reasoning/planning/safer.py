"""A test on live parts gives way to a safer check that does as well."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from lightoff.engine.reasoning.planning.costs import Indices
from lightoff.engine.reasoning.planning.steady import steady
from lightoff.engine.reasoning.table import Floats

AS_MUCH = 0.9
"""A check tells as much as another if it cuts at least this share of what the other cuts."""
COMPARABLE_SHARE, COMPARABLE_MINUTES = 1.5, 1.0
"""The effort of a check is comparable up to this share of another's minutes, and so much
more (from memory: what a careful person gives to keep fingers out of a live box)."""


def safer_first(
    ranked: Indices, live: NDArray[np.bool_], gains: Floats, minutes: Floats
) -> Indices:
    """Ranked checks, with a safer one moved to the front if it does as well as a live first.

    All of shape (checks,): indices best first, whether on live parts, what each cuts, minutes.
    """
    if not ranked.size or not live[0]:
        return ranked
    comparable = steady(minutes) <= np.float32(minutes[0] * COMPARABLE_SHARE + COMPARABLE_MINUTES)
    as_much = steady(gains) >= np.float32(AS_MUCH * gains[0])
    safer = np.flatnonzero(~live & as_much & comparable)
    if not safer.size:
        return ranked
    best = int(safer[0])
    return np.concatenate([ranked[best : best + 1], np.delete(ranked, best)])
