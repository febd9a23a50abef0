"""The bridge's thread over real lines: events come, questions go, a lost line is opened again, the log replays."""

from __future__ import annotations

import io
import logging
import os
import sys
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from itertools import pairwise
from pathlib import Path

import pytest

from bridge.ends import ENDS, HOST, End, PtyEnd, TcpEnd, plugged, posix, wait_for
from bridge.feeding import hello_line, position_line
from waytell_bridge.bridge import Bridge, Recorder, make_listener
from waytell_bridge.line_protocol import encode
from waytell_bridge.reading import BoardEvent, BoardHello, LinkCondition, LinkReport, Reading
from waytell_bridge.wire_log import Entry, format_entry, read_entries, unescape

ASK = encode("Q")

pytestmark = pytest.mark.filterwarnings("ignore:set(Daemon|Name):DeprecationWarning")


class Heard:
    """What a bridge delivered, with the time."""

    def __init__(self) -> None:
        self.events: list[tuple[float, BoardEvent]] = []

    def __call__(self, events: list[BoardEvent]) -> None:
        now_s = time.monotonic()
        self.events += [(now_s, event) for event in events]

    @property
    def readings(self) -> list[Reading]:
        return [event for _, event in self.events if isinstance(event, Reading)]

    @property
    def hellos(self) -> list[BoardHello]:
        return [event for _, event in self.events if isinstance(event, BoardHello)]

    @property
    def links(self) -> list[LinkReport]:
        return [event for _, event in self.events if isinstance(event, LinkReport)]

    @property
    def conditions(self) -> list[str]:
        """Conditions in their order, each once."""
        said = [link.condition.value for link in self.links]
        return [one for n, one in enumerate(said) if n == 0 or said[n - 1] != one]


@contextmanager
def bridged(address: str, recorder: Recorder | None = None, pattern: str | None = None) -> Iterator[Heard]:
    heard = Heard()
    bridge = Bridge(address, heard, baud=115_200, recorder=recorder, pattern=pattern)
    assert bridge.source.address == address
    bridge.start()
    try:
        yield heard
    finally:
        bridge.stop()
        assert not bridge._thread.is_alive()


def listening(heard: Heard) -> None:
    """Wait until its port is open: pyserial drops what came before."""
    wait_for(lambda: any("Listening" in link.words for link in heard.links))


def report(end: End, seconds: float, first: int = 0, boot_us: int = 0) -> int:
    """Report 100 times a second; gives the number of the next report."""
    for n in range(first, first + round(seconds * 100)):
        end.say(position_line(n, boot_us + n * 10_000, n, -n))
        time.sleep(0.01)
    return first + round(seconds * 100)


@pytest.mark.parametrize("kind", ENDS)
def test_a_board_is_asked_and_its_lines_become_events(kind: Callable[[], End]) -> None:
    with plugged(kind) as end, bridged(end.url) as heard:
        assert end.heard(len(ASK)) == ASK
        end.say(hello_line())
        report(end, 0.3)
        wait_for(lambda: len(heard.readings) == 30)
        assert [reading.counts for reading in heard.readings] == [(n, -n) for n in range(30)]
        assert [hello.boot for hello in heard.hellos] == ["5E0A91C3"]
        assert heard.conditions == ["opening", "live"]


def test_readings_carry_host_time_and_come_at_once() -> None:
    with plugged(TcpEnd) as end, bridged(end.url) as heard:
        listening(heard)
        report(end, 1)
        wait_for(lambda: len(heard.readings) == 100)
        for came_s, event in heard.events:
            if isinstance(event, Reading):
                assert 0 <= came_s - event.t_s < 0.5


def test_silence_is_noticed_without_any_byte() -> None:
    with plugged(TcpEnd) as end, bridged(end.url) as heard:
        assert end.heard(2 * len(ASK), 3) == ASK * 2
        wait_for(lambda: heard.conditions == ["opening", "silent"])


def test_a_line_pulled_and_put_back_is_found_again_and_a_restart_seen() -> None:
    with plugged(TcpEnd) as first:
        assert isinstance(first, TcpEnd)
        with bridged(first.url) as heard:
            listening(heard)
            first.say(hello_line("0000000A"))
            report(first, 0.1)
            wait_for(lambda: len(heard.readings) == 10)
            first.unplug()
            wait_for(lambda: "lost" in heard.conditions)
            assert "closed the connection" in next(x.words for x in heard.links if x.condition is LinkCondition.LOST)
            time.sleep(0.8)
            again = TcpEnd(first.port)
            try:
                assert again.heard(len(ASK)) == ASK
                again.say(hello_line("0000000B"))
                report(again, 0.1, boot_us=500)
                wait_for(lambda: len(heard.readings) == 20)
            finally:
                again.unplug()
            assert [hello.restarted for hello in heard.hellos] == [False, True]
            after = heard.conditions[heard.conditions.index("lost") :]
            assert after[-1] == "live" or "live" in after


@posix
def test_a_port_that_appears_later_is_opened(tmp_path: Path) -> None:
    link = tmp_path / "ttyLATHE"
    with bridged(str(link)) as heard:
        wait_for(lambda: "lost" in heard.conditions)
        assert "waytell ports" in heard.links[-1].words or heard.links[-1].condition is LinkCondition.OPENING
        with plugged(PtyEnd) as end:
            link.symlink_to(end.url)
            assert end.heard(len(ASK)) == ASK
            report(end, 0.1)
            wait_for(lambda: len(heard.readings) == 10)
            link.unlink()
            end.unplug()
            wait_for(lambda: heard.conditions[-1] != "live")
        with plugged(PtyEnd) as end:
            link.symlink_to(end.url)
            assert end.heard(len(ASK)) == ASK
            report(end, 0.1)
            wait_for(lambda: len(heard.readings) == 20)


def tries(heard: Heard) -> list[float]:
    return [
        came_s
        for came_s, event in heard.events
        if isinstance(event, LinkReport) and event.condition is LinkCondition.OPENING and "Opening" in event.words
    ]


def test_it_tries_again_less_and_less_often(tmp_path: Path) -> None:
    with bridged(str(tmp_path / "none.wirelog")) as heard:
        wait_for(lambda: len(tries(heard)) == 5)
    waits_s = [b - a for a, b in pairwise(tries(heard))]
    for wait_s, least_s in zip(waits_s, [0.1, 0.2, 0.4, 0.8], strict=True):
        assert least_s <= wait_s < least_s + 0.3


@posix
def test_a_port_that_opens_and_is_lost_at_once_is_tried_less_and_less_often_too(tmp_path: Path) -> None:
    # A terminal without its board's side opens, and is gone at the first read.
    link = tmp_path / "ttyLATHE"
    stopping = threading.Event()

    def offer() -> None:
        while not stopping.is_set():
            end = PtyEnd()
            (tmp_path / "next").symlink_to(end.url)
            (tmp_path / "next").replace(link)
            end.heard(1, 0.3)
            end.unplug()

    offering = threading.Thread(target=offer)
    offering.start()
    try:
        with bridged(str(link)) as heard:
            time.sleep(1.6)
    finally:
        stopping.set()
        offering.join(5)
    # At most at 0, 0.1, 0.3, 0.7 and 1.5 s; ten times and more without growing waits.
    assert 3 <= len(tries(heard)) <= 6


def test_it_stops_within_a_moment_while_it_waits_for_a_port(tmp_path: Path) -> None:
    with bridged(str(tmp_path / "none.wirelog")) as heard:
        wait_for(lambda: len(tries(heard)) == 4)
        began_s = time.monotonic()
    assert time.monotonic() - began_s < 0.5


def test_a_bridge_that_was_never_started_stops() -> None:
    Bridge(f"socket://{HOST}:1", Heard()).stop()


def not_of_the_link(events: list[BoardEvent]) -> list[BoardEvent]:
    return [event for event in events if not isinstance(event, LinkReport)]


def replayed(text: str) -> list[BoardEvent]:
    """The events of a log, listened to as `waytell replay` does."""
    listener, events = make_listener("log", 115_200), list[BoardEvent]()
    for n, entry in enumerate(read_entries(io.StringIO(text))):
        assert isinstance(entry, Entry)
        if n == 0:
            listener.opened(entry.t_ns * 1e-9)
        if entry.mark == "<":
            events += listener.listen(unescape(entry.text) + b"\n", entry.t_ns * 1e-9).events
    return events


def test_the_log_of_a_session_gives_the_same_events_again() -> None:
    file = io.StringIO()
    with plugged(TcpEnd) as end, bridged(end.url, Recorder(file)) as heard:
        listening(heard)
        end.say(b"\x00\xff noise \\x41\r\n" + hello_line())
        first = report(end, 0.5)
        end.say(b"\x00" * 300)
        end.say(encode("E 1 7") + encode(f"S {first * 10_000} 100000") + encode(f"I 1 {first * 10_000}"))
        report(end, 0.7, first)
        wait_for(lambda: len(heard.readings) == 120)
    live = not_of_the_link([event for _, event in heard.events])
    again = not_of_the_link(replayed(file.getvalue()))
    assert [type(event) for event in again] == [type(event) for event in live]
    for was, now in zip(live, again, strict=True):
        assert now.t_s == pytest.approx(was.t_s, abs=2e-9)
        assert now[1:] == was[1:]
    entries = [entry for entry in read_entries(io.StringIO(file.getvalue())) if isinstance(entry, Entry)]
    assert [entry.text for entry in entries if entry.mark == ">"] == ["Q*AB24"]
    assert [entry.t_ns for entry in entries] == sorted(entry.t_ns for entry in entries)
    # A line is in the log before anyone can act upon it, with the time that its listener was given.
    assert len([entry for entry in entries if entry.text.startswith("P ")]) == 120


def test_a_recording_is_listened_to_like_a_board_and_its_end_told(tmp_path: Path) -> None:
    path = tmp_path / "day.wirelog"
    said = [hello_line()] + [position_line(n, n * 10_000, n, 0) for n in range(20)]
    path.write_text(
        "".join(format_entry(7_000_000_000 + n * 10_000_000, "<", line.decode()[:-1]) for n, line in enumerate(said)),
        "utf-8",
    )
    with bridged(str(path)) as heard:
        wait_for(lambda: heard.conditions[-1:] == ["ended"])
        assert [reading.counts[0] for reading in heard.readings] == list(range(20))
        assert heard.links[-1].words == f"The recording {path} has ended."
        count = len(heard.events)
        time.sleep(0.3)
        assert len(heard.events) == count


def test_a_board_of_its_own_kind_is_heard_by_its_pattern() -> None:
    with plugged(TcpEnd) as end, bridged(end.url, pattern=r"X(?P<c0>-?\d+)") as heard:
        listening(heard)
        for n in range(5):
            end.say(b"X%d\r\n" % n)
        wait_for(lambda: len(heard.readings) == 4)
        assert [reading.counts for reading in heard.readings] == [(1,), (2,), (3,), (4,)]
        assert not heard.links[-1].checked


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="only Linux has a device that is always full")
def test_a_full_disk_stops_the_recording_and_not_the_figures(caplog: pytest.LogCaptureFixture) -> None:
    file = os.fdopen(os.open("/dev/full", os.O_WRONLY), "w", buffering=1, encoding="utf-8")
    try:
        recorder = Recorder(file)
        with plugged(TcpEnd) as end, bridged(end.url, recorder) as heard:
            listening(heard)
            report(end, 0.2)
            wait_for(lambda: len(heard.readings) == 20)
        assert recorder.failed is not None
        assert "No space left" in recorder.failed
        assert [one.levelno for one in caplog.records if one.name == "waytell_bridge.bridge"] == [logging.ERROR]
    finally:
        # What could not be written is still in its buffer and cannot be written now either.
        with pytest.raises(OSError, match="No space"):
            file.close()
