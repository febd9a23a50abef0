"""Boards that print lines of their own: a pattern finds the counts, and that nothing checks them is said."""

from __future__ import annotations

from itertools import pairwise

import pytest

from waytell_bridge.line_pattern import LONGEST_PATTERN_LINE, PatternListener
from waytell_bridge.reading import LinkCondition, LinkReport, Reading

TWO = r"X(?P<c0>\S+) Z(?P<c1>\S+)"
TIMED = r"(?P<t_ms>\S+);(?P<c0>\S+)"


def opened(pattern: str, scale: float = 1.0) -> PatternListener:
    """A listener that has passed over the first line."""
    listener = PatternListener("COM5", pattern, scale, 115_200)
    listener.opened(0.0)
    listener.listen(b"\n", 0.0)
    return listener


def readings(listener: PatternListener, data: bytes, at_s: float = 1.0) -> list[Reading]:
    return [event for event in listener.listen(data, at_s).events if isinstance(event, Reading)]


def counts(pattern: str, data: bytes, scale: float = 1.0) -> list[tuple[int, ...]]:
    return [reading.counts for reading in readings(opened(pattern, scale), data)]


@pytest.mark.parametrize(
    ("pattern", "scale", "line", "expected"),
    [
        (TWO, 1, b"X12 Z-34", (12, -34)),
        (TWO, 1, b"status ok X+12 Z-0 end", (12, 0)),
        (TWO, 1000, b"X12.345 Z-0.001", (12345, -1)),
        (TWO, 1000, b"X1.0005001 Z-1.0005001", (1001, -1001)),
        (TWO, 0.5, b"X3.1 Z-3.1", (2, -2)),
        (TWO, 1, b"X2147483647 Z-2147483648", (2147483647, -2147483648)),
        (TWO, 1000, b"X1e1 Z2.5E-1", (10000, 250)),
        (r"(?P<c1>-?\d+),(?P<c0>-?\d+)", 1, b"5,6", (6, 5)),
        (",".join(rf"(?P<c{i}>\d)" for i in range(7)), 1, b"1,2,3,4,5,6,7", (1, 2, 3, 4, 5, 6, 7)),
    ],
)
def test_a_line_that_matches_gives_whole_counts(
    pattern: str, scale: float, line: bytes, expected: tuple[int, ...]
) -> None:
    assert counts(pattern, line + b"\n", scale) == [expected]


@pytest.mark.parametrize(
    "line",
    [b"X1", b"hello", b"Xnan Z1", b"X1 Z-inf", b"Xinfinity Z1", b"X1e400 Z1", b"X2147483648 Z1", b"X-2147483649 Z1",
     b"X1e30 Z1", b"Xone Z1", b"X1_000 Z1", b"X0x10 Z1", b"X1,5 Z1", b"X\xb2 Z1", b"X\x00 Z1", b"X-- Z1"],
)  # fmt: skip
def test_a_line_that_does_not_match_or_holds_no_sensible_number_is_damaged(line: bytes) -> None:
    listener = opened(TWO)
    assert readings(listener, line + b"\nX1 Z2\n")[0].counts == (1, 2)
    assert (listener.health.damaged, listener.health.reports) == (1, 1)


def test_a_group_that_took_no_part_in_the_match_is_damage() -> None:
    assert counts(r"X(?P<c0>\d+)(?: Z(?P<c1>\d+))?", b"X1\nX1 Z2\n") == [(1, 2)]


@pytest.mark.parametrize("ending", [b"\n", b"\r\n", b"\r", b"\n\r", b"\r\n\r\n"])
def test_lines_end_as_their_board_ends_them_however_they_come(ending: bytes) -> None:
    data = b"X1 Z2" + ending + b"X3 Z4" + ending
    whole = opened(TWO)
    assert [reading.counts for reading in readings(whole, data)] == [(1, 2), (3, 4)]
    one_by_one = opened(TWO)
    heard = [reading.counts for i in range(len(data)) for reading in readings(one_by_one, data[i : i + 1])]
    assert heard == [(1, 2), (3, 4)]
    assert one_by_one.health.damaged == 0


def test_the_line_found_under_way_at_opening_is_passed_over_for_its_numbers_may_be_cut() -> None:
    listener = PatternListener("COM5", TWO)
    listener.opened(0.0)
    heard = listener.listen(b"X6 Z7\nX123456 Z7\n", 1.0)
    assert [event.counts for event in heard.events if isinstance(event, Reading)] == [(123456, 7)]
    assert heard.lines == [b"X6 Z7", b"X123456 Z7"]
    assert listener.health.damaged == 0
    # A replay of these lines passes over the same one.
    again = PatternListener("day.wirelog", TWO)
    again.opened(0.0)
    replayed = [event for line in heard.lines for event in again.listen(line + b"\n", 1.0).events]
    assert [event.counts for event in replayed if isinstance(event, Reading)] == [(123456, 7)]


def test_the_tail_of_a_line_too_long_is_no_position() -> None:
    for chunks in ([b"1" * 5000 + b"X7 Z8\nX1 Z2\n"], [b"1"] * 5000 + [b"X7 Z8\n", b"X1 Z2\n"]):
        listener = opened(TWO)
        assert [reading.counts for chunk in chunks for reading in readings(listener, chunk)] == [(1, 2)]
        assert listener.health.damaged == 1


def test_a_line_without_end_takes_no_memory() -> None:
    listener = opened(TWO)
    for _ in range(1000):
        listener.listen(b"\x55" * 4096, 1.0)
    assert len(listener._rest) <= LONGEST_PATTERN_LINE + 1


def test_without_a_time_of_its_own_a_reading_has_the_time_of_its_arrival() -> None:
    (reading,) = readings(opened(TWO), b"X1 Z2\n", 17.25)
    assert reading == Reading(17.25, 17.25, (1, 2), 0)


@pytest.mark.parametrize(
    ("pattern", "lines"),
    [
        (TIMED, [b"1000;5\n", b"1004;6\n", b"1008;7\n"]),
        (r"(?P<t_us>\d+);(?P<c0>\S+)", [b"1000000;5\n", b"1004000;6\n", b"1008000;7\n"]),
        (TIMED, [b"1000.0;5\n", b"1004.0;6\n", b"1008.0;7\n"]),
    ],
)
def test_a_printed_time_is_the_time_of_the_reading_though_lines_come_late(pattern: str, lines: list[bytes]) -> None:
    listener = opened(pattern)
    arrivals_s = [10.0, 10.009, 10.0085]
    heard = [readings(listener, line, at_s)[0] for line, at_s in zip(lines, arrivals_s, strict=True)]
    assert [reading.board_s for reading in heard] == pytest.approx([1.0, 1.004, 1.008])
    assert [reading.t_s for reading in heard] == pytest.approx([10.0, 10.004, 10.008])


def test_milliseconds_over_their_own_wrap_and_over_that_of_microseconds_go_on() -> None:
    for first_ms in (4_294_967_290, 4_294_960):
        listener = opened(TIMED)
        times_ms = [(first_ms + 4 * n) % (1 << 32) for n in range(9)]
        times_s = [readings(listener, b"%d;5\n" % t_ms, 10 + 0.004 * n)[0].board_s for n, t_ms in enumerate(times_ms)]
        assert [b - a for a, b in pairwise(times_s)] == pytest.approx([0.004] * 8)


def test_a_time_that_jumps_back_begins_anew() -> None:
    listener = opened(TIMED)
    readings(listener, b"90000;5\n", 10.0)
    (reading,) = readings(listener, b"12;6\n", 10.5)
    assert reading.t_s == 10.5
    assert reading.board_s == pytest.approx(0.012)


@pytest.mark.parametrize("time", [b"nan", b"inf", b"-1", b"1e300", b"soon", b"1_000"])
def test_a_time_that_is_none_is_damage(time: bytes) -> None:
    listener = opened(TIMED)
    assert readings(listener, time + b";5\n") == []
    assert listener.health.damaged == 1


def test_that_nothing_checks_the_lines_is_said() -> None:
    listener = opened(TWO)
    reports = [event for event in listener.listen(b"X1 Z2\n", 0.1).events if isinstance(event, LinkReport)]
    assert reports[-1].condition is LinkCondition.LIVE
    assert not reports[-1].checked
    assert "no checksum" in reports[-1].words


def test_lines_of_which_none_matches_are_told_with_the_pattern_and_the_speed() -> None:
    listener = opened(TWO)
    events = [event for n in range(20) for event in listener.listen(b"A 1 B 2\n", n * 0.1).events]
    (last,) = [event for event in events if isinstance(event, LinkReport)][-1:]
    assert last.condition is LinkCondition.UNREADABLE
    assert "115200 baud by the line pattern" in last.words


def test_silence_loss_and_the_end_are_told_as_for_any_board() -> None:
    listener = opened(TWO)
    listener.listen(b"X1 Z2\n", 0.1)
    told = [event for n in range(20) for event in listener.tick(0.2 + n * 0.1).events]
    assert isinstance(told[-1], LinkReport)
    assert told[-1].condition is LinkCondition.SILENT
    assert listener.opening(3).condition is LinkCondition.OPENING
    assert listener.lost(3, "gone").condition is LinkCondition.LOST
    assert listener.ended(3).condition is LinkCondition.ENDED


def test_a_pattern_listener_asks_nothing_of_a_board_that_would_not_understand() -> None:
    listener = PatternListener("COM5", TWO)
    assert listener.opened(0.0).to_send == []
    assert listener.tick(5.0).to_send == []
    assert listener.listen(b"X1 Z2\n", 6.0).to_send == []
