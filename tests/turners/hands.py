"""How a hand winds a slide: fast and slow within each turn of the handle, a stop where one hand takes over."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Track = NDArray[np.float64]

STEP_S = 0.004
RAMP_S = 0.15
"""A hand needs about so long to get a handle going."""
SLOWS_MM = 0.25
"""So far before the mark the hand slows down."""


@dataclass(frozen=True)
class Handle:
    """Travel of one turn of the handle, and how unevenly it is turned (0.5: between half and one and a half)."""

    turn_mm: float
    ripple: float = 0.45


HANDLES = {
    "cross": Handle(2.0),
    "carriage": Handle(18.0, 0.3),
    "compound": Handle(2.0),
    "tailstock": Handle(2.5, 0.5),
}


def wind(
    rng: np.random.Generator, handle: Handle, from_mm: float, to_mm: float, speed_mm_s: float
) -> tuple[Track, Track]:
    """Times from 0 and places of a slide wound by hand from one place to another, at about this speed."""
    way = 1.0 if to_mm > from_mm else -1.0
    whole_mm = abs(to_mm - from_mm)
    phase = rng.uniform(0, 2 * np.pi)
    times, gone = [0.0], [0.0]
    next_hand_mm = handle.turn_mm * rng.uniform(0.3, 1.0)
    t, done = 0.0, 0.0
    while done < whole_mm:
        ripple = 1 + handle.ripple * np.sin(2 * np.pi * done / handle.turn_mm + phase)
        start = min(1.0, (t + 0.03) / RAMP_S)
        end = min(1.0, max(0.12, ((whole_mm - done) / SLOWS_MM) ** 0.5))
        t += STEP_S
        done = min(whole_mm, done + speed_mm_s * ripple * start * end * STEP_S)
        times.append(t)
        gone.append(done)
        if done > next_hand_mm:
            next_hand_mm += handle.turn_mm
            if rng.random() < 0.6 and whole_mm - done > SLOWS_MM:
                t += rng.uniform(0.06, 0.3)
                times.append(t)
                gone.append(done)
    return np.array(times), from_mm + way * np.array(gone)
