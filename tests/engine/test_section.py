"""The work in half section where it matters by how little: pips, rims, ways of feeding, places beside the metal."""

from __future__ import annotations

import math

import pytest

from waytell.documents.base import PassKind
from waytell.documents.config import Tool
from waytell.engine.profile import Profile
from waytell.engine.section import Section
from waytell.engine.tool_shape import edge_of

BAR = Section.bar(12.0, 40.0, 0.0)
TUBE = Section.bar(12.0, 40.0, 0.0, 4.0)
SHARP = Tool(name="sharp")
ROUND = Tool(name="round", nose_radius_mm=0.4)
BLADE = Tool(name="blade", kind="grooving", width_mm=2.0)
STOOD_MM = 0.05
"""A pip or a rim up to so thick does not count as left standing."""


@pytest.mark.parametrize(("work", "inside_mm"), [(BAR, 0.0), (TUBE, 4.0)])
def test_a_face_is_clean_where_only_a_pip_is_left(work: Section, inside_mm: float) -> None:
    facing = edge_of(SHARP, "facing")
    clean = work.cut([(13.0, -0.4), (inside_mm + STOOD_MM - 0.01, -0.4)], facing)
    assert clean.front_mm == -0.4
    assert work.area_mm2() - clean.area_mm2() == pytest.approx(0.4 * (12.0 - inside_mm)), "the pip is taken for gone"
    standing = work.cut([(13.0, -0.4), (inside_mm + STOOD_MM + 0.01, -0.4)], facing)
    assert standing.front_mm == 0.0
    assert standing.radius_at(-0.2) == pytest.approx(inside_mm + STOOD_MM + 0.01)


def test_fed_outwards_it_is_clean_where_only_so_thin_a_rim_is_left() -> None:
    outwards = edge_of(SHARP, "facing", outwards=True)
    thin = BAR.cut([(0.0, -0.4), (12.0 - STOOD_MM + 0.01, -0.4)], outwards)
    assert thin.front_mm == pytest.approx(-0.4)
    hollow = BAR.cut([(0.0, -0.4), (6.0, -0.4), (11.96, -0.6)], outwards)
    left_mm2 = 0.4 * 6.0 + (0.4 + 0.6) / 2 * 5.96 + 0.6 * 0.04
    assert BAR.area_mm2() - hollow.area_mm2() == pytest.approx(left_mm2), "the rim goes as far as the edge came to it"
    dished = BAR.cut([(0.0, -0.2), (3.0, -0.25), (6.0, -0.4)], outwards)
    assert BAR.area_mm2() - dished.area_mm2() == pytest.approx(0.2 * 6.0), "nor what lies deeper than the centre"
    assert (dished.bore_at(-0.1), dished.front_mm) == (6.0, 0.0), "what the edge did not come to still stands"
    ring = BAR.cut([(0.0, -0.4), (12.0 - STOOD_MM - 0.01, -0.4)], outwards)
    assert (ring.front_mm, ring.bore_at(-0.2)) == pytest.approx((0.0, 12.0 - STOOD_MM - 0.01))
    assert ring.area_mm2() == pytest.approx(BAR.area_mm2() - 0.4 * (12.0 - STOOD_MM - 0.01))


@pytest.mark.parametrize("to_mm", [9.0, 3.0, 0.5, 0.0, -0.3])
def test_a_face_takes_what_it_passed(to_mm: float) -> None:
    faced = BAR.cut([(13.0, -0.25), (to_mm, -0.25)], edge_of(SHARP, "facing"))
    assert BAR.area_mm2() - faced.area_mm2() == pytest.approx(0.25 * (12.0 - max(to_mm, 0.0)))


def test_a_face_that_runs_past_metal_nowhere_takes_nothing() -> None:
    assert BAR.cut([(14.0, -0.4), (12.5, -0.4)], edge_of(SHARP, "facing")) == BAR


# Each corner of the path is one of the face, as it rises towards the centre; fed either way, or back and on.
@pytest.mark.parametrize(
    ("path", "outwards"),
    [
        ([(13.0, -0.5), (6.0, -0.4), (0.0, -0.2)], False),
        ([(13.0, -0.5), (6.0, -0.4), (9.5, -0.4), (6.0, -0.4), (0.0, -0.2)], False),
        ([(0.0, -0.2), (6.0, -0.4), (13.0, -0.5)], True),
    ],
)
def test_a_face_is_where_each_piece_of_the_path_left_it(path: list[tuple[float, float]], outwards: bool) -> None:
    faced = BAR.cut(path, edge_of(SHARP, "facing", outwards=outwards))
    rim_mm = 0.4 + 0.1 * 6.0 / 7.0
    assert BAR.area_mm2() - faced.area_mm2() == pytest.approx(6.0 * (rim_mm + 0.4) / 2 + 6.0 * (0.4 + 0.2) / 2)
    assert (faced.front_mm, faced.face_at(3.0), faced.face_at(6.0)) == pytest.approx((-0.2, -0.3, -0.4))


def test_a_hollow_in_a_face_is_full_up_to_its_lower_brim() -> None:
    faced = BAR.cut([(13.0, -0.2), (8.0, -0.2), (4.0, -0.3), (0.0, -0.25)], edge_of(SHARP, "facing"))
    assert BAR.area_mm2() - faced.area_mm2() == pytest.approx(0.25 * 6.0 + 2.0 * (0.25 + 0.2) / 2 + 0.2 * 4.0)


def coned(chuck_side_mm: float, free_end_mm: float) -> Section:
    """A bar whose last 10 mm go from one radius to another."""
    outside = Profile((-40.0, -10.0, -10.0, 0.0), (12.0, 12.0, chuck_side_mm, free_end_mm))
    return Section(outside, TUBE.bore)


def funnelled(deep_mm: float, free_end_mm: float) -> Section:
    return Section(BAR.outside, Profile((-40.0, -10.0, -10.0, 0.0), (4.0, 4.0, deep_mm, free_end_mm)))


def test_metal_of_a_slight_cone_is_met_where_it_is() -> None:
    assert coned(12.0, 11.5).face_at(11.75) == pytest.approx(-5.0)
    assert coned(11.5, 12.0).face_at(11.75) == 0.0
    assert coned(12.0, 11.5).face_at(11.4) == 0.0
    assert coned(11.6, 11.5).face_at(11.7) == -10.0
    assert funnelled(4.0, 4.5).face_at(4.25) == pytest.approx(-5.0)
    assert funnelled(4.5, 4.0).face_at(4.25) == 0.0


def test_what_a_slight_cone_has_too_much_is_what_stands_beyond_the_target() -> None:
    # Half of the length, a quarter of a millimetre at its thickest.
    for work, target in (
        (coned(12.0, 11.5), coned(11.75, 11.75)), (coned(11.5, 12.0), coned(11.75, 11.75)),
        (funnelled(4.25, 4.25), funnelled(4.0, 4.5)), (funnelled(4.25, 4.25), funnelled(4.5, 4.0)),
    ):  # fmt: skip
        assert work.left_over(target)[0] == pytest.approx(0.5 * 0.25 * 5.0)
        assert (work.gouge(target) or (0.0, 0.0))[0] == pytest.approx(0.25)
    assert coned(12.0, 11.5).left_over(coned(11.5, 11.5))[0] == pytest.approx(0.5 * 0.5 * 10.0)
    assert coned(11.5, 11.0).left_over(coned(11.6, 11.2))[0] == 0.0
    ring_mm3 = math.pi * (5.0 / 3.0 * (12.0**2 + 12.0 * 11.75 + 11.75**2) - 5.0 * 11.75**2)
    assert coned(12.0, 11.5).left_over(coned(11.75, 11.75))[1] == pytest.approx(ring_mm3)


def test_what_stands_beyond_the_face_of_the_target_is_cut_there() -> None:
    for work, wall_mm in ((coned(12.0, 11.5), (7.75, 7.5)), (funnelled(4.0, 4.5), (7.75, 7.5))):
        shorter = Section(work.outside.up_to(-5.0), work.bore.up_to(-5.0))
        assert work.left_over(shorter)[0] == pytest.approx(5.0 * sum(wall_mm) / 2)


COUNTERBORED = TUBE.cut([(8.0, 1.0), (8.0, -0.8)], edge_of(Tool(name="bar", kind="boring"), "boring"))


@pytest.mark.parametrize(
    ("work", "kind", "places", "outwards"),
    [
        (BAR, "facing", [13.0, 6.0, 0.0], False),
        (BAR, "facing", [0.5, 0.2, 12.5], True),
        (BAR, "facing", [0.9, 12.5], True),
        (BAR, "facing", [1.1, 12.5], False),
        (BAR, "facing", [2.0, 0.5, 12.5], False),
        (TUBE, "facing", [4.9, 12.5], True),
        (TUBE, "facing", [5.1, 12.5], False),
        (COUNTERBORED, "facing", [8.9, 12.5], True),
        (COUNTERBORED, "facing", [9.1, 12.5], False),
    ],
)
def test_a_face_is_cut_with_the_side_it_was_fed_with(
    work: Section, kind: PassKind, places: list[float], outwards: bool
) -> None:
    path = [(x, -0.4) for x in places]
    assert work.after(kind, ROUND, path) == work.cut(path, edge_of(ROUND, kind, outwards=outwards))
    assert work.after(kind, ROUND, path) != work.cut(path, edge_of(ROUND, kind, outwards=not outwards))


@pytest.mark.parametrize("from_mm", [-1.2, -0.9, -0.4])
def test_a_face_deeper_than_a_counterbore_leaves_its_floor(from_mm: float) -> None:
    pointed = Tool(name="pointed", approach_angle_deg=100.0, point_angle_deg=60.0)
    faced = COUNTERBORED.cut([(13.0, from_mm), (8.03, -1.2)], edge_of(pointed, "facing"))
    assert (faced.face_at(6.0), faced.front_mm) == pytest.approx((-0.8, 0.0)), "and a sliver beside it"


def test_the_bore_counts_where_the_feed_began() -> None:
    path = [(8.9, -0.4), (9.5, -1.2), (12.5, -1.2)]
    assert COUNTERBORED.after("facing", ROUND, path) == COUNTERBORED.cut(path, edge_of(ROUND, "facing", outwards=True))


@pytest.mark.parametrize(
    ("places", "left"),
    [([1.0, -8.0], False), ([-8.0, -8.1, -3.0], True), ([-3, -2, -8], False), ([-3.0, -9.0, -5.0], False)],
)
def test_a_diameter_is_cut_with_the_side_it_was_fed_with(places: list[float], left: bool) -> None:
    path = [(11.0, z) for z in places]
    assert BAR.after("turning", ROUND, path) == BAR.cut(path, edge_of(ROUND, "turning", left=left))
    assert BAR.after("turning", ROUND, path) != BAR.cut(path, edge_of(ROUND, "turning", left=not left))


@pytest.mark.parametrize(("tool", "kind"), [(ROUND, "turning"), (BLADE, "grooving")])
def test_a_tool_that_only_stood_there_took_what_it_stood_in(tool: Tool, kind: PassKind) -> None:
    place = (11.0, -3.0)
    stood = BAR.cut([place], edge_of(tool, kind))
    assert stood == BAR.cut([place, place], edge_of(tool, kind)) != BAR


@pytest.mark.parametrize("way_mm", [2.2e-309, 5e-324, 1e-12])
def test_a_way_shorter_than_a_number_can_hold_the_slope_of_is_none(way_mm: float) -> None:
    sawn = Section.bar(12.0, 42.0, 2.0)
    drill = edge_of(Tool(name="drill", kind="drill", diameter_mm=8.0), "drilling")
    for edge, path in (
        (drill, [(0.0, 0.0), (1.0, way_mm)]),
        (edge_of(SHARP, "turning"), [(11.0, 0.0), (10.0, way_mm)]),
    ):
        left = sawn.cut(path, edge)
        assert all(math.isfinite(one) for corner in left.polygon() for one in corner)
        assert left.area_mm2() == pytest.approx(sawn.cut([path[0], (path[1][0], 0.0)], edge).area_mm2(), abs=1e-9)


def test_metal_is_looked_for_on_either_side_of_a_blade() -> None:
    grooved = BAR.cut([(13.0, -10.0), (9.0, -10.0)], edge_of(BLADE, "grooving"))
    assert (grooved.radius_at(-9.0), grooved.radius_at(-7.9), grooved.radius_at(-10.1)) == (9.0, 12.0, 12.0)
    assert grooved.touches(11.0, -8.0, 0.015, both=True)
    assert not grooved.touches(11.0, -8.0, 0.015)
    assert grooved.touches(11.0, -10.0, 0.015)
    assert not grooved.touches(11.0, -9.0, 0.015, both=True)


def test_metal_is_where_the_work_is() -> None:
    assert BAR.holds(12.01, -1.0, 0.015)
    assert not BAR.holds(12.02, -1.0, 0.015)
    assert TUBE.holds(3.99, -1.0, 0.015)
    assert not TUBE.holds(3.98, -1.0, 0.015)
    assert not BAR.holds(5.0, 0.0, 0.015), "the face itself has nothing beyond it"
    assert BAR.holds(12.0, -50.0, 0.015), "the chuck may hold less of the bar than was written"
    turned = BAR.cut([(11.0, 1.0), (11.0, -39.5)], edge_of(SHARP, "turning"))
    assert turned.holds(11.9, -50.0, 0.015), "it is there as thick as at the chuck"
    assert BAR.holds(-0.2, -1.0, 0.015), "past the centre the tool still stands before the metal"
    assert not Section.bar(12.0, 40.0, 0.0, 0.5).holds(-0.2, -1.0, 0.015)
    assert (BAR.bore_at(1.0), TUBE.bore_at(-1.0)) == (0.0, 4.0)
    assert (BAR.face_at(3.0), BAR.face_at(12.1), TUBE.face_at(3.9)) == (0.0, -40.0, -40.0)


def test_the_largest_and_the_smallest_between_two_places() -> None:
    turned = COUNTERBORED.cut([(11.0, 1.0), (11.0, -5.0)], edge_of(SHARP, "turning"))
    assert turned.largest_radius(-4.0, -1.0) == 11.0
    assert turned.largest_radius(-6.0, -1.0) == 12.0
    assert turned.smallest_bore(-0.7, -0.1) == pytest.approx(8.0)
    assert turned.smallest_bore(-2.0, -0.1) == pytest.approx(4.0)


def test_moved_coordinates_move_what_was_cut_and_leave_the_bar_as_thick_as_it_is() -> None:
    turned = COUNTERBORED.cut([(11.0, 1.0), (11.0, -5.0)], edge_of(SHARP, "turning"))
    moved = turned.shifted(0.25, -1.0, 12.0)
    assert (moved.front_mm, moved.chuck_mm) == (-1.0, -41.0)
    assert (moved.radius_at(-3.0), moved.radius_at(-10.0)) == (11.25, 12.0)
    assert BAR.cut([(0.1, 1.0), (0.1, -5.0)], edge_of(SHARP, "turning")).shifted(-0.2, 0.0, 12.0).radius_at(-2) == 0.0


def test_what_is_missing_is_told_with_the_worst_place() -> None:
    target = BAR.cut([(13.0, -0.5), (0.0, -0.5)], edge_of(SHARP, "facing"))
    target = target.cut([(11.0, 1.0), (11.0, -8.0)], edge_of(SHARP, "turning"))
    short = target.cut([(13.0, -0.7), (0.0, -0.7)], edge_of(SHARP, "facing"))
    assert short.gouge(target) == pytest.approx((0.2, -0.7))
    thin = target.cut([(10.95, 1.0), (10.95, -3.0)], edge_of(SHARP, "turning"))
    missing = thin.gouge(target)
    assert missing is not None
    assert missing[0] == pytest.approx(0.05)
    assert -3.0 <= missing[1] <= -0.5
    bored = TUBE.cut([(4.2, 1.0), (4.2, -3.0)], edge_of(Tool(name="bar", kind="boring"), "boring"))
    assert (bored.gouge(TUBE) or (0.0, 0.0))[0] == pytest.approx(0.2)
    assert TUBE.gouge(bored) is None
    area, volume = TUBE.left_over(bored)
    assert (area, volume) == pytest.approx((0.6, 3.14159265 * (4.2**2 - 4.0**2) * 3.0))
    assert BAR.left_over(target)[0] == pytest.approx(0.5 * 12.0 + 7.5 * 1.0)
    turned = BAR.cut([(11.0, 1.0), (11.0, -8.0)], edge_of(SHARP, "turning"))
    assert turned.left_over(target)[0] == pytest.approx(0.5 * 11.0), "only what stands beyond the face"
    assert target.left_over(target) == pytest.approx((0.0, 0.0))


NOWHERE = [(30.0, 5.0), (30.0, 6.0)]


@pytest.mark.parametrize(
    ("neck_mm", "front_mm"),
    [
        # Straight from one radius to the other over 10 mm: it ends where the outside meets the bore of 4 mm.
        ((12.0, 3.0), -20.0 + 10.0 * 8.0 / 9.0),
        ((4.5, 3.0), -20.0 + 10.0 * 0.5 / 1.5),
        ((4.0, 4.0), -20.0),
        ((4.0, 3.0), -20.0),
        ((4.01, 4.01), 0.0),
    ],
)
def test_what_hangs_on_nothing_falls_off(neck_mm: tuple[float, float], front_mm: float) -> None:
    necked = Section(Profile((-40.0, -20.0, -20.0, -10.0, -10.0, 0.0), (12.0, 12.0, *neck_mm, 12.0, 12.0)), TUBE.bore)
    assert necked.cut(NOWHERE, edge_of(SHARP, "turning")).front_mm == pytest.approx(front_mm)
