"""What the slides of a hand lathe really did: a place at every moment, with knocks on top; and the spindle.

Own model, shared with nothing in the program: lengths in mm, X as a radius, time in seconds from the start of the log.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field

import numpy as np

from turners.hands import Track


@dataclass
class Slide:
    """A slide's place at the corners of its motion; between them it goes straight."""

    place_mm: float
    t_s: list[float] = field(default_factory=list)
    at_mm: list[float] = field(default_factory=list)
    knocks: list[tuple[float, float, float]] = field(default_factory=list)
    """Time, size and length of each knock: the slide gives way and comes back."""

    def goes(self, t_s: float, at_mm: float) -> None:
        self.t_s.append(t_s)
        self.at_mm.append(at_mm)
        self.place_mm = at_mm

    def places(self, t_s: Track) -> Track:
        """Where it was wound to at these times, without knocks."""
        if not self.t_s:
            return np.full(len(t_s), self.place_mm)
        return np.interp(t_s, self.t_s, self.at_mm)

    def places_with_knocks(self, t_s: Track) -> Track:
        places = self.places(t_s)
        for begin_s, size_mm, lasts_s in self.knocks:
            part = np.clip((t_s - begin_s) / lasts_s, 0, 1)
            places = places + size_mm * np.sin(np.pi * part)
        return places


@dataclass
class Lathe:
    """Slides by name, the compound's angle (0 along Z; winding in takes the tool to the centre where positive)."""

    slides: dict[str, Slide]
    compound_deg: float = 0.0
    spindle: list[tuple[float, float]] = field(default_factory=lambda: [(0.0, 0.0)])
    """From when on it ran at how many revolutions a minute."""
    tip: dict[str, float] = field(default_factory=dict)
    """How far the edge of the tool in use stands from that of the first one."""

    def tool_x(self, t_s: Track) -> Track:
        return self._tip("cross", t_s) + math.sin(math.radians(self.compound_deg)) * self._compound(t_s)

    def tool_z(self, t_s: Track) -> Track:
        return self._tip("carriage", t_s) + math.cos(math.radians(self.compound_deg)) * self._compound(t_s)

    def drill_z(self, t_s: Track) -> Track:
        return self.slides["tailstock"].places(t_s)

    def _tip(self, slide: str, t_s: Track) -> Track:
        return self.slides[slide].places(t_s) + self.tip.get(slide, 0.0)

    def rpm(self, t_s: float) -> float:
        return [rpm for begin_s, rpm in self.spindle if begin_s <= t_s][-1]

    def _compound(self, t_s: Track) -> Track:
        slide = self.slides.get("compound")
        return slide.places(t_s) if slide else np.zeros(len(t_s))
