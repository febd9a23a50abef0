"""Recorded scripts: the log is a true wire log, and the hidden truth beside it is consistent with it."""

from __future__ import annotations

import functools
import itertools
import json
import statistics
from collections.abc import Iterable
from typing import Any

import pytest

from waytell.documents.acts import ACT, ChooseOperation, TouchOff, UseConfig
from waytell_bridge.line_protocol import Damaged, Hello, Message, Positions, parse_line
from waytell_bridge.simulated import demo
from waytell_bridge.simulated.board import wrapped
from waytell_bridge.simulated.recording import START_NS, Fault, Recording, record
from waytell_bridge.simulated.settings import BoardSettings, ScaleSettings, Settings, StockSettings
from waytell_bridge.simulated.short_scripts import (
    COMPOUND_DEPTH_MM,
    CREEP_AT_X_MM,
    CREEP_MM,
    CREEP_S,
    SCRIPTS,
)
from waytell_bridge.simulated.truth import TruePass
from waytell_bridge.wire_log import Entry, read_entries, unescape

SHORT = ("facing_only", "creep_in_facing", "dwell_and_return", "compound_depth")


@functools.cache
def recorded(name: str, seed: int = 1) -> Recording:
    return record(SCRIPTS[name], Settings(), seed)


def entries(lines: Iterable[str]) -> list[Entry]:
    found = list(read_entries(lines))
    good = [entry for entry in found if isinstance(entry, Entry)]
    assert len(good) == len(found)
    return good


def messages(lines: Iterable[str]) -> list[Message]:
    return [parse_line(unescape(entry.text)) for entry in entries(lines) if entry.mark == "<"]


def acts(recording: Recording) -> list[Any]:
    return [json.loads(entry.text) for entry in entries(line for line in recording.lines if " ! " in line)]


@pytest.mark.parametrize("name", ["one_bush", *SHORT])
def test_the_log_is_a_wire_log_of_sound_lines_and_acts(name: str) -> None:
    recording = recorded(name)
    assert not [message for message in messages(recording.lines) if isinstance(message, Damaged)]
    said = [ACT.validate_python(act) for act in acts(recording)]
    assert isinstance(said[0], UseConfig)
    times = [int(line.split(" ", 1)[0]) for line in recording.lines]
    assert all(a <= b for a, b in itertools.pairwise(times))


@pytest.mark.parametrize("name", ["one_bush", *SHORT])
def test_operations_and_touch_offs_said_are_those_of_the_truth(name: str) -> None:
    recording = recorded(name)
    said = [ACT.validate_python(act) for act in acts(recording)]
    touched = [(act.axis, act.how, act.at_mm) for act in said if isinstance(act, TouchOff)]
    assert touched == [(t.axis, t.how, t.at_mm) for t in recording.truth.touch_offs]
    kinds = {act.operation.kind for act in said if isinstance(act, ChooseOperation)}
    assert kinds == {done.kind for done in recording.truth.passes}


def test_the_same_seed_gives_the_same_log_and_another_one_does_not() -> None:
    again = record(SCRIPTS["dwell_and_return"], Settings(), 1)
    assert again == recorded("dwell_and_return")
    other = record(SCRIPTS["dwell_and_return"], Settings(), 2, longest_s=20.0)
    assert other.lines != again.lines[: len(other.lines)]


def test_the_metal_does_not_depend_on_how_often_the_board_reports() -> None:
    settings = Settings(board=BoardSettings(rate_hz=50, lost_report_share=0.05, damaged_line_share=0.01))
    rough = record(SCRIPTS["dwell_and_return"], settings, 1)
    assert rough.truth == recorded("dwell_and_return").truth
    assert len(rough.lines) < len(recorded("dwell_and_return").lines) / 3


def test_lost_and_damaged_lines_come_in_the_share_asked_for() -> None:
    settings = Settings(board=BoardSettings(lost_report_share=0.05, damaged_line_share=0.02))
    got = messages(record(SCRIPTS["dwell_and_return"], settings, 1).lines)
    damaged = sum(isinstance(message, Damaged) for message in got)
    assert damaged / len(got) == pytest.approx(0.02, rel=0.25)
    seqs = [message.seq for message in got if isinstance(message, Positions)]
    gaps = sum((b - a) % 65536 - 1 for a, b in itertools.pairwise(seqs))
    assert (gaps - damaged) / len(got) == pytest.approx(0.05, rel=0.2)


def test_a_cycle_lasts_minutes_and_gives_a_bush_within_limits() -> None:
    recording = recorded("one_bush")
    assert 4 * 60 < entries(recording.lines[-1:])[0].t_ns * 1e-9 < 6.5 * 60
    truth = recording.truth
    assert truth.face_clean
    shoulder_mm = truth.final_face_z_mm + demo.TURNING.end_mm
    turned = [diameter for z, diameter in truth.final_diameters_mm if z > shoulder_mm + 0.2]
    assert len(turned) == 12
    assert 17.973 <= min(turned) <= max(turned) <= 18.000
    assert [d for z, d in truth.final_diameters_mm if z < shoulder_mm - 0.2] == pytest.approx([24.02] * 27)


@pytest.mark.parametrize("name", ["one_bush", *SHORT])
def test_passes_follow_one_another_and_only_take_metal(name: str) -> None:
    passes = recorded(name).truth.passes
    assert all(a.t_end_s < b.t_start_s for a, b in itertools.pairwise(passes))
    for done in passes:
        assert done.t_start_s < done.t_end_s
        assert done.volume_mm3 >= 0
        assert (done.volume_mm3 < 0.5) == (done.role in ("spring", "air"))
        assert done.completed


def test_turned_metal_is_larger_than_the_setting_by_what_gives_way() -> None:
    roughing = [done for done in recorded("one_bush").truth.passes if (done.kind, done.role) == ("turning", "roughing")]
    assert len(roughing) == 5
    for done in roughing:
        assert done.metal_mm is not None
        assert 0.001 < done.metal_mm - done.held_mm < 0.010
        assert done.depth_mm == pytest.approx(done.set_depth_mm, abs=0.03)


def test_the_volume_of_a_turning_pass_is_that_of_its_ring() -> None:
    passes = [done for done in recorded("one_bush").truth.passes if done.kind == "turning"]
    for before, done in itertools.pairwise(passes[:5]):
        assert before.metal_mm is not None
        assert done.metal_mm is not None
        # The first was measured after, and touched off again: both radii in the lathe's own coordinates.
        outer, inner = before.metal_mm + before.x_zero_mm, done.metal_mm + done.x_zero_mm
        ring = 3.14159 * (outer**2 - inner**2) * 12.0
        assert done.volume_mm3 == pytest.approx(ring, rel=0.03)


def test_the_creep_asked_for_is_where_it_was_asked_for() -> None:
    skim, crept = recorded("creep_in_facing").truth.passes
    assert skim.role == "skim"
    assert abs(skim.creep_mm) < 0.03
    assert crept.creep_mm == pytest.approx(CREEP_MM, abs=0.003)
    # It came on over some seconds of feed, so the largest is further in.
    assert crept.creep_at_mm is not None
    assert crept.creep_at_mm < CREEP_AT_X_MM - 0.9 * CREEP_S * 0.5


def test_dwell_spring_and_air_are_what_they_say() -> None:
    first, spring, air = recorded("dwell_and_return").truth.passes
    assert [first.role, spring.role, air.role] == ["roughing", "spring", "air"]
    assert first.held_mm == pytest.approx(spring.held_mm, abs=1e-6)
    assert (air.start_mm, air.metal_mm, air.creep_mm) == (None, None, 0.0)
    assert spring.metal_mm is not None
    assert spring.held_mm < spring.metal_mm < (first.metal_mm or 0.0)


def test_depth_wound_on_the_compound_is_said_and_not_seen_by_the_scales() -> None:
    recording = recorded("compound_depth")
    first, second = recording.truth.passes
    assert first.held_mm - second.held_mm == pytest.approx(COMPOUND_DEPTH_MM, abs=0.01)
    wound = [act["wound_in_mm"] for act in acts(recording) if act["act"] == "compound_wound"]
    assert wound == pytest.approx([COMPOUND_DEPTH_MM], abs=0.011)
    assert carriage_by_scale(recording, first) == pytest.approx(carriage_by_scale(recording, second), abs=0.006)


def carriage_by_scale(recording: Recording, done: TruePass) -> float:
    start_ns, end_ns = (START_NS + round(t_s * 1e9) for t_s in (done.t_start_s, done.t_end_s))
    during = (line for line in recording.lines if start_ns < int(line.split(" ", 1)[0]) < end_ns)
    counts = [message.counts[1] for message in messages(during) if isinstance(message, Positions)]
    return statistics.median(counts) * 0.005


def test_counts_between_passes_agree_with_the_truth_within_the_scales_errors() -> None:
    recording = recorded("one_bush")
    facing = [done for done in recording.truth.passes if done.kind == "facing"]
    for before, done in itertools.pairwise(facing):
        by_scale = carriage_by_scale(recording, done) - carriage_by_scale(recording, before)
        # A count either side, and the periodic error of either place.
        assert by_scale == pytest.approx(done.held_mm - before.held_mm, abs=0.005 + 0.002)


def test_direction_resolution_and_start_count_are_settings() -> None:
    cross = ScaleSettings("cross", resolution_um=1.0, direction=-1, start_count=2**31 - 2000)
    settings = Settings(scales=(ScaleSettings("carriage", resolution_um=10.0), cross))
    recording = record(SCRIPTS["turning_only"], settings, 1, longest_s=12.0)
    scales = acts(recording)[0]["config"]["scales"]
    assert [(scale["slide"], scale["resolution_um"], scale["direction"]) for scale in scales] == [
        ("carriage", 10.0, 1),
        ("cross", 1.0, -1),
    ]
    counts = [message.counts[1] for message in messages(recording.lines) if isinstance(message, Positions)]
    # X goes from 16 to 13.2 mm, counted the other way round and over the wrap.
    assert (counts[0], counts[-1] < 0) == (2**31 - 2000, True)
    assert wrapped(counts[-1] - counts[0]) == pytest.approx(2800, abs=40)


def test_faults_can_be_put_into_a_recording() -> None:
    faults = [Fault(6.0, "restart_kept"), Fault(8.0, "missed_edges", {"scale": 1, "edges": 40}), Fault(10.0, "restart")]
    recording = record(SCRIPTS["turning_only"], Settings(), 1, faults=faults, longest_s=14.0)
    hellos = [message for message in messages(recording.lines) if isinstance(message, Hello)]
    kept = {hello.boot: hello.kept for hello in hellos}
    assert list(kept.values()) == [False, True, False]
    flags = [message.flags for message in messages(recording.lines) if isinstance(message, Positions)]
    assert [flag for flag, _ in itertools.groupby(flags)] == [0, 2, 0]


def test_a_wavy_face_needs_the_passes_it_needs() -> None:
    crooked = Settings(stock=StockSettings(saw_tilt_mm=0.9))
    assert not record(SCRIPTS["facing_only"], crooked, 1).truth.face_clean
    assert recorded("facing_only").truth.face_clean
