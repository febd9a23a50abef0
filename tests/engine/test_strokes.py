"""Where a stroke begins and ends, reading by reading, at the edges of what is one."""

from __future__ import annotations

import pytest

from engine.lathe import about
from waytell.engine.strokes import Stroke, StrokeFinder

COUNT_MM = 0.005


class Slide:
    """Fed and held as told, a reading every 10 ms; keeps the strokes that ended."""

    def __init__(self, sign: int = -1, *, in_work: bool = False) -> None:
        self.finder = StrokeFinder("Z", sign, COUNT_MM, lambda: in_work)
        self.t_s, self.fed_mm, self.held_mm = 100.0, 10.0 * -sign, 11.5
        self.strokes: list[Stroke] = []

    def read(self, fed_mm: float | None = None, held_mm: float | None = None, seconds: float = 0.01) -> None:
        self.t_s += seconds
        self.fed_mm = self.fed_mm if fed_mm is None else fed_mm
        self.held_mm = self.held_mm if held_mm is None else held_mm
        ended = self.finder.step(self.t_s, self.fed_mm, self.held_mm)
        if ended is not None:
            self.strokes.append(ended)

    def feed(self, to_mm: float, step_mm: float = 0.01) -> None:
        steps = round(abs(to_mm - self.fed_mm) / step_mm)
        start_mm = self.fed_mm
        for step in range(1, steps + 1):
            self.read(start_mm + (to_mm - start_mm) * step / steps)

    def rest(self, seconds: float) -> None:
        for _ in range(round(seconds / 0.01)):
            self.read()


def began(slide: Slide) -> bool:
    return slide.finder.began


def under_way(slide: Slide) -> bool:
    return slide.finder.points is not None


@pytest.mark.parametrize("sign", [-1, 1])
def test_a_slide_that_went_three_tenths_is_in_a_stroke_and_one_that_turned_back_as_much_no_more(sign: int) -> None:
    slide = Slide(sign)
    start_mm = slide.fed_mm
    slide.rest(1.0)
    slide.feed(start_mm + sign * 0.29)
    assert not under_way(slide)
    slide.feed(start_mm + sign * 0.32)
    assert under_way(slide)
    slide.feed(start_mm + sign * 5.0)
    slide.feed(start_mm + sign * 4.72)
    assert slide.strokes == []
    slide.feed(start_mm + sign * 4.68)
    (one,) = slide.strokes
    assert not under_way(slide)
    assert (one.axis, one.sign, one.rest_held_mm) == ("Z", sign, 11.5)
    assert one.points[0].fed_mm == pytest.approx(start_mm)
    assert one.points[-1].fed_mm == pytest.approx(start_mm + sign * 5.0), "it ended where it had come to"


def test_it_set_out_when_it_left_its_place_by_three_counts() -> None:
    slide = Slide()
    slide.rest(1.0)
    rested_s = slide.t_s
    slide.feed(-2.0)
    (first, second, *_) = slide.finder.points or []
    # Steps of 10 micrometres: the first lies within 15, with the second it has begun.
    assert first == (about(rested_s + 0.01), 10.0, 11.5)
    assert second.fed_mm == pytest.approx(10.0 - 0.305, abs=0.0051)
    assert began(slide)


def test_it_began_only_beyond_three_counts_and_no_more_after_coming_back() -> None:
    slide = Slide()
    assert not began(slide)
    slide.rest(0.1)
    slide.read(10.0 - 0.014)
    assert not began(slide)
    slide.read(10.0 - 0.016)
    assert began(slide)
    slide.read(10.0 - 0.014)
    assert not began(slide)
    slide.read(10.0 - 0.016)
    slide.read(10.001)
    assert not began(slide), "wound the other way its place is the new one"
    slide.feed(9.0)
    assert slide.finder.points is not None
    assert slide.finder.points[0].fed_mm == 10.001


@pytest.mark.parametrize(("off_mm", "is_one"), [(0.04, True), (0.06, False), (-0.04, True), (-0.06, False)])
def test_while_the_other_slide_is_wound_none_begins(off_mm: float, is_one: bool) -> None:
    slide = Slide()
    slide.rest(0.1)
    slide.feed(9.9)
    slide.read(held_mm=11.5 + off_mm)
    slide.feed(9.65)
    assert under_way(slide) == is_one


def test_where_the_held_slide_stood_as_it_began_is_its_rest() -> None:
    slide = Slide()
    slide.rest(0.1)
    slide.read(10.0 - 0.016, held_mm=11.51)
    slide.read(10.0 - 0.10, held_mm=11.53)
    slide.feed(9.0)
    slide.read(9.4)
    (one,) = slide.strokes
    assert one.rest_held_mm == 11.51
    assert one.points[0] == (about(100.1), 10.0, 11.51)


def test_points_are_kept_by_progress() -> None:
    slide = Slide()
    slide.rest(0.1)
    slide.feed(5.0)
    slide.rest(0.5)
    slide.feed(4.0)
    slide.read(4.5)
    (one,) = slide.strokes
    ways = [a.fed_mm - b.fed_mm for a, b in zip(one.points[1:-1], one.points[2:-1], strict=False)]
    assert ways == pytest.approx([0.05] * len(ways), abs=0.0101)
    assert len(ways) >= 90


@pytest.mark.parametrize(
    ("seconds", "ends", "in_work"), [(1.95, False, False), (2.1, True, False), (30.0, False, True)]
)
def test_two_seconds_without_progress_end_it_unless_the_tool_stands_in_the_work(
    seconds: float, ends: bool, in_work: bool
) -> None:
    slide = Slide(in_work=in_work)
    slide.rest(0.1)
    slide.feed(5.0)
    fed_s = slide.t_s
    slide.rest(seconds)
    assert (slide.strokes != []) == ends
    if ends:
        assert slide.strokes[0].points[-1] == (about(fed_s), 5.0, 11.5)
        slide.feed(4.0)
        assert slide.finder.points is not None
        assert slide.finder.points[0].fed_mm == 5.0, "going on is another one"


@pytest.mark.parametrize("side", [-1, 1])
def test_wound_away_it_ends_and_what_slips_while_it_is_fed_does_not_end_it(side: int) -> None:
    slide = Slide()
    slide.rest(0.1)
    slide.feed(5.0)
    slide.rest(0.2)
    slide.read(held_mm=11.5 + side * 0.14)
    assert slide.strokes == []
    slide.read(held_mm=11.5 + side * 0.16)
    (one,) = slide.strokes
    assert one.points[-1].held_mm == 11.5, "where it was fed, not where it was wound to"
    fed = Slide()
    fed.rest(0.1)
    fed.feed(5.0)
    fed.read(4.99, held_mm=11.5 + side * 0.3)
    fed.feed(4.0)
    assert fed.strokes == []
    assert fed.finder.points is not None
    assert fed.finder.points[-1].held_mm == 11.5 + side * 0.3


@pytest.mark.parametrize(("waited_s", "ends"), [(0.09, False), (0.12, True)])
def test_a_slip_is_one_within_a_tenth_of_a_second_of_the_feed(waited_s: float, ends: bool) -> None:
    slide = Slide()
    slide.rest(0.1)
    slide.feed(5.0)
    slide.read(held_mm=12.0, seconds=waited_s)
    assert (slide.strokes != []) == ends


def test_advancing_is_told_from_resting() -> None:
    slide = Slide()
    slide.rest(0.1)
    assert not slide.finder.advancing(slide.t_s, 0.5)
    slide.feed(5.0)
    assert slide.finder.advancing(slide.t_s + 0.49, 0.5)
    assert not slide.finder.advancing(slide.t_s + 0.51, 0.5)


def test_ended_from_outside_it_is_what_it_was() -> None:
    slide = Slide()
    assert slide.finder.finish() is None
    slide.rest(0.1)
    slide.feed(5.003)
    slide.read(5.1)
    one = slide.finder.finish()
    assert one is not None
    assert one.points[-1] == (about(slide.t_s - 0.01), about(5.003), 11.5)
    assert not under_way(slide)
    assert slide.finder.finish() is None


def test_going_on_after_that_begins_where_it_was() -> None:
    slide = Slide()
    slide.rest(0.1)
    slide.feed(5.0)
    slide.finder.finish()
    slide.feed(4.5)
    assert slide.finder.points is not None
    assert slide.finder.points[0].fed_mm == pytest.approx(5.0, abs=0.051)
    assert slide.finder.points[0].held_mm == 11.5


def test_at_its_end_the_other_slide_stands_where_it_stood_last() -> None:
    slide = Slide()
    slide.rest(0.1)
    slide.feed(5.0)
    slide.read(4.94, held_mm=11.52)
    slide.read(5.5)
    (one,) = slide.strokes
    assert [(point.fed_mm, point.held_mm) for point in one.points[-2:]] == [(4.94, 11.52), (4.94, 11.52)]
