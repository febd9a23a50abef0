"""How far a position can be relied on, as an expanded uncertainty U (95 %).

GUM (JCGM 100): half-widths of rectangular distributions divided by sqrt 3, standard deviations as they are. Until the
scales have been proved, what they may be off stands in their configuration; each check that was made takes the place of
such an assumption. Resolution and noise enter twice: when the datum was set, by a single reading, and now.
"""

from __future__ import annotations

import math
from typing import Literal

from waytell.documents.base import Axis
from waytell.documents.config import Scale
from waytell.documents.proving import Trust
from waytell.engine.axes import REFERENCE_C, Term
from waytell.engine.budget import Contribution
from waytell.engine.datum import TOUCH_HALF_WIDTH_MM
from waytell.engine.known import Known

TEMPERATURE_HALF_WIDTH_K = 2.0
"""How well the temperature of a scale in a workshop is known. Common practice, no source."""
EXPANSION_HALF_SHARE = 0.1
"""How well the expansion of a scale is known. Common practice, no source."""

REPEATED: tuple[Literal["repeatability", "reversal"], ...] = ("repeatability", "reversal")


def contributions(
    known: Known, axis: Axis, noise_mm: float, travel_mm: float, counts: tuple[int, ...] = ()
) -> list[Contribution]:
    """What a position of the tool along an axis is uncertain by.

    `noise_mm` is the standard deviation at rest as it is now, `travel_mm` the distance from the datum, `counts` where
    the scales stand: a map tells nothing of places beyond it.
    """
    scales = {scale.channel: scale for scale in known.config.scales}
    places = [counts] if axis not in known.datums else [counts, known.datums[axis].counts]
    usable = {one.channel for one in known.mapped(axis) if counts and all(map(one.covers, places))}
    found = [Contribution("touch", *one) for one in _touches(known, axis)]
    noises = [noise_mm]
    for term in known.terms[axis]:
        scale = scales[term.channel]
        trust = known.proved.trust.get(scale.slide, {})
        found += _of_scale(known, scale, term, trust, travel_mm, mapped=term.channel in usable)
        noises += [_mm(trust[name]) * _lean(scale, term) for name in ("noise", "noise_running") if name in trust]
    return [*found, Contribution("noise", math.sqrt(2) * max(noises), math.inf)]


def _of_scale(
    known: Known, scale: Scale, term: Term, trust: dict[str, Trust], travel_mm: float, *, mapped: bool
) -> list[Contribution]:
    lean = _lean(scale, term)
    found = [Contribution("resolution", abs(term.mm_per_count) / math.sqrt(6), math.inf)]
    found += _errors(scale, trust, lean, mapped=mapped)
    if "factor" in trust:
        one = trust["factor"]
        found.append(Contribution("reference", _mm(one) * travel_mm / 1000, one.degrees or math.inf))
    if "repeatability" in trust:
        found.append(
            Contribution("repeatability", _mm(trust["repeatability"]) * lean, _degrees(trust["repeatability"]))
        )
    if "reversal" in trust:
        found.append(Contribution("reversal", _mm(trust["reversal"]) * lean, _degrees(trust["reversal"])))
    warm_k = known.config.machine.temperature_c - REFERENCE_C
    alpha = scale.expansion_um_m_k * 1e-6
    half = math.hypot(alpha * TEMPERATURE_HALF_WIDTH_K, EXPANSION_HALF_SHARE * alpha * warm_k)
    return [*found, Contribution("expansion", half * travel_mm * lean / math.sqrt(3), math.inf)]


def _errors(scale: Scale, trust: dict[str, Trust], lean: float, *, mapped: bool) -> list[Contribution]:
    """What the scale itself may be off: by its map, by how crooked it was found, or as it was set up."""
    if mapped and "map" in trust:
        both = (("map", trust["map"]), ("reference", trust.get("reference")))
        return [Contribution(name, _mm(one) * lean, _degrees(one)) for name, one in both if one is not None]  # type: ignore[arg-type]
    told = _mm(trust["straightness"]) if "straightness" in trust else 0.0
    return [Contribution("scale", max(told, scale.accuracy_um * 1e-3 / math.sqrt(3)) * lean, math.inf)]


def _touches(known: Known, axis: Axis) -> list[tuple[float, float]]:
    """The touching off that set the datum; another tool's touch adds its own."""
    datum = known.datums.get(axis)
    if datum is None:
        return []
    half = TOUCH_HALF_WIDTH_MM[datum.how]
    other = known.tool is not None and known.tool.name != datum.tool
    touched = [half, TOUCH_HALF_WIDTH_MM["touch"]] if other else [half]
    return [(math.hypot(*touched) / math.sqrt(3), math.inf)]


def _lean(scale: Scale, term: Term) -> float:
    """How much of the slide's travel goes along the axis."""
    return min(1.0, abs(term.mm_per_count) / (scale.resolution_um * 1e-3 * scale.scale_factor))


def _mm(trust: Trust) -> float:
    return trust.standard_um * 1e-3


def _degrees(trust: Trust) -> float:
    return math.inf if trust.degrees is None else trust.degrees


def decimals(u_mm: float, resolution_mm: float, unit_mm: float = 1.0) -> int:
    """Digits after the point that mean something in a unit: U keeps two digits (GUM 7.2.6), half a count is the least.

    >>> decimals(0.013, 0.005), decimals(0.13, 0.005), decimals(0.013, 0.005, 25.4)
    (3, 2, 4)
    """
    step = max(u_mm / 10, resolution_mm / 2) / unit_mm
    # A step a little below a power of ten, such as half of 0.0002 inch in mm, is no reason for one digit more.
    return max(0, min(5, math.ceil(-math.log10(step) - 0.05))) if step > 0 else 3
