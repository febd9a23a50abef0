"""Every check from its first move to its finding, at a lathe whose scales are wrong in a known way."""

from __future__ import annotations

import math
import random

import pytest

from engine.lathe import hello
from proving.bench import ActRefused, Bench, configured
from waytell.documents.base import Slide
from waytell.documents.proving import Proof, Quantity
from waytell_bridge.reading import MissedEdges


def quantity(proof: Proof, key: str) -> Quantity:
    return next(one for one in proof.quantities if one.key == key)


def ready(lathe: Bench) -> bool:
    return lathe.check().missing == ""


def refused(lathe: Bench, name: str, **fields: object) -> ActRefused:
    with pytest.raises(ActRefused) as caught:
        lathe.act(name, **fields)
    return caught.value


# -- which scale ---------------------------------------------------------------------------------------------------


def swapped() -> Bench:
    """The plugs were exchanged, and the carriage counts the other way than it is set up."""
    truly = configured(
        scales=[
            {"channel": 1, "slide": "cross", "resolution_um": 5.0},
            {"channel": 0, "slide": "carriage", "resolution_um": 5.0, "direction": -1},
        ]
    )
    lathe = Bench(truly)
    lathe.act("use_config", config=configured().model_dump(mode="json"))
    return lathe


def test_which_scale_is_found_by_winding_and_set_up_from_the_finding() -> None:
    lathe = swapped()
    lathe.begin("slide", slide="carriage")
    assert "Wind the carriage away from the headstock" in lathe.check().next.move
    assert not ready(lathe)
    lathe.to(z=lathe.z_mm + 5.0)
    lathe.rest(0.5)
    proof = lathe.finish()
    assert proof.words.startswith("Scale 0 is on the carriage; its counts fall away from the headstock")
    lathe.act("use_proof", proof=lathe.found.number)
    (carriage,) = [one for one in lathe.engine.known.config.scales if one.slide == "carriage"]
    assert (carriage.channel, carriage.direction) == (0, -1)
    # What was on that channel is not known any more.
    assert all(one.slide != "cross" for one in lathe.engine.known.config.scales)
    lathe.begin("slide", slide="cross")
    lathe.to(x=lathe.x_mm + 5.0)
    lathe.rest(0.5)
    lathe.finish()
    lathe.act("use_proof", proof=lathe.found.number)
    lathe.touch_both()
    lathe.to(x=12.0, z=-3.0, speed=20)
    assert (lathe.position("X"), lathe.position("Z")) == pytest.approx((12.0, -3.0), abs=0.006)


def test_two_slides_wound_at_once_tell_nothing() -> None:
    lathe = Bench()
    lathe.begin("slide", slide="carriage")
    lathe.to(x=lathe.x_mm + 5.0, z=lathe.z_mm + 5.0)
    lathe.rest(0.5)
    assert "both moved" in str(refused(lathe, "finish_check"))
    assert lathe.engine.known.proved.check is not None, "nothing is lost"


# -- at rest -------------------------------------------------------------------------------------------------------


def test_noise_at_rest_is_told_and_makes_the_display_coarser() -> None:
    quiet, noisy = Bench(), Bench()
    draw = random.Random(4)
    noisy.noise = lambda: draw.randint(-20, 20)
    found = {}
    for lathe in (quiet, noisy):
        lathe.touch_both()
        lathe.begin("rest", motor="on")
        lathe.rest(11)
        found[lathe is noisy] = lathe.finish()
        lathe.noise = int
        lathe.rest(20)
    assert found[False].verdict == "good"
    assert found[True].verdict == "bad"
    # Any count from -20 to 20 alike, of 5 um each: sqrt((41^2 - 1) / 12) counts.
    assert quantity(found[True], "sd carriage").value == pytest.approx(5 * math.sqrt(1680 / 12), rel=0.05)
    axes = {lathe is noisy: lathe.state().axes[1] for lathe in (quiet, noisy)}
    assert axes[True].position.u_mm > 2 * axes[False].position.u_mm  # type: ignore[union-attr]
    assert axes[True].decimals_mm < axes[False].decimals_mm


def test_a_coarse_scale_makes_the_display_coarser() -> None:
    digits = {}
    for um in (1.0, 50.0):
        scales = [{"channel": 0, "slide": "cross", "resolution_um": um}, {"channel": 1, "slide": "carriage"}]
        lathe = Bench(configured(scales=[scale | {"resolution_um": um} for scale in scales]))
        lathe.touch("X", lathe.x_mm, how="measured")
        digits[um] = lathe.state().axes[0].decimals_mm
    assert digits[50.0] < digits[1.0]


def test_a_slide_moved_meanwhile_is_no_noise() -> None:
    lathe = Bench()
    lathe.begin("rest")
    lathe.rest(6)
    lathe.to(z=lathe.z_mm + 0.5)
    lathe.rest(6)
    assert "carriage was moved" in str(refused(lathe, "finish_check"))


def test_a_check_that_has_not_run_long_enough_says_how_long_it_ran() -> None:
    lathe = Bench()
    lathe.begin("rest")
    lathe.rest(3)
    assert str(refused(lathe, "finish_check")) == "It has run 3 s."


# -- link and fast winding -----------------------------------------------------------------------------------------


def test_the_link_is_told_with_its_rate() -> None:
    lathe = Bench()
    lathe.begin("link")
    lathe.rest(11)
    proof = lathe.finish()
    assert quantity(proof, "rate").value == pytest.approx(250, rel=0.01)
    assert proof.verdict == "good"


def test_fast_winding_with_nothing_missed_is_good() -> None:
    lathe = Bench()
    lathe.begin("winding", slide="carriage")
    lathe.capture(z=0.0)
    lathe.to(z=80.0, speed=60)
    lathe.to(z=0.0, speed=60)
    lathe.capture()
    proof = lathe.finish()
    assert proof.verdict == "good"
    assert quantity(proof, "off").value == 0
    assert quantity(proof, "speed").value == pytest.approx(60, rel=0.05)


def test_edges_lost_in_fast_winding_are_told_whether_the_board_saw_them_or_not() -> None:
    for seen, words in ((True, "The board missed 12 edges."), (False, "It came back 12 counts off")):
        lathe = Bench()
        lathe.begin("winding", slide="carriage")
        lathe.capture(z=0.0)
        lathe.to(z=60.0, speed=40)
        lathe.error["carriage"] = lambda _: 0.06
        if seen:
            lathe.feed(MissedEdges(lathe.t_s, 1, 12))
        lathe.to(z=0.0, speed=40)
        lathe.capture()
        proof = lathe.finish()
        assert proof.verdict == "bad"
        assert words in proof.words


# -- known distance ------------------------------------------------------------------------------------------------


def compared(count_um: float, *, turned: bool = False, length_mm: float = 25.0) -> tuple[Bench, Proof]:
    lathe = Bench(count_um={"carriage": count_um})
    lathe.begin("distance", slide="carriage", length_mm=length_mm)
    for place in (0.0, length_mm, 0.0, length_mm):
        lathe.capture(place, z=-place if turned else place)
    return lathe, lathe.finish()


@pytest.mark.parametrize(
    ("count_um", "words", "resolution_um"),
    [
        (1.25, "counts every edge, four for each line", 1.25),
        (2.5, "radius and diameter mixed up", 2.5),
        (10.0, "radius and diameter mixed up", 10.0),
        (0.5, "a slip of the decimal point", 0.5),
        (50.0, "a slip of the decimal point", 50.0),
        (5.0 / 25.4, "inch and millimetre", 0.1969),
    ],
)
def test_an_absurd_resolution_is_recognised_and_named(count_um: float, words: str, resolution_um: float) -> None:
    _, proof = compared(count_um)
    assert words in proof.words
    assert proof.verdict == "bad"
    assert proof.gives.resolution_um == pytest.approx(resolution_um, rel=1e-3)


def test_a_wrong_direction_is_named_and_turned_by_use() -> None:
    lathe, proof = compared(5.0, turned=True)
    assert proof.words == "The scale counts the wrong way."
    assert proof.gives.direction == -1
    lathe.act("use_proof", proof=lathe.found.number)
    assert next(one.direction for one in lathe.engine.known.config.scales if one.slide == "carriage") == -1


def test_a_small_error_becomes_a_factor_only_where_it_can_be_told() -> None:
    _, within = compared(5.0 * (1 + 2e-5))
    assert within.verdict == "good"
    assert within.gives.scale_factor is None
    lathe, proof = compared(5.0 * 1.002, length_mm=50.0)
    assert proof.gives.scale_factor == pytest.approx(1.002, abs=2e-4)
    assert abs(quantity(proof, "ratio").value - 1.002) <= (quantity(proof, "ratio").u or 0)
    lathe.touch_both()
    lathe.to(z=lathe.z_mm - 40, speed=20)
    before = lathe.position("Z")
    lathe.act("use_proof", proof=lathe.found.number)
    assert lathe.position("Z") == pytest.approx(lathe.z_mm, abs=0.012)
    assert before != pytest.approx(lathe.z_mm, abs=0.05)


def test_a_distance_that_nothing_explains_changes_nothing() -> None:
    _, proof = compared(6.5)
    assert "nothing usual explains that" in proof.words
    assert not proof.gives.changes_figures


# -- error map -----------------------------------------------------------------------------------------------------


def waves(at_mm: float) -> float:
    return 0.012 * math.sin(at_mm / 15.0)


def at_places(lathe: Bench, places: list[float]) -> None:
    for place in places:
        lathe.capture(place, z=place)


def test_places_in_any_order_and_twice_give_the_same_map() -> None:
    found = []
    for places in ([0, 10, 20, 30, 40, 0, 10, 20, 30, 40], [0, 40, 20, 10, 30, 30, 20, 0, 40, 10]):
        lathe = Bench()
        lathe.error["carriage"] = waves
        lathe.begin("map", slide="carriage")
        at_places(lathe, [float(one) for one in places])
        found.append(lathe.finish())
    assert found[0].gives.map == found[1].gives.map
    told = found[0].gives.map
    assert told is not None
    for at, add in zip(told.at_mm, told.add_mm, strict=True):
        assert add == pytest.approx(-waves(at), abs=0.006)


def test_a_capture_that_does_not_belong_is_named_and_not_used() -> None:
    lathe = Bench()
    lathe.begin("map", slide="carriage")
    at_places(lathe, [0.0, 10.0, 20.0] * 3)
    lathe.to(z=10.4, speed=20)
    lathe.capture(10.0)
    proof = lathe.finish()
    assert any("Capture 10 lies far from the others" in note for note in proof.notes)
    assert quantity(proof, "span").value == pytest.approx(0.0, abs=0.1)


def test_a_place_entered_wrong_is_refused_and_can_be_left_out() -> None:
    lathe = Bench()
    lathe.begin("map", slide="carriage")
    at_places(lathe, [0.0, 10.0, 20.0, 30.0])
    lathe.capture(25.0, z=40.0)
    assert "no scale is that wrong" in str(refused(lathe, "finish_check")) or lathe.check().missing
    lathe.act("leave_out", capture=lathe.check().captures[-1].number)
    proof = lathe.finish()
    assert "Capture 5 left out. Left out by you." in proof.notes


def test_too_few_places_and_places_too_near() -> None:
    lathe = Bench()
    lathe.begin("map", slide="carriage")
    at_places(lathe, [0.0, 10.0])
    assert "three places or more" in str(refused(lathe, "finish_check"))
    lathe.capture(10.02, z=10.02)
    assert "too near to one another" in str(refused(lathe, "finish_check"))


# -- positioning ---------------------------------------------------------------------------------------------------


def approached(lathe: Bench, slide: Slide, runs: int, play_mm: float) -> Proof:
    """Up and down over the places; the slide stands where the dial says, and the scale hangs back by the play."""
    lathe.begin("positioning", slide=slide)
    places = [0.0, 10.0, 20.0, 30.0, 40.0]
    for _ in range(runs):
        for way, ordered in ((1, places), (-1, places[::-1])):
            lathe.error["carriage"] = lambda _, way=way: -way * play_mm / 2  # type: ignore[misc]
            lathe.to(z=ordered[0] - way * 5.0, speed=30)
            for place in ordered:
                lathe.capture(place, z=place)
    return lathe.finish()


def test_play_on_turning_round_is_the_reversal_error() -> None:
    proof = approached(Bench(), "carriage", 3, 0.02)
    # Coming up the scale shows too little, so the deviation is above that of coming down.
    assert quantity(proof, "B").value == pytest.approx(20.0, abs=5.0)
    assert quantity(proof, "R").value >= 20.0 - 5.0
    assert proof.verdict == "fair"
    assert any("ISO 230-2" in note for note in proof.notes)


def test_the_next_place_is_suggested_up_and_down() -> None:
    lathe = Bench()
    lathe.begin("positioning", slide="carriage")
    lathe.to(z=-5.0, speed=30)
    suggested = []
    for place in (0.0, 10.0, 20.0):
        suggested.append(lathe.check().suggests_mm)
        lathe.capture(place, z=place)
    assert suggested[0] == 0.0
    assert suggested[2] == 20.0
    lathe.to(z=25.0, speed=30)
    lathe.capture(20.0, z=20.0)
    assert lathe.check().suggests_mm == 10.0
    assert "from the other side" in lathe.check().next.move


def test_too_few_runs_say_where() -> None:
    lathe = Bench()
    lathe.begin("positioning", slide="carriage")
    lathe.to(z=-5.0, speed=30)
    at_places(lathe, [0.0, 10.0])
    assert "from the near side: 1 of 2" in str(refused(lathe, "finish_check"))


# -- disc, collars, temperature ------------------------------------------------------------------------------------


def test_a_disc_faced_out_of_square_is_found_hollow() -> None:
    lathe = Bench()
    lathe.touch_both()
    lathe.begin("disc")
    tangent = 0.0004
    for x in (20.0, 12.0, 4.0, -4.0, -12.0, -20.0):
        lathe.capture(2 * max(0.0, -x) * tangent, x=x)
    proof = lathe.finish()
    assert quantity(proof, "slope").value == pytest.approx(40.0, abs=2)
    assert proof.words.startswith("It faces hollow: 40")


def test_without_x_touched_off_a_disc_tells_nothing() -> None:
    lathe = Bench()
    lathe.begin("disc")
    for x in (20.0, 4.0, -4.0, -20.0):
        lathe.capture(0.0, x=x)
    assert "on each side of the centre" in str(refused(lathe, "finish_check"))


def test_two_collars_tell_the_taper() -> None:
    lathe = Bench()
    lathe.begin("collars")
    lathe.capture(20.03, z=80.0)
    lathe.capture(20.00, z=20.0)
    proof = lathe.finish()
    assert quantity(proof, "taper").value == pytest.approx(50.0, abs=0.5)
    assert "thicker towards the free end" in proof.words


def test_a_temperature_in_use_keeps_the_datum() -> None:
    lathe = Bench()
    lathe.touch_both()
    datum = lathe.engine.known.datums["Z"]
    lathe.begin("temperature", slide="carriage", temperature_c=30.0, work_expansion_um_m_k=11.5)
    proof = lathe.finish()
    assert quantity(proof, "error").value == pytest.approx(100e-3 * 1.5 * 10, abs=1e-6)
    lathe.act("use_proof", proof=lathe.found.number)
    assert lathe.engine.known.datums["Z"] == datum
    lathe.to(z=datum.value_mm + 100.0, speed=50)
    assert lathe.position("Z") == pytest.approx(datum.value_mm + 100.0 * (1 + 10e-6 * 10), abs=0.006)


# -- what can go wrong in any check --------------------------------------------------------------------------------


def test_a_slide_that_moves_cannot_be_captured() -> None:
    lathe = Bench()
    lathe.begin("map", slide="carriage")
    lathe.to(z=30.0, speed=10)
    assert "moves, or has only just stopped" in str(refused(lathe, "capture", says_mm=0.0))
    lathe.rest(0.5)
    assert "not said what the reference reads" in str(refused(lathe, "capture"))


def test_a_board_restart_in_the_middle_leaves_the_rest_and_says_why() -> None:
    lathe = Bench()
    lathe.begin("map", slide="carriage")
    at_places(lathe, [0.0, 10.0])
    lathe.feed(hello("B2", lathe.t_s))
    lathe.rest(1.0)
    assert all("restarted" in one.why_left_out for one in lathe.check().captures)
    at_places(lathe, [0.0, 10.0, 20.0])
    proof = lathe.finish()
    assert any(note.startswith("Capture 1, 2 left out. The board restarted") for note in proof.notes)
    assert proof.captures == 5


def test_edges_missed_in_the_middle_leave_the_rest_and_say_why() -> None:
    lathe = Bench()
    lathe.begin("map", slide="carriage")
    at_places(lathe, [0.0, 10.0])
    lathe.feed(MissedEdges(lathe.t_s, 1, 3))
    at_places(lathe, [20.0, 30.0, 40.0])
    check = lathe.check()
    assert [bool(one.why_left_out) for one in check.captures] == [True, True, False, False, False]


def test_a_capture_can_be_undone_and_a_check_given_up() -> None:
    lathe = Bench()
    lathe.begin("map", slide="carriage")
    at_places(lathe, [0.0, 10.0])
    lathe.act("undo")
    assert [one.says_mm for one in lathe.check().captures] == [0.0]
    lathe.act("give_up_check")
    assert lathe.now().check is None
    assert "No check is under way" in str(refused(lathe, "capture", says_mm=1.0))


def test_findings_are_kept_with_their_date_and_compared_with_the_last() -> None:
    lathe = Bench()
    lathe.engine.label = "2026-05-01T10:00:00Z"
    approached(lathe, "carriage", 2, 0.0)
    lathe.engine.label = "2026-08-01T10:00:00Z"
    approached(lathe, "carriage", 2, 0.03)
    newest, before = lathe.now().proofs
    assert newest.wall > before.wall
    assert any("eversal error" in words for words in newest.compared)


def test_a_check_of_a_slide_without_a_scale_is_refused() -> None:
    lathe = Bench()
    assert "No scale is set up on the compound slide" in str(
        refused(lathe, "begin_check", check={"kind": "rest"} | {"kind": "map", "slide": "compound"})
    )
