"""A finding in use: what becomes of figures, datums, passes and doubt when scales are corrected."""

from __future__ import annotations

import pytest

from engine.lathe import TURNING, hello, restored
from proving.bench import Bench
from waytell.documents.proving import ScaleMap
from waytell.documents.state import GoodFigure
from waytell.engine.error_map import correction_mm
from waytell.recording import set_up_known
from waytell_bridge.reading import MissedEdges, ReferenceMark


def bent(at_mm: float) -> float:
    """A carriage scale that shows 1 um too much a millimetre."""
    return 0.001 * at_mm


def mapped(places: tuple[float, ...] = (0.0, 10.0, 20.0, 30.0, 40.0)) -> Bench:
    """The carriage's map is found and in use; Z was touched off before, at 10."""
    lathe = Bench()
    lathe.error["carriage"] = bent
    lathe.to(z=0.0, speed=50)
    lathe.rest(0.5)
    lathe.touch_both()
    lathe.begin("map", slide="carriage")
    for _ in range(2):
        for place in places:
            lathe.capture(place, z=place)
        lathe.to(z=-5.0, speed=50)
    lathe.finish()
    return lathe


def u_of_z(lathe: Bench) -> float:
    figure = lathe.state().axes[1].position
    assert isinstance(figure, GoodFigure)
    return figure.u_mm


def test_a_map_makes_the_figure_true_and_leaves_the_datum() -> None:
    lathe = mapped()
    lathe.to(z=35.0, speed=20)
    assert lathe.position("Z") == pytest.approx(35.035, abs=0.006)
    (shift,) = [one for one in lathe.now().proofs[0].shifts if one.axis == "Z"]
    assert shift.then_mm == pytest.approx(35.0, abs=0.006)
    before = lathe.engine.known.datums["Z"]
    lathe.act("use_proof", proof=lathe.found.number)
    assert lathe.engine.known.datums["Z"] == before
    assert lathe.position("Z") == pytest.approx(shift.then_mm, abs=1e-9)
    lathe.step()
    assert lathe.position("Z") == pytest.approx(shift.then_mm, abs=1e-9)
    for place in (5.0, 15.0, 22.0, 0.0):
        lathe.to(z=place, speed=20)
        assert lathe.position("Z") == pytest.approx(place, abs=0.006)
    lathe.act("undo")
    lathe.to(z=35.0, speed=20)
    assert lathe.position("Z") == pytest.approx(35.035, abs=0.006)


def test_with_the_map_the_figure_is_surer() -> None:
    lathe = mapped()
    lathe.to(z=20.0, speed=20)
    lathe.rest(1)
    before = u_of_z(lathe)
    lathe.act("use_proof", proof=lathe.found.number)
    assert u_of_z(lathe) < before
    assert {one.name for one in lathe.now().budgets[1].shares} >= {"map", "reference", "touch", "resolution"}


def test_a_restart_that_loses_counts_makes_the_map_wait_for_its_stop() -> None:
    lathe = mapped()
    lathe.act("use_proof", proof=lathe.found.number)
    lathe.feed(hello("B2", lathe.t_s))
    lathe.step()
    assert not next(one for one in lathe.now().scales if one.slide == "carriage").placed
    lathe.to(z=0.0, speed=20)
    lathe.touch_both()
    lathe.to(z=40.0, speed=20)
    assert lathe.position("Z") == pytest.approx(40.04, abs=0.006), "without its zero the map cannot be used"
    lathe.to(z=0.0, speed=20)
    lathe.act("at_stop", slide="carriage")
    lathe.to(z=40.0, speed=20)
    assert lathe.position("Z") == pytest.approx(40.0, abs=0.006)


def test_another_map_that_is_only_found_moves_no_figure() -> None:
    lathe = mapped()
    lathe.act("use_proof", proof=1)
    lathe.to(z=35.0, speed=20)
    before = lathe.position("Z")
    lathe.begin("map", slide="carriage")
    for place in (15.0, 25.0, 35.0):
        lathe.capture(place, z=place)
    lathe.finish()
    assert lathe.position("Z") == pytest.approx(before, abs=1e-9)
    shift = next(one for one in lathe.now().proofs[0].shifts if one.axis == "Z")
    lathe.act("use_proof", proof=2)
    # It counts from where the second one was begun; of the 15 mm before, where Z was touched off, it knows nothing.
    assert lathe.position("Z") == pytest.approx(shift.then_mm, abs=1e-9)
    assert lathe.position("Z") == pytest.approx(35.015, abs=0.006)


def test_beyond_its_ends_a_map_makes_no_figure_surer() -> None:
    lathe = mapped()
    lathe.to(z=20.0, speed=20)
    lathe.rest(1)
    before = u_of_z(lathe)
    lathe.act("use_proof", proof=1)
    assert u_of_z(lathe) < before
    lathe.to(z=60.0, speed=20)
    lathe.rest(1)
    assert u_of_z(lathe) >= before
    lathe.to(z=20.0, speed=20)
    lathe.rest(1)
    assert u_of_z(lathe) < before


def test_what_a_scale_may_be_off_can_be_entered_without_losing_its_map() -> None:
    lathe = mapped()
    lathe.act("use_proof", proof=1)
    config = lathe.engine.known.config.model_dump(mode="json")
    for one in config["scales"]:
        one["accuracy_um"] = 3.0
    lathe.act("use_config", config=config)
    assert all(one.mapped == (one.slide == "carriage") for one in lathe.now().scales)


def test_a_mark_learnt_once_gives_the_zero_back() -> None:
    lathe = mapped()
    lathe.act("use_proof", proof=lathe.found.number)
    lathe.feed(ReferenceMark(lathe.t_s, 1, 2402))
    lathe.feed(hello("B2", lathe.t_s))
    lathe.step()
    lathe.to(z=0.0, speed=20)
    lathe.touch_both()
    lathe.feed(ReferenceMark(lathe.t_s, 1, 2402))
    lathe.to(z=40.0, speed=20)
    assert lathe.position("Z") == pytest.approx(40.0, abs=0.006)


def test_with_two_marks_nobody_knows_which_one_was_passed() -> None:
    lathe = mapped()
    lathe.act("use_proof", proof=lathe.found.number)
    lathe.feed(ReferenceMark(lathe.t_s, 1, 2402), ReferenceMark(lathe.t_s, 1, 6402))
    lathe.feed(hello("B2", lathe.t_s))
    lathe.step()
    lathe.feed(ReferenceMark(lathe.t_s, 1, 2402))
    assert not next(one for one in lathe.now().scales if one.slide == "carriage").placed


def test_missed_edges_take_the_zero_with_the_next_touch() -> None:
    lathe = mapped()
    lathe.act("use_proof", proof=lathe.found.number)
    lathe.feed(MissedEdges(lathe.t_s, 1, 3))
    lathe.touch("Z", lathe.z_mm)
    assert not next(one for one in lathe.now().scales if one.slide == "carriage").placed


def test_passes_keep_what_they_were_recorded_with() -> None:
    lathe = mapped()
    number = lathe.found.number
    lathe.to(x=20.0, z=10.0, speed=20)
    lathe.set_up_work(TURNING)
    lathe.to(x=11.5, speed=5)
    lathe.to(z=-6.0, speed=5)
    lathe.to(x=14.0, speed=10)
    lathe.to(z=10.0, speed=20)
    lathe.rest(3)
    taken = list(lathe.passes)
    assert taken
    lathe.act("use_proof", proof=number)
    assert lathe.passes == taken
    again = restored(lathe.engine.history)
    assert again.known.proved == lathe.engine.known.proved
    assert again.known.last_pass is not None
    assert again.known.last_pass.passed == taken[-1]


def test_a_recording_begun_later_starts_with_what_was_found_and_is_in_use() -> None:
    lathe = mapped()
    lathe.act("use_proof", proof=lathe.found.number)
    other = Bench()
    for act in set_up_known(lathe.engine.known):
        other.act(act.act, **act.model_dump(exclude={"act"}))
    known, told = lathe.engine.known.proved, other.engine.known.proved
    assert (told.maps, told.zeros, told.trust, told.used) == (known.maps, known.zeros, known.trust, known.used)
    # What the board forgot is not told as known.
    lathe.feed(hello("B2", lathe.t_s))
    later = Bench()
    for act in set_up_known(lathe.engine.known):
        later.act(act.act, **act.model_dump(exclude={"act"}))
    assert later.engine.known.proved.maps == known.maps
    assert later.engine.known.proved.zeros == {}


def test_another_resolution_makes_the_axis_be_touched_off_again_and_says_so() -> None:
    lathe = Bench(count_um={"carriage": 20.0})
    lathe.to(z=0.0, speed=50)
    lathe.touch_both()
    lathe.begin("distance", slide="carriage", length_mm=25.0)
    for place in (0.0, 25.0, 0.0, 25.0):
        lathe.capture(place, z=place)
    proof = lathe.finish()
    assert proof.gives.resolution_um == pytest.approx(20.0)
    assert "four" in proof.words
    (shift,) = [one for one in lathe.now().proofs[0].shifts if one.axis == "Z"]
    assert shift.then_mm is None
    assert "touched off again" in shift.words
    lathe.act("use_proof", proof=lathe.found.number)
    assert lathe.reasons("Z") == ("not_referenced",)
    assert lathe.reasons("X") == ()


def test_a_map_is_straight_between_its_points_and_flat_beyond() -> None:
    one = ScaleMap(at_mm=(0.0, 10.0, 20.0), add_mm=(0.001, -0.001, 0.003))
    found = [correction_mm(one, at) for at in (-5.0, 0.0, 5.0, 10.0, 15.0, 20.0, 99.0)]
    assert found == pytest.approx([0.001, 0.001, 0.0, -0.001, 0.001, 0.003, 0.003])


def test_winding_there_and_back_is_no_noise() -> None:
    lathe = Bench(rate_hz=50)
    lathe.touch_both()
    before = lathe.state().axes[1].position.u_mm  # type: ignore[union-attr]
    # So that the turning point is in the middle of what is looked at together: both halves have the same mean.
    lathe.rest(7 / 50 - 0.01)
    for _ in range(30):
        lathe.to(z=12.0, speed=4.0)
        lathe.step()
        lathe.to(z=10.0, speed=4.0)
        lathe.rest(13 / 50 - 0.01)
    assert lathe.state().axes[1].position.u_mm == pytest.approx(before, abs=0.002)  # type: ignore[union-attr]
