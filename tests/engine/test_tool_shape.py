"""The edge of each kind of tool in figures reckoned by hand; angles after ISO 3002-1."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest

from engine.lathe import about
from waytell.documents.base import PassKind
from waytell.documents.config import Tool
from waytell.engine.profile import Corner
from waytell.engine.tool_shape import Edge, edge_of, edge_of_pass, swept

KNIFE = Tool(name="knife")
"""93 degrees to the feed, 80 between its edges: it trails by 7."""
ROUND = Tool(name="round", nose_radius_mm=0.8)
SLANT = Tool(name="slant", approach_angle_deg=45.0, point_angle_deg=90.0)
BLADE = Tool(name="blade", kind="grooving", width_mm=2.0)
DRILL = Tool(name="drill", kind="drill", diameter_mm=8.0, point_angle_deg=118.0)
BORER = Tool(name="borer", kind="boring")
FLANK_MM = 1000.0
CHORD_MM = 0.0003


def slope(a: Corner, b: Corner) -> float:
    """In degrees."""
    return math.degrees(math.atan2(b[1] - a[1], b[0] - a[0]))


def test_a_pointed_tool_has_a_corner_and_a_flank_behind_it() -> None:
    edge = edge_of(KNIFE, "turning")
    assert edge.cuts == "outside"
    assert edge.corners[0] == (0.0, 0.0)
    assert edge.corners[1] == about((FLANK_MM, FLANK_MM * math.tan(math.radians(7.0))))
    assert len(edge.corners) == 2


def test_of_no_tool_at_all_a_knife_is_thought() -> None:
    assert edge_of(None, "turning") == edge_of(KNIFE, "turning")


def test_a_left_hand_tool_is_the_other_way_round() -> None:
    left = edge_of(KNIFE.model_copy(update={"hand": "left"}), "turning")
    assert left.corners == tuple((-along, height) for along, height in reversed(edge_of(KNIFE, "turning").corners))
    assert edge_of(KNIFE, "turning", left=True) == left


def test_an_edge_under_ninety_degrees_leads_with_its_flank() -> None:
    first, corner, last = edge_of(SLANT, "turning").corners
    assert first == about((-FLANK_MM, FLANK_MM))
    assert corner == (0.0, 0.0)
    assert slope(corner, last) == about(45.0)


@pytest.mark.parametrize(("approach_deg", "point_deg"), [(45.0, 90.0), (60.0, 80.0)])
def test_the_flank_goes_on_from_the_nose_without_a_bend(approach_deg: float, point_deg: float) -> None:
    slant = Tool(name="slant", approach_angle_deg=approach_deg, point_angle_deg=point_deg, nose_radius_mm=0.8)
    corners = edge_of(slant, "turning").corners
    assert slope(corners[0], corners[1]) == about(-approach_deg, 1e-9)
    assert slope(corners[-2], corners[-1]) == about(180.0 - approach_deg - point_deg, 1e-9)
    assert math.hypot(corners[1][0] - 0.8, corners[1][1] - 0.8) == about(0.8)


@pytest.mark.parametrize(("approach_deg", "corners"), [(89.0, 3), (90.0, 2), (93.0, 2)])
def test_at_ninety_degrees_it_is_a_wall(approach_deg: float, corners: int) -> None:
    assert len(edge_of(Tool(name="one", approach_angle_deg=approach_deg), "turning").corners) == corners


def test_an_edge_that_trails_beyond_the_feed_lies_along_it() -> None:
    wide = Tool(name="wide", approach_angle_deg=100.0, point_angle_deg=90.0)
    corner, last = edge_of(wide, "turning").corners
    assert slope(corner, last) == 0.0


@pytest.mark.parametrize("kind", ["turning", "facing"])
def test_a_nose_is_round_within_a_third_of_a_micrometre(kind: PassKind) -> None:
    """Its centre lies a radius behind both tangents; its lowest point is one of its corners."""
    corners = edge_of(ROUND, kind).corners
    nose = [corner for corner in corners if abs(math.hypot(corner[0] - 0.8, corner[1] - 0.8) - 0.8) < 1e-9]
    assert (0.8, 0.0) in [(round(along, 9), round(height, 9)) for along, height in nose]
    assert nose[0] == about((0.0, 0.8))
    for a, b in pairwise(nose):
        middle = math.hypot((a[0] + b[0]) / 2 - 0.8, (a[1] + b[1]) / 2 - 0.8)
        assert 0.8 - CHORD_MM - 1e-9 <= middle < 0.8
    assert len(nose) == pytest.approx(97 / 360 * 2 * math.pi / (2 * math.acos(1 - CHORD_MM / 0.8)), abs=3)
    trails_deg = 7.0 if kind == "turning" else 3.0
    assert slope(nose[-1], corners[-1]) == about(trails_deg)
    assert slope(nose[-2], nose[-1]) == pytest.approx(trails_deg, abs=2.0), "it goes over into the flank without a bend"


def test_a_face_is_cut_by_the_edge_that_leans_away_from_it() -> None:
    corner, last = edge_of(KNIFE, "facing").corners
    assert edge_of(KNIFE, "facing").cuts == "face"
    assert (corner, slope(corner, last)) == ((0.0, 0.0), about(3.0))
    turned = edge_of(KNIFE, "facing", outwards=True).corners
    assert turned == ((-last[0], last[1]), (0.0, 0.0))
    assert slope(*edge_of(Tool(name="flat", approach_angle_deg=170.0), "facing").corners[-2:]) == about(60.0)
    assert slope(*edge_of(Tool(name="steep", approach_angle_deg=10.0), "facing").corners[-2:]) == about(-60.0)
    assert slope(*edge_of(BORER, "facing").corners[-2:]) == 0.0


def test_a_blade_is_as_wide_as_it_is_and_square() -> None:
    edge = edge_of(BLADE, "grooving")
    assert edge == Edge("outside", ((0.0, 0.0), (2.0, 0.0)))
    assert edge_of(BLADE, "parting") == edge
    assert edge_of(KNIFE, "grooving").corners == ((0.0, 0.0), (0.01, 0.0)), "a width that nobody told is next to none"
    rounded = edge_of(BLADE.model_copy(update={"nose_radius_mm": 0.1}), "grooving").corners
    assert (rounded[0], rounded[-1]) == (about((0.0, 0.1)), about((2.0, 0.1)))
    assert list(rounded) == sorted(rounded)
    assert about((0.1, 0.0)) in list(rounded)
    assert about((1.9, 0.0)) in list(rounded)
    assert [along for along, _ in rounded if 0.1 + 1e-6 < along < 1.9 - 1e-6] == [], "between them it is straight"
    full = edge_of(BLADE.model_copy(update={"nose_radius_mm": 5.0}), "grooving").corners
    assert about((1.0, 0.0)) in list(full), "a radius is half of the width at most"


def test_a_drill_has_its_point_before_its_diameter() -> None:
    edge = edge_of(DRILL, "drilling")
    point_mm = 4.0 / math.tan(math.radians(59.0))
    assert edge.cuts == "inside"
    assert edge.corners == (about((0.0, 0.0)), about((point_mm, -4.0)), about((point_mm + FLANK_MM, -4.0)))
    assert edge_of(DRILL, "turning") == edge, "whatever it is said to do"


@pytest.mark.parametrize(
    ("kind", "tool", "cuts"),
    [
        ("boring", KNIFE, "inside"),
        ("chamfer", BORER, "inside"),
        ("taper", BORER, "inside"),
        ("chamfer", KNIFE, "outside"),
        ("turning", BORER, "outside"),
    ],
)
def test_inside_is_what_bores(kind: PassKind, tool: Tool, cuts: str) -> None:
    assert edge_of(tool, kind).cuts == cuts


@pytest.mark.parametrize(
    ("start_mm", "end_mm", "bore_mm", "outwards"),
    [(12.0, 0.0, 0.0, False), (0.0, 12.0, 0.0, True), (0.9, 12.0, 0.0, True), (1.1, 12.0, 0.0, False),
     (4.9, 12.0, 4.0, True), (5.1, 12.0, 4.0, False), (0.9, 12.0, -math.inf, True)],
)  # fmt: skip
def test_a_face_is_fed_outwards_only_from_the_centre_or_the_bore(
    start_mm: float, end_mm: float, bore_mm: float, outwards: bool
) -> None:
    assert edge_of_pass(ROUND, "facing", start_mm, end_mm, bore_mm) == edge_of(ROUND, "facing", outwards=outwards)


def test_turned_towards_the_tailstock_the_edge_is_the_other_way_round() -> None:
    assert edge_of_pass(ROUND, "turning", 0.0, -8.0, 0.0) == edge_of(ROUND, "turning")
    assert edge_of_pass(ROUND, "turning", -8.0, 0.0, 0.0) == edge_of(ROUND, "turning", left=True)


# -- swept ------------------------------------------------------------------------------------------------------------

VEE = ((-3.0, 3.0), (0.0, 0.0), (4.0, 2.0))
"""Falls at 45 degrees, rises by a half."""


@pytest.mark.parametrize(
    ("start", "end", "reach"),
    [
        ((0.0, 1.0), (5.0, 1.0), [(-3.0, 4.0), (0.0, 1.0), (5.0, 1.0), (9.0, 3.0)]),
        ((5.0, 1.0), (0.0, 1.0), [(-3.0, 4.0), (0.0, 1.0), (5.0, 1.0), (9.0, 3.0)]),
        ((0.0, 1.0), (2.0, 3.0), [(-3.0, 4.0), (0.0, 1.0), (4.0, 3.0), (6.0, 5.0)]),
        ((0.0, 4.0), (2.0, 0.0), [(-3.0, 7.0), (-1.0, 3.0), (2.0, 0.0), (6.0, 2.0)]),
        ((0.0, 1.0), (4.0, 3.0), [(-3.0, 4.0), (0.0, 1.0), (4.0, 3.0), (8.0, 5.0)]),
        ((1.0, 2.0), (1.0, -1.0), [(-2.0, 2.0), (1.0, -1.0), (5.0, 1.0)]),
        ((1.0, -1.0), (1.0, 2.0), [(-2.0, 2.0), (1.0, -1.0), (5.0, 1.0)]),
    ],
)
def test_a_move_is_sorted_in_among_the_pieces_by_slope(start: Corner, end: Corner, reach: list[Corner]) -> None:
    assert swept(VEE, start, end) == [about(corner) for corner in reach]


def test_a_wall_down_comes_before_any_move_and_one_up_after_it() -> None:
    box = ((0.0, 9.0), (0.0, 0.0), (2.0, 0.0), (2.0, 9.0))
    assert swept(box, (0.0, 1.0), (5.0, 3.0)) == [
        about(corner) for corner in ((0.0, 10.0), (0.0, 1.0), (2.0, 1.0), (7.0, 3.0), (7.0, 12.0))
    ]
    assert swept(box, (0.0, 3.0), (5.0, 1.0)) == [
        about(corner) for corner in ((0.0, 12.0), (0.0, 3.0), (5.0, 1.0), (7.0, 1.0), (7.0, 10.0))
    ]
