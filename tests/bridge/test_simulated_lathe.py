"""The simulated lathe and its metal: what is cut stays cut, and parts give way by believable amounts."""

from __future__ import annotations

import itertools
import math
from dataclasses import replace

import pytest

from waytell_bridge.simulated.chance import seeded
from waytell_bridge.simulated.hands import MANNERS, WHEELS, Hands
from waytell_bridge.simulated.lathe import Lathe, Slide
from waytell_bridge.simulated.settings import LatheSettings, Settings, SlideName, StockSettings, Style

STEP_S = 0.004
TRUE_BAR = StockSettings(diameter_error_mm=0.0, run_out_mm=0.0, saw_tilt_mm=0.0, saw_wave_mm=0.0)
STIFF_BAR = replace(TRUE_BAR, elasticity_n_mm2=1e12)
STIFF = LatheSettings(
    radial_give_um_n=1e-6, axial_give_um_n=1e-6, cross_backlash_mm=0.0, carriage_backlash_mm=0.0, free_drift_um_s_n=0.0
)


def lathe_at(x_mm: float, z_mm: float, settings: Settings | None = None) -> Lathe:
    settings = replace(settings or Settings(stock=TRUE_BAR), start_x_mm=x_mm, start_z_mm=z_mm)
    lathe = Lathe(settings, seeded(1, "lathe"))
    lathe.turn_spindle(800)
    for _ in range(1000):
        lathe.advance(STEP_S)
    return lathe


def wind(lathe: Lathe, slide: SlideName, distance_mm: float, speed_mm_s: float = 1.2) -> float:
    """Wind the slide itself by so much; gives the largest depth taken on the way."""
    moving, deepest = lathe.slides[slide], 0.0
    steps = max(1, round(abs(distance_mm) / speed_mm_s / STEP_S))
    for _ in range(steps):
        moving.shift(distance_mm / steps)
        lathe.advance(STEP_S)
        deepest = max(deepest, lathe.contact.depth_mm)
    return deepest


def test_the_slide_follows_its_dial_after_the_play() -> None:
    slide = Slide(10.0, backlash_mm=0.1)
    slide.wind(1.0)
    assert slide.position_mm == pytest.approx(10.9)
    slide.wind(-0.08)
    assert slide.position_mm == pytest.approx(10.9)
    slide.wind(-0.08)
    assert slide.position_mm == pytest.approx(10.84)
    assert slide.handle_mm == pytest.approx(10.84)


def test_a_clamped_slide_is_not_wound_but_shifts_when_clamped() -> None:
    lathe = lathe_at(16, 6)
    carriage = lathe.slides["carriage"]
    before = carriage.position_mm
    lathe.clamp("carriage", held=True)
    shifted = carriage.position_mm - before
    assert 0 < abs(shifted) < 0.01
    carriage.wind(3.0)
    assert carriage.position_mm == before + shifted
    lathe.clamp("carriage", held=False)
    assert abs(carriage.position_mm - before) < abs(shifted)


def test_creep_moves_even_a_clamped_slide_by_what_was_asked() -> None:
    lathe = lathe_at(16, 6)
    lathe.clamp("carriage", held=True)
    before = lathe.slides["carriage"].position_mm
    lathe.creep("carriage", 0.05, 1.0)
    for _ in range(300):
        lathe.advance(STEP_S)
    assert lathe.slides["carriage"].position_mm - before == pytest.approx(0.05, abs=1e-9)


def test_the_compound_moves_the_tool_by_its_angle() -> None:
    lathe = lathe_at(16, 6, Settings(stock=TRUE_BAR, compound_angle_deg=30.0))
    lathe.slides["compound"].shift(-1.0)
    assert lathe.tool_x_mm == pytest.approx(16 - 0.5)
    assert lathe.tool_z_mm == pytest.approx(6 - math.cos(math.radians(30)))


def test_a_stiff_lathe_turns_exactly_what_it_is_set_to() -> None:
    lathe = lathe_at(11.5, 1.0, Settings(stock=STIFF_BAR, lathe=STIFF))
    assert wind(lathe, "carriage", -11.0) == pytest.approx(0.5, abs=1e-5)
    assert lathe.stock.diameter_mm(-5.0) == pytest.approx(23.0, abs=1e-5)
    assert lathe.stock.diameter_mm(-15.0) == pytest.approx(24.0)
    # The shoulder stands where the tool stopped, not on a grid.
    assert lathe.stock.face_mm(11.8) == pytest.approx(-10.0, abs=1e-9)


def test_a_stiff_lathe_faces_exactly_where_it_is_set_to() -> None:
    lathe = lathe_at(13.0, -0.2345, Settings(stock=STIFF_BAR, lathe=STIFF))
    wind(lathe, "cross", -13.0)
    assert [lathe.stock.face_mm(x) for x in (0.01, 3.0, 11.9)] == pytest.approx([-0.2345] * 3, abs=1e-5)
    assert lathe.stock.face_clean()


def test_volume_taken_is_that_of_the_ring_and_of_the_disc() -> None:
    lathe = lathe_at(11.0, 1.0, Settings(stock=STIFF_BAR, lathe=STIFF))
    before = lathe.stock.volume_mm3()
    wind(lathe, "carriage", -11.0)
    ring = math.pi * (12.0**2 - 11.0**2) * 10
    assert before - lathe.stock.volume_mm3() == pytest.approx(ring, rel=0.01)


def test_metal_never_comes_back_whatever_the_tool_does() -> None:
    lathe, chance = lathe_at(13.0, 0.5, Settings()), seeded(3, "wander")
    volume = lathe.stock.volume_mm3()
    face = [lathe.stock.face_mm(x / 10) for x in range(118)]
    for _ in range(120):
        slide: SlideName = "cross" if chance.random() < 0.5 else "carriage"
        wind(lathe, slide, chance.uniform(-0.8, 0.7), 6.0)
        now, face_now = lathe.stock.volume_mm3(), [lathe.stock.face_mm(x / 10) for x in range(118)]
        assert now <= volume
        assert all(later <= earlier for earlier, later in zip(face, face_now, strict=True))
        volume, face = now, face_now
    assert volume < 40 * math.pi * 144 * 0.99


def test_the_finished_diameter_is_the_setting_and_twice_what_gave_way() -> None:
    lathe = lathe_at(11.5, 1.0)
    lathe.slides["carriage"].shift(-0.5)
    pushed: list[float] = []
    for _ in range(2000):
        lathe.slides["carriage"].shift(-1.2 * STEP_S)
        lathe.advance(STEP_S)
        if lathe.contact.depth_mm:
            pushed.append(lathe.contact.force_n * lathe._radial_give_mm_n(lathe.tool_z_mm))
    z_mm = lathe.tool_z_mm + 2.0
    excess_um = (lathe.stock.diameter_mm(z_mm) - 23.0) * 1e3
    assert excess_um == pytest.approx(2e3 * pushed[-400], rel=0.1)
    assert 2 < excess_um < 20


def test_a_spring_pass_takes_some_of_what_is_left_but_not_all() -> None:
    lathe = lathe_at(11.5, 1.0)
    wind(lathe, "carriage", -11.0)
    first = lathe.stock.diameter_mm(-5.0)
    lathe.slides["carriage"].shift(11.0)
    lathe.advance(STEP_S)
    wind(lathe, "carriage", -11.0)
    assert 23.0 < lathe.stock.diameter_mm(-5.0) < first - 0.001


def test_nothing_is_cut_while_the_spindle_stands() -> None:
    lathe = lathe_at(13.0, -0.2)
    lathe.turn_spindle(0)
    for _ in range(2000):
        lathe.advance(STEP_S)
    before = lathe.stock.volume_mm3()
    wind(lathe, "cross", -1.0)
    assert (lathe.rpm, lathe.stock.volume_mm3()) == (0.0, before)


def test_a_free_carriage_gives_way_and_a_clamped_one_hardly() -> None:
    gone: list[float] = []
    for held in (False, True):
        lathe = lathe_at(13.0, -0.25)
        lathe.clamp("carriage", held=held)
        stood = lathe.tool_z_mm
        wind(lathe, "cross", -13.0)
        gone.append((lathe.tool_z_mm - stood) * 1e3)
    free_um, clamped_um = gone
    assert 3 < free_um < 40
    assert 0 <= clamped_um < 2


def test_the_sawn_face_is_crooked_and_the_bar_runs_out() -> None:
    stock = lathe_at(16, 6, Settings()).stock
    assert 0.1 < stock.touches_face_mm(11.5) - stock.face_mm(11.5) < 0.4
    assert 0.01 < 2 * stock.touches_outside_mm(-10) - stock.diameter_mm(-10) < 0.04
    assert not stock.face_clean()


@pytest.mark.parametrize("style", list(MANNERS))
@pytest.mark.parametrize("name", list(WHEELS))
def test_hands_are_human(style: Style, name: SlideName) -> None:
    hands, slide = Hands(style, seeded(1, style)), Slide(0.0, 0.1)
    places = [0.0]
    for _ in range(2500):
        hands.wind(name, slide, 1000.0, STEP_S)
        places.append(slide.position_mm)
    speeds = [(b - a) / STEP_S for a, b in itertools.pairwise(places)]
    assert max(speeds) < 60
    assert speeds[1] < WHEELS[name].fastest_mm_s / 10
    assert min(speeds[500:]) == 0.0 if style == "jerky" else min(speeds[500:]) > 0.4 * WHEELS[name].fastest_mm_s
