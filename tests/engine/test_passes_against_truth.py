"""Passes as the engine finds them in the wire log of a simulated lathe, against that lathe's hidden truth.

The simulated lathe shares no code with the engine. What it hides: its scales' own errors, clamp shift, deflection,
winding ripple, backlash. `held_mm` and `set_depth_mm` of the truth are what a perfect scale would have shown.
"""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import pytest

from waytell.documents.acts import ACT
from waytell.engine.engine import Engine
from waytell.replay import Replayed, replay
from waytell_bridge.listener import BoardListener
from waytell_bridge.simulated.recording import Recording, record
from waytell_bridge.simulated.settings import Settings, Style
from waytell_bridge.simulated.short_scripts import CREEP_MM, SCRIPTS
from waytell_bridge.wire_log import Entry, read_entries, unescape

# (script, resolution um, reports a second, share of reports lost, how the person winds)
CASES: list[tuple[str, float, int, float, Style]] = [
    ("facing_only", 5.0, 250, 0.0, "smooth"),
    ("facing_only", 1.0, 250, 0.05, "jerky"),
    ("facing_only", 5.0, 50, 0.05, "uneven"),
    ("turning_only", 5.0, 250, 0.05, "uneven"),
    ("creep_in_facing", 5.0, 250, 0.0, "smooth"),
    ("creep_in_facing", 1.0, 1000, 0.05, "smooth"),
    ("dwell_and_return", 5.0, 250, 0.05, "smooth"),
    ("dwell_and_return", 5.0, 50, 0.05, "jerky"),
    ("compound_depth", 5.0, 250, 0.0, "smooth"),
]
# A micrometre of periodic error and some of linear error over a short travel.
SCALE_ERROR_MM = 0.003


def settings(um: float, rate_hz: int, lost: float, style: Style) -> Settings:
    plain = Settings()
    return replace(
        plain,
        scales=tuple(replace(scale, resolution_um=um) for scale in plain.scales),
        board=replace(plain.board, rate_hz=rate_hz, lost_report_share=lost),
        hand=replace(plain.hand, style=style),
    )


@cache
def recorded(script: str, um: float, rate_hz: int, lost: float, style: Style) -> Recording:
    return record(SCRIPTS[script], settings(um, rate_hz, lost, style), 3)


@cache
def found(script: str, um: float, rate_hz: int, lost: float, style: Style) -> Replayed:
    return replay(recorded(script, um, rate_hz, lost, style).lines, script)


@pytest.mark.parametrize("case", CASES, ids=str)
def test_every_true_pass_is_found_once_with_its_kind_and_place(case: tuple[str, float, int, float, Style]) -> None:
    true, passes = recorded(*case).truth.passes, found(*case).passes
    count = case[1] * 1e-3
    assert [(one.kind, one.role == "air", one.role == "spring") for one in passes] == [
        (one.kind, one.role == "air", one.role == "spring") for one in true
    ]
    for one, meant in zip(passes, true, strict=True):
        if meant.role == "air":
            continue
        assert one.start_mm == pytest.approx(meant.start_mm, abs=0.02 + count), "the bar's own size is off by as much"
        assert one.end_mm == pytest.approx(meant.end_mm, abs=count + SCALE_ERROR_MM + 0.003)
        # Where the slide crept half way, the median over the time and that over the way differ by part of the creep.
        within = 2 * count + SCALE_ERROR_MM + 0.2 * abs(meant.creep_mm)
        assert one.held_mm == pytest.approx(meant.held_mm, abs=within)
        assert one.depth_mm == pytest.approx(meant.set_depth_mm, abs=within)
        assert one.creep_mm == pytest.approx(meant.creep_mm, abs=2 * count + SCALE_ERROR_MM)
        assert one.doubts == ()


@pytest.mark.parametrize("case", CASES, ids=str)
def test_times_of_a_pass_are_those_of_the_log(case: tuple[str, float, int, float, Style]) -> None:
    for one, meant in zip(found(*case).passes, recorded(*case).truth.passes, strict=True):
        if meant.role != "air":
            assert one.t_start_s == pytest.approx(meant.t_start_s + 1.0, abs=0.3)
            # The truth counts the dwell at the end, before the person winds away.
            assert one.t_end_s == pytest.approx(meant.t_end_s + 1.0, abs=0.5)
            assert one.duration_s == pytest.approx(one.t_end_s - one.t_start_s)


def test_a_creep_of_known_size_is_told_in_the_pass_and_when_it_happens() -> None:
    case = CASES[5]
    crept = found(*case).passes[-1]
    assert crept.creep_mm == pytest.approx(CREEP_MM, abs=0.005)
    told = [one.body["state"] for one in found(*case).events if one.kind == "hold"]
    assert told == ["warning", "limit"]


@pytest.mark.parametrize("case", [case for case in CASES if case[0] != "creep_in_facing"], ids=str)
def test_where_nothing_slipped_nothing_is_alarmed(case: tuple[str, float, int, float, Style]) -> None:
    assert [one.words for one in found(*case).events if one.kind == "hold"] == []


def test_the_same_work_gives_the_same_passes_at_any_report_rate() -> None:
    rates = [found("dwell_and_return", 1.0, rate_hz, 0.0, "smooth").passes for rate_hz in (50, 250, 1000)]
    for other in rates[1:]:
        assert [(one.kind, one.role) for one in other] == [(one.kind, one.role) for one in rates[0]]
        for one, same in zip(other, rates[0], strict=True):
            assert one.end_mm == pytest.approx(same.end_mm, abs=0.035), "at 50 Hz a feed of 1.4 mm/s steps by 0.028"
            assert one.held_mm == pytest.approx(same.held_mm, abs=0.003)


@pytest.mark.parametrize("share", [0.3, 0.55, 0.8])
def test_a_restart_in_between_gives_the_same_passes(share: float) -> None:
    case = CASES[2]
    lines = recorded(*case).lines
    whole = [(one.kind, one.role, one.held_mm, one.depth_mm) for one in found(*case).passes]
    engine = Engine()
    for half in (lines[: int(len(lines) * share)], lines[int(len(lines) * share) :]):
        again = Engine()
        again.restore(engine.history)
        engine = again
        listener = BoardListener("log")
        for entry in read_entries(half):
            assert isinstance(entry, Entry)
            if entry.mark == "!":
                engine.act(ACT.validate_json(entry.text), entry.t_ns * 1e-9)
            elif entry.mark == "<":
                for event in listener.listen(unescape(entry.text) + b"\n", entry.t_ns * 1e-9).events:
                    engine.feed(event)
    passes = [one.body["pass"] for one in engine.history if one.kind == "pass_finished"]
    kept = [(one["kind"], one["role"], one["held_mm"], one["depth_mm"]) for one in passes]
    # A pass under way at the restart is recorded from there on or not at all; every other one is the same.
    assert len(whole) - len(kept) <= 1
    assert all(
        any(one[:2] == other[:2] and one[2] == pytest.approx(other[2], abs=0.01) for other in whole) for one in kept
    )
