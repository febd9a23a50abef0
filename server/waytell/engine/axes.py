"""From counts to lengths along X and Z.

Length = direction * counts * resolution * scale factor * (1 + alpha_scale (T - 20)): a warm scale has stretched, so
one count is more. Counts are 32-bit and wrap, so differences are taken first, as integers; only they become floats.
A compound slide adds cos(angle) of its travel to Z and sin(angle) to X.
"""

from __future__ import annotations

import math
from typing import NamedTuple

from waytell.documents.base import Axis, Slide
from waytell.documents.config import Config, Scale

AXES: tuple[Axis, Axis] = ("X", "Z")
REFERENCE_C = 20.0  # ISO 1
_HALF = 1 << 31
_SPAN_MASK = (1 << 32) - 1


class Term(NamedTuple):
    """One scale's share in an axis."""

    channel: int
    mm_per_count: float


def signed_difference(newer: int, older: int) -> int:
    """Difference of two wrapping 32-bit counts.

    >>> signed_difference(-2147483648, 2147483647)
    1
    """
    return ((newer - older + _HALF) & _SPAN_MASK) - _HALF


def wrapped(counts: int) -> int:
    """A count as the board tells it: signed, 32 bits.

    >>> wrapped(1 << 31)
    -2147483648
    """
    return ((counts + _HALF) & _SPAN_MASK) - _HALF


def mm_per_count(scale: Scale, temperature_c: float) -> float:
    """Signed length of one count at a temperature, in mm."""
    stretched = 1 + scale.expansion_um_m_k * 1e-6 * (temperature_c - REFERENCE_C)
    return scale.direction * scale.resolution_um * 1e-3 * scale.scale_factor * stretched


def axis_terms(config: Config) -> dict[Axis, tuple[Term, ...]]:
    """Which scales make up X and Z, and how much one count of each moves them."""
    steps = {scale: mm_per_count(scale, config.machine.temperature_c) for scale in config.scales}
    return {
        axis: tuple(
            Term(scale.channel, step * share)
            for scale, step in steps.items() if (share := axis_share(config, scale.slide, axis))
        )
        for axis in AXES
    }  # fmt: skip


def axis_share(config: Config, slide: Slide, axis: Axis) -> float:
    """How much of a slide's travel goes along an axis; 0 for the tailstock, which carries no slide's tool."""
    angle = math.radians(config.compound.angle_deg)
    shares: dict[tuple[Slide, Axis], float] = {
        ("cross", "X"): 1.0, ("carriage", "Z"): 1.0,
        ("compound", "X"): math.sin(angle), ("compound", "Z"): math.cos(angle),
    }  # fmt: skip
    share = shares.get((slide, axis), 0.0)
    # A slide square to the axis adds nothing, not a rounding error of sine.
    return share if abs(share) > 1e-12 else 0.0


def quill_terms(config: Config) -> dict[Axis, tuple[Term, ...]]:
    """The scales of a drill in the tailstock: it stands on the centre line, and the quill carries it along Z."""
    step = [
        Term(scale.channel, mm_per_count(scale, config.machine.temperature_c))
        for scale in config.scales if scale.slide == "tailstock"
    ]  # fmt: skip
    return {"X": (), "Z": tuple(step)}


def moved_mm(terms: tuple[Term, ...], counts: tuple[int, ...], since: tuple[int, ...]) -> float:
    """Travel along an axis between two sets of counts, in mm."""
    return sum(term.mm_per_count * signed_difference(counts[term.channel], since[term.channel]) for term in terms)


def compound_shift_mm(axis: Axis, wound_in_mm: float, angle_deg: float) -> float:
    """How far the tool goes along an axis where so much is wound in on the compound slide."""
    angle = math.radians(angle_deg)
    return -wound_in_mm * (math.sin(angle) if axis == "X" else math.cos(angle))


def warm_mm(nominal_mm: float, expansion_um_m_k: float, temperature_c: float) -> float:
    """What a size stated at 20 degrees measures while the work is at `temperature_c`."""
    return nominal_mm * (1 + expansion_um_m_k * 1e-6 * (temperature_c - REFERENCE_C))
