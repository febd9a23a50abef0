"""From the pins to the figure: the real image in the simulator, its serial line, a real waytell process, its API.

What the pins did is known to the count, so every figure is compared with the truth.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from firmware.board_bench import is_whole
from firmware.live_board import LiveBoard
from support.browser import chromium
from support.running import Waytell, figure, waytell

# A micrometre a count: the finest common scale, so the fastest edges for a slide.
COUNT_MM = 0.001
CONFIG = {
    "machine": {"name": "simulated pins"},
    "scales": [
        {"channel": 0, "slide": "cross", "resolution_um": 1.0},
        {"channel": 1, "slide": "carriage", "resolution_um": 1.0},
    ],
}
AT_MM = {"X": 16.0, "Z": 6.0}
FACE = {"name": "face", "kind": "facing", "start_mm": 15.0, "end_mm": 0.0, "target_mm": 0.0}
# Totals of missed edges come at most ten times a second: touching off before the last one would not hold.
TOLD = "wait 300000"


@pytest.fixture
def log(tmp_path: Path) -> Path:
    return tmp_path / "run.wirelog"


@pytest.fixture
def lathe(live: LiveBoard, log: Path, tmp_path: Path) -> Iterator[Waytell]:
    with waytell("run", "--source", live.url, "--data", str(tmp_path / "data"), "--record", str(log)) as running:
        running.wait_for(lambda state: state["link"]["condition"] == "live" and state["link"]["boot"])
        running.done("use_config", config=CONFIG)
        touch_off(running)
        yield running


def touch_off(lathe: Waytell) -> None:
    """Both axes are good afterwards."""
    for axis, at_mm in AT_MM.items():
        lathe.done("touch_off", axis=axis, at_mm=at_mm)
    lathe.wait_for(lambda state: reasons(state, "X") == reasons(state, "Z") == [])


def reasons(state: dict[str, Any], axis: str) -> list[str]:
    return list(figure(state, axis).get("reasons", []))


def counts(state: dict[str, Any]) -> tuple[int, ...]:
    return tuple(slide["counts"] for slide in sorted(state["slides"], key=lambda one: one["channel"]))


def arrived(lathe: Waytell, where: tuple[int, ...], within_s: float = 10.0) -> dict[str, Any]:
    return lathe.wait_for(lambda state: counts(state) == where, within_s)


def test_moves_both_ways_at_several_speeds_are_exact_to_the_count(live: LiveBoard, lathe: Waytell) -> None:
    damaged = lathe.state()["link"]["damaged_lines"]  # the first line may have begun before the port was opened
    for x, z, rate in ((700, -500, 900), (-3000, 2500, 12_000), (30_000, -41_000, 60_000), (-90_000, 80_000, 110_000)):
        live.do(f"move x {x} {rate}", f"move z {z} {rate * 0.97:.0f}", "settle")
        truth = live.truth()[:2]
        state = arrived(lathe, truth)
        for axis, moved in zip("XZ", truth, strict=True):
            shown = figure(state, axis)
            assert shown["good"], (rate, shown)
            assert shown["value_mm"] == pytest.approx(AT_MM[axis] + moved * COUNT_MM, abs=1e-6)
    assert counts(lathe.state()) == (700 - 3000 + 30_000 - 90_000, -500 + 2500 - 41_000 + 80_000)
    assert lathe.state()["link"]["damaged_lines"] == damaged
    assert [slide["missed_edges"] for slide in lathe.state()["slides"]] == [0, 0]


def test_a_slide_faster_than_the_board_promises_is_doubted_though_nothing_is_missed(
    live: LiveBoard, lathe: Waytell
) -> None:
    live.do("move x 60000 160000", "settle")
    state = arrived(lathe, live.truth()[:2])
    assert reasons(state, "X") == ["too_fast"]
    assert reasons(state, "Z") == []
    assert state["slides"][0]["missed_edges"] == 0
    touch_off(lathe)


def test_missed_edges_void_the_figure_until_it_is_touched_off_again(live: LiveBoard, lathe: Waytell) -> None:
    live.do("move x 200000 400000", "settle", TOLD)
    state = lathe.wait_for(lambda state: "missed_edges" in reasons(state, "X"))
    assert state["slides"][0]["missed_edges"] > 0
    assert counts(state) != live.truth()[:2], "so many edges cannot all be counted"
    assert reasons(state, "Z") == []
    touch_off(lathe)
    live.do("move x -5000 20000", "settle")
    state = lathe.wait_for(lambda state: figure(state, "X").get("value_mm") == pytest.approx(11.0, abs=1e-6))
    assert figure(state, "X")["good"]


def test_a_reset_that_keeps_the_counts_leaves_doubt_until_it_is_confirmed(live: LiveBoard, lathe: Waytell) -> None:
    live.do("move x -4321 20000", "move z 1234 20000", "settle")
    boot = arrived(lathe, (-4321, 1234))["link"]["boot"]
    # The board keeps a copy of its counts now and then: the last of a move needs a moment to be in it.
    live.do("wait 100000", "reset", "wait 100000")
    state = lathe.wait_for(lambda state: state["link"]["boot"] != boot)
    assert reasons(state, "X") == reasons(state, "Z") == ["board_restarted"]
    lathe.done("confirm_positions")
    state = lathe.wait_for(lambda state: figure(state, "X")["good"] and figure(state, "Z")["good"])
    assert counts(state) == (-4321, 1234)
    assert figure(state, "X")["value_mm"] == pytest.approx(16.0 - 4.321, abs=1e-6)
    assert figure(state, "Z")["value_mm"] == pytest.approx(6.0 + 1.234, abs=1e-6)


def test_a_loss_of_power_voids_the_datums_until_they_are_touched_off(live: LiveBoard, lathe: Waytell) -> None:
    live.do("move x -4321 20000", "settle")
    boot = arrived(lathe, (-4321, 0))["link"]["boot"]
    live.do("power 3", "wait 100000")
    state = lathe.wait_for(lambda state: state["link"]["boot"] != boot and counts(state) == (0, 0))
    assert not figure(state, "X")["good"]
    answer = lathe.act("confirm_positions")
    assert answer.status_code == 409, answer.text
    assert not figure(lathe.state(), "X")["good"]
    touch_off(lathe)
    live.do("move x 250 1000", "settle")
    assert figure(arrived(lathe, (250, 0)), "X")["value_mm"] == pytest.approx(16.25, abs=1e-6)


def test_the_wrap_of_the_boards_clock_in_a_move_loses_and_doubts_nothing(
    live: LiveBoard, lathe: Waytell, log: Path
) -> None:
    live.do("clock 2500000")
    lathe.wait_for(lambda state: state["link"]["condition"] == "live")
    touch_off(lathe)
    lost = lathe.state()["link"]["lost_reports"]
    live.begin("move x 50000 10000")
    doubted: set[str] = set()

    def at_the_end(state: dict[str, Any]) -> bool:
        doubted.update(reasons(state, "X"))
        return counts(state) == (50_000, 0)

    state = lathe.wait_for(at_the_end, within_s=15)
    assert doubted == set()
    assert figure(state, "X")["value_mm"] == pytest.approx(66.0, abs=1e-6)
    assert state["link"]["lost_reports"] == lost
    assert 0 < count_at_wrap(log) < 50_000, "the clock did not wrap while the slide moved"


def count_at_wrap(log: Path) -> int:
    """Count of the cross-slide in the first report after the board's clock began again at 0."""
    before_us = 0
    for line in log.read_text().splitlines():
        _, mark, text = line.split(" ", 2)
        if mark == "<" and text.startswith("P ") and is_whole(text):
            words = text.split()
            t_us = int(words[2])
            if before_us > 0xFFFF0000 and t_us < 0x10000:
                return int(words[4])
            before_us = t_us
    raise AssertionError("the clock never wrapped")


def rpm(state: dict[str, Any]) -> float | None:
    return float(state["spindle"]["rpm"]) if state["spindle"] else None


def test_spindle_pulses_give_the_speed_and_their_end_the_stop(live: LiveBoard, lathe: Waytell) -> None:
    live.do("spindle 100000")
    lathe.wait_for(lambda state: rpm(state) == pytest.approx(600, abs=0.5))
    live.do("spindle 50000")
    lathe.wait_for(lambda state: rpm(state) == pytest.approx(1200, abs=0.5))
    live.do("spindle 0")
    lathe.wait_for(lambda state: rpm(state) == 0, within_s=5)


def test_the_clamp_switch_arms_the_hold_watch_and_a_creep_is_told_to_the_count(live: LiveBoard, lathe: Waytell) -> None:
    lathe.done("choose_operation", operation=FACE)
    live.do("switch 0 closed")
    state = lathe.wait_for(lambda state: state["hold"]["armed_by"] == "switch")
    assert state["hold"]["state"] == "held"
    live.begin("move x -15000 2000")
    lathe.wait_for(lambda state: figure(state, "X").get("value_mm", 16.0) < 15)
    live.begin("move z 15 2000")
    state = lathe.wait_for(lambda state: state["hold"]["deviation_mm"] > 0.0145)
    assert state["hold"]["state"] == "warning"
    assert state["hold"]["deviation_mm"] == pytest.approx(0.015, abs=1e-6)
    live.begin("move z 15 2000")
    state = lathe.wait_for(lambda state: state["hold"]["state"] == "limit")
    assert "held_slide_limit" in [alarm["code"] for alarm in state["alarms"]]


def test_the_page_strikes_the_figure_when_edges_are_missed(live: LiveBoard, lathe: Waytell) -> None:
    lathe.done("choose_operation", operation=FACE)
    with chromium() as browser:
        page = browser.new_page(viewport={"width": 1280, "height": 800})
        page.goto(lathe.url)
        page.wait_for_selector('[data-figure="to-go"][data-doubtful="false"]')
        live.do("move x 100000 400000", "settle", TOLD)
        page.wait_for_selector('[data-figure="to-go"][data-doubtful="true"]', timeout=3000)
        page.wait_for_function("document.querySelector('[data-doubt]').textContent.includes('missed')", timeout=3000)
        struck = page.eval_on_selector('[data-figure="to-go"]', "e => getComputedStyle(e).textDecorationLine")
        assert "line-through" in struck
        touch_off(lathe)
        page.wait_for_selector('[data-figure="to-go"][data-doubtful="false"]', timeout=3000)
