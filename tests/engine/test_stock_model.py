"""The work in half section against shapely's polygons, Pappus' theorem and worked volumes.

Shapely (a general library of plane geometry) knows nothing of profiles: there the tool is a polygon with a long body,
its sweep the convex hull of where it was at both ends of each straight move, and what is left the difference.
"""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely.geometry import MultiPoint, Polygon
from shapely.geometry.base import BaseGeometry
from shapely.ops import unary_union

from waytell.documents.base import PassKind
from waytell.documents.config import Tool
from waytell.engine.section import Section
from waytell.engine.tool_shape import Edge, edge_of

BAR = Section.bar(12.0, 40.0, 0.0)
TUBE = Section.bar(12.0, 40.0, 0.0, 4.0)
TOOLS = {
    "right": Tool(name="right"),
    "round": Tool(name="round", nose_radius_mm=0.4),
    "left": Tool(name="left", hand="left", nose_radius_mm=0.2),
    "forty-five": Tool(name="forty-five", approach_angle_deg=45.0, point_angle_deg=90.0, nose_radius_mm=0.8),
    "blade": Tool(name="blade", kind="grooving", width_mm=2.0, nose_radius_mm=0.1),
    "bar": Tool(name="bar", kind="boring", nose_radius_mm=0.2),
}
FAR = 900.0


def body(edge: Edge) -> list[tuple[float, float]]:
    """(Z, radius) corners of the whole tool, from its control point."""
    sign = -1.0 if edge.cuts == "inside" else 1.0
    line = [(along, sign * height) for along, height in edge.corners]
    # Flanks are longer than any work; cut short here so that far corners cost no digits.
    first, last = line[0], line[-1]
    return [(first[0], sign * FAR * 3), *line, (last[0], sign * FAR * 3)]


def by_shapely(before: BaseGeometry, path: list[tuple[float, float]], edge: Edge) -> BaseGeometry:
    shape = body(edge)
    sweeps = []
    for (x0, z0), (x1, z1) in pairwise(path):
        points = [(z + dz, x + dx) for x, z in ((x0, z0), (x1, z1)) for dz, dx in shape]
        sweeps.append(MultiPoint(points).convex_hull)
    left = before.difference(unary_union(sweeps))
    parts = list(left.geoms) if hasattr(left, "geoms") else [left]
    chuck = before.bounds[0]
    # Metal that the chuck does not hold falls off.
    return unary_union([part for part in parts if part.bounds[0] <= chuck + 1e-6])


def ours(section: Section) -> BaseGeometry:
    return Polygon(section.polygon()).buffer(0)


places = st.tuples(st.floats(2.0, 14.0), st.floats(-30.0, 3.0))
paths = st.lists(places, min_size=2, max_size=5)


@pytest.mark.parametrize("name", ["right", "round", "left", "forty-five", "blade"])
@given(path=paths)
def test_what_a_tool_leaves_outside_is_what_shapely_leaves(name: str, path: list[tuple[float, float]]) -> None:
    kind: PassKind = "grooving" if name == "blade" else "turning"
    edge = edge_of(TOOLS[name], kind)
    left = by_shapely(ours(BAR), path, edge)
    assert ours(BAR.cut(path, edge)).symmetric_difference(left).area < 1e-3
    assert BAR.cut(path, edge).area_mm2() == pytest.approx(left.area, abs=1e-3)


@given(path=st.lists(st.tuples(st.floats(1.0, 11.0), st.floats(-30.0, 3.0)), min_size=2, max_size=5))
def test_what_a_boring_bar_leaves_is_what_shapely_leaves(path: list[tuple[float, float]]) -> None:
    edge = edge_of(TOOLS["bar"], "boring")
    left = by_shapely(ours(TUBE), path, edge)
    assert ours(TUBE.cut(path, edge)).symmetric_difference(left).area < 1e-3


@given(st.lists(st.floats(-0.06, 0.06), min_size=3, max_size=8), st.sampled_from(["right", "round"]))
def test_a_face_lies_where_it_was_cut_whatever_the_carriage_did(creep: list[float], name: str) -> None:
    tool = TOOLS[name]
    steps = [13.0 * (1 - i / (len(creep) - 1)) for i in range(len(creep))]
    path = [(x - tool.nose_radius_mm, -0.5 + c) for x, c in zip(steps, creep, strict=True)]
    section = BAR.cut(path, edge_of(tool, "facing"))
    assert section.front_mm <= -0.5 + max(creep) + 1e-9
    # The middle of the face is seen from the rim and the bore; a ring in between may be filled by some micrometres.
    for x, z in path[1:-1]:
        assert section.face_at(x + tool.nose_radius_mm) >= z - 0.13
        assert section.face_at(x + tool.nose_radius_mm) <= max(p[1] for p in path) + 1e-9


def test_faces_and_shoulders_lie_exactly_where_they_were_cut() -> None:
    right = TOOLS["right"]
    faced = BAR.cut([(13.0, -0.31705), (0.0, -0.31705)], edge_of(right, "facing"))
    assert faced.front_mm == -0.31705
    turned = faced.cut([(11.5021, 2.0), (11.5021, -8.00333)], edge_of(right, "turning"))
    assert (turned.radius_at(-8.00333), turned.radius_at(-8.00332)) == (12.0, 11.5021)
    assert turned.face_at(11.7) == pytest.approx(-8.00333, abs=1e-9)
    assert turned.outside.corners() == ((-40.0, 12.0), (-8.00333, 12.0), (-8.00333, 11.5021), (-0.31705, 11.5021))


def test_a_face_that_the_carriage_left_dished_is_dished() -> None:
    dished = BAR.cut([(13.0, -0.30), (0.0, -0.34)], edge_of(TOOLS["right"], "facing"))
    assert dished.front_mm == pytest.approx(-0.30 - 0.04 / 13, abs=1e-9)
    assert dished.face_at(6.5) == pytest.approx(-0.32)
    raised = BAR.cut([(13.0, -0.34), (0.0, -0.30)], edge_of(TOOLS["right"], "facing"))
    assert raised.front_mm == -0.30
    assert raised.face_at(6.5) == pytest.approx(-0.32)


def test_a_face_fed_from_the_centre_outwards() -> None:
    edge = edge_of(TOOLS["right"], "facing", outwards=True)
    half = BAR.cut([(0.0, -0.4), (6.0, -0.4)], edge)
    assert (half.face_at(3.0), half.face_at(9.0)) == pytest.approx((-0.4, 0.0), abs=1e-9)
    assert half.cut([(6.0, -0.4), (12.5, -0.4)], edge).front_mm == pytest.approx(-0.4, abs=1e-9)


def test_a_face_stopped_half_way_leaves_the_middle_standing() -> None:
    half = BAR.cut([(13.0, -0.4), (5.0, -0.4)], edge_of(TOOLS["right"], "facing"))
    assert (half.face_at(3.0), half.face_at(9.0), half.radius_at(-0.2)) == pytest.approx((0.0, -0.4, 5.0), abs=1e-9)


def test_a_face_of_a_tube_is_clean_once_the_bore_is_reached() -> None:
    assert TUBE.cut([(13.0, -0.4), (3.9, -0.4)], edge_of(TOOLS["right"], "facing")).front_mm == -0.4


def test_what_is_parted_off_is_gone() -> None:
    parted = BAR.cut([(13.0, -20.0), (0.0, -20.0)], edge_of(TOOLS["blade"], "parting"))
    assert parted.front_mm == pytest.approx(-20.0 + 0.1, abs=0.1)


def test_a_drilled_hole_has_the_drill_s_size_and_point() -> None:
    drill = Tool(name="drill", kind="drill", diameter_mm=8.0, point_angle_deg=118.0)
    drilled = BAR.cut([(0.0, 2.0), (0.0, -15.0)], edge_of(drill, "drilling"))
    assert drilled.bore_at(-5.0) == 4.0
    assert drilled.bore_at(-15.0) == 0.0
    cone = 4.0 / math.tan(math.radians(59.0))
    hole = math.pi * 16 * (15 - cone) + math.pi * 16 * cone / 3
    assert BAR.volume_mm3() - drilled.volume_mm3() == pytest.approx(hole)


def test_the_volume_of_a_pass_is_that_of_the_turned_ring() -> None:
    # 40 to 30 mm over 20 mm: 2 pi 17.5 x 5 x 20, by Pappus' theorem.
    bar = Section.bar(20.0, 60.0, 0.0)
    turned = bar.cut([(15.0, 1.0), (15.0, -20.0)], edge_of(None, "turning"))
    assert bar.volume_mm3() - turned.volume_mm3() == pytest.approx(10995.574, abs=1e-3)
    assert bar.area_mm2() - turned.area_mm2() == pytest.approx(100.0)


@given(paths, st.sampled_from(["right", "round", "left", "forty-five"]))
def test_volumes_are_those_of_pappus(path: list[tuple[float, float]], name: str) -> None:
    # Pappus' second theorem (Larson and Edwards, Calculus): volume = 2 pi x distance of the centroid x area.
    section = BAR.cut(path, edge_of(TOOLS[name], "turning"))
    shape = ours(section)
    assert section.volume_mm3() == pytest.approx(2 * math.pi * shape.centroid.y * shape.area, rel=1e-9)


@given(paths, paths, st.sampled_from(["right", "round", "left"]))
def test_metal_never_comes_back_and_the_same_path_twice_takes_nothing(
    first: list[tuple[float, float]], second: list[tuple[float, float]], name: str
) -> None:
    edge = edge_of(TOOLS[name], "turning")
    once = BAR.cut(first, edge)
    assert once.cut(first, edge).area_mm2() == pytest.approx(once.area_mm2(), abs=1e-9)
    assert once.cut(second, edge).area_mm2() <= once.area_mm2() + 1e-9


@given(paths, st.floats(-5, 5))
def test_cutting_in_moved_coordinates_is_the_same(path: list[tuple[float, float]], dz: float) -> None:
    edge = edge_of(TOOLS["round"], "turning")
    moved = BAR.shifted(0.0, dz, 12.0).cut([(x, z + dz) for x, z in path], edge)
    assert moved.area_mm2() == pytest.approx(BAR.cut(path, edge).area_mm2())


def test_what_remains_and_what_is_missing_against_a_target() -> None:
    target = BAR.cut([(11.0, 1.0), (11.0, -8.0)], edge_of(None, "turning"))
    assert BAR.left_over(target)[0] == pytest.approx(8.0)
    assert BAR.left_over(target)[1] == pytest.approx(math.pi * (144 - 121) * 8)
    assert BAR.gouge(target) is None
    deep = BAR.cut([(10.9, 1.0), (10.9, -8.05)], edge_of(None, "turning"))
    depth, at = deep.gouge(target) or (0.0, 0.0)
    assert depth == pytest.approx(1.1)
    assert at == pytest.approx(-8.05, abs=0.051)
    assert deep.left_over(target)[0] == pytest.approx(0.0)


def test_triangle_turned_about_the_axis() -> None:
    # Triangle (1, 0), (3, 0), (1, 6): 20 pi (a worked exercise, recomputed by shapely's centroid).
    corner = Polygon([(0, 1), (0, 3), (6, 1)])
    cone = Section.bar(3.0, 6.0, 6.0, 1.0).cut(
        [(3.0, 0.0), (1.0, 6.0)], edge_of(Tool(name="p", point_angle_deg=87.0), "turning")
    )
    assert cone.volume_mm3() == pytest.approx(20 * math.pi)
    assert 2 * math.pi * corner.centroid.y * corner.area == pytest.approx(20 * math.pi)


def test_touching() -> None:
    turned = BAR.cut([(11.0, 1.0), (11.0, -8.0)], edge_of(None, "turning"))
    assert turned.touches(11.0, -4.0, 0.015)
    assert not turned.touches(11.1, -4.0, 0.015)
    assert turned.touches(11.5, -8.0, 0.015)
    assert not turned.touches(11.5, -7.9, 0.015)
    assert not TUBE.touches(2.0, -1.0, 0.015)
    assert TUBE.touches(4.0, -1.0, 0.015)


def test_the_edge_of_a_bore_is_broken_with_the_boring_tool_and_the_outside_stays() -> None:
    pipe = Section.bar(12.0, 20.0, 0.0, 5.0)
    tool = Tool(name="boring bar", kind="boring", approach_angle_deg=135.0, point_angle_deg=35.0)
    broken = pipe.after("chamfer", tool, [(5.5, 0.0), (5.0, -0.5)])
    assert broken.outside == pipe.outside
    assert broken.bore_at(-0.25) == pytest.approx(5.25, abs=1e-6)
