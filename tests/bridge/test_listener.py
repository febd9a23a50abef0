"""Listening to a board: what becomes an event, what is asked, and what is said of the link in which words."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from bridge.feeding import hello_line, position_line
from waytell_bridge.line_protocol import encode
from waytell_bridge.listener import BoardListener, Heard
from waytell_bridge.reading import (
    BoardEvent,
    BoardHello,
    LinkCondition,
    LinkReport,
    MissedEdges,
    Reading,
    ReferenceMark,
    SpindlePulse,
    SwitchInputs,
)

ASK = encode("Q")
STEP_S = 0.004


class Bench:
    """A listener with a board before it that reports 250 times a second; keeps all that is heard."""

    def __init__(self, hello: bytes = b"") -> None:
        self.listener = BoardListener("/dev/ttyUSB0", 500_000)
        self.now_s = 100.0
        self.seq = 0
        self.t_us = 1_000_000
        self.events: list[BoardEvent] = []
        self.sent: list[bytes] = []
        self._take(self.listener.opened(self.now_s))
        if hello:
            self.hear(hello)

    def _take(self, heard: Heard) -> Heard:
        self.events += heard.events
        self.sent += heard.to_send
        return heard

    def hear(self, data: bytes) -> list[BoardEvent]:
        return self._take(self.listener.listen(data, self.now_s)).events

    def report(self, seconds: float, *counts: int) -> None:
        for _ in range(round(seconds / STEP_S)):
            self.pass_time(STEP_S)
            self.hear(position_line(self.seq, self.t_us, *(counts or (1, 2))))
            self.seq += 1

    def pass_time(self, seconds: float) -> None:
        self.now_s += seconds
        self.t_us += round(seconds * 1e6)

    def quiet(self, seconds: float) -> None:
        """Nothing comes; the source waits 20 ms at a time."""
        for _ in range(round(seconds / 0.02)):
            self.pass_time(0.02)
            self._take(self.listener.tick(self.now_s))

    def noise(self, seconds: float, data: bytes) -> None:
        for _ in range(round(seconds / 0.02)):
            self.pass_time(0.02)
            self.hear(data)

    @property
    def link(self) -> LinkReport:
        return [event for event in self.events if isinstance(event, LinkReport)][-1]

    @property
    def condition(self) -> str:
        return self.conditions[-1]

    @property
    def readings(self) -> list[Reading]:
        return [event for event in self.events if isinstance(event, Reading)]

    @property
    def conditions(self) -> list[str]:
        """Conditions in their order, each once."""
        said = [event.condition.value for event in self.events if isinstance(event, LinkReport)]
        return [one for n, one in enumerate(said) if n == 0 or said[n - 1] != one]


@pytest.fixture
def bench() -> Iterator[Bench]:
    yield Bench()  # noqa: PT022 - a fresh one for each test, nothing to take down


def test_a_board_is_asked_who_it_is_when_its_port_opens() -> None:
    bench = Bench()
    assert bench.sent == [ASK]
    assert bench.condition == "opening"
    assert bench.link.checked
    assert "/dev/ttyUSB0" in bench.link.words


def test_it_is_asked_again_each_second_until_it_answers_while_nothing_comes(bench: Bench) -> None:
    bench.quiet(3.5)
    assert bench.sent == [ASK] * 4
    bench.hear(hello_line())
    bench.quiet(3)
    assert bench.sent == [ASK] * 4


def test_it_is_asked_again_although_positions_leave_no_moment_of_silence(bench: Bench) -> None:
    bench.report(3.5)
    assert bench.sent == [ASK] * 4
    bench.hear(hello_line())
    bench.report(3)
    assert bench.sent == [ASK] * 4


def test_it_is_asked_anew_when_its_port_opens_again() -> None:
    bench = Bench(hello_line())
    bench._take(bench.listener.opened(bench.now_s))
    bench.report(1.5)
    assert bench.sent == [ASK] * 3


def test_a_hello_is_told_with_all_that_it_says(bench: Bench) -> None:
    (hello,) = [e for e in bench.hear(hello_line("00C0FFEE", 3, kept=1)) if isinstance(e, BoardHello)]
    assert hello == BoardHello(bench.now_s, "00C0FFEE", "m328p", 3, 250, "1.0.0", 1, 2, True, 120_000, "qqq", False)


def test_the_same_boot_is_no_restart_and_another_is_one(bench: Bench) -> None:
    boots = ["0000000A", "0000000A", "0000000B", "0000000B", "0000000A"]
    told = [event for boot in boots for event in bench.hear(hello_line(boot)) if isinstance(event, BoardHello)]
    assert [hello.restarted for hello in told] == [False, False, True, False, True]


def test_a_restart_is_told_across_a_lost_port_as_well() -> None:
    bench = Bench(hello_line("0000000A"))
    bench.events.append(bench.listener.lost(bench.now_s, "gone"))
    assert bench.condition == "lost"
    assert bench.link.words == "gone"
    bench._take(bench.listener.opened(bench.now_s))
    (hello,) = [event for event in bench.hear(hello_line("0000000B")) if isinstance(event, BoardHello)]
    assert hello.restarted


def test_positions_become_readings_at_the_time_they_were_latched(bench: Bench) -> None:
    bench.report(1, 5, -7)
    assert len(bench.readings) == 250
    assert {reading.counts for reading in bench.readings} == {(5, -7)}
    assert [reading.t_s for reading in bench.readings] == pytest.approx([100 + STEP_S * n for n in range(1, 251)])
    assert bench.readings[-1].board_s == pytest.approx(2.0)


def test_late_lines_keep_the_time_at_which_they_were_latched(bench: Bench) -> None:
    bench.report(2)
    lines = b""
    for _ in range(50):
        bench.pass_time(STEP_S)
        lines += position_line(bench.seq, bench.t_us, 1, 2)
        bench.seq += 1
    bench.hear(lines)
    steps = [b.t_s - a.t_s for a, b in zip(bench.readings, bench.readings[1:], strict=False)]
    assert steps == pytest.approx([STEP_S] * len(steps), abs=1e-6)


def test_flags_of_missed_edges_come_with_the_reading(bench: Bench) -> None:
    bench.hear(position_line(0, 1, 5, 6, flags=2))
    assert bench.readings[-1].flags == 2


def test_the_other_lines_become_their_events_at_board_time(bench: Bench) -> None:
    bench.report(1)
    now_us = bench.t_us
    bench.pass_time(0.05)
    payloads = ["E 1 7", f"S {now_us - 20_000} 100000", f"I 3 {now_us}", f"M 0 -4211 {now_us - 500_000}"]
    heard = bench.hear(b"".join(encode(payload) for payload in payloads))
    missed, spindle, inputs, mark = (event for event in heard if not isinstance(event, LinkReport))
    assert missed == MissedEdges(bench.now_s, 1, 7)
    assert isinstance(spindle, SpindlePulse)
    assert [spindle.t_s, spindle.period_s] == pytest.approx([100.98, 0.1])
    assert isinstance(inputs, SwitchInputs)
    assert inputs.t_s == pytest.approx(101.0)
    assert inputs.bits == 3
    assert isinstance(mark, ReferenceMark)
    assert mark.t_s == pytest.approx(100.5)
    assert (mark.scale, mark.at_count) == (0, -4211)


def test_a_time_after_the_newest_position_is_never_later_than_its_arrival(bench: Bench) -> None:
    bench.report(1)
    (spindle,) = bench.hear(encode(f"S {bench.t_us + 900_000} 100000"))
    assert spindle.t_s == bench.now_s


def test_before_any_position_other_lines_have_the_time_of_their_arrival(bench: Bench) -> None:
    events = bench.hear(encode("I 1 99125500"))
    assert SwitchInputs(bench.now_s, 1) in events


def test_lines_for_the_host_of_a_later_version_and_echoes_give_nothing(bench: Bench) -> None:
    assert bench.hear(encode("Z 1 2 3") + ASK + encode("R 500")) == []
    assert bench.listener.health.damaged == 0


def test_gaps_in_the_sequence_are_lost_reports_over_its_wrap_too(bench: Bench) -> None:
    bench.hear(hello_line())
    bench.quiet(0.5)
    for seq in [65530, 65531, 65534, 1, 4, 5, 6]:
        bench.pass_time(STEP_S)
        bench.hear(position_line(seq, bench.t_us, 1, 2))
    bench.quiet(0.6)
    assert bench.link.lost_reports == 2 + 2 + 2
    assert bench.link.reports == 7
    assert bench.sent == [ASK]


def test_a_step_of_the_sequence_is_asked_about_at_once(bench: Bench) -> None:
    bench.hear(hello_line())
    bench.report(1)
    bench.seq += 1000
    bench.report(STEP_S)
    assert bench.sent == [ASK, ASK]
    assert bench.listener.health.lost_reports == 1000


@pytest.mark.parametrize("seq", [300, 40_000])
def test_a_restart_whose_hello_was_lost_is_asked_about_and_no_report_counts_as_lost(seq: int) -> None:
    bench = Bench(hello_line())
    bench.seq = seq
    bench.report(1)
    bench.seq, bench.t_us = 0, 500
    bench.report(1)
    assert bench.sent == [ASK, ASK]
    assert bench.listener.health.lost_reports == 0
    # The mapping begins anew and holds.
    assert bench.readings[-1].t_s == pytest.approx(bench.now_s)
    assert bench.readings[-1].board_s == pytest.approx(1.0005, abs=1e-6)


def test_counts_beyond_the_scales_of_the_hello_are_dropped() -> None:
    bench = Bench()
    bench.report(STEP_S, 1, 2, 3, 4)
    bench.hear(hello_line(scales=2))
    bench.report(STEP_S, 1, 2, 3, 4)
    assert [reading.counts for reading in bench.readings] == [(1, 2, 3, 4), (1, 2)]


def test_a_position_with_fewer_counts_than_the_hello_has_scales_is_damage() -> None:
    bench = Bench(hello_line(scales=3))
    bench.report(STEP_S, 1, 2)
    assert bench.readings == []
    assert bench.listener.health.damaged == 1


def test_lines_of_two_boards_mixed_are_asked_about_but_the_line_is_not_drowned() -> None:
    bench = Bench(hello_line("0000000A"))
    for n in range(500):
        bench.pass_time(STEP_S)
        bench.hear(position_line(n, bench.t_us, 1, 2) + position_line(n + 20_000, bench.t_us + 9_000_000, 700, 800))
    asked = len(bench.sent) - 1
    assert 4 <= asked <= 9  # two seconds
    bench.hear(hello_line("0000000B"))
    bench.hear(hello_line("0000000A"))
    assert [event.restarted for event in bench.events if isinstance(event, BoardHello)] == [False, True, True]
    assert all(reading.t_s <= bench.now_s for reading in bench.readings)


def test_a_board_that_reports_is_live_at_once_and_told_twice_a_second(bench: Bench) -> None:
    bench.report(STEP_S)
    assert bench.condition == "live"
    bench.report(2)
    reports = [event for event in bench.events if isinstance(event, LinkReport)]
    assert len(reports) == 6
    assert bench.link.rate_hz == pytest.approx(250, rel=0.01)
    assert bench.link.words == "The board reports."


def test_silence_is_told_after_a_second_in_words_that_say_what_to_look_at(bench: Bench) -> None:
    bench.report(1)
    bench.quiet(0.9)
    assert bench.condition == "live"
    bench.quiet(0.8)
    assert bench.condition == "silent"
    for word in ("Nothing heard on /dev/ttyUSB0", "powered", "cable", "port"):
        assert word in bench.link.words


def test_the_first_report_after_silence_is_live_at_once(bench: Bench) -> None:
    bench.report(1)
    bench.quiet(2)
    bench.report(STEP_S)
    assert bench.conditions == ["opening", "live", "silent", "live"]


@pytest.mark.parametrize(
    "noise",
    [b"\x00\xff\x91\x0a\x33", b"hello there\r\n", b"P 1 2 0 3*0000\n", b"\xff" * 40, b"\x00" * 500],
    ids=["another speed", "another device", "wrong checksums", "no newline at all", "a line held low"],
)
def test_bytes_that_cannot_be_read_are_told_as_such(noise: bytes, bench: Bench) -> None:
    bench.noise(2, noise)
    assert bench.condition == "unreadable"
    for word in ("/dev/ttyUSB0", "500000 baud", "speed"):
        assert word in bench.link.words
    bench.hear(b"\n")
    bench.report(1.2)
    assert bench.condition == "live"


@pytest.mark.parametrize("noise", [b"\xff" * 40, b"\x00\n\x00\n"])
def test_a_board_that_reported_and_now_only_makes_noise_is_not_live(noise: bytes, bench: Bench) -> None:
    bench.report(1)
    bench.noise(2, noise)
    assert bench.condition == "unreadable"


def test_a_few_damaged_lines_are_counted_and_the_link_stays_live(bench: Bench) -> None:
    for _ in range(100):
        bench.report(0.02)
        bench.hear(b"noise\n")
    assert bench.conditions == ["opening", "live"]
    assert bench.link.damaged_lines >= 90
    assert bench.listener.health.damaged == 100


def test_more_lines_than_a_board_sends_are_told_as_a_flood_and_its_end_as_live(bench: Bench) -> None:
    for _ in range(300):
        bench.report(STEP_S)
        bench.hear(encode("Z") * 10)
    assert bench.condition == "flooded"
    assert "lines a second" in bench.link.words
    bench.report(1.2)
    assert bench.condition == "live"


def test_the_lateness_of_readings_is_told(bench: Bench) -> None:
    bench.report(2)
    line = position_line(bench.seq, bench.t_us + 4000, 1, 2)
    bench.pass_time(0.054)
    bench.seq += 1
    bench.hear(line)
    bench.quiet(0.6)
    assert bench.link.spread_s == pytest.approx(0.05, abs=0.002)


def test_lines_are_handed_on_for_the_log_as_received(bench: Bench) -> None:
    heard = bench.listener.listen(b"noise\xff\r\n" + ASK + b"P 1", bench.now_s)
    assert heard.lines == [b"noise\xff\r", b"Q*AB24"]
    assert bench.listener.listen(b" 2\n", bench.now_s).lines == [b"P 1 2"]


def test_an_unfinished_line_is_forgotten_when_the_port_opens_again(bench: Bench) -> None:
    bench.hear(b"P 1 1208")
    bench._take(bench.listener.opened(bench.now_s))
    bench.hear(b"P 1 1208512 0 -3 18*62A3\n")
    assert bench.readings[-1].counts == (-3, 18)


def test_an_ended_recording_and_an_opening_port_are_told() -> None:
    listener = BoardListener("day.wirelog")
    assert listener.opening(1.0).condition is LinkCondition.OPENING
    ended = listener.ended(2.0)
    assert (ended.condition, ended.words) == (LinkCondition.ENDED, "The recording day.wirelog has ended.")
