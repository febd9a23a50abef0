"""What belongs to a pass and what is one of its own, at the edges of what the finder takes for the same line."""

from __future__ import annotations

import math
from typing import Any

import pytest

from engine.drawn import DRILL, FACING, LATER, RECESSED, SHARP
from engine.lathe import THREE_SCALES, TURNING, Lathe, about, configured
from waytell.documents.acts import Operation
from waytell.engine.pass_finder import PassFinder
from waytell.engine.passes import Cut, Work, taken_off

Place = tuple[float, float, float]
COMPOUND_MM = 5.0
"""Where the compound slide stands while the others are wound."""

LONG = TURNING | {"end_mm": -8.0}


def at_work(x_mm: float = 11.5) -> Lathe:
    """The depth set in front of a bar of 24 mm that is to be turned down to a shoulder at -8."""
    lathe = Lathe()
    lathe.set_up_work(LONG)
    lathe.to(x=14.0, speed=30)
    lathe.to(z=1.0, speed=30)
    lathe.to(x=x_mm, speed=10)
    lathe.rest(0.3)
    return lathe


def feed(lathe: Lathe, to_mm: float) -> None:
    """As far as that, where a hand takes a moment to turn back."""
    lathe.to(z=to_mm)
    lathe.rest(0.1)


def clear(lathe: Lathe) -> None:
    lathe.to(x=14.0, speed=20)
    lathe.to(z=3.0, speed=20)
    lathe.rest(0.5)


def ends(lathe: Lathe) -> list[tuple[float, float]]:
    """Where each pass ended, and where the cross-slide stood in it."""
    return [(round(one.end_mm, 2), round(one.held_mm, 2)) for one in lathe.passes]


def test_a_deeper_cut_that_begins_within_the_last_is_one_of_its_own() -> None:
    lathe = at_work()
    feed(lathe, -7.0)
    lathe.to(z=-4.0, speed=10)
    lathe.to(x=11.2, speed=2)
    lathe.rest(0.3)
    feed(lathe, -7.0)
    clear(lathe)
    assert ends(lathe) == [(-7.0, 11.5), (-7.0, 11.2)]
    assert lathe.passes[1].start_mm == pytest.approx(-4.0, abs=0.05)


@pytest.mark.parametrize("off_mm", [0.0, 0.04, -0.04])
def test_backing_off_and_going_on_as_near_as_a_dial_is_set_by_hand_is_the_same_pass(off_mm: float) -> None:
    lathe = at_work()
    feed(lathe, -5.0)
    lathe.to(z=-4.0, speed=10)
    lathe.to(x=11.5 + off_mm, speed=1)
    lathe.rest(0.3)
    feed(lathe, -7.0)
    clear(lathe)
    assert ends(lathe) == [(-7.0, 11.5)]


def test_begun_anew_where_it_began_it_is_another_pass() -> None:
    lathe = at_work()
    feed(lathe, -7.0)
    lathe.to(z=0.0, speed=10)
    lathe.rest(0.3)
    feed(lathe, -7.0)
    clear(lathe)
    assert ends(lathe) == [(-7.0, 11.5), (-7.0, 11.5)]
    assert lathe.passes[1].role == "spring"


@pytest.mark.parametrize(("stops_at_mm", "passes"), [(-7.5, 1), (-7.98, 1)])
def test_short_of_the_end_of_its_operation_it_may_go_on(stops_at_mm: float, passes: int) -> None:
    lathe = at_work()
    feed(lathe, stops_at_mm)
    assert len(lathe.passes) == 0
    lathe.to(z=stops_at_mm + 0.8, speed=10)
    lathe.rest(0.3)
    assert len(lathe.passes) == (0 if stops_at_mm > -7.95 else 1), "fed to the end it is over"
    feed(lathe, -8.0)
    clear(lathe)
    assert len(lathe.passes) == passes
    assert lathe.passes[0].end_mm == pytest.approx(-8.0 if stops_at_mm > -7.95 else stops_at_mm, abs=0.03)


def test_after_a_minute_of_rest_it_is_over_and_going_on_is_another() -> None:
    lathe = at_work()
    feed(lathe, -4.0)
    lathe.to(z=-3.5, speed=10)
    lathe.rest(50)
    assert lathe.passes == []
    lathe.rest(15)
    assert ends(lathe) == [(-4.0, 11.5)]


def test_a_cone_is_found_whichever_way_the_compound_slide_is_wound() -> None:
    # Wound in it goes away from the centre line: the thin end is the free one. It rises by a tenth of the way.
    lathe = Lathe(configured(scales=THREE_SCALES, compound={"angle_deg": -5.739170}))
    lathe.set_up_work()
    lathe.to(x=16.0, speed=30)
    wound(lathe, -12.0, 8.0)
    lathe.to(z=1.94, speed=30)
    for x_mm in (10.9, 10.6):
        lathe.to(x=x_mm, speed=5)
        lathe.rest(0.5)
        wound(lathe, -1.0, 2.0)
        lathe.to(x=16.0, speed=20)
        wound(lathe, -12.0, 8.0)
        lathe.rest(0.5)
    assert [(one.fed_by, one.kind) for one in lathe.passes] == [("compound", "taper")] * 2
    assert lathe.passes[1].depth_mm == pytest.approx(0.3 * 0.995, abs=0.01)


def test_a_cone_is_found_that_is_cut_outwards() -> None:
    """From the surface to beyond the free end, inwards by a tenth of the way."""
    lathe = Lathe(configured(scales=THREE_SCALES, compound={"angle_deg": -5.739170}))
    lathe.set_up_work()
    lathe.to(x=16.0, speed=30)
    wound(lathe, -5.0, 8.0)
    lathe.to(z=-0.5, speed=30)
    lathe.to(x=11.55, speed=5)
    lathe.rest(0.5)
    began_x_mm, began_z_mm = lathe.position("X"), lathe.position("Z")
    assert (began_x_mm, began_z_mm) == (about(12.05, 0.01), about(-5.475, 0.01))
    wound(lathe, 3.0, 2.0)
    lathe.to(x=16.0, speed=20)
    lathe.rest(0.5)
    (one,) = lathe.passes
    assert (one.fed_by, one.kind) == ("compound", "taper")
    assert (one.start_mm, one.end_mm) == (about(-4.98, 0.2), about(0.0, 0.01))
    assert one.depth_mm == about(0.5 / 2 * 0.995, 0.01), "half of what it takes off at the free end"
    assert (one.feed_mm_min, one.creep_mm) == (about(120.0, 1.0), about(0.0))


def wound(lathe: Lathe, to_mm: float, speed: float) -> None:
    """The compound slide to a place of its own scale."""
    from_mm = lathe.compound_mm
    steps = max(1, round(abs(to_mm - from_mm) / speed * lathe.rate_hz))
    for step in range(1, steps + 1):
        lathe.compound_mm = from_mm + step / steps * (to_mm - from_mm)
        lathe.step()


@pytest.mark.parametrize(("to_mm", "ends_mm"), [(-8.2, [-8.0]), (-8.6, [-8.0, -8.6])])
def test_once_told_only_what_cuts_on_from_there_is_another(to_mm: float, ends_mm: list[float]) -> None:
    lathe = at_work()
    feed(lathe, -8.0)
    lathe.to(z=-7.035, speed=10)
    lathe.rest(0.3)
    assert len(lathe.passes) == 1, "fed to its end it is over"
    feed(lathe, to_mm)
    clear(lathe)
    assert [end_mm for end_mm, _ in ends(lathe)] == ends_mm
    if len(ends_mm) > 1:
        more = lathe.passes[1]
        assert (more.role, more.start_mm, more.depth_mm) == ("roughing", about(-8.0, 0.06), about(0.5))
        section = lathe.engine.known.section
        assert section is not None
        assert section.largest_radius(-8.59, -0.01) == about(11.5), "no rib is left where the two meet"


def with_compound(angle_deg: float) -> Lathe:
    """At rest 0.3 mm in front of the bar, half a millimetre deep, the compound slide just wound out and in."""
    lathe = Lathe(configured(scales=THREE_SCALES, compound={"angle_deg": angle_deg}))
    lathe.set_up_work()
    lathe.to(x=16.0, speed=30)
    lathe.to(z=0.3, speed=30)
    lathe.to(x=11.5, speed=5)
    lathe.rest(0.5)
    wound(lathe, 0.6, 2.0)
    lathe.rest(0.3)
    wound(lathe, 0.0, 2.0)
    lathe.rest(0.3)
    return lathe


def test_so_short_a_way_of_the_carriage_is_told_from_the_compound_slides() -> None:
    lathe = with_compound(45.0)
    lathe.to(z=-0.6, speed=1.0)
    lathe.to(x=16.0, speed=10)
    lathe.to(z=3.0, speed=10)
    lathe.rest(0.3)
    (one,) = lathe.passes
    assert (one.fed_by, one.kind) == ("carriage", "turning")
    assert one.end_mm == pytest.approx(-0.6, abs=0.011)


def test_so_short_a_way_of_the_compound_slide_is_told_from_the_others() -> None:
    """Inwards and towards the chuck at 45 degrees: of 0.9 mm two thirds in the metal."""
    lathe = with_compound(45.0)
    lathe.to(z=3.0, speed=10)
    lathe.to(x=11.9, speed=10)
    lathe.to(z=0.2, speed=10)
    lathe.rest(0.5)
    wound(lathe, -0.9, 1.0)
    lathe.to(x=16.0, speed=10)
    wound(lathe, 1.0, 2.0)
    lathe.rest(0.3)
    (one,) = lathe.passes
    assert (one.fed_by, one.kind) == ("compound", "chamfer")


class Readings:
    """Feeds a finder directly, every 10 ms; one reading, by its number, may be out by a glitch of its scales."""

    def __init__(self, begins: Work = LATER, glitch_at: int = -1, glitch: Place = (0.0, 0.0, 0.0)) -> None:
        self.glitch_at, self.glitch = glitch_at, glitch
        self.work = begins._replace(angle_deg=-45.0)
        self.finder = PassFinder({"X": 0.005, "Z": 0.005}, -45.0, lambda: self.work, lambda: False, {"X": -1, "Z": -1})
        self.read, self.place, self.cuts = 0, (14.0, 2.0, COMPOUND_MM), list[Cut]()
        self.rest()

    def take(self) -> None:
        off = self.glitch if self.read == self.glitch_at else (0.0, 0.0, 0.0)
        x, z, compound = (one + by for one, by in zip(self.place, off, strict=True))
        self.told(self.finder.step(1000 + self.read * 0.01, x, z, compound))
        self.read += 1

    def told(self, cuts: list[Cut]) -> None:
        for cut in cuts:
            assert self.work.section is not None
            last = self.work.last | {cut.kind: (cut.held_mm, cut.end_mm - cut.start_mm)}
            self.work = self.work._replace(section=taken_off(self.work.section, cut, SHARP), last=last)
        self.cuts += cuts

    def to(self, x: float, z: float, compound: float = COMPOUND_MM) -> None:
        """Straight to there, 2 mm/s, and a rest."""
        (x0, z0, c0) = self.place
        steps = max(1, round(max(abs(x - x0), abs(z - z0), abs(compound - c0)) / 0.02))
        for step in range(1, steps + 1):
            share = step / steps
            self.place = (x0 + (x - x0) * share, z0 + (z - z0) * share, c0 + (compound - c0) * share)
            self.take()
        self.rest()

    def rest(self, readings: int = 20) -> None:
        for _ in range(readings):
            self.take()

    def ended(self) -> list[Cut]:
        self.told(self.finder.finish())
        return self.cuts

    @property
    def ends(self) -> list[tuple[float, float]]:
        return [(round(one.end_mm, 2), round(one.held_mm, 2)) for one in self.ended()]


def turned_once(glitch_at: int = -1, glitch: Place = (0.0, 0.0, 0.0)) -> list[Cut]:
    """From 2 to -5, half a millimetre deep: reading 300 in the metal, 640 wound out."""
    readings = Readings(LATER, glitch_at, glitch)
    for x, z in ((11.5, 2.0), (11.5, -5.0), (14.0, -5.0), (14.0, 2.0)):
        readings.to(x, z)
    return readings.ended()


@pytest.mark.parametrize("glitch_at", [25, 155, 300, 519, 640])
@pytest.mark.parametrize("off_mm", [-0.6, 0.6])
@pytest.mark.parametrize("scale", [0, 1, 2])
def test_one_reading_out_of_its_row_is_no_move(glitch_at: int, off_mm: float, scale: int) -> None:
    (was,) = turned_once()
    assert (was.end_mm, was.held_mm, was.depth_mm) == (-5.0, 11.5, about(0.5))
    glitch = (off_mm if scale == 0 else 0.0, off_mm if scale == 1 else 0.0, off_mm if scale == 2 else 0.0)
    (now,) = turned_once(glitch_at, glitch)
    assert (now.start_mm, now.end_mm) == (about(was.start_mm, 0.021), -5.0)
    assert (now.depth_mm, {point.held_mm for point in now.points}) == (about(0.5), {11.5})
    assert len(now.points) == pytest.approx(len(was.points), abs=1)


def test_the_way_back_is_that_from_where_the_slide_stood_at_the_end() -> None:
    readings = Readings()
    readings.to(11.5, 2.0)
    readings.to(11.2, -5.0)
    readings.to(11.2, 2.0)
    assert [end for end, _ in readings.ends] == [-5.0], "it crept inwards, and was wound back along where it was"


CHAMFER = Operation(name="break the edge", kind="chamfer", start_mm=0.0, end_mm=-1.0, target_mm=11.0)
FREE = FACING.model_copy(update={"free_first_pass": True})


@pytest.mark.parametrize(
    ("begins", "role"),
    [
        ({"passes_in_set_up": 0}, "skim"),
        ({"passes_in_set_up": 1}, "roughing"),
        ({"operation": FREE, "passes_in_operation": 0}, "skim"),
        ({"operation": FREE, "passes_in_operation": 1}, "roughing"),
    ],
)
def test_a_pass_after_one_that_is_still_open_is_not_the_first(begins: dict[str, Any], role: str) -> None:
    readings = Readings(LATER._replace(**begins))
    for x, z in ((14.0, -0.3), (6.0, -0.3), (8.0, -0.3), (8.0, -0.6), (6.0, -0.6)):
        readings.to(x, z)
    assert [one.role for one in readings.ended()] == [role, "roughing"]


def test_gone_on_but_not_as_far_as_before_it_ends_where_it_did() -> None:
    readings = Readings()
    for z in (2.0, -5.0, -4.0, -4.6, -4.0):
        readings.to(11.5, z)
    (one,) = readings.ended()
    assert (one.end_mm, one.points[-1].t_s) == (-5.0, about(1004.94, 0.2))


@pytest.mark.parametrize("length_mm", [0.6, 3.0])
def test_begun_again_where_it_began_it_is_one_of_its_own_however_short(length_mm: float) -> None:
    readings = Readings()
    for z in (2.0, -length_mm, -0.05, -length_mm):
        readings.to(11.5, z)
    assert readings.ends == [(-length_mm, 11.5)] * 2


@pytest.mark.parametrize("operation", [None, CHAMFER])
def test_a_cone_is_over_once_the_compound_slide_is_wound_out_of_it(operation: Operation | None) -> None:
    """At 45 degrees outwards and towards the chuck: into the corner of the bar."""
    readings = Readings(LATER._replace(operation=operation))
    readings.to(10.0, 1.0)
    readings.to(11.8, -0.8, COMPOUND_MM - 1.8 * math.sqrt(2.0))
    readings.to(11.4, -0.4, COMPOUND_MM - 1.4 * math.sqrt(2.0))
    assert readings.cuts == [], "it may go on"
    readings.to(10.0, 1.0)
    assert [(one.axis, one.kind) for one in readings.cuts] == [("compound", "chamfer")]


def test_fed_back_deeper_it_is_a_pass_of_its_own() -> None:
    readings = Readings()
    for x, z in ((11.5, 2.0), (11.5, -5.0), (11.2, -5.0), (11.2, 2.0)):
        readings.to(x, z)
    assert [held for _, held in readings.ends] == [11.5, 11.2]


def under_way(readings: Readings) -> bool:
    return readings.finder.under_way


def test_something_is_under_way_from_the_feed_until_the_tool_is_clear() -> None:
    readings = Readings()
    assert not under_way(readings)
    readings.to(11.5, 2.0)
    readings.to(11.5, -5.0)
    assert under_way(readings), "it is fed"
    readings.to(11.5, -4.5)
    readings.rest(250)
    assert under_way(readings), "it may go on"
    readings.to(14.0, -4.5)
    readings.to(14.0, 2.0)
    readings.rest(250)
    assert not under_way(readings)
    assert len(readings.cuts) == 1


def test_what_is_fed_when_all_ends_is_told_as_far_as_it_came() -> None:
    readings = Readings()
    readings.to(11.5, 2.0)
    readings.to(11.5, -5.0)
    assert readings.cuts == []
    assert readings.ends == [(-5.0, 11.5)]
    assert not under_way(readings)


def test_a_hole_is_one_pass_however_often_the_drill_is_drawn_out() -> None:
    readings = Readings(LATER._replace(tool=DRILL))
    readings.to(0.0, 2.0)
    for z in (-4.0, 2.0, -7.0, 2.0):
        readings.to(0.0, z)
    assert readings.cuts == [], "it may go on"
    assert [(one.kind, one.end_mm) for one in readings.ended()] == [("drilling", -7.0)]


def test_once_clear_of_the_work_going_on_is_another_pass_from_where_it_is_fed() -> None:
    readings = Readings()
    for x, z in ((11.5, 2.0), (11.5, -5.0), (14.0, -5.0), (14.0, 2.0), (14.0, -3.0), (11.5, -3.0), (11.5, -6.0)):
        readings.to(x, z)
    assert [(round(one.start_mm, 1), one.end_mm) for one in readings.ended()] == [(0.0, -5.0), (-3.0, -6.0)]


def test_after_a_rest_it_goes_on_from_where_it_stopped() -> None:
    readings = Readings()
    readings.to(11.5, 2.0)
    readings.to(11.5, -3.0)
    readings.rest(250)
    readings.to(11.5, -6.0)
    assert readings.ends == [(-6.0, 11.5)]


@pytest.mark.parametrize(("to_mm", "passes"), [(-4.0, 1), (-6.0, 2)])
def test_what_takes_nothing_off_is_a_pass_if_it_goes_as_far(to_mm: float, passes: int) -> None:
    readings = Readings()
    for x, z in ((14.0, -3.0), (11.5, -3.0), (11.5, -6.0), (11.5, -3.02), (11.5, to_mm)):
        readings.to(x, z)
    assert [one.kind for one in readings.ended()] == ["facing", *["turning"] * passes], "set in, then fed along"


@pytest.mark.parametrize("x_mm", [11.3, 11.4])
def test_after_creeping_it_goes_on_at_where_it_stood_most_or_last(x_mm: float) -> None:
    readings = Readings()
    for x, z in ((11.5, 2.0), (11.3, -5.0), (11.3, -4.0), (x_mm, -4.0), (x_mm, -6.0)):
        readings.to(x, z)
    (one,) = readings.ended()
    assert one.end_mm == -6.0


def test_out_of_the_metal_at_its_end_it_is_over_at_rest() -> None:
    readings = Readings(LATER._replace(section=RECESSED))
    readings.to(11.5, 2.0)
    readings.to(11.5, -5.0)
    assert readings.cuts == [], "it may be fed on through the recess"
    readings.rest(250)
    assert [one.end_mm for one in readings.cuts] == [about(-4.0)]
