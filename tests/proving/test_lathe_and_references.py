"""What is found of the lathe itself by geometry of its own, expansion, and how well references are known."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import pytest
import uncertainties  # type: ignore[import-untyped]
from hypothesis import given
from hypothesis import strategies as st

from waytell.documents.proving import Reference
from waytell.engine.student_t import coverage_factor
from waytell.proving.expansion import expansion
from waytell.proving.faced_disc import faced_disc
from waytell.proving.not_enough import NotEnough
from waytell.proving.references import gauge_block_limit_um, standard_um
from waytell.proving.two_collars import two_collars

# -- a faced disc --------------------------------------------------------------------------------------------------

NEAR_AND_FAR = [-45.0, -35.0, -25.0, -15.0, 15.0, 25.0, 35.0, 45.0]


def turned(angle_rad: float) -> np.ndarray:
    """Rotation in the plane of X and Z."""
    return np.array([[math.cos(angle_rad), -math.sin(angle_rad)], [math.sin(angle_rad), math.cos(angle_rad)]])


def dial(x_mm: float, angle_rad: float) -> float:
    """A dial on a slide at an angle against a face that the same slide cut, worked out from the two bodies alone.

    The tool's path in the plane through the axis is a ray turned by the angle; the spindle makes its mirror image on
    the far side. The dial's tip runs on along the path; what it reads is how far the face stands out from the tip,
    along Z.
    """
    along = x_mm / math.cos(angle_rad)
    tip = turned(angle_rad) @ np.array([along, 0.0])
    cut = turned(angle_rad) @ np.array([abs(along), 0.0])
    assert abs(tip[0]) == pytest.approx(cut[0])
    return float(cut[1] - tip[1])


@given(st.floats(-2e-3, 2e-3), st.floats(-1.0, 1.0))
def test_a_disc_tells_the_angle_of_the_slide_that_faced_it(angle_rad: float, zero: float) -> None:
    found = faced_disc([(x, zero + dial(x, angle_rad)) for x in NEAR_AND_FAR], 0.003)
    assert found.tangent == pytest.approx(math.tan(angle_rad), abs=1e-12)
    assert found.angle_deg == pytest.approx(math.degrees(angle_rad), abs=1e-10)
    assert found.near_half == pytest.approx(0.0, abs=1e-12)


def test_at_the_far_rim_it_reads_the_diameter_by_the_tangent() -> None:
    """A disc of 90 mm faced hollow by 20 um over 100 mm."""
    tangent = 20e-3 / 100
    assert dial(45.0, math.atan(tangent)) == pytest.approx(0.0)
    assert dial(-45.0, math.atan(tangent)) == pytest.approx(90 * tangent)
    assert faced_disc([(x, dial(x, math.atan(tangent))) for x in NEAR_AND_FAR], 0.003).um_per_100_mm == pytest.approx(
        20
    )


def test_where_the_plunger_crosses_the_centre_need_not_be_known_exactly() -> None:
    found = faced_disc([(x, dial(x - 3.0, 5e-4)) for x in NEAR_AND_FAR], 0.003)
    assert found.tangent == pytest.approx(5e-4, rel=1e-3)


def test_a_face_that_another_slide_cut_shows_on_the_near_half() -> None:
    found = faced_disc([(x, dial(x, 4e-4) + 3e-4 * x) for x in NEAR_AND_FAR], 0.001)
    assert found.near_half == pytest.approx(3e-4, rel=1e-6)
    assert found.near_half > 3 * found.u_near_half


def test_u_of_the_angle_covers_it_as_often_as_it_claims() -> None:
    held = 0
    for seed in range(2000):
        noise = np.random.default_rng(seed).normal(0, 0.004, len(NEAR_AND_FAR))
        points = [(x, dial(x, 4e-4) + float(e)) for x, e in zip(NEAR_AND_FAR, noise, strict=True)]
        found = faced_disc(points, 0.004)
        held += abs(found.tangent - 4e-4) <= coverage_factor(found.degrees_of_freedom) * found.u_tangent
    # From three standard deviations below 95 % of 2000; the larger of scatter and dial is taken, so it covers more.
    assert 1871 <= held <= 1980


def test_two_points_a_side_are_as_sure_as_the_dial_makes_them() -> None:
    found = faced_disc([(-40.0, 0.02), (-10.0, 0.005), (10.0, 0.0), (40.0, 0.0)], 0.003)
    far = [uncertainties.ufloat(0.02, 0.003), uncertainties.ufloat(0.005, 0.003)]
    slope = (far[0] - far[1]) / 60
    assert found.tangent == pytest.approx(slope.nominal_value)
    assert found.u_tangent == pytest.approx(slope.std_dev)
    assert math.isinf(found.degrees_of_freedom)


@pytest.mark.parametrize(
    "points",
    [[], [(-10.0, 0.0), (-20.0, 0.0), (10.0, 0.0)], [(5.0, 0.0), (10.0, 0.0), (20.0, 0.0)],
     [(-10.0, 0.0), (-10.0, 0.0), (10.0, 0.0), (20.0, 0.0)], [(-2.0, 0.0), (-1.0, 0.0), (1.0, 0.0), (2.0, 0.0)]],
)  # fmt: skip
def test_a_disc_swept_too_little_is_refused(points: list[tuple[float, float]]) -> None:
    with pytest.raises(NotEnough) as refused:
        faced_disc(points, 0.003)
    assert refused.value.do


# -- two collars ---------------------------------------------------------------------------------------------------


@given(st.floats(-1e-3, 1e-3), st.floats(5.0, 100.0), st.floats(20.0, 200.0))
def test_the_taper_is_twice_what_the_axis_leans(angle_rad: float, radius_mm: float, apart_mm: float) -> None:
    """The tool runs parallel to the bed while the axis leans from it by the angle."""
    collars = [(z, 2 * (radius_mm + z * math.tan(angle_rad))) for z in (-apart_mm, 0.0)]
    found = two_collars(collars, 0.002)
    assert found.angle_deg == pytest.approx(math.degrees(angle_rad), abs=1e-9)
    assert found.um_per_100_mm == pytest.approx(2 * math.tan(angle_rad) * 1e5, abs=1e-6)
    assert found.apart_mm == apart_mm


def test_its_uncertainty_is_that_of_the_micrometer_over_the_distance() -> None:
    # A micrometer of 0 to 50 mm keeps 4 um by DIN 863.
    near, far = uncertainties.ufloat(20.010, 0.002), uncertainties.ufloat(20.0, 0.002)
    taper = (near - far) / 80
    found = two_collars([(0.0, 20.010), (-80.0, 20.0)], 0.002)
    assert found.taper == pytest.approx(taper.nominal_value)
    assert found.u_taper == pytest.approx(taper.std_dev)


@pytest.mark.parametrize(("zs", "most"), [([-80.0, 0.0], 1937), ([-80.0, -40.0, 0.0], 2000)])
def test_u_of_the_taper_covers_it_as_often_as_it_claims(zs: list[float], most: int) -> None:
    """With k = 2, so in 95.45 %; three collars take the larger of scatter and micrometer and cover more."""
    held = 0
    for seed in range(2000):
        noise = np.random.default_rng(seed).normal(0, 0.002, len(zs))
        found = two_collars([(z, 20.0 + 1e-4 * z + float(e)) for z, e in zip(zs, noise, strict=True)], 0.002)
        held += abs(found.taper - 1e-4) <= 2 * found.u_taper
    # Three standard deviations about 1909.
    assert 1881 <= held <= most


def test_three_collars_that_are_not_in_line_are_less_sure() -> None:
    straight = two_collars([(0.0, 20.01), (-40.0, 20.005), (-80.0, 20.0)], 0.001)
    bent = two_collars([(0.0, 20.01), (-40.0, 20.03), (-80.0, 20.0)], 0.001)
    assert bent.taper == pytest.approx(straight.taper)
    assert bent.u_taper > 3 * straight.u_taper


@pytest.mark.parametrize("points", [[], [(0.0, 20.0)], [(0.0, 20.0), (-5.0, 20.0)], [(0.0, 20.0), (0.0, 20.0)]])
def test_collars_too_near_or_too_few_are_refused(points: list[tuple[float, float]]) -> None:
    with pytest.raises(NotEnough):
        two_collars(points, 0.002)


# -- expansion -----------------------------------------------------------------------------------------------------

# 20 degrees is the reference (ISO 1). Expansion of steel 11.5 and aluminium 23.1 um a metre and kelvin: Swyt, Journal
# of Research of NIST 99, 31 (1994); float glass 8.3 to 8.7: a published table of glasses.


@pytest.mark.parametrize(("work", "error_um"), [(11.5, 1.5), (23.1, 7.3)])
def test_a_glass_scale_beside_steel_and_aluminium(work: float, error_um: float) -> None:
    assert expansion(100.0, 8.5, work, 25.0, 0.5).error_um == pytest.approx(error_um)


@given(st.floats(0.1, 30), st.floats(0.1, 30), st.floats(-10, 50), st.floats(0.01, 5), st.floats(1, 500))
def test_expansion_equals_first_order_propagation_by_another_library(
    scale: float, work: float, celsius: float, u_k: float, length_mm: float
) -> None:
    warm = uncertainties.ufloat(celsius, u_k) - 20.0
    # A tenth of either expansion as half-width: common practice, no source.
    of_scale = uncertainties.ufloat(scale, scale * 0.1 / math.sqrt(3))
    of_work = uncertainties.ufloat(work, work * 0.1 / math.sqrt(3))
    error = (of_work - of_scale) * warm * length_mm * 1e-3
    found = expansion(length_mm, scale, work, celsius, u_k)
    assert found.error_um == pytest.approx(error.nominal_value, abs=1e-9)
    assert found.u_um == pytest.approx(error.std_dev, rel=1e-6, abs=1e-9)


@given(st.floats(0, 30), st.floats(1, 500))
def test_at_20_degrees_or_alike_there_is_no_error(alpha: float, length_mm: float) -> None:
    assert expansion(length_mm, alpha, 11.5, 20.0, 0.0).error_um == 0.0
    assert expansion(length_mm, alpha, alpha, 31.0, 0.0).error_um == pytest.approx(0.0, abs=1e-9)


# -- references ----------------------------------------------------------------------------------------------------

# Gauge block tolerances after DIN 861, on a page that says they correspond with ISO 3650: length, grades 0, 1, 2, um.
BLOCKS = [
    (10, 0.12, 0.20, 0.45), (25, 0.14, 0.30, 0.60), (50, 0.20, 0.40, 0.80), (75, 0.25, 0.50, 1.00),
    (100, 0.30, 0.60, 1.20), (150, 0.40, 0.80, 1.60), (200, 0.50, 1.00, 2.00), (250, 0.60, 1.20, 2.40),
]  # fmt: skip


@pytest.mark.parametrize("row", BLOCKS)
def test_limits_of_gauge_blocks_equal_the_published_table(row: tuple[float, ...]) -> None:
    length_mm, *limits = row
    assert [gauge_block_limit_um(length_mm, grade) for grade in (0, 1, 2)] == limits
    assert [gauge_block_limit_um(length_mm - 1.0, grade) for grade in (0, 1, 2)] == limits
    assert gauge_block_limit_um(length_mm + 0.001, 2) > limits[2] or length_mm == 250


@given(st.floats(0.5, 500), st.floats(0, 500), st.sampled_from([0, 1, 2]))
def test_a_longer_block_and_a_worse_grade_are_never_surer(length_mm: float, more_mm: float, grade: int) -> None:
    one = gauge_block_limit_um(length_mm, grade)
    assert gauge_block_limit_um(length_mm + more_mm, grade) >= one
    assert all(gauge_block_limit_um(length_mm, worse) > one for worse in range(grade + 1, 3))


STATED: list[Callable[[], Reference]] = [
    lambda: Reference(kind="gauge_block", u_um=3.0),
    lambda: Reference(kind="dial", u_um=3.0),
    lambda: Reference(kind="other", u_um=3.0),
]


@pytest.mark.parametrize("stated", STATED)
def test_what_is_said_of_a_reference_counts_before_what_is_usual(stated: Callable[[], Reference]) -> None:
    assert standard_um(stated(), 50.0) == pytest.approx(1.5)


def test_gauge_blocks_are_surer_than_a_dial_of_hundredths() -> None:
    block = standard_um(Reference(kind="gauge_block", grade=2), 50.0)
    assert 0.8 / math.sqrt(3) < block < standard_um(Reference(kind="setting_bar"), 50.0) * 1.1
    assert block < standard_um(Reference(kind="dial"), 50.0) / 5
    # Even grade 2 is well below a count of 5 um.
    assert block < 5.0 / math.sqrt(12)
