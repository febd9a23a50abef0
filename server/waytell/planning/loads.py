"""What a pass of some depth comes to: force, power, how far it pushes work or boring bar away, and time."""

from __future__ import annotations

import math
from typing import NamedTuple

from waytell.documents.config import Machine, Tool
from waytell.documents.materials import Material
from waytell.engine.profile import together
from waytell.engine.section import Section
from waytell.planning import cutting, mechanics
from waytell.planning.jobs import Job
from waytell.planning.means import Means, depth_mm
from waytell.planning.progress import after

BAR_MODULUS_GPA = 200.0
"""Of a boring bar: carbon and alloy steel (any table of materials)."""
BAR_SHARE = 0.7
"""Thickness of a boring bar of the bore, where nobody told it (common practice, no source)."""
CLEAR_MM = 1.0
"""Fed before the metal is met."""
ACROSS = ("turning", "boring", "taper", "chamfer")
"""Held across, so that what gives way across is seen in the size."""


class Bench(NamedTuple):
    """What the depth of a pass depends on, besides the job."""

    machine: Machine
    material: Material
    tailstock: bool


class Cut(NamedTuple):
    """One pass in numbers."""

    force_n: float
    power_w: float
    deflection_mm: float
    time_s: float


# -- forces ------------------------------------------------------------------------------------------------------------


def force_n(edge: Tool, material: Material, depth: float, feed: float) -> float:
    angle = mechanics.effective_angle_deg(depth, feed, edge.nose_radius_mm, edge.approach_angle_deg)
    return mechanics.cutting_force_n(material, depth, feed, min(max(angle, 5.0), 175.0))


def passive_n(edge: Tool, material: Material, depth: float, feed: float) -> float:
    share = mechanics.passive_share(depth, feed, edge.nose_radius_mm, edge.approach_angle_deg)
    return share * force_n(edge, material, depth, feed)


def drilling_force_n(means: Means, bench: Bench, opened_mm: float, drill_mm: float) -> float:
    """What both lips together would be at the rim: k_c f d / 4, so that P = k_c f d v_c / (4 * 60) W.

    Published in any maker's drilling formulas; in a hole that is open already by the difference of the torques,
    k_c f (d^2 - d0^2) / 8.
    """
    chip = means.feed_mm_rev / 2 * math.sin(math.radians(means.edge.point_angle_deg / 2))
    return _specific(bench, chip) * means.feed_mm_rev * (drill_mm**2 - opened_mm**2) / (4 * drill_mm)


def plunging_force_n(means: Means, bench: Bench, width_mm: float) -> float:
    return _specific(bench, means.feed_mm_rev) * means.feed_mm_rev * width_mm


def _specific(bench: Bench, chip_mm: float) -> float:
    material = bench.material
    return mechanics.specific_force_n_mm2(material.kc11_n_mm2.value, material.mc.value, chip_mm)


# -- how far it gives way ----------------------------------------------------------------------------------------------


def compliance(job: Job, edge: Tool, section: Section, bench: Bench) -> float:
    """How far the work gives way at the tool for each newton, at the worst place of the cut; inside, the boring bar."""
    if job.inside:
        reach = depth_mm(job) + CLEAR_MM
        thick = edge.shank_mm or 2 * BAR_SHARE * job.target_mm
        return mechanics.compliance_mm_n([mechanics.Piece(reach, thick / 2)], BAR_MODULUS_GPA, reach, "chuck")
    pieces = shaft(section)
    length = sum(piece.length_mm for piece in pieces)
    low, high = min(job.start_mm, job.end_mm), max(job.start_mm, job.end_mm)
    places = (low, (low + high) / 2, high) if bench.tailstock else (high,)
    support: mechanics.Support = "tailstock" if bench.tailstock else "chuck"
    modulus = bench.material.modulus_gpa.value
    at = [min(max(place - section.chuck_mm, 0.0), length) for place in places]
    return max(mechanics.compliance_mm_n(pieces, modulus, place, support) for place in at)


def shaft(section: Section) -> list[mechanics.Piece]:
    """The work from the chuck outwards in pieces of one radius; cones by their middle."""
    return [
        mechanics.Piece(z1 - z0, (a0 + a1) / 2, max(0.0, (b0 + b1) / 2))
        for z0, a0, b0, z1, a1, b1 in together(section.outside, section.bore, section.chuck_mm, section.front_mm)
        if a0 + a1 - b0 - b1 > 1e-6
    ]


# -- one pass ----------------------------------------------------------------------------------------------------------


def cut_of(job: Job, means: Means, section: Section, bench: Bench, depth_mm: float) -> Cut:
    """A pass of some depth, the section being as it is after it. A spring pass has no depth and no force to tell."""
    seconds = time_s(job, means)
    if depth_mm <= 0:
        return Cut(0.0, 0.0, 0.0, seconds)
    edge, feed = means.edge, means.feed_mm_rev
    force = force_n(edge, bench.material, depth_mm, feed)
    power = mechanics.drive_power_w(mechanics.power_w(force, means.speed.vc_m_min), bench.machine.efficiency)
    gives = 0.0
    if job.kind in ACROSS:
        gives = passive_n(edge, bench.material, depth_mm, feed) * compliance(job, edge, section, bench)
    return Cut(force, power, gives, seconds)


def time_s(job: Job, means: Means, more_mm: float = 0.0) -> float:
    length = abs(job.end_mm - job.start_mm) + more_mm + CLEAR_MM
    return cutting.turning_time_s(length, means.speed.rpm, means.feed_mm_rev)


def removed_mm3(job: Job, section: Section, edge: Tool) -> float:
    """Chips of a whole job."""
    if job.kind == "parting":
        return cutting.annulus_volume_mm3(job.start_mm, job.end_mm, edge.width_mm)
    return max(0.0, section.volume_mm3() - after(job, section).volume_mm3())
