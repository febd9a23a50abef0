"""An operation as the person has it in mind: what is fed where, which size is held, how deep the next pass goes.

The person's own arithmetic, for working without a display; no rule of anybody else's plan is followed here.
"""

from __future__ import annotations

import math
from dataclasses import asdict, dataclass
from typing import TYPE_CHECKING, Any, Final

if TYPE_CHECKING:
    from waytell_bridge.simulated.truth import Axis, Kind

NEAR_ENOUGH_MM: Final = 0.006
"""A person does not wind again for less."""


@dataclass(frozen=True)
class Job:
    """X is a radius. `document` is the same in the words of the acts."""

    name: str
    kind: Kind
    start_mm: float
    end_mm: float
    target_mm: float
    depth_mm: float
    finish_mm: float = 0.0
    tolerance_mm: float = 0.0
    free_first_pass: bool = False
    planned_rpm: float = 0.0

    @property
    def feed_axis(self) -> Axis:
        return "X" if self.kind == "facing" else "Z"

    @property
    def held_axis(self) -> Axis:
        return "Z" if self.kind == "facing" else "X"

    @property
    def sense(self) -> int:
        """Which way the feed goes."""
        return 1 if self.end_mm > self.start_mm else -1

    @property
    def near_enough_mm(self) -> float:
        """No further pass for less: what a person finds good enough for these limits."""
        return max(NEAR_ENOUGH_MM, self.tolerance_mm / 4)

    def document(self) -> dict[str, Any]:
        return asdict(self)

    def next_target_mm(self, surface_mm: float) -> float:
        """Where the next pass goes: equal roughing depths, then what is left for finishing."""
        rough = surface_mm - (self.target_mm + self.finish_mm)
        # A twentieth more than the wanted depth is taken rather than a pass more.
        passes = math.ceil(rough / self.depth_mm - 0.05)
        if passes < 1 or rough <= 2 * NEAR_ENOUGH_MM:
            return self.target_mm
        return surface_mm - rough / passes
