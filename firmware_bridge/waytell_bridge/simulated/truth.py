"""The hidden truth of what was cut: passes as they really were, and the finished work.

Work coordinates are the person's: true displacement of the tool's corner from where the last touch-off put it, as a
perfect scale would show it. `metal_mm` is where the metal really ended up in the same coordinates, which no scale
sees. Values only; `strokes` measures them.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

Axis = Literal["X", "Z"]
Kind = Literal["facing", "turning"]
Role = Literal["skim", "roughing", "finish", "spring", "air"]


@dataclass(frozen=True)
class TruePass:
    """One forward stroke. X is a radius; `start_mm` to `end_mm` is the part in contact, `from` to `to` all of it."""

    kind: Kind
    role: Role
    completed: bool
    """False where the person broke it off."""
    feed_axis: Axis
    held_axis: Axis
    from_mm: float
    to_mm: float
    start_mm: float | None
    end_mm: float | None
    held_mm: float
    """Median of the held slide in contact, as a perfect scale shows it (over all the stroke, for air)."""
    metal_mm: float | None
    """Where the metal ended up: mean radius half way along, or mean Z of the face half way in."""
    set_depth_mm: float
    """Advance of the held slide since the surface before it (touched, or cut by the last pass)."""
    depth_mm: float
    """Metal really taken: mean around the circumference, median along the stroke."""
    creep_mm: float
    """Largest departure of the held slide from where it stood as the stroke began, in contact, with its sign."""
    creep_at_mm: float | None
    volume_mm3: float
    t_start_s: float
    t_end_s: float
    x_zero_mm: float
    """Where X = 0 of the work coordinates lies from the lathe's fixed origin."""
    z_zero_mm: float


@dataclass(frozen=True)
class TouchedOff:
    """A touch-off as it was, and where the zero of its axis then lay from the lathe's fixed origin."""

    t_s: float
    axis: Axis
    how: str
    at_mm: float
    zero_mm: float


@dataclass(frozen=True)
class Truth:
    """What a script left behind. Places of the work from the lathe's fixed origin; diameters in mm."""

    passes: tuple[TruePass, ...]
    touch_offs: tuple[TouchedOff, ...]
    final_face_z_mm: float
    """Mean Z of the end face half way between centre and edge."""
    final_diameters_mm: tuple[tuple[float, float], ...]
    """(Z, mean diameter) every millimetre from the end face to the jaws."""
    face_clean: bool
    volume_mm3: float
    outline: tuple[tuple[float, float], ...] = field(repr=False)
    acts: tuple[tuple[float, dict[str, object]], ...] = field(default=(), repr=False)
