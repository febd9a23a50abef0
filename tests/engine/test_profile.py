"""Chains of straight pieces, each operation on one drawn by hand; with shapely's lines where there is a choice."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely.geometry import LineString, Point

from waytell.engine.profile import SAME_MM, Corner, Profile, simplified, together

NOWHERE = -math.inf
STEPPED = Profile((-10.0, -4.0, -4.0, 0.0, 2.0), (5.0, 5.0, 3.0, 3.0, 1.0))
"""Radius 5 up to a shoulder at -4, then 3, then down a cone to 1."""


def corners(*some: Corner) -> list[Corner]:
    return list(some)


@pytest.mark.parametrize(
    ("z_mm", "before_mm", "after_mm"),
    [
        (-10.5, NOWHERE, NOWHERE), (-10.0, NOWHERE, 5.0), (-7.0, 5.0, 5.0), (-4.0, 5.0, 3.0), (-2.0, 3.0, 3.0),
        (0.0, 3.0, 3.0), (0.5, 2.5, 2.5), (1.5, 1.5, 1.5), (2.0, 1.0, NOWHERE), (2.5, NOWHERE, NOWHERE),
    ],
)  # fmt: skip
def test_heights_on_both_sides_of_a_place(z_mm: float, before_mm: float, after_mm: float) -> None:
    assert (STEPPED.before(z_mm), STEPPED.after(z_mm)) == (before_mm, after_mm)


def test_pieces_between_two_places_are_cut_there() -> None:
    assert list(STEPPED.within(-5.0, 1.0)) == [
        (-5.0, 5.0, -4.0, 5.0), (-4.0, 3.0, 0.0, 3.0), (0.0, 3.0, 1.0, 2.0),
    ]  # fmt: skip
    assert list(STEPPED.within(0.5, 9.0)) == [(0.5, 2.5, 2.0, 1.0)]
    assert list(STEPPED.within(-20.0, -6.0)) == [(-10.0, 5.0, -6.0, 5.0)]
    assert list(STEPPED.within(-4.0, 0.0)) == [(-4.0, 3.0, 0.0, 3.0)]
    assert list(STEPPED.within(3.0, 9.0)) == []
    assert list(STEPPED.within(-20.0, -10.0)) == []


@pytest.mark.parametrize(
    ("low_mm", "high_mm", "largest_mm"),
    [(-9.0, -5.0, 5.0), (-3.9, 1.0, 3.0), (0.5, 2.0, 2.5), (-4.0, 0.0, 3.0), (-4.1, 0.0, 5.0), (3.0, 4.0, NOWHERE)],
)
def test_the_largest_height_between_two_places(low_mm: float, high_mm: float, largest_mm: float) -> None:
    assert STEPPED.largest(low_mm, high_mm) == largest_mm


def test_a_level_cut_leaves_walls_at_its_ends() -> None:
    cut = STEPPED.lower(corners((-8.0, 2.0), (-6.0, 2.0)))
    assert cut.corners() == (
        (-10.0, 5.0), (-8.0, 5.0), (-8.0, 2.0), (-6.0, 2.0), (-6.0, 5.0), (-4.0, 5.0), (-4.0, 3.0), (0.0, 3.0),
        (2.0, 1.0),
    )  # fmt: skip


def test_a_cut_over_the_shoulder_keeps_what_is_lower_already() -> None:
    cut = STEPPED.lower(corners((-6.0, 4.0), (1.0, 4.0)))
    assert cut.corners() == ((-10.0, 5.0), (-6.0, 5.0), (-6.0, 4.0), (-4.0, 4.0), (-4.0, 3.0), (0.0, 3.0), (2.0, 1.0))


def test_a_slanting_cut_meets_the_chain_where_they_cross() -> None:
    cut = STEPPED.lower(corners((-3.0, 4.0), (-1.0, 2.0), (5.0, 2.0)))
    assert cut.corners() == (
        (-10.0, 5.0), (-4.0, 5.0), (-4.0, 3.0), (-2.0, 3.0), (-1.0, 2.0), (1.0, 2.0), (2.0, 1.0),
    )  # fmt: skip


def test_a_cut_as_long_as_the_chain_or_longer_has_no_walls() -> None:
    for z0, z1 in ((-10.0, 2.0), (-11.0, 3.0)):
        assert STEPPED.lower(corners((z0, 0.5), (z1, 0.5))).corners() == ((-10.0, 0.5), (2.0, 0.5))
    assert STEPPED.lower(corners((-10.0, 6.0), (2.0, 6.0))) == STEPPED


@pytest.mark.parametrize("cut", [[(2.0, 0.5), (4.0, 0.5)], [(3.0, 0.5), (4.0, 0.5)], [(-12.0, 0.5), (-10.0, 0.5)]])
def test_a_cut_beside_the_chain_changes_nothing(cut: list[Corner]) -> None:
    assert STEPPED.lower(cut) is STEPPED


def test_a_cut_that_ends_at_a_corner_leaves_what_stands_outside_it() -> None:
    cut = STEPPED.lower(corners((-4.0, 2.0), (0.0, 2.0)))
    assert cut.corners() == (
        (-10.0, 5.0), (-4.0, 5.0), (-4.0, 2.0), (0.0, 2.0), (0.0, 3.0), (2.0, 1.0),
    )  # fmt: skip


def test_the_higher_of_both_fills_up() -> None:
    filled = STEPPED.upper(corners((-2.0, 4.0), (1.0, 4.0)))
    assert filled.corners() == (
        (-10.0, 5.0), (-4.0, 5.0), (-4.0, 3.0), (-2.0, 3.0), (-2.0, 4.0), (1.0, 4.0), (1.0, 2.0), (2.0, 1.0),
    )  # fmt: skip


def test_cut_short_it_ends_there() -> None:
    assert STEPPED.up_to(0.5).corners() == ((-10.0, 5.0), (-4.0, 5.0), (-4.0, 3.0), (0.0, 3.0), (0.5, 2.5))
    assert STEPPED.up_to(-4.0).corners() == ((-10.0, 5.0), (-4.0, 5.0))
    assert STEPPED.up_to(2.0) is STEPPED
    assert STEPPED.up_to(3.0) is STEPPED
    assert STEPPED.up_to(-10.0).corners() == STEPPED.up_to(-10.0).corners()[:1] * 2 == ((-10.0, 5.0), (-10.0, 5.0))
    assert Profile((0.0, 2.0), (3.0, 1.0)).up_to(-1.0).corners() == ((-1.0, 3.0), (-1.0, 3.0))


def test_moved_and_turned_over() -> None:
    assert STEPPED.shifted(1.0, 0.5).corners()[:2] == ((-9.0, 5.5), (-3.0, 5.5))
    assert STEPPED.negative().r == (-5.0, -5.0, -3.0, -3.0, -1.0)
    assert Profile.level(-3.0, 1.0, 4.0).corners() == ((-3.0, 4.0), (1.0, 4.0))


def test_two_chains_together_are_straight_over_each_piece() -> None:
    other = Profile((-8.0, -1.0, 1.0), (0.0, 7.0, 7.0))
    assert list(together(STEPPED, other, -20.0, 20.0)) == [
        (-8.0, 5.0, 0.0, -4.0, 5.0, 4.0), (-4.0, 3.0, 4.0, -1.0, 3.0, 7.0), (-1.0, 3.0, 7.0, 0.0, 3.0, 7.0),
        (0.0, 3.0, 7.0, 1.0, 2.0, 7.0),
    ]  # fmt: skip
    assert [piece[0] for piece in together(other, STEPPED, -20.0, 20.0)] == [-8.0, -4.0, -1.0, 0.0]
    assert list(together(STEPPED, other, -5.0, -4.5)) == [(-5.0, 5.0, 3.0, -4.5, 5.0, 3.5)]
    assert list(together(STEPPED, STEPPED, 0.0, 9.0)) == [(0.0, 3.0, 3.0, 2.0, 1.0, 1.0)]


@pytest.mark.parametrize(
    ("some", "kept"),
    [
        ([(0.0, 1.0), (1.0, 1.0), (2.0, 1.0)], [(0.0, 1.0), (2.0, 1.0)]),
        ([(0.0, 1.0), (1.0, 1.1), (2.0, 1.0)], [(0.0, 1.0), (1.0, 1.1), (2.0, 1.0)]),
        ([(0.0, 1.0), (0.0, 1.0), (2.0, 2.0)], [(0.0, 1.0), (2.0, 2.0)]),
        ([(0.0, 1.0), (1.0, 1.0), (1.0, 3.0), (1.0, 2.0)], [(0.0, 1.0), (1.0, 1.0), (1.0, 3.0), (1.0, 2.0)]),
        ([(0.0, 1.0), (0.0, 2.0), (0.0, 3.0)], [(0.0, 1.0), (0.0, 3.0)]),
        ([(0.0, 1.0), (1.0, 2.0), (2.0, 3.0), (3.0, 4.0)], [(0.0, 1.0), (3.0, 4.0)]),
        ([(0.0, 1.0), (0.5 * SAME_MM, 1.0), (2.0, 2.0)], [(0.0, 1.0), (2.0, 2.0)]),
        ([(0.0, 1.0), (0.0, 1.0 + 0.5 * SAME_MM), (2.0, 2.0)], [(0.0, 1.0), (2.0, 2.0)]),
        ([(0.0, 1.0), (0.1, 1.0), (0.2, 1.0)], [(0.0, 1.0), (0.2, 1.0)]),
        ([(0.0, 1.0), (0.0, 1.3), (0.0, 1.2)], [(0.0, 1.0), (0.0, 1.3), (0.0, 1.2)]),
        ([(500.0, 1.0), (501.0, 2.0), (502.0, 3.0)], [(500.0, 1.0), (502.0, 3.0)]),
        ([(0.0, 1.0), (500.0, 1.0 + 1e-10), (1000.0, 1.0)], [(0.0, 1.0), (1000.0, 1.0)]),
        ([(500.0, 1.0), (500.1, 1.0 + 1e-7), (500.2, 1.0)], [(500.0, 1.0), (500.1, 1.0 + 1e-7), (500.2, 1.0)]),
        ([(0.0, 1.0), (1e-6, 1.0), (2.0, 2.0)], [(0.0, 1.0), (1e-6, 1.0), (2.0, 2.0)]),
    ],
)
def test_corners_that_change_nothing_are_left_out(some: list[Corner], kept: list[Corner]) -> None:
    assert list(Profile.of(some).corners()) == kept


def test_a_chain_of_two_is_simple_already() -> None:
    assert simplified([(0.0, 1.0), (1.0, 2.0)], 5.0) == [(0.0, 1.0), (1.0, 2.0)]
    assert simplified([(0.0, 1.0)], 5.0) == [(0.0, 1.0)]


@pytest.mark.parametrize(("off_mm", "kept"), [(0.09, 2), (0.11, 3)])
def test_a_corner_nearer_than_that_is_left_out(off_mm: float, kept: int) -> None:
    assert len(simplified([(0.0, 1.0), (1.0, 1.0 + off_mm), (2.0, 1.0)], 0.1)) == kept
    assert len(simplified([(0.0, 0.0), (1.0 - off_mm * 0.6, 1.0 + off_mm * 0.8), (2.0, 2.0)], 0.099)) == kept


def test_a_corner_beyond_both_ends_is_as_far_as_the_nearer_end() -> None:
    assert simplified([(0.0, 0.0), (3.0, 0.0), (2.0, 0.0)], 0.9) == [(0.0, 0.0), (3.0, 0.0), (2.0, 0.0)]
    assert simplified([(0.0, 0.0), (3.0, 0.0), (2.0, 0.0)], 1.1) == [(0.0, 0.0), (2.0, 0.0)]
    assert simplified([(0.0, 0.0), (-1.0, 0.0), (2.0, 0.0)], 0.9) == [(0.0, 0.0), (-1.0, 0.0), (2.0, 0.0)]
    assert simplified([(0.0, 0.0), (0.5, 0.5), (0.0, 0.0)], 0.7) == [(0.0, 0.0), (0.5, 0.5), (0.0, 0.0)]


HEIGHT = st.floats(-5.0, 5.0).map(lambda value: round(value, 3))


@given(st.lists(HEIGHT, min_size=3, max_size=40), st.floats(0.01, 2.0))
def test_no_corner_left_out_lies_further_off_than_that_by_shapely(heights: list[float], within_mm: float) -> None:
    chain = [(0.5 * i, height) for i, height in enumerate(heights)]
    left = simplified(chain, within_mm)
    assert (left[0], left[-1]) == (chain[0], chain[-1])
    assert set(left) <= set(chain)
    line = LineString(left)
    assert all(line.distance(Point(corner)) <= within_mm + 1e-9 for corner in chain)
