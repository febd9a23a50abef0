"""Simulated lathes through bridge and engine: what the review tells of a pass against the hidden truth."""

from __future__ import annotations

from functools import cache
from itertools import pairwise
from statistics import median

import pytest
from shapely.geometry import Polygon

from waytell.documents.review import FaceShape, LengthShape, PassReview
from waytell.documents.state import Event
from waytell.engine.happening import Happening
from waytell.replay import Replayed, replay
from waytell.review.passes import review_of
from waytell.review.record import Record, read
from waytell_bridge.simulated.recording import record
from waytell_bridge.simulated.settings import Settings
from waytell_bridge.simulated.short_scripts import CREEP_AT_X_MM, CREEP_MM, SCRIPTS
from waytell_bridge.simulated.truth import Truth

# A count of the simulated scales, and their own error.
COUNT_MM, SCALE_MM = 0.005, 0.001


def event(one: Happening) -> Event:
    wall = one.wall or "2031-05-04T10:00:00.000Z"
    return Event(number=one.number, t_s=one.t_s, wall=wall, kind=one.kind, words=one.words, body=one.body)


@cache
def worked(script: str, seed: int = 3) -> tuple[Replayed, Record, Truth]:
    done = record(SCRIPTS[script], Settings(), seed)
    replayed = replay(done.lines, script)
    assert replayed.troubles == []
    return replayed, read([event(one) for one in replayed.events]), done.truth


@pytest.fixture(scope="module")
def crept() -> tuple[PassReview, Truth]:
    _, kept, truth = worked("creep_in_facing")
    return review_of(kept, kept.passes[-1]), truth


def test_a_carriage_that_gave_way_left_the_face_convex_by_so_much(crept: tuple[PassReview, Truth]) -> None:
    review, truth = crept
    assert truth.passes[-1].creep_mm == pytest.approx(CREEP_MM, abs=SCALE_MM)
    assert isinstance(review.shape, FaceShape)
    # Away from the headstock, on the inner part of the face: the centre stands out.
    assert review.shape.form == "convex"
    assert -review.shape.height_mm == pytest.approx(CREEP_MM, abs=2 * COUNT_MM + SCALE_MM)


def test_the_creep_is_drawn_where_it_was(crept: tuple[PassReview, Truth]) -> None:
    review, _ = crept
    outside = [um for at, um in review.creep_um if at > CREEP_AT_X_MM + 0.5]
    inside = [um for at, um in review.creep_um if 0.0 < at < CREEP_AT_X_MM - 4.0]
    assert median(outside) == pytest.approx(0.0, abs=1000 * COUNT_MM)
    assert median(inside) == pytest.approx(1000 * CREEP_MM, abs=1000 * (COUNT_MM + SCALE_MM))


def test_a_length_turned_with_a_slide_that_held_is_straight() -> None:
    _, kept, truth = worked("turning_only")
    review = review_of(kept, [one for one in kept.passes if one.role != "air"][-1])
    assert isinstance(review.shape, LengthShape)
    assert abs(truth.passes[-1].creep_mm) < COUNT_MM
    assert abs(review.shape.taper_mm) <= 2 * (COUNT_MM + SCALE_MM)


def test_the_speed_over_the_time_of_a_pass_makes_up_its_way() -> None:
    _, kept, _ = worked("turning_only")
    for passed in kept.passes:
        review = review_of(kept, passed)
        times, speeds = [t for t, *_ in review.samples], [speed for _, speed in review.speed]
        steps = zip(pairwise(times), pairwise(speeds), strict=True)
        way_mm = sum((v0 + v1) / 2 * (t1 - t0) / 60 for (t0, t1), (v0, v1) in steps)
        assert way_mm == pytest.approx(abs(passed.end_mm - passed.start_mm), rel=0.03)


def test_the_sections_before_and_after_differ_by_what_was_taken_off() -> None:
    _, kept, _ = worked("turning_only")
    compared = 0
    for passed in kept.passes:
        review = review_of(kept, passed)
        if passed.area_mm2 is None or len(review.outline_after) < 3:
            continue
        before, after = Polygon(review.outline_before), Polygon(review.outline_after)
        assert before.area - after.area == pytest.approx(passed.area_mm2, abs=1e-3)
        compared += 1
    assert compared >= 2


@pytest.mark.parametrize("script", ["turning_only", "compound_depth", "dwell_and_return"])
def test_parts_and_set_ups_are_counted_as_the_engine_counts_them(script: str) -> None:
    replayed, kept, _ = worked(script)
    assert kept.passes == replayed.passes
    assert kept.passes
