"""A person before a simulated furnace who misreads a share of the answers."""

from __future__ import annotations

import random
from collections.abc import Sequence

from lightoff.engine.model import Check, Fault, Furnace
from lightoff.engine.reasoning.belief import Finding
from lightoff.engine.reasoning.diagnosis import SimulatedFurnace
from lightoff.engine.reasoning.table import repairs_in

MISREAD = "misread"
"""What stands as entered in a finding that was misread."""


class MisreadFurnace:
    """A furnace with hidden faults as read and mended by somebody who errs now and then.

    Whether a check is misread, and as what, depends on the faults, the seed, the check and
    the repairs done before it alone: two ways of choosing meet the same errors.
    """

    def __init__(
        self, furnace: Furnace, faults: Sequence[Fault], errors: float = 0.0, seed: int = 0
    ) -> None:
        """`errors` is the share of answers that are wrong, 0 to 1."""
        self._furnace = furnace
        self._left = tuple(faults)
        self._simulated = SimulatedFurnace(furnace, faults)
        self._errors = errors
        self._seed = f"{'+'.join(fault.id for fault in faults)} {seed}"
        self._repaired: tuple[str, ...] = ()

    def answer(self, check: Check) -> Finding:
        """The outcome of a check as the person reads it; what is not known is not misread."""
        finding = self._simulated.answer(check)
        chance = random.Random(f"{self._seed} {check.id} {' '.join(self._repaired)}")
        if finding.outcome is None or chance.random() >= self._errors:
            return finding
        others = [each.id for each in check.outcomes if each.id != finding.outcome]
        return Finding(check.id, chance.choice(others), MISREAD)

    def works_after(self, repair: str) -> bool:
        """Do a repair, or two; whether all faults are mended then."""
        self._repaired += repairs_in(repair)
        self._left = tuple(fault for fault in self._left if fault.repair not in self._repaired)
        self._simulated = SimulatedFurnace(self._furnace, self._left)
        return not self._left
