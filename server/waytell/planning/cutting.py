"""Spindle speed, time, metal removed and the roughness that the nose leaves."""

from __future__ import annotations

import math
from typing import Literal, NamedTuple

from waytell.engine.distance_to_go import cutting_speed_m_min

__all__ = [
    "Speed",
    "SpeedLimits",
    "annulus_volume_mm3",
    "chosen_speed",
    "cutting_speed_m_min",
    "facing_time_at_cutting_speed_s",
    "facing_time_s",
    "feed_for_ra",
    "removal_rate_mm3_s",
    "roughness_ra_um",
    "roughness_rt_um",
    "spindle_rpm",
    "turning_time_s",
]

SpeedLimit = Literal["material", "machine", "chuck", "steps"]

# A step that is written rounded (1273 for 1273.24) is still that step.
STEP_SLACK = 1e-3


class SpeedLimits(NamedTuple):
    """What the spindle can do, in revolutions a minute."""

    max_rpm: float
    min_rpm: float = 0.0
    chuck_max_rpm: float | None = None
    """What the chuck or faceplate may be run at; None where nothing is stated."""
    steps: tuple[float, ...] = ()
    """The speeds there are; empty where any speed can be set."""


class Speed(NamedTuple):
    """A spindle speed that can be set, and why it is not another."""

    rpm: float
    vc_m_min: float
    """Cutting speed it gives at the diameter it was chosen for."""
    limit: SpeedLimit
    words: str


def spindle_rpm(vc_m_min: float, diameter_mm: float) -> float:
    """Revolutions a minute, n = 1000 v_c / (pi d) (ISO 3002-1; published in any maker's turning formulas).

    Raises:
        ValueError: cutting speed or diameter is not above 0.

    >>> round(spindle_rpm(200, 50), 2)
    1273.24
    """
    _above_zero("cutting speed", vc_m_min)
    _above_zero("diameter", diameter_mm)
    return 1000 * vc_m_min / (math.pi * diameter_mm)


def chosen_speed(vc_m_min: float, diameter_mm: float, limits: SpeedLimits) -> Speed:
    """The speed to set for a wanted cutting speed at a diameter: never above what machine and chuck allow.

    Of the steps, the highest that is not above the wanted speed, since too slow only takes longer; where all are above
    it, the lowest, and the words say so.

    Raises:
        ValueError: cutting speed or diameter is not above 0, or the limits leave no speed at all.

    >>> chosen_speed(30, 20, SpeedLimits(2000, steps=(130, 300, 600)))[::2]
    (300, 'steps')
    """
    wanted_rpm = spindle_rpm(vc_m_min, diameter_mm)
    rpm = _allowed(wanted_rpm, limits)
    return Speed(rpm, cutting_speed_m_min(diameter_mm, rpm), *_reason(rpm, wanted_rpm, limits))


def turning_time_s(length_mm: float, rpm: float, feed_mm_rev: float) -> float:
    """Time in the cut, T = L / (f n), seconds (published in any maker's turning formulas).

    Raises:
        ValueError: spindle speed or feed is not above 0.

    >>> turning_time_s(100, 1000, 0.2)
    30.0
    """
    _above_zero("spindle speed", rpm)
    _above_zero("feed", feed_mm_rev)
    return 60 * abs(length_mm) / (feed_mm_rev * rpm)


def facing_time_s(r_out_mm: float, r_in_mm: float, rpm: float, feed_mm_rev: float) -> float:
    """Time across a face at constant spindle speed, as on a lathe with a gearbox, seconds.

    Raises:
        ValueError: spindle speed or feed is not above 0.
    """
    return turning_time_s(r_out_mm - r_in_mm, rpm, feed_mm_rev)


def facing_time_at_cutting_speed_s(r_out_mm: float, r_in_mm: float, vc_m_min: float, feed_mm_rev: float) -> float:
    """Time across a face at constant cutting speed, where the spindle goes faster towards the centre, seconds.

    T = pi (D1^2 - D2^2) / (4000 f v_c) minutes, the time integral of L / (f n) with n = 1000 v_c / (pi d). The spindle
    is taken to follow without limit, so near the centre this is the least it can take.

    Raises:
        ValueError: cutting speed or feed is not above 0.
    """
    _above_zero("cutting speed", vc_m_min)
    _above_zero("feed", feed_mm_rev)
    return 60 * math.pi * abs(r_out_mm**2 - r_in_mm**2) / (1000 * feed_mm_rev * vc_m_min)


def annulus_volume_mm3(r_out_mm: float, r_in_mm: float, length_mm: float) -> float:
    """Metal between two diameters over a length: pi (R^2 - r^2) L, mm3; Pappus' theorem gives the same.

    >>> round(annulus_volume_mm3(20, 15, 20), 3)
    10995.574
    """
    return math.pi * abs(r_out_mm**2 - r_in_mm**2) * abs(length_mm)


def removal_rate_mm3_s(r_out_mm: float, r_in_mm: float, feed_mm_rev: float, rpm: float) -> float:
    """Metal taken off while turning or boring from one radius to the other, mm3/s.

    By the exact annulus, so the cutting speed that goes in is the one at the mean diameter. The common v_c a_p f takes
    the outer diameter and is too large by the depth over the mean diameter.
    """
    return annulus_volume_mm3(r_out_mm, r_in_mm, feed_mm_rev) * rpm / 60


def roughness_rt_um(feed_mm_rev: float, nose_radius_mm: float) -> float:
    """Height of the grooves that the nose leaves, R_t = f^2 / (8 r), um (published in any maker's turning formulas).

    Geometry alone: a real surface is rougher. Within 0.4 % of the circle where f is at most a quarter of r.

    Raises:
        ValueError: the nose radius is not above 0.

    >>> round(roughness_rt_um(0.2, 0.8), 3)
    6.25
    """
    _above_zero("nose radius", nose_radius_mm)
    return 1000 * feed_mm_rev**2 / (8 * nose_radius_mm)


def roughness_ra_um(feed_mm_rev: float, nose_radius_mm: float) -> float:
    """Mean deviation of these grooves, R_a = f^2 / (18 sqrt(3) r), um: exact for a groove that is a parabola.

    Geometry alone: a real surface is rougher.

    Raises:
        ValueError: the nose radius is not above 0.

    >>> round(roughness_ra_um(0.2, 0.8), 4)
    1.6038
    """
    _above_zero("nose radius", nose_radius_mm)
    return 1000 * feed_mm_rev**2 / (18 * math.sqrt(3) * nose_radius_mm)


def feed_for_ra(ra_um: float, nose_radius_mm: float) -> float:
    """The highest feed at which the grooves alone stay within a roughness, mm a revolution.

    Raises:
        ValueError: roughness or nose radius is not above 0.

    >>> round(feed_for_ra(1.6038, 0.8), 4)
    0.2
    """
    _above_zero("roughness", ra_um)
    _above_zero("nose radius", nose_radius_mm)
    return math.sqrt(ra_um * 18 * math.sqrt(3) * nose_radius_mm / 1000)


def _allowed(wanted_rpm: float, limits: SpeedLimits) -> float:
    top_rpm, _, words = _top(limits)
    slowest_rpm = min((step for step in limits.steps if step >= limits.min_rpm), default=limits.min_rpm)
    if slowest_rpm > top_rpm:
        raise ValueError(
            f"no spindle speed is left: the slowest is {slowest_rpm:.0f} rev/min, but {words}; "
            "use another chuck, or correct the limits in the configuration"
        )
    if not limits.steps:
        return min(max(wanted_rpm, slowest_rpm), top_rpm)
    fastest_rpm = min(top_rpm, wanted_rpm * (1 + STEP_SLACK))
    return max((step for step in limits.steps if slowest_rpm <= step <= fastest_rpm), default=slowest_rpm)


def _reason(rpm: float, wanted_rpm: float, limits: SpeedLimits) -> tuple[SpeedLimit, str]:
    if abs(rpm - wanted_rpm) <= STEP_SLACK * wanted_rpm:
        return "material", "as the material wants it"
    if rpm > wanted_rpm:
        words = f"faster than the {wanted_rpm:.0f} rev/min wanted: the spindle goes no slower"
        return "steps" if limits.steps else "machine", words
    # Where a higher step would still suit the material, it is the machine or the chuck that forbids it.
    if limits.steps and not any(rpm < step <= wanted_rpm for step in limits.steps):
        return "steps", f"the next step below the {wanted_rpm:.0f} rev/min wanted"
    return _top(limits)[1:]


def _top(limits: SpeedLimits) -> tuple[float, SpeedLimit, str]:
    chuck_rpm = limits.chuck_max_rpm
    if chuck_rpm is not None and chuck_rpm < limits.max_rpm:
        return chuck_rpm, "chuck", f"the chuck may be run at no more than {chuck_rpm:.0f} rev/min"
    return limits.max_rpm, "machine", f"the spindle goes no faster than {limits.max_rpm:.0f} rev/min"


def _above_zero(what: str, value: float) -> None:
    if not value > 0:
        raise ValueError(f"the {what} must be above 0, not {value:g}")
