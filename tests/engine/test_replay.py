"""Replaying logs that are short, damaged, cut, or another person's."""

from __future__ import annotations

import json

import pytest

from waytell.config import EXAMPLE, parse_config
from waytell.replay import replay
from waytell_bridge.line_protocol import encode
from waytell_bridge.simulated.recording import Recording, record
from waytell_bridge.simulated.settings import Settings
from waytell_bridge.simulated.short_scripts import SCRIPTS


@pytest.fixture(scope="module")
def recording() -> Recording:
    return record(SCRIPTS["dwell_and_return"], Settings(), 6)


def test_the_same_log_gives_the_same_document_twice(recording: Recording) -> None:
    once = json.dumps(replay(recording.lines, "log").document())
    assert once == json.dumps(replay(recording.lines, "log").document())


def test_an_empty_log_gives_nothing_and_no_error() -> None:
    assert replay([], "log").document() == {"passes": [], "events": [], "link": {}, "troubles": []}


def test_a_log_cut_in_the_middle_of_a_line_gives_what_came_before(recording: Recording) -> None:
    # Half way in, the first pass is over and the second is not.
    cut = [*recording.lines[: len(recording.lines) * 3 // 5], recording.lines[-1][:20]]
    found = replay(cut, "log")
    assert found.passes[0].role == "roughing"
    assert len(found.passes) < len(recording.truth.passes)


def test_a_log_whose_every_line_is_damaged_is_counted_and_gives_no_pass(recording: Recording) -> None:
    damaged = [line[:-1] + ("0" if line[-1] != "0" else "1") if " < " in line else line for line in recording.lines]
    found = replay(damaged, "log")
    assert found.passes == []
    assert found.link is not None
    assert found.link.reports == 0
    assert found.link.damaged_lines == sum(" < " in line for line in damaged)


def test_acts_that_cannot_be_read_or_done_are_told_and_the_rest_goes_on(recording: Recording) -> None:
    odd = ['5 ! {"act": "sing"}', '6 ! {"act": "undo"}', "7 ! {", "nonsense"]
    found = replay([*odd, *recording.lines], "log")
    assert len(found.troubles) == 4
    assert len(found.passes) == len(recording.truth.passes)


def test_a_log_without_acts_is_set_up_by_a_configuration() -> None:
    lines = [f"{n * 4_000_000} < {encode(f'P {n} {n * 4000} 0 {-n} {n}').decode().strip()}" for n in range(100)]
    config = parse_config(EXAMPLE, "example")
    assert replay(lines, "log").engine.place.x_mm == 0.0
    assert replay(lines, "log", config).engine.place.x_mm == pytest.approx(-99 * 0.005)


def test_a_pass_under_way_when_the_log_ends_is_recorded(recording: Recording) -> None:
    meant = recording.truth.passes[0]
    half_way_ns = 1_000_000_000 + round((meant.t_start_s + meant.t_end_s) / 2 * 1e9)
    cut = [line for line in recording.lines if int(line.split(" ", 1)[0]) <= half_way_ns]
    found = replay(cut, "log").passes
    assert len(found) == 1
    assert -7.0 < found[0].end_mm < -1.0


def test_a_log_may_touch_off_before_its_first_reading(recording: Recording) -> None:
    config = next(line for line in recording.lines if "use_config" in line)
    touch = '1000000001 ! {"act": "touch_off", "axis": "X", "at_mm": 16.0}'
    first = [line for line in recording.lines if " < " in line][:200]
    found = replay([config, touch, *first], "log")
    assert found.troubles == []
    assert found.engine.reasons("X") == ("stale",) or found.engine.reasons("X") == ()
    assert found.engine.place.x_mm == pytest.approx(16.0, abs=0.05)
