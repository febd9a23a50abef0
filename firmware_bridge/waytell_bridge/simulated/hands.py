"""A person's hand on a handwheel: how fast a slide is really wound when a certain speed is meant.

A hand takes time to get going, pushes harder on one side of the turn than on the other, trembles, and where it is
jerky lets go to take a new grip. Speeds are human: the largest stays below 60 mm/s on the carriage's rack.

Not simulated: fatigue, two hands on two wheels at once.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from random import Random

    from waytell_bridge.simulated.lathe import Slide
    from waytell_bridge.simulated.settings import SlideName, Style


@dataclass(frozen=True)
class Wheel:
    """Travel of one turn, the fastest a hand keeps up, how quickly it gets there (common practice, no source)."""

    turn_mm: float
    fastest_mm_s: float
    gain_mm_s2: float


WHEELS: Final[dict[SlideName, Wheel]] = {
    "cross": Wheel(turn_mm=1.5, fastest_mm_s=6.0, gain_mm_s2=20.0),
    "carriage": Wheel(turn_mm=20.0, fastest_mm_s=35.0, gain_mm_s2=80.0),
    "compound": Wheel(turn_mm=1.5, fastest_mm_s=5.0, gain_mm_s2=20.0),
}


@dataclass(frozen=True)
class Manner:
    """Shares of the speed: swing once a turn, tremble; and seconds to take a new grip each half turn."""

    swing: float
    tremble: float
    grip_s: float = 0.0


MANNERS: Final[dict[Style, Manner]] = {
    "smooth": Manner(swing=0.05, tremble=0.03),
    "uneven": Manner(swing=0.22, tremble=0.12),
    "jerky": Manner(swing=0.15, tremble=0.10, grip_s=0.15),
}
TREMBLE_S = 0.08
MOST_SWING = 0.5


class Hands:
    def __init__(self, style: Style, chance: Random) -> None:
        self.style: Style = style
        self._chance = chance
        self._speed_mm_s = 0.0
        self._tremble = 0.0
        self._grip_left_s = 0.0
        self._half_turn = 0

    @property
    def still(self) -> bool:
        return self._speed_mm_s == 0.0

    def wind(self, name: SlideName, slide: Slide, meant_mm_s: float, dt: float) -> None:
        """Wind a slide for `dt` seconds, meaning this speed (negative: inwards, or towards the headstock)."""
        wheel, manner = WHEELS[name], MANNERS[self.style]
        meant = min(max(meant_mm_s, -wheel.fastest_mm_s), wheel.fastest_mm_s)
        # Stopping is quicker than starting: the hand only has to hold.
        most = wheel.gain_mm_s2 * dt * (3 if abs(meant) < abs(self._speed_mm_s) else 1)
        self._speed_mm_s += min(max(meant - self._speed_mm_s, -most), most)
        if self._gripping(slide.handle_mm / wheel.turn_mm, manner, dt):
            return
        self._tremble += (self._chance.gauss(0, manner.tremble) - self._tremble * 0.5) * min(1.0, dt / TREMBLE_S)
        swing = manner.swing * math.sin(2 * math.pi * slide.handle_mm / wheel.turn_mm) + self._tremble
        slide.wind(self._speed_mm_s * (1 + min(max(swing, -MOST_SWING), MOST_SWING)) * dt)

    def _gripping(self, turns: float, manner: Manner, dt: float) -> bool:
        half_turn = math.floor(2 * turns)
        if manner.grip_s and half_turn != self._half_turn:
            self._grip_left_s = manner.grip_s * self._chance.uniform(0.6, 1.5)
        self._half_turn = half_turn
        self._grip_left_s = max(0.0, self._grip_left_s - dt)
        return self._grip_left_s > 0
