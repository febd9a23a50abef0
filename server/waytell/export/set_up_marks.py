"""Where the features of a part lie on the section of their set-up, for their numbers."""

from __future__ import annotations

from itertools import pairwise

from waytell.documents.part import Bore, Chamfer, Face, Feature, Groove, Hole, Part, Taper, Turned
from waytell.documents.plan import Polygon, SetUpPlan
from waytell.export.section_svg import Mark
from waytell.planning.target import features_of


def marks_of(part: Part, set_up: SetUpPlan) -> list[Mark]:
    own = features_of(part, set_up.number)
    return [
        Mark(one.number, *_place(one.feature, [each.feature for each in own], set_up.target), _is_inside(one.feature))
        for one in own
    ]


def _is_inside(feature: Feature) -> bool:
    return isinstance(feature, Hole | Bore) or (isinstance(feature, Chamfer) and feature.where == "inside")


def _place(feature: Feature, others: list[Feature], target: Polygon) -> tuple[float, float]:
    """(Z, radius) of a place on the surface, in the middle of what is left of it."""
    match feature:
        case Face():
            radii = radii_at(target, -1e-3)
            return 0.0, (radii[0] + radii[-1]) / 2 if radii else 0.0
        case Turned():
            # Smaller diameters in front of it take away what they reach over.
            ends = [_end(one) for one in others if isinstance(one, Turned) and one.diameter.mm < feature.diameter.mm]
            return _middle(feature.from_mm, _end(feature), ends), feature.diameter.mm / 2
        case Hole() | Bore():
            width = _width(feature)
            ends = [_end(one) for one in others if isinstance(one, Hole | Bore) and _width(one) > width]
            return _middle(0.0, _end(feature), ends), width / 2
        case Taper():
            return -(feature.from_mm + feature.to_mm) / 2, (feature.diameter.mm + feature.end_diameter_mm) / 4
        case Groove():
            return -(feature.from_mm + feature.to_mm) / 2, feature.diameter.mm / 2
        case Chamfer():
            z = -feature.at_mm - feature.size_mm / 2
            radii = radii_at(target, z)
            return z, (radii[0] if feature.where == "inside" else radii[-1]) if radii else 0.0
        case _:
            radii = radii_at(target, -feature.at_mm)
            return -feature.at_mm, radii[-1] if radii else 0.0


def _middle(start_mm: float, end_mm: float, ends_in_front: list[float]) -> float:
    begins = max([start_mm, *(end for end in ends_in_front if end < end_mm)])
    return -(begins + end_mm) / 2


def _end(feature: Turned | Hole | Bore) -> float:
    return feature.to_mm if isinstance(feature, Hole) else feature.to.mm


def _width(feature: Hole | Bore) -> float:
    return feature.diameter_mm if isinstance(feature, Hole) else feature.diameter.mm


def radii_at(polygon: Polygon, z_mm: float) -> list[float]:
    """Where a closed half section crosses a place along the work, from the inside out.

    >>> radii_at(((-10, 2), (0, 2), (0, 5), (-10, 8)), -5)
    [2.0, 6.5]
    """
    found = []
    for (z1, r1), (z2, r2) in pairwise([*polygon, polygon[0]]):
        if (z1 < z_mm) != (z2 < z_mm):
            found.append(r1 + (r2 - r1) * (z_mm - z1) / (z2 - z1))
    return sorted(found)
