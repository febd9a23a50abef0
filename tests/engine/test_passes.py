"""What a stroke was as a pass, at the edges of what is told apart: strokes drawn here, figures reckoned by hand."""

from __future__ import annotations

import math

import pytest

from engine.drawn import (
    BAND_MM,
    BAR,
    BLADE,
    BORER,
    BORING,
    DRILL,
    FACING,
    LATER,
    RECESSED,
    SHARP,
    TUBE,
    TURNING,
    faced,
    found,
    stroke,
    turned,
    work,
)
from engine.lathe import about
from waytell.documents.acts import Operation
from waytell.documents.base import PassKind
from waytell.documents.config import Tool
from waytell.engine.passes import LEAST_SHARE, along_compound, measure, place, taken_off
from waytell.engine.section import Section
from waytell.engine.strokes import Point, Stroke
from waytell.engine.tool_shape import edge_of

# -- where the work was met ------------------------------------------------------------------------------------------


def test_a_pass_begins_at_the_face_and_its_way_a_little_before() -> None:
    cut = found(turned(11.5))
    assert (cut.kind, cut.role, cut.axis, cut.sign) == ("turning", "roughing", "Z", -1)
    assert (cut.start_mm, cut.end_mm, cut.held_mm, cut.depth_mm) == pytest.approx((0.0, -8.0, 11.5, 0.5))
    assert (cut.points[0].t_s, cut.points[-1].t_s) == pytest.approx((12.0, 20.0)), "2 mm of air at 1 mm/s before it"
    assert cut.path == (about((11.5, 0.05)), about((11.5, -8.0)))
    assert cut.least_mm == 0.0
    assert (cut.rest_held_mm, cut.operation) == (11.5, None)


def test_it_ends_where_the_metal_does() -> None:
    cut = found(stroke((-8.0, 11.5), (3.0, 11.5)))
    assert (cut.start_mm, cut.end_mm) == pytest.approx((-8.0, 0.0))
    assert cut.points[-1].t_s == pytest.approx(18.0)
    assert cut.sign == 1
    assert max(point.fed_mm for point in cut.points) == pytest.approx(0.0)
    assert cut.path[0] == pytest.approx((11.5, -8.0)), "nothing lies before the first point"


def test_set_in_while_it_is_fed_it_begins_where_it_meets_the_bar() -> None:
    cut = found(stroke((-2.0, 12.4), (-10.0, 11.6)))
    assert cut.start_mm == pytest.approx(-6.0, abs=0.2), "a tenth of a mm in for each of feed"
    assert cut.held_mm == pytest.approx(11.8, abs=0.02)
    assert cut.points[0].held_mm == pytest.approx(12.4 - (-2.0 - cut.start_mm) / 10, abs=1e-6)
    assert cut.points[0].t_s == pytest.approx(10 + (-2.0 - cut.start_mm), abs=1e-5)


@pytest.mark.parametrize(("to_mm", "is_one"), [(-0.44, False), (-0.56, True)])
def test_half_a_millimetre_is_the_least(to_mm: float, is_one: bool) -> None:
    assert (measure(turned(11.5, to_mm), LATER) is not None) == is_one


def test_a_gap_in_the_work_splits_no_pass() -> None:
    grooved = BAR.after("grooving", BLADE, [(13.0, -5.0), (10.0, -5.0)])
    cut = found(turned(11.5), work(section=grooved))
    assert (cut.start_mm, cut.end_mm, cut.depth_mm) == pytest.approx((0.0, -8.0, 0.5))


@pytest.mark.parametrize(
    ("one", "start_mm", "end_mm"),
    [
        (stroke((2.0, 11.5), (-6.0, 11.5)), 0.0, -4.0),
        (stroke((-6.0, 11.5), (2.0, 11.5)), -4.0, 0.0),
        (stroke((-6.0, 11.5), (-14.0, 11.5)), -8.0, -14.0),
        (stroke((-3.03, 11.5), (0.02, 11.5)), -3.03, 0.0),
        (stroke((0.02, 11.5), (-3.03, 11.5)), 0.0, -3.03),
    ],
)
def test_it_begins_and_ends_at_the_very_edge_of_a_recess(one: Stroke, start_mm: float, end_mm: float) -> None:
    cut = found(one, work(section=RECESSED))
    assert (cut.start_mm, cut.end_mm) == pytest.approx((start_mm, end_mm), abs=1e-4)
    feds = [point.fed_mm * one.sign for point in cut.points]
    assert feds == sorted(feds)


@pytest.mark.parametrize("ahead_mm", [0.01, -0.01, 0.0, 0.02])
def test_wherever_a_reading_falls_at_the_edge_the_points_go_on_one_way(ahead_mm: float) -> None:
    cut = found(stroke((2.0 + ahead_mm, 11.5), (-4.0, 11.5)))
    assert cut.start_mm == pytest.approx(0.0, abs=1e-6)
    feds = [point.fed_mm for point in cut.points]
    assert feds == sorted(feds, reverse=True)


def test_beside_the_work_is_no_pass() -> None:
    assert measure(turned(12.0 + 1.1 * BAND_MM), LATER) is None
    assert measure(faced(1.1 * BAND_MM), LATER) is None


# -- what takes nothing off ------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("last_mm", "went_mm", "speed", "is_one"),
    [
        (12.0, -8.0, 1.0, True),
        (12.0, 8.0, 1.0, False),
        (12.0, -8.0, 9.5, True),
        (12.0, -8.0, 10.5, False),
        (12.01 + 1.9 * BAND_MM, -8.0, 1.0, True),
        (12.01 + 2.1 * BAND_MM, -8.0, 1.0, False),
        (12.01 - 1.9 * BAND_MM, -8.0, 1.0, True),
        (12.01 - 2.1 * BAND_MM, -8.0, 1.0, False),
    ],
)
def test_rubbing_where_the_last_pass_was_held_is_a_spring_pass(
    last_mm: float, went_mm: float, speed: float, is_one: bool
) -> None:
    cut = measure(turned(12.01, speed=speed), work(last={"turning": (last_mm, went_mm)}))
    assert (cut is not None) == is_one
    if cut is not None:
        assert (cut.role, cut.depth_mm) == ("spring", about(-0.01))
        assert cut.least_mm == pytest.approx(0.45 * 8.0), "of the way of the last"


def test_also_after_a_pass_of_less_than_a_millimetre() -> None:
    cut = found(turned(12.01, -0.9), work(last={"turning": (12.0, -0.8)}))
    assert (cut.role, cut.least_mm) == ("spring", about(0.36))


def test_rubbing_anywhere_else_is_none() -> None:
    assert measure(turned(12.01), LATER) is None
    assert measure(turned(12.01), work(last={"facing": (12.0, -8.0)})) is None


def test_in_its_operation_rubbing_is_a_spring_pass_of_at_least_half_its_way() -> None:
    cut = found(turned(12.01), work(operation=TURNING, target_mm=11.0))
    assert (cut.role, cut.least_mm) == ("spring", about(3.6))
    assert found(turned(11.98), work(operation=TURNING, target_mm=11.0)).least_mm == 0.0


@pytest.mark.parametrize(("x_mm", "is_one"), [(11.96, False), (11.94, True)])
@pytest.mark.parametrize(("speed", "is_slow"), [(4.5, True), (5.5, False)])
def test_against_the_usual_way_a_pass_takes_off_and_is_fed_slowly(
    x_mm: float, is_one: bool, speed: float, is_slow: bool
) -> None:
    cut = measure(stroke((-8.0, x_mm), (3.0, x_mm), speed=speed), LATER)
    assert (cut is not None) == (is_one and is_slow)
    outwards = measure(stroke((0.0, x_mm - 12.0), (13.0, x_mm - 12.0), axis="X", speed=speed), LATER)
    assert (outwards is not None) == (is_one and is_slow)


def test_where_a_nose_has_been_drawing_back_takes_nothing() -> None:
    nose = Tool(name="round", nose_radius_mm=0.8)
    before = work(tool=nose)
    there = found(turned(11.0), before)
    after = work(tool=nose, section=taken_off(BAR, there, nose), last={"turning": (11.0, -8.0)})
    assert measure(stroke((-8.0, 11.0), (3.0, 11.0)), after) is None
    back = found(stroke((-8.0, 10.5), (3.0, 10.5)), after)
    assert back.depth_mm == pytest.approx(0.5, abs=0.03)


def test_what_is_really_taken_off_is_spread_over_the_way_however_short() -> None:
    """From a recess 0.7 mm into the collar in front of it: that is the whole of what the edge took."""
    assert found(stroke((-5.0, 11.7), (-3.3, 11.7)), work(section=RECESSED)).depth_mm == pytest.approx(0.3, abs=1e-3)


@pytest.mark.parametrize(("past_mm", "is_one"), [(0.05, True), (0.01 - BAND_MM, True), (-0.01 - BAND_MM, False)])
def test_in_a_hole_that_is_there_a_drill_cuts_where_its_point_is_as_wide(past_mm: float, is_one: bool) -> None:
    """A point of 118 degrees is as wide as a hole of 4 mm that far behind its tip."""
    behind_mm = 2.0 / math.tan(math.radians(118.0 / 2))
    down = stroke((3.0, 0.0), (-behind_mm - past_mm, 0.0))
    assert (measure(down, work(section=Section.bar(12.0, 40.0, 0.0, 2.0), tool=DRILL)) is not None) == is_one


def test_a_nose_takes_less_than_its_corner_stands_in_the_metal() -> None:
    """Its corner half a millimetre into the collar, its centre 0.3 in front of it: what of the circle lies within."""
    nose = Tool(name="round", nose_radius_mm=0.8, hand="left")
    far_mm = math.sqrt(0.8**2 - 0.5**2)
    circle = [0.5 * u * math.sqrt(0.64 - u * u) + 0.32 * math.asin(u / 0.8) for u in (0.3, far_mm)]
    taken_mm2 = circle[1] - circle[0] - 0.5 * (far_mm - 0.3)
    cut = found(stroke((-5.0, 11.7), (-3.5, 11.7)), work(section=RECESSED, tool=nose))
    assert cut.depth_mm == about(taken_mm2 / 0.5, 1e-3)


def test_met_on_a_slant_it_starts_where_the_slant_meets_the_metal() -> None:
    slanting = Stroke("Z", -1, (Point(1.0, 2.0, 14.0), Point(3.0, -2.0, 11.5), Point(9.0, -8.0, 11.5)), 14.0)
    contact_mm = 2.0 - (14.0 - 12.0 - BAND_MM) / 2.5 * 4.0
    assert found(slanting).start_mm == about(contact_mm - BAND_MM, 1e-3)


def test_against_the_feed_at_the_same_setting_it_is_a_spring_pass_only_the_way_of_the_last() -> None:
    clean = Section.bar(11.0, 40.0, 0.0)
    out = stroke((-8.0, 11.0), (3.0, 11.0))
    assert found(out, work(section=clean, last={"turning": (11.0, 8.0)})).role == "spring"
    assert measure(out, work(section=clean, last={"turning": (11.0, -8.0)})) is None


# -- in the air ------------------------------------------------------------------------------------------------------


def test_past_the_work_along_its_operation_it_is_an_air_pass() -> None:
    cut = found(stroke((2.03, 12.5), (-8.02, 12.5)), work(operation=TURNING))
    assert (cut.kind, cut.role, cut.depth_mm, cut.path, cut.held_mm) == ("turning", "air", None, (), 12.5)
    assert (cut.start_mm, cut.end_mm) == pytest.approx((0.03, -8.02)), "the ends are a sample wide"
    assert cut.operation == TURNING


@pytest.mark.parametrize(
    ("one", "is_one"),
    [
        (turned(12.5, -3.9), False),
        (turned(12.5, -4.1), True),
        (turned(12.5, speed=4.8), True),
        (turned(12.5, speed=5.2), False),
        (turned(14.9), True),
        (turned(15.1), False),
        (stroke((-8.0, 12.5), (2.0, 12.5)), False),
    ],
)
def test_an_air_pass_goes_half_of_the_way_slowly_near_the_work(one: Stroke, is_one: bool) -> None:
    assert (measure(one, work(operation=TURNING)) is not None) == is_one


def test_facing_and_boring_may_be_fed_in_the_air_and_drilling_is_not() -> None:
    assert found(faced(0.5), work(operation=FACING)).role == "air"
    assert found(turned(3.5), work(section=TUBE, tool=BORER, operation=BORING)).role == "air"
    drilling = Operation(name="drill", kind="drilling", start_mm=0.0, end_mm=-8.0, target_mm=4.0)
    hole = BAR.after("drilling", DRILL, [(0.0, 1.0), (0.0, -20.0)])
    assert measure(turned(0.0), work(section=hole, tool=DRILL, operation=drilling)) is None


def test_a_short_operation_in_the_air_needs_half_a_millimetre() -> None:
    short = TURNING.model_copy(update={"end_mm": -0.6})
    assert measure(turned(12.5, -0.3), work(operation=short)) is None
    assert found(turned(12.5, -0.6), work(operation=short)).role == "air"


# -- its kind --------------------------------------------------------------------------------------------------------


def test_a_face_is_told_with_its_depth_and_ends() -> None:
    cut = found(faced(-0.3))
    assert (cut.kind, cut.role, cut.axis, cut.sign) == ("facing", "roughing", "X", -1)
    assert (cut.start_mm, cut.end_mm, cut.held_mm, cut.depth_mm) == pytest.approx((12.0, 0.0, -0.3, 0.3))
    assert cut.path == (about((12.05, -0.3)), about((0.0, -0.3)))


@pytest.mark.parametrize(
    ("z_mm", "to_mm", "kind"), [(-5.9, 4.0, "facing"), (-6.1, 4.0, "grooving"), (-6.1, 0.04, "parting")]
)
def test_deeper_than_any_face_the_tool_plunges(z_mm: float, to_mm: float, kind: str) -> None:
    cut = found(faced(z_mm, to_mm))
    assert cut.kind == kind
    assert cut.depth_mm == pytest.approx(-z_mm if kind == "facing" else 12.0 - to_mm)


@pytest.mark.parametrize(
    ("section", "to_mm", "kind"),
    [(BAR, 0.04, "parting"), (BAR, 0.06, "grooving"), (TUBE, 4.04, "parting"), (TUBE, 4.06, "grooving")],
)
def test_a_blade_parts_off_where_it_comes_through(section: Section, to_mm: float, kind: str) -> None:
    cut = found(faced(-10.0, to_mm), work(section=section, tool=BLADE))
    assert (cut.kind, cut.role) == (kind, "roughing")
    assert cut.start_mm == pytest.approx(12.0)
    assert cut.depth_mm == pytest.approx(12.0 - to_mm), "its depth is its way"
    assert cut.least_mm == 0.0


@pytest.mark.parametrize(("z_mm", "meets"), [(-1.9, True), (0.1, False)])
def test_any_part_of_a_blade_may_meet_the_metal(z_mm: float, meets: bool) -> None:
    assert (measure(faced(z_mm, 8.0), work(tool=BLADE)) is not None) == meets


@pytest.mark.parametrize(("along_mm", "meets"), [(-10.5, True), (-11.5, True), (-10.0, False), (-9.98, False)])
def test_beside_a_blade_stand_the_walls_of_its_own_groove(along_mm: float, meets: bool) -> None:
    """The groove is from -10 to -8: half a blade beside it meets metal, the same place again and a band off not."""
    grooved = BAR.after("grooving", BLADE, [(13.0, -10.0), (6.0, -10.0)])
    cut = measure(faced(along_mm, 7.0), work(section=grooved, tool=BLADE))
    assert (cut is not None) == meets


@pytest.mark.parametrize(("x_mm", "kind"), [(8.1, "turning"), (7.9, "boring"), (4.5, "boring"), (11.5, "turning")])
def test_in_a_tube_it_is_what_is_nearer(x_mm: float, kind: str) -> None:
    cut = found(turned(x_mm), work(section=TUBE))
    assert cut.kind == kind
    assert cut.depth_mm == pytest.approx(x_mm - 4.0 if kind == "boring" else 12.0 - x_mm)


def test_a_hole_that_is_passed_for_less_than_half_of_the_way_makes_no_boring() -> None:
    for deep_mm, kind in ((3.5, "turning"), (4.5, "boring")):
        hole = BAR.cut([(4.0, 1.0), (4.0, -deep_mm), (0.0, -deep_mm)], edge_of(BORER, "boring"))
        assert found(turned(7.0), work(section=hole)).kind == kind


def test_a_boring_bar_bores_and_a_drill_drills() -> None:
    bored = found(turned(4.5), work(section=TUBE, tool=BORER))
    assert (bored.kind, bored.depth_mm, bored.held_mm) == ("boring", about(0.5), 4.5)
    cut = found(stroke((1.0, 0.0), (-10.0, 0.0)), work(tool=DRILL))
    assert (cut.kind, cut.role, cut.start_mm) == ("drilling", "roughing", about(0.0))
    assert cut.depth_mm == pytest.approx(10.0)


@pytest.mark.parametrize(("hole_mm", "to_mm", "is_one"), [(8.0, -11.9, False), (8.0, -12.2, True), (7.9, -11.0, True)])
def test_a_drill_in_its_own_hole_meets_nothing(hole_mm: float, to_mm: float, is_one: bool) -> None:
    before = Tool(name="before", kind="drill", diameter_mm=hole_mm)
    hole = BAR.after("drilling", before, [(0.0, 1.0), (0.0, -12.0)])
    cut = measure(stroke((1.0, 0.0), (to_mm, 0.0)), work(section=hole, tool=DRILL))
    assert (cut is not None) == is_one
    if cut is not None:
        assert cut.start_mm == pytest.approx(0.0), "told from the face on"


@pytest.mark.parametrize(("tip_mm", "is_one"), [(-10.2, False), (-10.8, True)])
def test_in_a_more_pointed_hole_a_drill_meets_metal_with_its_corners(tip_mm: float, is_one: bool) -> None:
    """Of 90 degrees down to -12 the hole is 8 mm wide from -8 on; the corners lie 2.4 mm behind the tip."""
    pointed = DRILL.model_copy(update={"point_angle_deg": 90.0})
    hole = BAR.after("drilling", pointed, [(0.0, 1.0), (0.0, -12.0)])
    assert (measure(stroke((1.0, 0.0), (tip_mm, 0.0)), work(section=hole, tool=DRILL)) is not None) == is_one


@pytest.mark.parametrize(("x_mm", "is_one"), [(0.95, False), (1.05, True)])
def test_no_diameter_is_turned_at_the_centre(x_mm: float, is_one: bool) -> None:
    assert (measure(turned(x_mm), LATER) is not None) == is_one


# -- the compound slide ----------------------------------------------------------------------------------------------


def test_places_along_the_compound_and_back() -> None:
    assert place("X", 3.0, 4.0, 30.0) == (3.0, 4.0)
    assert place("Z", 3.0, 4.0, 30.0) == (4.0, 3.0)
    half, root = 0.5, math.sqrt(3) / 2
    assert place("compound", 2.0, 1.0, 30.0) == pytest.approx((2 * half + root, 2 * root - half))
    assert along_compound(2 * half + root, 2 * root - half, 30.0) == pytest.approx((2.0, 1.0))


def by_compound(angle_deg: float, length_mm: float) -> Stroke:
    """Through the edge of the bar: half of the way lies in the metal, which is met 0.5 mm within the corner."""
    fed, across = along_compound(11.8, -0.2, angle_deg)
    half = length_mm / 2
    return stroke((fed + half, across), (fed - half, across), axis="compound")


@pytest.mark.parametrize(
    ("angle_deg", "length_mm", "kind"),
    [(45.0, 8.0, "chamfer"), (25.5, 8.0, "chamfer"), (24.5, 8.0, "taper"), (64.5, 8.0, "chamfer"),
     (65.5, 8.0, "taper"), (45.0, 9.3, "chamfer"), (45.0, 9.6, "taper")],
)  # fmt: skip
def test_steep_and_short_it_is_a_chamfer_else_a_taper(angle_deg: float, length_mm: float, kind: str) -> None:
    cut = found(by_compound(angle_deg, length_mm), work(angle_deg=angle_deg))
    assert (cut.kind, cut.axis) == (kind, "compound")
    x, z = cut.path[-1]
    assert along_compound(x, z, angle_deg) == pytest.approx((cut.end_mm, cut.held_mm))


def test_a_cone_is_as_deep_as_metal_stood_over_it() -> None:
    """From (12.1, 0.1) inwards at 45 degrees outwards along Z: over its middle stands half of what is over its end."""
    fed, across = along_compound(11.0, 0.0, -45.0)
    cut = found(stroke((fed + 0.1, across), (fed - 0.9, across), axis="compound"), work(angle_deg=-45.0))
    assert cut.kind == "chamfer"
    assert cut.depth_mm == pytest.approx(1.0 - 0.9 * math.sqrt(0.5) / 2, abs=0.05)


def test_a_cone_that_takes_nothing_is_one_only_in_its_operation() -> None:
    operation = Operation(name="cone", kind="taper", start_mm=0.0, end_mm=-4.0, target_mm=11.0)
    fed, across = along_compound(11.0, 0.0, -10.0)
    one = stroke((fed + 1.0, across), (fed - 3.0, across), axis="compound")
    cone = found(one, work(angle_deg=-10.0))
    clean = work(angle_deg=-10.0, section=taken_off(BAR, cone, SHARP))
    assert measure(one, clean) is None
    spring = found(one, clean._replace(operation=operation, target_mm=11.0))
    assert (spring.role, spring.kind) == ("spring", "taper")
    assert measure(turned(11.5), work(operation=operation)) is not None, "fed by the carriage it is none of its passes"
    assert found(turned(11.5), work(operation=operation)).operation is None


# -- its role --------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("tolerance_mm", "x_mm", "role"),
    [(0.1, 11.54, "finish"), (0.1, 11.56, "roughing"), (0.0, 11.514, "finish"), (0.0, 11.517, "roughing"),
     (0.0, 11.4, "finish")],
)  # fmt: skip
def test_the_last_pass_is_within_half_the_limits(tolerance_mm: float, x_mm: float, role: str) -> None:
    operation = TURNING.model_copy(update={"tolerance_mm": tolerance_mm, "target_mm": 11.5})
    assert found(turned(x_mm), work(operation=operation, target_mm=11.5)).role == role
    assert found(turned(x_mm), work(operation=operation, target_mm=None)).role == "roughing"


@pytest.mark.parametrize(("x_mm", "role"), [(4.96, "finish"), (4.94, "roughing")])
def test_a_bore_is_finished_from_within(x_mm: float, role: str) -> None:
    operation = BORING.model_copy(update={"tolerance_mm": 0.1})
    assert found(turned(x_mm), work(section=TUBE, tool=BORER, operation=operation, target_mm=5.0)).role == role


def test_a_free_first_pass_is_a_skim() -> None:
    operation = TURNING.model_copy(update={"free_first_pass": True})
    for passes, role in ((0, "skim"), (1, "roughing")):
        assert found(turned(11.5), work(operation=operation, passes_in_operation=passes)).role == role
    assert found(turned(11.5), work(operation=TURNING, passes_in_operation=0)).role == "roughing"


@pytest.mark.parametrize(
    ("passes", "clamped", "role"), [(0, False, "skim"), (0, True, "roughing"), (1, False, "roughing")]
)
def test_the_first_face_of_a_set_up_is_a_skim_unless_it_is_clamped(passes: int, clamped: bool, role: str) -> None:
    assert found(faced(-0.3), work(passes_in_set_up=passes, clamped=clamped)).role == role
    assert found(turned(11.5), work(passes_in_set_up=passes, clamped=clamped)).role == "roughing"


@pytest.mark.parametrize("kind", ["taper", "chamfer"])
def test_a_cone_has_no_finishing_pass(kind: PassKind) -> None:
    operation = Operation(name="cone", kind=kind, start_mm=0.0, end_mm=-4.0, target_mm=11.5)
    fed, across = along_compound(11.0, 0.0, -10.0)
    one = stroke((fed + 1.0, across), (fed - 3.0, across), axis="compound")
    assert found(one, work(angle_deg=-10.0, operation=operation, target_mm=11.5)).role == "roughing"


# -- without an outline ----------------------------------------------------------------------------------------------


def test_without_outline_the_operation_alone_tells() -> None:
    bare = work(section=None, operation=TURNING)
    cut = found(turned(11.5), bare)
    assert (cut.start_mm, cut.end_mm, cut.path, cut.depth_mm) == (0.0, -8.0, (), None)
    assert [point.t_s for point in cut.points[:3]] == pytest.approx([12.0, 12.0, 12.05])
    again = found(turned(11.0), bare._replace(last={"turning": (11.5, -8.0)}))
    assert again.depth_mm == pytest.approx(0.5)
    bored = found(turned(5.0), bare._replace(operation=BORING, last={"boring": (4.8, -8.0)}))
    assert bored.depth_mm == pytest.approx(0.2), "a bore is advanced outwards"
    assert measure(turned(11.5, speed=4.8), bare) is not None
    assert measure(turned(11.5, speed=5.2), bare) is None
    assert measure(turned(11.5), bare._replace(operation=None)) is None
    assert measure(stroke((-8.0, 11.5), (2.0, 11.5)), bare) is None
    assert measure(faced(-0.3), bare) is None


@pytest.mark.parametrize(("places", "held_mm"), [((11.5, 11.51, 11.53, 11.56), 11.52), ((11.5, 11.51, 11.55), 11.51)])
def test_where_it_was_held_is_the_middle_or_half_way_between_the_two_in_the_middle(
    places: tuple[float, ...], held_mm: float
) -> None:
    points = tuple(Point(10.0 + 2 * i, -2.0 * i, place_mm) for i, place_mm in enumerate(places))
    cut = found(Stroke("Z", -1, points, 11.5), work(section=None, operation=TURNING))
    assert cut.held_mm == pytest.approx(held_mm)


def test_without_outline_it_starts_between_two_points_as_the_slide_went() -> None:
    points = (Point(1.0, 2.0, 11.0), Point(3.0, -2.0, 11.4), Point(9.0, -8.0, 11.4))
    cut = found(Stroke("Z", -1, points, 11.0), work(section=None, operation=TURNING))
    assert cut.points[0] == pytest.approx((2.0, 0.0, 11.2))
    within = found(Stroke("Z", -1, points[1:], 11.4), work(section=None, operation=TURNING))
    assert within.points == points[1:]
    later = TURNING.model_copy(update={"start_mm": -4.0})
    assert found(turned(11.5), work(section=None, operation=later)).start_mm == -4.0
    spring = found(turned(11.0), work(section=Section.bar(11.0, 40.0, 0.0), operation=later))
    assert (spring.role, spring.least_mm) == ("spring", about(LEAST_SHARE * 4.0))
    assert measure(Stroke("Z", -1, points[:1], 11.0), work(section=None, operation=TURNING)) is None
