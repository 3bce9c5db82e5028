"""What a part kind is: the values it has, its electrical branches, what it shows."""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Callable, Hashable, Mapping
from dataclasses import dataclass, field
from typing import ClassVar

from lightoff.engine.machine.airgas import fan_at_speed
from lightoff.engine.model import Value

OPEN_CIRCUIT = float("inf")
CLOSED_CONTACT = 0.02
"""Resistance of a sound closed contact in ohms (common practice: well under 0.1)."""


@dataclass(frozen=True, slots=True)
class ValueSpec:
    """One value of a kind: the dimension of its figure, or the words it may be.

    A figure may also be one of `words`. `default` is only for values that stand for
    "nothing unusual"; a value without it must be given in the knowledge.
    """

    dimension: str = ""
    words: tuple[str, ...] = ()
    default: Value | None = None
    any_word: bool = False


def figure(dimension: str, default: float | None = None, *words: str) -> ValueSpec:
    """A figure of a dimension, or one of the words."""
    return ValueSpec(dimension, words, default)


def one_of(*words: str) -> ValueSpec:
    """A word; the first is the default."""
    return ValueSpec(words=words, default=words[0])


LOOKS = ValueSpec(default="good", any_word=True)
"""What an eye sees of a part, in one word of the knowledge's choosing."""


@dataclass(slots=True)
class Standing:
    """The discrete state of the furnace that part kinds look at.

    `calling` is the call for heat, `second` that for second-stage heat; `positions` holds
    for every sensing or tripping contact whether it is closed; `turning` the motors whose
    shaft turns; `flame` the share of the sensor's tip that stands in flame, 0 to 1.
    """

    calling: bool = False
    second: bool = False
    energised: frozenset[str] = frozenset()
    positions: dict[str, bool] = field(default_factory=dict)
    turning: frozenset[str] = frozenset()
    flame: float = 0.0

    def key(self) -> Hashable:
        """Equal for standings of one furnace in which every part is the same."""
        positions = tuple(self.positions.values())
        return self.calling, self.second, self.energised, positions, self.turning, self.flame


@dataclass(frozen=True, slots=True)
class Threshold:
    """A contact that changes position as a quantity crosses a level (SI units).

    It is closed above `closes` if `closes` > `opens`, otherwise closed below it; in
    between it stays as it is. A contact with manual reset does not re-close.
    """

    quantity: str
    closes: float
    opens: float
    manual_reset: bool = False

    def closed(self, value: float, was_closed: bool) -> bool:
        """Whether the contact is closed at a value of the quantity."""
        if not was_closed and self.manual_reset:
            return False
        rising = self.closes > self.opens
        if value >= self.closes if rising else value <= self.closes:
            return True
        if value <= self.opens if rising else value >= self.opens:
            return False
        return was_closed


Across = Callable[[str], float]
"""Branch of a part -> the magnitude of the voltage across it."""


@dataclass(frozen=True, slots=True)
class Opened:
    """How far a gas valve stands open: `stage` is 0 shut, 1 low or only, 2 high fire."""

    pilot: bool
    stage: int


SHUT = Opened(pilot=False, stage=0)


class Kind:
    """Behaviour shared by all parts of a kind. Kinds hold no state."""

    name: ClassVar[str]
    about: ClassVar[str]
    values: ClassVar[Mapping[str, ValueSpec]]
    branches: ClassVar[tuple[str, ...]] = ()
    role: ClassVar[str] = ""
    """What the machine knows it by, whatever its kind; at most one part in a furnace has it."""
    guards: ClassVar[bool] = False
    """It shuts the burner down by itself: that is proved before a furnace is left to run."""
    moves: ClassVar[bool] = False
    """Whether its conductance depends on what the furnace is doing."""
    stands_alone: ClassVar[bool] = False
    """Whether it needs no place in a net or a way: what it does, it has from its role."""
    wired_in: ClassVar[Mapping[str, tuple[str, ...]]] = {}
    """Branch without which it does nothing -> the nets it may lie in."""
    shows: ClassVar[Mapping[str, str]] = {}
    """What can be seen or heard of it while it works -> dimension ("" for none)."""

    def ohms(self, values: Mapping[str, Value], branch: str) -> float:
        """Resistance of an isolated branch, cold and at rest, in ohms."""
        raise LookupError(f"a {self.name} has no branch {branch}")

    def conductance(
        self, part: str, values: Mapping[str, Value], branch: str, standing: Standing
    ) -> float:
        """Conductance of a branch in the circuit, in siemens; 0 if open."""
        return siemens(self.ohms(values, branch))

    def threshold(self, part: str, values: Mapping[str, Value]) -> Threshold | None:
        """The level at which its contact changes, if it has a sensing contact."""
        return None

    def trip_current(self, values: Mapping[str, Value]) -> float | None:
        """Current in amperes above which it opens for good, if it is such a part."""
        return None


class MotorKind(Kind, ABC):
    """A fan's motor: what makes it turn is its own; its wheel and its air are the same."""

    @abstractmethod
    def speed(self, values: Mapping[str, Value], across: Across) -> float:
        """Speed as a share of full with these voltages across its branches; 0 at rest."""

    def pressure(self, values: Mapping[str, Value], speed: float, resistance: float) -> float:
        """Shut-off pressure of its wheel in Pa at a speed, against a whole resistance."""
        return fan_at_speed(number(values, "shutoff-pressure"), speed)


class ValveKind(Kind, ABC):
    """A gas valve: which of its seats are open under the voltages across its coils."""

    role = "gas-valve"

    @abstractmethod
    def opened(self, values: Mapping[str, Value], across: Across, held: bool) -> Opened:
        """What is open; `held` tells whether a pilot seat opened by hand is held open."""

    def regulated(self, values: Mapping[str, Value], stage: int) -> float:
        """The manifold pressure its regulator holds in a stage, Pa."""
        return number(values, "regulator")


def siemens(ohms: float) -> float:
    """Conductance of a resistance; an open circuit has none."""
    return 0.0 if ohms == OPEN_CIRCUIT else 1.0 / ohms


def number(values: Mapping[str, Value], name: str) -> float:
    """A figure among the values; `open` stands for an endless resistance."""
    value = values[name]
    if isinstance(value, str):
        if value in ("open", "none"):
            return OPEN_CIRCUIT
        raise TypeError(f"{name} is the word {value}, not a figure")
    return value
