"""Values of parts: text of the files -> figures in SI units and words."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass

from lightoff.engine.entries.base import Scalar
from lightoff.engine.library.report import Spot, suggestion
from lightoff.engine.machine.kinds import KINDS, ValueSpec
from lightoff.engine.model import Value
from lightoff.engine.units import UnitError, parse_as, parse_range

TAP = re.compile(r"[A-Z][A-Z0-9]*(-[A-Z0-9]+)*")
"""Taps and terminals are written in upper case."""

NAMES_TAP = frozenset((("pressure-switch", "low-tap"), ("pressure-switch", "high-tap")))
NAMES_HOSE = frozenset((("pressure-switch", "low-hose"), ("pressure-switch", "high-hose")))
"""(kind, value) whose word is the name of a tap, or of a fitted hose or `none`."""

_WORD = re.compile(r"[a-z0-9]+(-[a-z0-9]+)*")
_FACTOR = re.compile(r"x([0-9]+(?:\.[0-9]+)?(?:e[-+]?[0-9]+)?)")
_MAY_BE_NEGATIVE = frozenset(("temperature-rise",))
_MAY_BE_ZERO = frozenset(("fraction", "voltage", "current", "pressure", "power"))


@dataclass(frozen=True, slots=True)
class Factor:
    """A change that multiplies the value."""

    by: float


Change = Value | Factor


def figure(given: Scalar, dimension: str, spot: Spot) -> float | None:
    """A figure of a dimension, in SI units; None after a mistake has been noted."""
    try:
        return parse_as(given, dimension)
    except UnitError as error:
        spot.wrong(error.what, error.mend)
        return None


def figures(given: str, dimension: str, spot: Spot) -> tuple[float, float] | None:
    """(lowest, highest) of "3.2 to 3.8 inwc", in SI units."""
    try:
        return parse_range(given, dimension)
    except UnitError as error:
        spot.wrong(error.what, error.mend)
        return None


def read_value(kind: str, name: str, given: Scalar, spot: Spot) -> Value | None:
    """A value of a part of a kind; None after a mistake has been noted."""
    spec = KINDS[kind].values.get(name)
    if spec is None:
        spot.unknown(f"value of a {kind}", name, KINDS[kind].values)
        return None
    if (kind, name) in NAMES_TAP | NAMES_HOSE:
        return _name(given, TAP if (kind, name) in NAMES_TAP else _WORD, spot)
    if isinstance(given, str) and given in spec.words:
        return given
    if spec.dimension:
        return _measured(given, spec, name, spot)
    return _word(given, spec, name, spot)


def read_change(kind: str, name: str, given: Scalar, spot: Spot) -> Change | None:
    """What a fault or a trial sets a value to: a value, or `x1.4` of what it was."""
    match = _FACTOR.fullmatch(given) if isinstance(given, str) else None
    spec = KINDS[kind].values.get(name)
    if match is None or spec is None:
        return read_value(kind, name, given, spot)
    if not spec.dimension or spec.dimension == "temperature":
        spot.wrong(f"{name} cannot be multiplied", "give the value itself")
        return None
    if float(match[1]) in (0.0, 1.0, float("inf")):
        spot.wrong(f"{given} is no change of degree", "give the value itself")
        return None
    return Factor(float(match[1]))


def apply(change: Change, value: Value, spot: Spot) -> Value | None:
    """The value after the change."""
    if not isinstance(change, Factor):
        return change
    if isinstance(value, str) or value in (0.0, float("inf")):
        was = "what has no end" if value == float("inf") else str(value)
        spot.wrong(f"x{change.by:g} cannot multiply {was}", "give the value itself")
        return None
    return value * change.by


def read_values(kind: str, given: Mapping[str, Scalar], spot: Spot) -> dict[str, Value]:
    """All values given for a part of a kind; mistakes are noted and left out."""
    read = {name: read_value(kind, name, text, spot.at(name)) for name, text in given.items()}
    return {name: value for name, value in read.items() if value is not None}


def defaults(kind: str) -> dict[str, Value]:
    """The values of a kind that stand for "nothing unusual"."""
    specs = KINDS[kind].values.items()
    return {name: spec.default for name, spec in specs if spec.default is not None}


def _name(given: Scalar, pattern: re.Pattern[str], spot: Spot) -> str | None:
    if isinstance(given, str) and pattern.fullmatch(given):
        return given
    spot.wrong(f"{given!r} is no name", "write a tap in upper case, a hose in lower case")
    return None


def _measured(given: Scalar, spec: ValueSpec, name: str, spot: Spot) -> float | None:
    try:
        value = parse_as(given, spec.dimension)
    except UnitError as error:
        words = f", or one of {', '.join(spec.words)}" if spec.words else ""
        spot.wrong(f"{name}: {error.what}", f"{error.mend}{words}")
        return None
    if value < 0.0 and spec.dimension not in _MAY_BE_NEGATIVE:
        spot.wrong(f"{name} cannot be negative", "give a positive figure")
    elif value == 0.0 and spec.dimension not in _MAY_BE_ZERO:
        spot.wrong(f"{name} cannot be zero", "give a small figure or one of its words")
    elif spec.dimension == "count" and value != int(value):
        spot.wrong(f"{name} counts whole things", "give a whole number")
    else:
        return value
    return None


def _word(given: Scalar, spec: ValueSpec, name: str, spot: Spot) -> str | None:
    if not isinstance(given, str):
        spot.wrong(f"{name} is a word, not a number", suggestion(str(given), spec.words))
    elif not spec.any_word:
        spot.wrong(f"{name} cannot be {given!r}", suggestion(given, spec.words))
    elif not _WORD.fullmatch(given):
        spot.wrong(f"{given!r} is no word", "write lower-case words joined by hyphens")
    else:
        return given
    return None
