"""Counts into coordinates: bands, wraps, the compound slide, noise, and how far a scale may step."""

from __future__ import annotations

import math
from typing import Any

import pytest

from engine.lathe import Lathe, configured, hello, link
from waytell.documents.proving import ScaleMap
from waytell.engine.proved import Zero
from waytell_bridge.reading import Reading

CROSS = {"channel": 0, "slide": "cross", "resolution_um": 5.0}
WAY = {"channel": 1, "slide": "carriage", "resolution_um": 5.0}
COMPOUND = {"channel": 2, "slide": "compound", "resolution_um": 2.0}


def fitted(*scales: dict[str, Any], **parts: Any) -> Lathe:
    return Lathe(configured(scales=list(scales), **parts))


@pytest.mark.parametrize(
    ("cross_um", "way_um", "band_mm"), [(1.0, 2.0, 0.01), (5.0, 5.0, 0.015), (1.0, 10.0, 0.03), (10.0, 1.0, 0.03)]
)
def test_as_near_as_three_of_the_coarser_counts_or_a_hundredth_is_touching(
    cross_um: float, way_um: float, band_mm: float
) -> None:
    place = fitted(CROSS | {"resolution_um": cross_um}, WAY | {"resolution_um": way_um}).engine.place
    assert place.band_mm == pytest.approx(band_mm)
    assert place.count_mm == pytest.approx({"X": cross_um * 1e-3, "Z": way_um * 1e-3})


def test_an_axis_without_a_scale_is_taken_for_fine() -> None:
    assert fitted(CROSS).engine.place.count_mm == pytest.approx({"X": 0.005, "Z": 0.001})


def test_without_any_scale_there_is_nothing_to_count() -> None:
    lathe = fitted()
    assert lathe.engine.place.channels == 0
    lathe.report(())
    assert not lathe.engine.place.lacks_scales


def test_a_map_corrects_its_own_axis() -> None:
    lathe = fitted(CROSS, WAY)
    lathe.touch_both()
    proved = lathe.engine.known.proved
    proved.maps["cross"], proved.zeros[0] = ScaleMap(at_mm=(0.0, 50.0), add_mm=(0.0, 0.5)), Zero(0, 0)
    lathe.engine.place.lay_out(lathe.engine.known)
    lathe.to(x=30.0, z=20.0, speed=50)
    place = lathe.engine.place
    assert (place.x_mm, place.z_mm) == pytest.approx((30.0 + 0.5 * 10 / 50, 20.0))
    assert (place.at(place.counts, "X"), place.at(place.counts, "Z")) == pytest.approx((place.x_mm, place.z_mm))


def test_across_the_wrap_of_a_count_coordinates_go_on() -> None:
    lathe = Lathe(configured(scales=[CROSS, WAY]), greet=False)
    lathe.feed(link(t_s=lathe.t_s), hello(t_s=lathe.t_s))
    top = 2**31 - 1
    lathe.report((top - 5, -(2**31) + 3))
    lathe.touch("X", 1.0)
    lathe.touch("Z", -2.0)
    lathe.report((-(2**31) + 4, top))  # ten further, four back
    place = lathe.engine.place
    assert (place.x_mm, place.z_mm) == pytest.approx((1.0 + 10 * 0.005, -2.0 - 4 * 0.005))
    assert (place.slide_mm("X"), place.slide_mm("Z")) == pytest.approx((place.x_mm - 1.0, place.z_mm + 2.0))
    assert place.at((top - 5, top), "X") == pytest.approx(1.0)
    back = place.counts_at(lathe.engine.known, "X", 1.0)
    assert back == (top - 5, top)
    assert place.counts_at(lathe.engine.known, "Z", -2.0) == (-(2**31) + 4, -(2**31) + 3)


def test_counts_of_a_place_are_told_of_the_slide_that_carries_the_axis() -> None:
    lathe = fitted(CROSS, WAY, COMPOUND, compound={"angle_deg": 30.0})
    lathe.touch_both()
    place, known = lathe.engine.place, lathe.engine.known
    there = place.counts_at(known, "X", 5.0)
    assert there == (place.counts[0] - 3000, *place.counts[1:])
    assert place.at(there, "X") == pytest.approx(5.0)


def test_without_a_datum_nothing_was_travelled_from_it() -> None:
    lathe = fitted(CROSS, WAY)
    budget = lathe.engine.place.budget(lathe.engine.known, "X")
    assert [one.standard_mm for one in budget.contributions if one.name == "expansion"] == [0.0]


@pytest.mark.parametrize(("datum_mm", "to_mm"), [(-3.0, 10.0), (3.0, 5.0), (3.0, -20.0)])
def test_the_travel_that_counts_is_that_from_the_datum(datum_mm: float, to_mm: float) -> None:
    lathe = fitted(CROSS | {"expansion_um_m_k": 10.0}, WAY)
    lathe.touch("X", datum_mm)
    lathe.x_mm += to_mm - datum_mm
    lathe.step()
    budget = lathe.engine.place.budget(lathe.engine.known, "X")
    expansion = next(one.standard_mm for one in budget.contributions if one.name == "expansion")
    # 2 K of doubt in the scale's temperature
    assert expansion == pytest.approx(10e-6 * 2.0 * abs(to_mm - datum_mm) / math.sqrt(3))


def test_touching_off_looks_like_no_move_of_the_slide() -> None:
    lathe = fitted(CROSS, WAY)
    lathe.to(x=15.0, speed=50)
    went_mm = lathe.engine.place.slide_mm("X")
    assert went_mm == pytest.approx(-5.0)
    lathe.touch("X", 3.0)
    assert lathe.engine.place.slide_mm("X") == went_mm
    assert lathe.engine.place.x_mm == pytest.approx(3.0)


@pytest.mark.parametrize(
    ("angle_deg", "oblique"),
    [(0, False), (0.5, False), (0.7, True), (30, True), (89.3, True), (89.5, False), (90, False)],
)
def test_a_compound_slide_is_fed_at_an_angle_unless_it_lies_along_an_axis(angle_deg: float, oblique: bool) -> None:
    lathe = fitted(CROSS, WAY, COMPOUND, compound={"angle_deg": angle_deg})
    assert lathe.engine.place.oblique_deg == (angle_deg if oblique else None)
    lathe.compound_mm = -3.0
    lathe.step()
    assert lathe.engine.place.compound_mm == pytest.approx(-3.0 if oblique else 0.0)


def test_without_a_scale_on_it_nobody_knows_how_it_is_fed() -> None:
    assert fitted(CROSS, WAY, compound={"angle_deg": 30.0}).engine.place.oblique_deg is None


def test_a_compound_slide_set_in_moves_the_tool_and_not_the_slide() -> None:
    lathe = fitted(CROSS, WAY, COMPOUND, compound={"angle_deg": 30.0})
    lathe.touch_both()
    lathe.compound_mm = -1.0
    lathe.step()
    place = lathe.engine.place
    assert (place.x_mm, place.z_mm) == pytest.approx((20.0 - 0.5, 10.0 - math.sqrt(3) / 2))
    assert (place.slide_mm("X"), place.slide_mm("Z")) == (0.0, 0.0)


def shaken(lathe: Lathe, readings: int, by_counts: int, *, drift_counts: float = 0.0) -> None:
    x, z = lathe.counted()
    for n in range(readings):
        lathe.t_s += 0.004
        lathe.report((x + by_counts * (n % 2) + round(drift_counts * n), z))


def test_the_noise_at_rest_is_the_standard_deviation_taken_over_a_quarter_at_a_time() -> None:
    lathe = fitted(CROSS, WAY)
    place = lathe.engine.place
    shaken(lathe, 63, 2)
    before = place.noise_mm["X"]
    shaken(lathe, 64, 2)
    # 0 and 2 counts in turn: 1 count from the middle.
    expected = before + 0.25 * (0.005 - before)
    assert place.noise_mm["X"] == pytest.approx(expected, rel=0.02)
    shaken(lathe, 64 * 20, 2)
    assert place.noise_mm["X"] == pytest.approx(0.005, rel=0.01)
    assert place.noise_mm["Z"] == 0.0


@pytest.mark.parametrize(("by_counts", "drift_counts"), [(0, 0.2), (60, 0.0)])
@pytest.mark.parametrize("at_mm", [50.0, -50.0])
def test_what_moves_is_no_noise(by_counts: int, drift_counts: float, at_mm: float) -> None:
    lathe = fitted(CROSS, WAY)
    lathe.touch("X", at_mm)
    shaken(lathe, 64 * 4, by_counts, drift_counts=drift_counts)
    assert lathe.engine.place.noise_mm["X"] == 0.0


@pytest.mark.parametrize(("drift_counts", "noise"), [(0.02, True), (0.035, True), (0.06, False)])
def test_where_the_halves_of_a_block_differ_by_more_than_a_count_and_a_half_it_moved(
    drift_counts: float, noise: bool
) -> None:
    lathe = fitted(CROSS, WAY)
    shaken(lathe, 64 * 4, 0, drift_counts=drift_counts)
    assert (lathe.engine.place.noise_mm["X"] > 0) is noise


@pytest.mark.parametrize(
    ("resolution_um", "by_counts", "noise"),
    [(1.0, 99, True), (1.0, 101, False), (10.0, 20, True), (10.0, 21, False)],
)
def test_so_much_is_no_noise_any_more(resolution_um: float, by_counts: int, noise: bool) -> None:
    lathe = fitted(CROSS | {"resolution_um": resolution_um}, WAY)
    shaken(lathe, 64 * 3, by_counts)
    assert (lathe.engine.place.noise_mm["X"] > 0) is noise, "a tenth of a millimetre, or 20 counts"


def test_the_newest_places_are_forgotten_where_coordinates_change() -> None:
    lathe = fitted(CROSS, WAY)
    lathe.rest(0.2)
    place = lathe.engine.place
    assert place.trail[-1] == (lathe.t_s, place.x_mm, place.z_mm)
    lathe.touch("X", 3.0)
    assert len(place.trail) == 0
    lathe.rest(1.0)
    assert len(place.trail) == 128


def steps(lathe: Lathe, counts: int, after_s: float) -> set[str]:
    """Doubts of a step of the cross-slide's scale by so many counts."""
    x, z = lathe.counted()
    lathe.t_s += after_s
    lathe.report((x + counts, z))
    return {str(one.code) for one in lathe.state().doubts if one.code in ("jump", "too_fast")}


# 500 mm/s of 5 um are 100 counts a millisecond.
@pytest.mark.parametrize(
    ("counts", "after_s", "expected"),
    [
        (390, 0.004, set()), (410, 0.004, {"jump"}), (-410, 0.004, {"jump"}), (790, 0.008, set()),
        # A board's clock that stood, or went back, has given the slide two milliseconds all the same.
        (190, 0.0, set()), (210, 0.0, {"jump"}), (190, -0.01, set()),
    ],
)  # fmt: skip
def test_a_scale_steps_no_further_than_a_slide_can_be_thrown(counts: int, after_s: float, expected: set[str]) -> None:
    lathe = fitted(CROSS, WAY, machine={"jump_limit_mm_s": 500.0})
    lathe.touch_both()
    assert steps(lathe, counts, after_s) == expected


def test_a_jump_across_the_zero_of_the_counts_is_one() -> None:
    lathe = fitted(CROSS, WAY, machine={"jump_limit_mm_s": 500.0})
    lathe.to(x=-3.0, speed=50)
    lathe.touch_both()
    assert steps(lathe, 1200, 0.004) == {"jump"}, "from -600 to 600"


def test_nor_further_than_the_board_can_count() -> None:
    lathe = Lathe(configured(scales=[CROSS, WAY], machine={"jump_limit_mm_s": 500.0}), greet=False)
    lathe.feed(link(t_s=lathe.t_s), hello(t_s=lathe.t_s)._replace(max_edges_s=50_000))
    lathe.report()
    lathe.touch_both()
    assert steps(lathe, 190, 0.004) == set()
    assert steps(lathe, 410, 0.004) & {"jump", "too_fast"}
    other = Lathe(configured(scales=[CROSS, WAY], machine={"jump_limit_mm_s": 500.0}), greet=False)
    other.feed(link(t_s=other.t_s), hello(t_s=other.t_s)._replace(max_edges_s=50_000))
    other.report()
    other.touch_both()
    assert steps(other, 210, 0.004) == {"too_fast"}


def test_lines_without_a_time_of_their_own_come_in_bunches() -> None:
    lathe = Lathe(configured(scales=[CROSS, WAY], machine={"jump_limit_mm_s": 500.0}), greet=False)
    lathe.feed(link(t_s=lathe.t_s, checked=False), hello(t_s=lathe.t_s)._replace(max_edges_s=None))
    lathe.report()
    lathe.touch_both()
    assert steps(lathe, 4900, 0.004) == set(), "50 ms of it"
    assert steps(lathe, 4900 + 5100, 0.004) == {"jump"}


def test_counts_of_a_board_with_fewer_scales_are_taken_for_nothing() -> None:
    lathe = fitted(CROSS, WAY, COMPOUND)
    place = lathe.engine.place
    assert (place.channels, place.lacks_scales) == (3, False)
    before = place.counts
    lathe.report((1, 2))
    assert (place.lacks_scales, place.counts) == (True, before)
    assert not place.take(Reading(lathe.t_s, lathe.t_s, (1, 2), 0), lathe.engine.known)
    assert place.take(Reading(lathe.t_s, lathe.t_s, (1, 2, 3), 0), lathe.engine.known)


def test_as_soon_as_more_scales_are_set_up_than_the_board_has_they_lack() -> None:
    lathe = fitted(CROSS, WAY)
    lathe.act("use_config", config=configured(scales=[CROSS, WAY, COMPOUND]).model_dump(mode="json"))
    assert lathe.engine.place.lacks_scales
