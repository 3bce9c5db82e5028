"""Figures as they are compared and ranked, so that the last digits of a sum decide nothing.

Two checks that tell the same for the same price tie, and the first in the table wins. In
double precision the order of summation, which differs from machine to machine, would break
such ties; in single precision it does not.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from lightoff.engine.reasoning.planning.costs import Indices
from lightoff.engine.reasoning.table import Floats


def steady(values: Floats) -> NDArray[np.float32]:
    """The figures in single precision, same shape."""
    with np.errstate(over="ignore"):
        return values.astype(np.float32)


def ranked(values: Floats) -> Indices:
    """Places along the last axis, the lowest figure first; those that tie in their order."""
    return np.asarray(np.argsort(steady(values), axis=-1, kind="stable"))


def is_less(one: float, other: float) -> bool:
    """Whether a figure is less than another by more than rounding makes it."""
    return bool(np.float32(one) < np.float32(other))
