"""Replaying logs that are short, damaged, cut, or another person's."""

from __future__ import annotations

import json
import math
from pathlib import Path

import pytest

from docs.generated import DEVELOPERS
from golden import one_pass
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


def test_a_log_that_goes_on_after_the_computer_was_started_anew(recording: Recording) -> None:
    once, twice = replay(recording.lines, "log"), replay([*recording.lines, *recording.lines], "log")
    assert twice.troubles == once.troubles
    assert [one.role for one in twice.passes] == 2 * [one.role for one in once.passes]
    assert twice.duration_s == pytest.approx(2 * once.duration_s, abs=0.01)
    ends = [one.t_end_s for one in twice.passes]
    assert ends == sorted(ends)


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


# -- the example of DEVELOPERS.md ----------------------------------------------------------------------------------


def example(path: Path = one_pass.FILE) -> list[str]:
    return path.read_text(encoding="utf-8").splitlines()


def test_the_example_log_is_the_one_in_the_developers_document() -> None:
    assert one_pass.FILE.read_text(encoding="utf-8") == one_pass.text(), "python tests/golden/one_pass.py"
    assert f"```text\n{one_pass.text()}```" in DEVELOPERS.read_text(encoding="utf-8")


def test_the_example_log_gives_the_pass_that_its_counts_tell() -> None:
    found = replay(example(), "one_pass")
    (one,) = found.passes
    assert (one.kind, one.role, one.doubts) == ("turning", "finish", ())
    # 600 counts of 5 micrometres behind the face, 100 counts inside the bar.
    assert one.end_mm == pytest.approx(-600 * 0.005)
    assert one.start_mm == pytest.approx(0.0, abs=0.01)
    assert one.held_mm == pytest.approx(12.0 / 2 - 100 * 0.005)
    assert one.depth_mm == pytest.approx(12.0 / 2 - 5.5)
    assert one.feed_mm_min == pytest.approx(50 * 0.005 / 0.1 * 60, rel=0.01)
    # A ring of 12 and 11 mm diameter, 3 mm long.
    assert one.volume_mm3 == pytest.approx(math.pi * (6.0**2 - 5.5**2) * 3.0, rel=1e-3)
    assert found.troubles == []


@pytest.mark.parametrize(
    ("without", "passes"), [((), 1), (("new_set_up",), 1), (("new_set_up", "choose_operation"), 0)]
)
def test_without_stock_and_operation_nothing_is_a_pass(without: tuple[str, ...], passes: int) -> None:
    lines = [line for line in example() if not any(act in line for act in without)]
    assert len(replay(lines, "one_pass").passes) == passes
