"""Cutting force, power, and how far the work or a boring bar gives way."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Literal, NamedTuple

from waytell.documents.materials import Material

Support = Literal["chuck", "tailstock"]

# Force in the plane of feed and depth, over the cutting force. With a sharp tool it lies between 0.3 and 0.6, with a
# worn one it grows beyond (common practice, no source).
EDGE_SHARE = 0.5
# An edge at or above 90 degrees would pull the work towards itself by the geometry alone; the wear land and the
# corner push it away all the same, so no less than this is reckoned with (common practice, no source).
LEAST_PASSIVE_SHARE = 0.1


class Piece(NamedTuple):
    """A length of one outer and one inner radius."""

    length_mm: float
    outer_radius_mm: float
    bore_radius_mm: float = 0.0


Shaft = Sequence[Piece]
"""Pieces from the chuck outwards; a boring bar is one from its holder outwards."""


def specific_force_n_mm2(kc11_n_mm2: float, mc: float, chip_thickness_mm: float) -> float:
    """k_c = k_c1.1 h^-m_c, N/mm2 (Kienzle; the material groups of VDI 3323 state k_c1.1 and m_c).

    The constants are measured on chips of about 0.05 to 2.5 mm; thinner ones are carried on along the same line.

    Raises:
        ValueError: the chip thickness is not above 0.

    >>> round(specific_force_n_mm2(1500, 0.22, 0.2), 1)
    2137.3
    """
    if not chip_thickness_mm > 0:
        raise ValueError(f"the chip thickness must be above 0 mm, not {chip_thickness_mm:g}")
    return kc11_n_mm2 * math.pow(chip_thickness_mm, -mc)


def cutting_force_n(material: Material, depth_mm: float, feed_mm_rev: float, approach_angle_deg: float) -> float:
    """F_c = k_c a_p f with the chip thickness h = f sin(kappa_r), N (ISO 3002-4, Kienzle).

    Where the nose does much of the cutting give `effective_angle_deg` instead of the angle of the straight edge: then
    h is the mean chip thickness along the edge.

    Raises:
        ValueError: depth or feed is not above 0, or the angle is not between 0 and 180 degrees.
    """
    _check_cut(depth_mm, feed_mm_rev, approach_angle_deg)
    thickness_mm = feed_mm_rev * math.sin(math.radians(approach_angle_deg))
    specific = specific_force_n_mm2(material.kc11_n_mm2.value, material.mc.value, thickness_mm)
    return specific * depth_mm * feed_mm_rev


def power_w(force_n: float, vc_m_min: float) -> float:
    """P_c = F_c v_c, W (published in any maker's turning formulas).

    >>> power_w(1860, 120)
    3720.0
    """
    return force_n * vc_m_min / 60


def drive_power_w(cutting_power_w: float, efficiency: float) -> float:
    """What the motor must give for a cutting power, W; belts and gears leave 0.7 to 0.85 of it (common practice).

    Raises:
        ValueError: the efficiency is not above 0 and at most 1.
    """
    if not 0 < efficiency <= 1:
        raise ValueError(f"the efficiency of the drive lies above 0 and is at most 1, not {efficiency:g}")
    return cutting_power_w / efficiency


def effective_angle_deg(depth_mm: float, feed_mm_rev: float, nose_radius_mm: float, approach_angle_deg: float) -> float:
    """Angle between the feed and the chord of the edge that cuts: one straight edge in place of nose and edge.

    The chord goes from where the nose leaves the metal, half a feed behind its lowest point, to where the edge meets
    the surface (Colwell, Trans. ASME 76, 1954, from memory). It is the approach angle for a sharp tool, and falls
    towards 0 where the depth is small against the nose radius.

    Raises:
        ValueError: depth or feed is not above 0, the nose radius is below 0, or the angle is not between 0 and 180
            degrees.

    >>> round(effective_angle_deg(2.0, 1e-6, 0.8, 90), 2) == round(math.degrees(math.atan(2.0 / 0.8)), 2)
    True
    """
    _check_cut(depth_mm, feed_mm_rev, approach_angle_deg)
    if nose_radius_mm < 0:
        raise ValueError(f"a nose radius is 0 mm or more, not {nose_radius_mm:g}")
    back_mm = min(feed_mm_rev / 2, nose_radius_mm)
    rise_mm = nose_radius_mm - math.sqrt(nose_radius_mm**2 - back_mm**2)
    angle = math.radians(approach_angle_deg)
    arc_depth_mm = nose_radius_mm * (1 - math.cos(angle))
    if depth_mm <= arc_depth_mm:
        # Still on the arc, whose own angle rises from 0 at the lowest point.
        ahead_mm = nose_radius_mm * math.sin(math.acos(1 - depth_mm / nose_radius_mm))
    else:
        ahead_mm = nose_radius_mm * math.sin(angle) + (depth_mm - arc_depth_mm) / math.tan(angle)
    return math.degrees(math.atan2(max(0.0, depth_mm - rise_mm), ahead_mm + back_mm))


def passive_share(depth_mm: float, feed_mm_rev: float, nose_radius_mm: float, approach_angle_deg: float) -> float:
    """Passive force over cutting force: what pushes the work away from the tool, square to the feed.

    The force in the plane of feed and depth (`EDGE_SHARE`) is taken to stand square on the chord of the edge that
    cuts, so the passive share is EDGE_SHARE cos(effective angle), never under `LEAST_PASSIVE_SHARE`. It is a rough
    figure: sharpness and rake alter it by half of itself. Measuring after the first pass tells more.

    >>> round(passive_share(0.1, 0.1, 0.8, 93), 2), round(passive_share(2.0, 0.1, 0.4, 45), 2)
    (0.49, 0.37)
    """
    effective = math.radians(effective_angle_deg(depth_mm, feed_mm_rev, nose_radius_mm, approach_angle_deg))
    return max(LEAST_PASSIVE_SHARE, EDGE_SHARE * math.cos(effective))


def second_moment_mm4(outer_diameter_mm: float, bore_diameter_mm: float = 0.0) -> float:
    """I = pi (d^4 - b^4) / 64, mm4 (any textbook of the strength of materials).

    Raises:
        ValueError: no metal is left between bore and outside.

    >>> round(second_moment_mm4(25.4))
    20432
    """
    if not 0 <= bore_diameter_mm < outer_diameter_mm:
        raise ValueError(
            f"no metal is left between a bore of {bore_diameter_mm:g} mm and an outside of {outer_diameter_mm:g} mm"
        )
    return math.pi * (outer_diameter_mm**4 - bore_diameter_mm**4) / 64


def compliance_mm_n(pieces: Shaft, modulus_gpa: float, at_mm: float, support: Support) -> float:
    """Deflection at a distance from the chuck for each newton that pushes sideways there, mm/N.

    The chuck is a clamp that does not give. With "tailstock" the far end rests on a centre that does not give either:
    a propped cantilever, its one unknown reaction from the deflection that is 0 there. By unit loads,
    integral of M m / (E I), each piece in closed form (Castigliano; any textbook of the strength of materials).
    Bending only: in a solid bar shear adds about 0.5 (d / a)^2 of it, and chuck, spindle, centre and slides give as
    well, so the true value is larger, much so for short work.

    Raises:
        ValueError: the distance is not on the work, a piece has no metal left, or the modulus is not above 0.
    """
    length_mm = sum(piece.length_mm for piece in pieces)
    if not modulus_gpa > 0:
        raise ValueError(f"Young's modulus must be above 0 GPa, not {modulus_gpa:g}")
    if not -1e-6 <= at_mm <= length_mm + 1e-6:
        raise ValueError(f"{at_mm:g} mm from the chuck is not on the work, which is {length_mm:g} mm long")
    rest_mm = length_mm - at_mm
    own = crossed = end = 0.0
    start_mm = 0.0
    for piece in pieces:
        stop_mm = start_mm + piece.length_mm
        inertia_mm4 = second_moment_mm4(2 * piece.outer_radius_mm, 2 * piece.bore_radius_mm)
        # Arms from the load to the two ends of the piece; beyond the load it bends nothing.
        far, near = max(0.0, at_mm - start_mm), max(0.0, at_mm - stop_mm)
        cubes, squares = (far**3 - near**3) / 3, (far**2 - near**2) / 2
        own += cubes / inertia_mm4
        crossed += (cubes + rest_mm * squares) / inertia_mm4
        end += ((length_mm - start_mm) ** 3 - (length_mm - stop_mm) ** 3) / (3 * inertia_mm4)
        start_mm = stop_mm
    if support == "tailstock" and end > 0:
        # At the centre itself the two are equal; rounding must not make the work stiffer than stiff.
        own = max(0.0, own - crossed**2 / end)
    return own / (1000 * modulus_gpa)


def diameter_error_mm(passive_force_n: float, give_mm_n: float) -> float:
    """How much too large a diameter is left where work or tool gives way: twice the deflection, mm."""
    return 2 * passive_force_n * give_mm_n


def _check_cut(depth_mm: float, feed_mm_rev: float, approach_angle_deg: float) -> None:
    if not (depth_mm > 0 and feed_mm_rev > 0 and 0 < approach_angle_deg < 180):
        raise ValueError(
            "a cut needs a depth and a feed above 0 mm and an approach angle between 0 and 180 degrees, not "
            f"{depth_mm:g} mm, {feed_mm_rev:g} mm and {approach_angle_deg:g} degrees"
        )
