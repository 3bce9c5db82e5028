"""What drives the air, gas and fire of a furnace in one state."""

from __future__ import annotations

from typing import NamedTuple


class Drive(NamedTuple):
    """Speeds as a share of full, what gas flows, what burns, what stands open.

    `stage` is 0 with the gas shut, 1 in low or the only stage, 2 in high fire.
    """

    inducer: float = 0.0
    blower: float = 0.0
    stage: int = 0
    pilot_gas: bool = False
    pilot_lit: bool = False
    first_lit: bool = False
    far_lit: bool = False
    flooded: bool = False
    damper_driven: bool = False
    damper_open: bool = False
    igniter_watts: float = 0.0

    @property
    def valve(self) -> bool:
        """Whether gas is let through to the burners."""
        return self.stage > 0


AT_REST = Drive()
