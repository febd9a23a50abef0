"""What measured sizes advise, at a lathe whose tool and work push each other apart as the tests say."""

from __future__ import annotations

from typing import Any, Literal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from engine.lathe import FACING, STOCK, TURNING, Lathe, configured, hello, restored
from waytell.documents.sizes import SizeAsked
from waytell.documents.state import Learned
from waytell.engine.live_state import Outside, build
from waytell.engine.trying import tried

# Invented: a spring of 0.003 mm that any cut brings, and 0.08 of the depth that is taken.
RUB_MM, SHARE = 0.003, 0.08
TO_SIZE: dict[str, Any] = TURNING | {"target_mm": 10.0, "depth_mm": 0.5, "tolerance_mm": 0.02}
COUNT_MM = 0.005


class Turner:
    """Turns a bar to size. `metal_mm` is where the metal truly ends, on the radius; the scales do not see it."""

    def __init__(self, lathe: Lathe | None = None, *, touched_off_by: float = 0.0) -> None:
        self.lathe = lathe or Lathe()
        self.touched_off_by = touched_off_by
        self.new_bar()

    def new_bar(self, operation: dict[str, Any] = TO_SIZE, **stock: Any) -> None:
        lathe = self.lathe
        self.metal_mm = 12.0
        lathe.act("new_set_up", stock=STOCK | stock)
        lathe.touch("X", lathe.x_mm + self.touched_off_by)
        lathe.touch("Z", lathe.z_mm)
        lathe.act("choose_operation", operation=operation)

    def turn(self, x_mm: float, to_z: float = -8.0) -> float:
        """One pass with the slide truly at `x_mm`; the size that it leaves."""
        lathe = self.lathe
        lathe.to(x=14.0, speed=40)
        lathe.to(z=2.0, speed=40)
        lathe.to(x=x_mm, speed=40)
        lathe.rest(0.3)
        lathe.to(z=to_z, speed=8)
        lathe.to(x=14.0, speed=40)
        lathe.to(z=5.0, speed=40)
        lathe.rest(0.3)
        # Force and depth settle together: what comes off is less by what gives way.
        self.metal_mm = x_mm + (RUB_MM + SHARE * (self.metal_mm - x_mm)) / (1 + SHARE)
        return self.metal_mm

    def measure(self, how: Literal["measured", "touch off", "both"] = "measured", off_mm: float = 0.0) -> None:
        size = self.metal_mm + off_mm
        if how != "touch off":
            self.lathe.act("measured", operation=TO_SIZE["name"], axis="X", at_mm=size)
        if how != "measured":
            self.lathe.touch("X", size, how="measured", where="last_pass")

    def turn_and_measure(self, *places: float, how: Literal["measured", "touch off", "both"] = "measured") -> None:
        for place in places:
            self.turn(place)
            self.measure(how)

    @property
    def learned(self) -> Learned:
        found = self.lathe.state().learned
        assert found is not None
        return found

    def slide_at(self, coordinate_mm: float) -> float:
        """Where the slide truly stands while the readout shows this."""
        return self.lathe.x_mm + coordinate_mm - self.lathe.position("X")


def advised(told: Learned) -> float:
    assert told.advised_mm is not None, told.words
    return told.advised_mm


def test_a_pass_wound_to_the_advice_comes_out_at_its_size() -> None:
    turner = Turner()
    turner.turn_and_measure(11.5, 11.2, 10.8, 10.1)
    told = turner.learned
    assert told.sizes == 4
    size = turner.turn(turner.slide_at(advised(told)))
    assert told.u_mm is not None
    assert size == pytest.approx(10.0, abs=COUNT_MM / 2), "wound to a count, as a person would"
    assert abs(size - 10.0) <= told.u_mm
    # Wound to the size itself it would have come out too large by what gives way.
    assert 2 * abs(size - 10.0) < RUB_MM + SHARE * 0.1


@pytest.mark.parametrize("how", ["measured", "touch off", "both"])
@pytest.mark.parametrize("touched_off_by", [0.0, 0.031, -0.043])
def test_the_same_place_is_advised_however_the_datum_was_corrected(how: Any, touched_off_by: float) -> None:
    turner = Turner(touched_off_by=touched_off_by)
    turner.turn_and_measure(11.5, 11.2, 10.8, 10.1, how=how)
    assert turner.turn(turner.slide_at(advised(turner.learned))) == pytest.approx(10.0, abs=0.004)


def test_a_correction_of_the_datum_is_not_advised_a_second_time() -> None:
    """The usual flow: measure, then touch off by it. The slide is sent to the same place, by another number."""
    turner = Turner(touched_off_by=0.03)
    turner.turn_and_measure(11.5, 11.2, 10.1)
    before = advised(turner.learned)
    stands = turner.slide_at(before)
    readout = turner.lathe.position("X")
    turner.lathe.touch("X", turner.metal_mm, how="measured", where="last_pass")
    moved = turner.lathe.position("X") - readout
    assert moved == pytest.approx(-0.03 + RUB_MM, abs=0.1), "the datum was set anew"
    assert advised(turner.learned) == pytest.approx(before + moved, abs=1e-6)
    assert turner.slide_at(advised(turner.learned)) == pytest.approx(stands, abs=1e-6)


@settings(max_examples=20)
@given(st.lists(st.floats(-0.02, 0.02), min_size=1, max_size=4))
def test_however_often_x_is_touched_off_anew_the_slide_is_sent_to_the_same_place(errors: list[float]) -> None:
    turner = Turner()
    turner.turn_and_measure(11.5, 11.2, 10.1)
    stands = turner.slide_at(advised(turner.learned))
    for error in errors:
        turner.lathe.touch("X", turner.lathe.position("X") + error)
        assert turner.slide_at(advised(turner.learned)) == pytest.approx(stands, abs=1e-6)


def test_measuring_changes_neither_datum_nor_target() -> None:
    turner = Turner()
    turner.turn(11.5)
    turner.turn(11.2)
    before = turner.lathe.state()
    turner.measure()
    after = turner.lathe.state()
    assert after.learned != before.learned
    same = {"axes", "operation", "remaining", "to_go", "work", "tool", "guide"}
    assert after.model_dump(include=same) == before.model_dump(include=same)


def test_the_words_tell_where_to_wind_why_and_how_sure() -> None:
    turner = Turner()
    turner.turn_and_measure(11.5, 11.2, 10.1)
    told = turner.learned
    left, sure = 2 * (10.0 - advised(told)), told.words.split()[6]
    assert told.u_mm is not None
    assert told.words == (
        f"Wind to diameter {2 * advised(told):.3f} mm, ± {sure} mm: by the last 3 sizes this tool leaves {left:.3f} mm "
        f"more at {2 * (turner.metal_mm - 10.0):.2f} mm off the diameter."
    )
    assert 2 * told.u_mm <= float(sure) < 2 * told.u_mm + 0.001
    turner.lathe.act("choose_units", units={"length": "inch", "x_as": "radius"})
    words = turner.learned.words
    assert words.startswith(f"Wind to radius {advised(told) / 25.4:.4f} in, ± ")
    assert words.endswith(" in deep.")


def test_with_fewer_than_two_sizes_it_says_so_and_advises_measuring() -> None:
    turner = Turner()
    assert turner.lathe.state().learned is None, "quiet until something was cut"
    turner.turn(11.5)
    assert turner.learned.words == "No size is known yet of this tool here: measure before the last pass."
    turner.measure()
    assert (turner.learned.sizes, turner.learned.advised_mm) == (1, None)
    assert "measure after another pass" in turner.learned.words


def test_without_tight_limits_nobody_is_told_to_measure() -> None:
    turner = Turner()
    for tolerance in (0.0, 0.1):
        turner.lathe.act("choose_operation", operation=TO_SIZE | {"tolerance_mm": tolerance})
        turner.turn(11.5 - tolerance)
        assert turner.lathe.state().learned is None


def test_sizes_of_one_depth_advise_only_for_that_depth() -> None:
    turner = Turner()
    turner.turn_and_measure(11.7, 11.4, 11.1)
    turner.lathe.act("set_target", target_mm=11.0)
    told = turner.learned
    assert told.advised_mm is None
    assert "What it leaves at 0.2" in told.words
    assert told.words.endswith("is not known: stay a little short of the size and measure.")
    turner.lathe.act("set_target", target_mm=8.0)
    turner.lathe.act("set_depth", depth_mm=0.8)
    assert turner.learned.words.endswith("is not known: measure after that.")
    turner.lathe.act("set_target", target_mm=10.83)
    assert turner.turn(turner.slide_at(advised(turner.learned))) == pytest.approx(10.83, abs=COUNT_MM)


def test_nothing_left_is_told_as_that() -> None:
    turner = Turner()
    turner.turn_and_measure(11.5, 11.2, 10.4)
    turner.turn(turner.slide_at(advised(turner.learned)))
    turner.lathe.act("set_target", target_mm=round(turner.metal_mm, 3))
    turner.measure()
    assert turner.learned.words == "Nothing is left to take off, by the sizes that were measured."
    assert turner.learned.advised_mm is None


def test_a_size_too_large_though_the_readout_is_there_says_where_to_wind() -> None:
    """By the readout no pass is left; by the micrometer one is."""
    turner = Turner()
    turner.turn_and_measure(11.5, 11.2, 10.5, 10.0)
    state = turner.lathe.state()
    assert state.remaining is not None
    assert state.remaining.passes_left == 0
    assert turner.metal_mm > 10.03
    assert turner.turn(turner.slide_at(advised(turner.learned))) == pytest.approx(10.0, abs=0.004)


def test_a_spring_pass_is_not_used_and_says_why() -> None:
    turner = Turner()
    turner.turn_and_measure(11.5, 11.2)
    turner.turn(11.2)
    assert turner.lathe.passes[-1].role == "spring"
    turner.measure()
    assert turner.learned.sizes == 2
    assert "The last size is not used: its pass took next to nothing off." in turner.learned.words
    turner.new_bar()
    assert turner.learned.sizes == 2
    assert "not used" not in turner.learned.words, "of the bar before it is no news"


def test_a_pass_in_doubt_is_not_used() -> None:
    turner = Turner()
    turner.turn_and_measure(11.5, 11.2)
    turner.lathe.flags = 1
    turner.turn(10.9)
    turner.lathe.flags = 0
    assert turner.lathe.passes[-1].doubts
    turner.measure()
    seen = turner.lathe.engine.known.sizes.seen
    assert [one.flaw for one in seen] == ["", "", "the readings of its pass are in doubt"]


def test_an_absurd_size_is_not_used_and_says_so_until_it_is_corrected() -> None:
    turner = Turner()
    turner.turn_and_measure(11.5, 11.2)
    turner.turn(10.9)
    turner.measure(off_mm=0.25)
    assert turner.learned.sizes == 2
    assert "off the readout, a wrong entry" in turner.learned.words
    turner.measure()
    assert turner.learned.sizes == 3
    assert "not used" not in turner.learned.words


def test_sizes_that_cannot_belong_together_advise_nothing() -> None:
    turner = Turner()
    turner.turn_and_measure(11.8)
    turner.turn(11.65)
    turner.measure(off_mm=0.15)
    assert turner.learned.words == "The last 2 sizes do not fit together: measure again after the next pass."


def test_a_size_that_a_later_pass_cut_away_is_not_used() -> None:
    turner = Turner()
    turner.turn_and_measure(11.5)
    turner.turn(11.2)
    turner.lathe.act("choose_operation", operation=TO_SIZE | {"name": "finish the seat"})
    turner.turn(11.0)
    turner.measure()
    assert "The last size is not used: a later pass cut over it." in turner.learned.words
    assert turner.learned.sizes == 1


def test_a_size_along_the_feed_is_no_size_of_the_held_slide() -> None:
    turner = Turner()
    turner.turn(11.5)
    turner.lathe.act("measured", operation=TO_SIZE["name"], axis="Z", at_mm=-8.0)
    assert turner.lathe.engine.known.sizes.seen == []


def test_a_finishing_operation_goes_on_from_the_size_that_roughing_left() -> None:
    turner = Turner()
    turner.turn_and_measure(11.5, 11.2, 10.1)
    turner.lathe.act("choose_operation", operation=TO_SIZE | {"name": "finish the seat"})
    assert turner.turn(turner.slide_at(advised(turner.learned))) == pytest.approx(10.0, abs=COUNT_MM / 2)


def test_another_tool_has_learned_nothing_and_the_first_has_not_forgotten() -> None:
    turner = Turner()
    turner.turn_and_measure(11.5, 11.2, 10.1)
    before = turner.learned
    turner.lathe.act("choose_tool", tool="two")
    assert turner.lathe.state().learned is None or turner.learned.sizes == 0
    turner.lathe.act("choose_tool", tool="one")
    assert turner.learned == before


def test_a_drill_in_the_tailstock_changes_nothing_of_what_is_known() -> None:
    tools = [{"name": "one"}, {"name": "drill", "kind": "drill", "diameter_mm": 6.0}]
    turner = Turner(Lathe(configured(tools=tools)))
    turner.turn_and_measure(11.5, 11.2, 10.1)
    before = turner.learned
    turner.lathe.act("choose_tool", tool="drill")
    turner.lathe.act("measured", operation=TO_SIZE["name"], axis="X", at_mm=turner.metal_mm)
    asked = SizeAsked(operation=TO_SIZE["name"], axis="X", at_mm=turner.metal_mm)
    assert tried(turner.lathe.engine, asked).difference_mm == pytest.approx(turner.metal_mm - 10.1, abs=COUNT_MM)
    turner.lathe.act("choose_tool", tool="one")
    assert turner.learned == before


def test_the_next_bar_chucked_alike_goes_on_with_what_was_learned_and_another_does_not() -> None:
    turner = Turner()
    turner.turn_and_measure(11.5, 11.2, 10.1)
    turner.lathe.act("part_done")
    turner.new_bar()
    assert turner.learned.sizes == 3
    # The bar is back at its full size: the first pass of it is a roughing pass.
    assert turner.turn(turner.slide_at(advised(turner.learned))) == pytest.approx(11.5, abs=0.06)
    turner.new_bar(length_mm=80.0)
    assert turner.lathe.state().learned is None
    turner.new_bar()
    assert turner.learned.sizes == 3, "and back to the first kind"


def test_what_was_learned_before_the_counts_were_lost_is_forgotten() -> None:
    turner = Turner()
    turner.turn_and_measure(11.5, 11.2, 10.1)
    turner.lathe.feed(hello("B2", turner.lathe.t_s))
    turner.lathe.step()
    assert turner.lathe.state().learned is None, "nothing is advised while X is in doubt"
    turner.lathe.touch_both()
    assert turner.lathe.engine.known.sizes.seen == []
    turner.lathe.act("measured", operation=TO_SIZE["name"], axis="X", at_mm=turner.metal_mm)
    assert turner.lathe.engine.known.sizes.seen == [], "where its pass stood is not known any more"


def test_a_tool_that_was_taken_out_and_ground_begins_anew() -> None:
    turner = Turner()
    turner.turn_and_measure(11.5, 11.2)
    turner.lathe.touch("X", turner.lathe.position("X") + 0.3)
    assert turner.lathe.engine.known.sizes.seen == []


def test_a_bar_that_was_thicker_than_written_is_measured_and_learned_from_at_once() -> None:
    """The first touch was 0.3 mm wrong: touched off by the size, it counts; then a second one, and there is advice."""
    turner = Turner(touched_off_by=-0.3)
    turner.turn_and_measure(11.5, how="both")
    assert turner.learned.sizes == 1
    turner.turn_and_measure(11.2)
    assert turner.learned.sizes == 2
    assert "not used" not in turner.learned.words


def test_undo_forgets_the_size_and_the_journal_alone_gives_the_same() -> None:
    turner = Turner()
    turner.turn_and_measure(11.5, 11.2)
    before = turner.learned
    turner.turn(10.1)
    turner.measure()
    after = turner.learned
    again = restored(turner.lathe.engine.history)
    again.feed(hello("A1", turner.lathe.t_s))
    turner.lathe.act("undo")
    assert turner.learned.sizes == before.sizes == after.sizes - 1
    assert [one.at_mm for one in again.known.sizes.seen][-1] == turner.metal_mm
    assert [one[1:] for one in again.known.sizes.seen][:2] == [one[1:] for one in turner.lathe.engine.known.sizes.seen]
    assert build(again, Outside("lathe", 1, None, None)).learned == after


# -- other kinds than turning ----------------------------------------------------------------------------------------


def test_a_bore_comes_out_too_small_and_the_advice_is_further_out() -> None:
    boring = TURNING | {"name": "bore", "kind": "boring", "target_mm": 8.0, "depth_mm": 0.6, "tolerance_mm": 0.02}
    lathe = Lathe(configured(tools=[{"name": "bar", "kind": "boring"}]))
    lathe.x_mm, lathe.z_mm = 6.0, 5.0
    lathe.report()
    lathe.act("new_set_up", stock=STOCK | {"bore_mm": 14.0})
    lathe.touch_both()
    lathe.act("choose_operation", operation=boring)
    metal = 7.0

    def bore(x_mm: float) -> float:
        lathe.to(x=6.0, speed=40)
        lathe.to(z=2.0, speed=40)
        lathe.to(x=x_mm, speed=40)
        lathe.rest(0.3)
        lathe.to(z=-8.0, speed=8)
        lathe.to(x=6.0, speed=40)
        lathe.to(z=5.0, speed=40)
        lathe.rest(0.3)
        return x_mm - (RUB_MM + SHARE * (x_mm - metal)) / (1 + SHARE)

    for place in (7.5, 7.7, 7.9):
        metal = bore(place)
        lathe.act("measured", operation="bore", axis="X", at_mm=metal)
    told = lathe.state().learned
    assert told is not None
    assert advised(told) > 8.0
    assert "leaves" in told.words
    assert bore(advised(told)) == pytest.approx(8.0, abs=COUNT_MM / 2)


def faced(lathe: Lathe, z_mm: float) -> None:
    lathe.to(z=z_mm + 1.0, speed=40)
    lathe.to(x=14.0, speed=40)
    lathe.to(z=z_mm, speed=40)
    lathe.rest(0.3)
    lathe.to(x=0.0, speed=8)
    lathe.to(z=5.0, speed=40)
    lathe.rest(2.5)


def test_faces_are_learned_along_z_until_z_is_touched_off_anew() -> None:
    lathe = Lathe()
    lathe.set_up_work(FACING | {"target_mm": -1.0, "tolerance_mm": 0.05, "depth_mm": 0.5})
    for place, left in ((-0.3, 0.02), (-0.5, 0.015), (-0.8, 0.021)):
        faced(lathe, place)
        lathe.act("measured", operation=FACING["name"], axis="Z", at_mm=place + left)
    told = lathe.state().learned
    assert told is not None
    assert advised(told) == pytest.approx(-1.017, abs=0.005)
    assert told.words.startswith("Wind to Z -1.0")
    # The person makes this face the zero: sizes along Z are then told from another place.
    lathe.touch("Z", 0.0, how="measured", where="last_pass")
    told = lathe.state().learned
    assert told is not None
    assert told.sizes == 1


# -- a size while it is entered ----------------------------------------------------------------------------------------


def try_size(turner: Turner, at_mm: float, **more: Any) -> Any:
    return tried(turner.lathe.engine, SizeAsked(operation=TO_SIZE["name"], axis="X", at_mm=at_mm, **more))


def test_a_size_that_is_tried_tells_its_difference_and_what_it_would_advise_and_changes_nothing() -> None:
    turner = Turner()
    turner.turn_and_measure(11.5, 11.2)
    turner.turn(10.1)
    before = turner.lathe.state()
    found = try_size(turner, turner.metal_mm)
    assert turner.lathe.state() == before
    assert found.difference_mm == pytest.approx(turner.metal_mm - 10.1, abs=COUNT_MM)
    assert found.difference_words.startswith(f"{2 * found.difference_mm:.3f} mm more than the readout, diameter 20.200")
    turner.measure()
    assert turner.learned == found.learned
    assert found.learned.sizes == 3


def test_a_difference_has_its_uncertainty_and_says_when_the_two_agree() -> None:
    turner = Turner()
    turner.turn(11.5)
    agreed, off, absurd = (try_size(turner, 11.5 + by) for by in (0.001, -0.1, 0.25))
    x = next(axis for axis in turner.lathe.state().axes if axis.axis == "X")
    assert x.position.good is True
    # Both are independent: root of the sum of squares (GUM 5.1.2); half of 4 um for the radius.
    assert agreed.u_mm == pytest.approx((0.002**2 + x.position.u_mm**2) ** 0.5)
    assert agreed.difference_words.endswith("so they agree.")
    assert off.difference_words.startswith("0.200 mm less than the readout")
    assert off.difference_words.endswith("so the readout is off.")
    assert "a wrong entry" in absurd.difference_words


def test_where_there_is_no_readout_to_compare_with_the_words_say_why() -> None:
    turner = Turner()
    assert try_size(turner, 11.5).difference_mm is None
    assert "No pass of this is known" in try_size(turner, 11.5).difference_words
    turner.turn(11.5)
    along = tried(turner.lathe.engine, SizeAsked(operation=TO_SIZE["name"], axis="Z", at_mm=-8.0))
    assert "not the size that the slide was held at" in along.difference_words
    last = tried(turner.lathe.engine, SizeAsked(axis="X", at_mm=11.51))
    assert last.difference_mm == pytest.approx(0.01, abs=COUNT_MM), "without a name it is the last pass"
    turner.lathe.engine.tick(turner.lathe.t_s + 5)
    assert try_size(turner, 11.51).difference_mm is not None, "readings that are old now say nothing against the pass"
    turner.lathe.flags = 1
    turner.lathe.step()
    assert "in doubt" in try_size(turner, 11.5).difference_words


@pytest.mark.parametrize(
    ("size", "u_mm", "says"),
    [
        (10.0, 0.002, "proved within its limits"),
        (10.009, 0.002, "too near a limit to tell"),
        (10.013, 0.002, "proved above its upper limit"),
        (9.987, 0.002, "proved below its lower limit"),
        (10.0, 0.0, "reads within its limits, not proved: how sure it is was not given"),
    ],
)
def test_the_decision_is_told_before_and_in_the_history(size: float, u_mm: float, says: str) -> None:
    """ISO 14253-1: proved only where the uncertainty leaves no doubt."""
    turner = Turner()
    turner.turn(10.0)
    more = {"u_mm": u_mm, "low_mm": 9.99, "high_mm": 10.01}
    left = ": metal is left" if "above" in says else ""
    assert try_size(turner, size, **more).verdict_words == says + left
    told = turner.lathe.act("measured", operation=TO_SIZE["name"], axis="X", at_mm=size, **more)
    assert told.words == f"turn the seat measured: diameter {2 * size:.3f} mm, {says}"


@pytest.mark.parametrize(("angle_deg", "kept"), [(0.0, 1), (5.0, 0)])
def test_sizes_are_forgotten_where_the_compound_is_set_to_another_angle(angle_deg: float, kept: int) -> None:
    turner = Turner(Lathe(configured(compound={"angle_deg": 0.0})))
    turner.turn(11.5)
    turner.measure()
    config = configured(compound={"angle_deg": angle_deg}, machine={"temperature_c": 21.0})
    turner.lathe.act("use_config", config=config.model_dump(mode="json"))
    assert len(turner.lathe.engine.known.sizes.seen) == kept


def test_a_tool_that_touches_for_the_first_time_says_nothing_of_where_the_metal_was() -> None:
    turner = Turner()
    lathe = turner.lathe
    turner.turn(11.5)
    turner.measure()
    assert len(lathe.engine.known.sizes.seen) == 1
    lathe.act("choose_tool", tool="two")
    lathe.touch("X", 14.3)
    assert len(lathe.engine.known.sizes.seen) == 1
    lathe.touch("X", 14.8)
    assert lathe.engine.known.sizes.seen == [], "half a millimetre from where it said it was"
