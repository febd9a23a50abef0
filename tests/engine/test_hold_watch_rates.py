"""The watch over a held slide at slow and fast boards, and over the whole of a session."""

from __future__ import annotations

import pytest

from engine.lathe import FACING, Lathe
from waytell.documents.state import Hold

RATES = pytest.mark.parametrize("rate_hz", [50, 250, 1000])


def at_the_face(rate_hz: int = 250) -> Lathe:
    """Set up, wound in to the first depth, the tool outside the bar."""
    lathe = Lathe(rate_hz=rate_hz)
    lathe.set_up_work(FACING)
    lathe.to(x=13.0, z=1.0, speed=20)
    lathe.to(z=-0.3)
    lathe.rest(0.5)
    return lathe


def watched(lathe: Lathe) -> Hold:
    hold = lathe.state().hold
    assert hold is not None
    return hold


@RATES
def test_a_step_of_the_slide_is_told_within_three_reports_or_20_ms(rate_hz: int) -> None:
    lathe = at_the_face(rate_hz)
    lathe.to(x=8.0)
    before = lathe.t_s
    lathe.to(x=7.0, sway=lambda _: 0.03)
    told = next(one for one in lathe.events if one.kind == "hold")
    assert told.t_s - before <= max(3 / rate_hz, 0.02) + 1e-6


@RATES
def test_a_single_glitch_is_no_alarm_however_slow_the_board(rate_hz: int) -> None:
    lathe = at_the_face(rate_hz)
    lathe.to(x=8.0)
    x, z = lathe.counted()
    lathe.t_s += 1 / rate_hz
    lathe.report((x, z + 20))
    lathe.to(x=0.0)
    assert not lathe.words("hold")
    assert watched(lathe).state == "held"


def test_what_moves_between_the_clamp_and_the_feed_counts_too() -> None:
    lathe = at_the_face()
    lathe.act("clamp", axis="Z", held=True)
    lathe.z_mm -= 0.010
    lathe.rest(0.2)
    lathe.to(x=6.0)
    assert watched(lathe).deviation_mm == pytest.approx(-0.010, abs=0.006)
    lathe.to(x=0.0, sway=lambda _: -0.008)
    assert watched(lathe).state == "warning"


@pytest.mark.parametrize("clamped", [False, True])
def test_depth_after_depth_set_anew_with_the_tool_clear_is_no_alarm(clamped: bool) -> None:
    lathe = at_the_face()
    if clamped:
        lathe.act("clamp", axis="Z", held=True)
    for z in (-0.6, -0.9, -1.2):
        lathe.to(x=0.0)
        lathe.to(x=13.0)
        lathe.to(z=z)
        lathe.rest(0.3)
    lathe.to(x=0.0)
    assert not lathe.words("hold")


def test_wandering_about_the_work_is_no_alarm() -> None:
    lathe = at_the_face()
    for x, z in ((13.0, 3.0), (2.0, 3.0), (14.0, 3.0), (14.0, -5.0), (12.5, -5.0), (13.0, 1.0)):
        lathe.to(x=x, z=z, speed=4)
    assert not lathe.words("hold")
