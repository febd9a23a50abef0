"""The outline of the work as a staircase: exact corners, never grows, the same as two independent models."""

from __future__ import annotations

import math

import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from shapely.geometry.base import BaseGeometry

from waytell.engine.section import PIP_MM, Section

BAR = Section.bar(12.0, 40.0, 0.0)
# Radii above the pip, so that the models below need not know of it.
RADII = st.integers(1, 48).map(lambda quarter: quarter / 4)
PLACES = st.integers(-160, 4).map(lambda quarter: quarter / 4)
PATHS = st.lists(st.tuples(RADII, PLACES), max_size=12)


def after(path: list[tuple[float, float]], section: Section = BAR) -> Section:
    for x, z in path:
        section = section.cut(x, z)
    return section


@given(PATHS)
def test_every_radius_is_that_of_a_model_on_a_grid(path: list[tuple[float, float]]) -> None:
    section = after(path)
    for quarter in range(-159, 1):
        middle = quarter / 4 - 0.125
        beyond = [x for x, z in path if z < middle]
        assert section.radius_at(middle) == min([12.0, *beyond])


def swept(path: list[tuple[float, float]]) -> BaseGeometry:
    """The bar less all that the tool's quarter plane has covered, as polygons."""
    metal: BaseGeometry = shapely.box(-40.0, 0.0, 0.0, 12.0)
    for x, z in path:
        metal = metal.difference(shapely.box(z, x, 100.0, 100.0))
    return metal


def right_angled(path: list[tuple[float, float]], steps: int = 5) -> list[tuple[float, float]]:
    """Feeds along one axis at a time between the places, in small steps, as readings follow each other."""
    out: list[tuple[float, float]] = []
    x, z = 13.0, 2.0
    for to_x, to_z in path:
        out += [(x + (to_x - x) * n / steps, z) for n in range(1, steps + 1)]
        out += [(to_x, z + (to_z - z) * n / steps) for n in range(1, steps + 1)]
        x, z = to_x, to_z
    return out


@given(PATHS)
def test_area_and_shape_are_those_of_swept_polygons(path: list[tuple[float, float]]) -> None:
    trail = right_angled(path)
    section = after(trail)
    corners = [(section.chuck_mm, 0.0), *section.corners(), (section.ends[-1], 0.0)]
    told = shapely.Polygon(corners) if len(set(corners)) > 2 else shapely.Polygon()
    assert told.symmetric_difference(swept(trail)).area == pytest.approx(0.0, abs=1e-9)


@given(PATHS, RADII, PLACES)
def test_cutting_never_adds_metal_and_the_same_cut_again_changes_nothing(
    path: list[tuple[float, float]], x: float, z: float
) -> None:
    before = after(path)
    once = before.cut(x, z)
    for place in (quarter / 4 - 0.125 for quarter in range(-159, 1)):
        assert once.radius_at(place) <= before.radius_at(place)
    assert once.cut(x, z) == once


@given(PATHS)
def test_the_order_of_the_cuts_does_not_matter(path: list[tuple[float, float]]) -> None:
    assert after(path).corners() == after(path[::-1]).corners()


def test_corners_lie_exactly_where_they_were_cut() -> None:
    section = after([(11.123456, -7.654321), (0.0, -0.123456)])
    assert section.corners() == (
        (-40.0, 12.0), (-7.654321, 12.0), (-7.654321, 11.123456), (-0.123456, 11.123456),
    )  # fmt: skip


@pytest.mark.parametrize(
    ("x", "z", "touches"),
    [
        (12.0, -5.0, True), (12.005, -5.0, True), (12.02, -5.0, False), (11.5, -5.0, True),
        (6.0, 0.0, True), (6.0, 0.005, True), (6.0, 0.02, False), (13.0, 0.0, False),
    ],
)  # fmt: skip
def test_a_corner_touches_within_the_band_around_the_outline(x: float, z: float, touches: bool) -> None:
    assert BAR.touches(x, z, 0.01) is touches


def test_without_a_band_only_metal_that_would_be_cut_is_touched() -> None:
    stepped = BAR.cut(10.0, -8.0)
    assert stepped.touches(9.9, -4.0, 0.0)
    assert not stepped.touches(10.1, -4.0, 0.0)
    assert stepped.touches(11.0, -8.0, 0.0)


def test_the_face_met_is_the_outermost_that_reaches_the_radius() -> None:
    stepped = BAR.cut(10.0, -8.0).cut(5.0, -3.0)
    assert [stepped.face_at(radius) for radius in (1.0, 5.0, 5.1, 10.0, 11.0, 13.0)] == [
        0.0, 0.0, -3.0, -3.0, -8.0, -40.0,
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("low", "high", "largest", "typical"),
    [
        (-3.0, 0.0, 5.0, 5.0),
        (-8.0, -3.0, 10.0, 10.0),
        (-8.0, 0.0, 10.0, 10.0),
        (-5.0, 0.0, 10.0, 5.0),
        (-9.0, 0.0, 12.0, 10.0),
        (1.0, 4.0, -math.inf, -math.inf),
        (-1.0, 4.0, 5.0, -math.inf),
    ],
)
def test_the_largest_radius_and_the_typical_one_over_a_length(
    low: float, high: float, largest: float, typical: float
) -> None:
    stepped = BAR.cut(10.0, -8.0).cut(5.0, -3.0)
    assert stepped.largest_radius(low, high) == largest
    assert stepped.typical_radius(low, high) == typical


@pytest.mark.parametrize("x", [0.0, -0.005, PIP_MM])
def test_facing_to_the_centre_takes_the_face_away_whole(x: float) -> None:
    section = BAR.cut(x, -0.5)
    assert section.corners() == ((-40.0, 12.0), (-0.5, 12.0))
    assert section.face_at(0.0) == -0.5


def test_facing_into_a_bore_takes_the_face_away_whole() -> None:
    drilled = Section.bar(12.0, 40.0, 0.0, 4.0)
    assert drilled.cut(4.0, -0.5).corners() == ((-40.0, 12.0), (-0.5, 12.0))
    assert drilled.cut(5.0, -0.5).corners()[-1] == (0.0, 5.0)


def test_facing_the_whole_bar_away_leaves_a_section_that_can_be_asked() -> None:
    gone = BAR.cut(0.0, -50.0)
    assert gone.largest_radius(-40.0, 0.0) <= 0.0
    assert gone.cut(5.0, -10.0).corners()


@given(PATHS, st.integers(-8, 8).map(lambda quarter: quarter / 4))
def test_a_moved_zero_of_z_moves_every_corner_and_no_radius(path: list[tuple[float, float]], by: float) -> None:
    section = after(path)
    moved = section.shifted(0.0, by, 12.0)
    assert moved.corners() == tuple((z + by, radius) for z, radius in section.corners())


def test_a_moved_zero_of_x_moves_cut_surfaces_but_not_the_bars_own() -> None:
    moved = BAR.cut(10.0, -8.0).shifted(0.02, 0.0, 12.0)
    assert moved.radius_at(-4.0) == pytest.approx(10.02)
    assert moved.radius_at(-20.0) == 12.0


def test_cuts_a_few_micrometres_apart_are_kept_apart() -> None:
    section = BAR.cut(11.0, -0.004).cut(11.5, -0.007)
    assert section.corners() == (
        (-40.0, 12.0), (-0.007, 12.0), (-0.007, 11.5), (-0.004, 11.5), (-0.004, 11.0), (0.0, 11.0),
    )  # fmt: skip
