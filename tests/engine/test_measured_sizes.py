"""Which sizes are kept, which of them teach, and what a surface was measured at before: passes made up here."""

from __future__ import annotations

from typing import Any

import pytest

from waytell.documents.acts import NewSetUp
from waytell.documents.state import Pass
from waytell.engine.known import CutBy
from waytell.engine.measured_sizes import MeasuredSizes, SizeSeen, held_axis, overlap

LIMIT_MM = 0.02
"""From here on a held slide has moved."""


def cut(number: int, held_mm: float = 11.5, *, sound: bool = True, **more: Any) -> CutBy:
    """A pass down a bar, half a millimetre deep."""
    told: dict[str, Any] = {
        "number": number, "kind": "turning", "role": "roughing", "operation": "turn", "tool": "one", "set_up": 1,
        "feed_axis": "Z", "start_mm": 0.0, "end_mm": -8.0, "held_mm": held_mm, "depth_mm": 0.5, "creep_mm": 0.0,
        "creep_at_mm": None, "came_back": False, "overrun_mm": 0.0, "feed_mm_min": 60.0, "feed_mm_rev": None,
        "duration_s": 8.0, "t_start_s": 0.0, "t_end_s": 8.0, "doubts": (),
    }  # fmt: skip
    return CutBy(Pass(**(told | more)), number, (0, 0), 0.0, "A1", {}, sound)


FACE: dict[str, Any] = {
    "kind": "facing", "operation": "face", "feed_axis": "X", "start_mm": 12.0, "end_mm": 0.0, "depth_mm": 0.3,
}  # fmt: skip


def stood(one: CutBy) -> float | None:
    """The datum is as it was."""
    return one.passed.held_mm


def measured(sizes: MeasuredSizes, one: CutBy, at_mm: float, axis: Any = "X", u_mm: float = 0.002) -> SizeSeen:
    sizes.measured(one, axis, at_mm, u_mm, LIMIT_MM)
    return sizes.seen[-1]


def turned_and_measured(*places: float) -> MeasuredSizes:
    sizes = MeasuredSizes()
    for number, place in enumerate(places, 1):
        one = cut(number, place)
        sizes.passed(one, stood)
        measured(sizes, one, place + 0.01)
    return sizes


# -- what a size is told by --------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("one", "other", "same"),
    [
        ((0.0, -8.0), (0.0, -8.0), True), ((0.0, -8.0), (-8.0, 0.0), True), ((0.0, -8.0), (-4.0, -12.0), True),
        ((0.0, -8.0), (-4.1, -12.1), False), ((0.0, -8.0), (-7.0, -9.0), True), ((0.0, -8.0), (-7.1, -9.1), False),
        ((0.0, -8.0), (-8.0, -9.0), False), ((0.0, -0.4), (0.0, -8.0), True), ((0.0, -8.0), (-8.5, -9.0), False),
        ((3.0, 3.0), (3.0, 3.0), False),
    ],
)  # fmt: skip
def test_two_ways_are_over_each_other_by_half_of_the_shorter(
    one: tuple[float, float], other: tuple[float, float], same: bool
) -> None:
    assert overlap(one, other) == overlap(other, one) == same


def test_the_metal_taken_is_from_size_to_size_where_both_are_known() -> None:
    sizes = turned_and_measured(11.5)
    second = cut(2, 11.0)
    sizes.passed(second, stood)
    measured(sizes, second, 11.03)
    first, then = sizes.seen
    assert (first.before_mm, first.taken_mm) == (None, 0.5)
    assert then.before_mm == 11.51
    assert then.taken_mm == pytest.approx(0.48)


def test_of_a_pass_of_unknown_depth_nothing_was_taken() -> None:
    sizes = MeasuredSizes()
    assert measured(sizes, cut(1, depth_mm=None), 11.5).taken_mm == 0.0


def test_a_bore_grows() -> None:
    sizes = MeasuredSizes()
    bored: dict[str, Any] = {"kind": "boring", "operation": "bore"}
    for number, place in ((1, 5.0), (2, 5.5)):
        one = cut(number, place, **bored)
        sizes.passed(one, stood)
        measured(sizes, one, place - 0.01)
    assert sizes.seen[-1].before_mm == 4.99
    assert sizes.seen[-1].taken_mm == pytest.approx(0.5)


def test_what_it_is_held_along() -> None:
    assert held_axis(cut(1).passed) == "X"
    assert held_axis(cut(1, **FACE).passed) == "Z"


# -- which are kept ----------------------------------------------------------------------------------------------------


def test_a_size_measured_again_takes_the_place_of_the_first() -> None:
    sizes = MeasuredSizes()
    one = cut(1)
    measured(sizes, one, 11.52)
    measured(sizes, one, 11.53)
    assert [(size.cut.number, size.at_mm) for size in sizes.seen] == [(1, 11.53)]


def test_the_newest_thirty_and_one_are_kept() -> None:
    sizes = MeasuredSizes()
    for number in range(1, 41):
        measured(sizes, cut(number, 12.0 - 0.1 * number), 11.0)
    assert [size.cut.number for size in sizes.seen] == list(range(10, 41))


@pytest.mark.parametrize("more", [{"kind": "drilling"}, {"kind": "taper"}, {"kind": "grooving", "feed_axis": "X"}])
def test_of_other_kinds_there_is_no_one_size(more: dict[str, Any]) -> None:
    sizes = MeasuredSizes()
    one = cut(1, **more)
    sizes.measured(one, held_axis(one.passed), 11.5, 0.0, LIMIT_MM)
    assert sizes.seen == []
    sizes.measured(cut(2), "Z", 11.5, 0.0, LIMIT_MM)
    assert sizes.seen == [], "nor along the feed"


@pytest.mark.parametrize(
    ("more", "flaw"),
    [
        ({}, ""), ({"doubts": ("stale",)}, "readings"), ({"sound": False}, "readings"),
        ({"depth_mm": None}, "how deep"),
        ({"role": "spring"}, "next to nothing"), ({"depth_mm": 0.009}, "next to nothing"), ({"depth_mm": 0.011}, ""),
        ({"creep_mm": 0.021}, "moved"), ({"creep_mm": -0.021}, "moved"), ({"creep_mm": 0.019}, ""),
    ],
)  # fmt: skip
def test_why_one_teaches_nothing(more: dict[str, Any], flaw: str) -> None:
    size = measured(MeasuredSizes(), cut(1, **more), 11.51)
    assert flaw in size.flaw
    assert bool(flaw) == bool(size.flaw)


@pytest.mark.parametrize(
    ("later", "flaw"),
    [
        ({}, True), ({"start_mm": -5.0, "end_mm": -20.0}, False), ({"start_mm": -3.0, "end_mm": -9.0}, True),
        ({"kind": "facing", "feed_axis": "X", "start_mm": 0.0, "end_mm": -8.0}, False),
    ],
)  # fmt: skip
def test_a_surface_that_was_cut_over_teaches_nothing(later: dict[str, Any], flaw: bool) -> None:
    sizes = MeasuredSizes()
    sizes.passed(cut(1), stood)
    sizes.passed(cut(2, 11.0, operation="next", **later), stood)
    assert ("cut over" in measured(sizes, cut(1), 11.51).flaw) == flaw
    assert measured(sizes, cut(3), 11.51).flaw == "", "what came before it does not matter"


# -- what it was before ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("at_mm", "found"), [(11.5, True), (11.519, True), (11.521, False), (11.481, True), (11.479, False)]
)
def test_a_surface_is_the_same_within_two_hundredths_of_its_readout(at_mm: float, found: bool) -> None:
    sizes = turned_and_measured(11.5)
    assert sizes.size_of("turning", at_mm, (0.0, -8.0), stood) == (11.51 if found else None)


def test_a_surface_is_looked_for_among_its_kind_its_set_up_and_along_its_way() -> None:
    sizes = turned_and_measured(11.5)
    assert sizes.size_of("boring", 11.5, (0.0, -8.0), stood) is None
    assert sizes.size_of("turning", 11.5, (-5.0, -20.0), stood) is None
    assert sizes.size_of("turning", 11.5, (0.0, -8.0), lambda _: None) is None
    assert sizes.size_of("turning", 11.5, (0.0, -8.0), stood, seen=[]) is None
    sizes.set_up = 2
    assert sizes.size_of("turning", 11.5, (0.0, -8.0), stood) is None


def test_of_two_sizes_of_a_surface_the_newer_counts() -> None:
    sizes = turned_and_measured(11.5, 11.505)
    assert sizes.size_of("turning", 11.5, (0.0, -8.0), stood) == 11.515


def test_before_is_of_the_pass_itself_and_not_of_another_by_its_name() -> None:
    sizes = turned_and_measured(11.5)
    again = cut(2, 11.0)
    sizes.passed(again, stood)
    assert measured(sizes, cut(1), 11.5).before_mm is None
    assert measured(sizes, again, 11.0).before_mm == 11.51
    other = turned_and_measured(11.5)
    other.passed(cut(2, 11.0, depth_mm=None), stood)
    assert other.cuts["turn"][1] is None


# -- what is forgotten -------------------------------------------------------------------------------------------------


def both() -> MeasuredSizes:
    """A diameter and a face, both measured, each of which met a measured surface."""
    sizes = turned_and_measured(11.5, 11.0)
    for number, z_mm in ((3, -0.3), (4, -0.6)):
        one = cut(number, z_mm, **FACE)
        sizes.passed(one, stood)
        measured(sizes, one, z_mm + 0.005, "Z")
    return sizes


def axes(sizes: MeasuredSizes) -> set[str]:
    return {size.axis for size in sizes.seen}


@pytest.mark.parametrize(
    ("axis", "off_mm", "own", "left", "cuts"),
    [
        ("X", 0.09, True, {"X", "Z"}, {"turn", "face"}),
        ("X", -0.11, True, {"Z"}, {"face"}),
        ("X", 0.11, False, {"Z"}, {"face"}),
        ("Z", 0.0, True, {"X"}, {"turn", "face"}),
        ("Z", 0.09, False, {"X", "Z"}, {"turn", "face"}),
        ("Z", 0.11, False, {"X"}, {"turn"}),
    ],
)
def test_touched_off_anew(axis: Any, off_mm: float, own: bool, left: set[str], cuts: set[str]) -> None:
    sizes = both()
    assert sizes.cuts["face"][1] == pytest.approx(-0.295)
    sizes.touched_off(axis, off_mm, own=own)
    assert axes(sizes) == left
    assert set(sizes.cuts) == cuts
    if axis == "Z" and own:
        assert sizes.cuts["face"][1] is None, "what the face was before was told from another zero"
        assert sizes.cuts["turn"][1] == 11.51
    elif "face" in cuts:
        assert sizes.cuts["face"][1] is not None


def set_up(**more: Any) -> NewSetUp:
    return NewSetUp.model_validate({"act": "new_set_up"} | more)


BAR = {"diameter_mm": 24.0, "length_mm": 40.0}


def test_the_next_bar_alike_is_chucked_like_the_one_before() -> None:
    sizes = both()
    sizes.chucked(set_up(stock=BAR), 1)
    assert (sizes.chucking, sizes.set_up, sizes.cuts, axes(sizes)) == (1, 1, {}, {"X"})
    sizes.chucked(set_up(stock=BAR | {"length_mm": 50.0}), 2)
    assert (sizes.chucking, sizes.set_up) == (2, 2)
    sizes.chucked(set_up(stock=BAR), 3)
    assert sizes.chucking == 1
    sizes.chucked(set_up(stock=BAR, of_part=1), 4)
    assert sizes.chucking == 3, "a set-up of the part is another way than a bar alone"
    sizes.chucked(set_up(), 5)
    sizes.chucked(set_up(), 6)
    assert sizes.chucking == 5, "of what nothing is known each is its own"
    measured(sizes, cut(9), 11.5)
    assert (sizes.seen[-1].chucking, sizes.seen[-1].set_up) == (5, 6)
