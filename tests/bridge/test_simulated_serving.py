"""The simulated lathe in real time, read as any board is: through pyserial, over TCP and over a pseudo-terminal."""

from __future__ import annotations

import sys
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any, Literal

import pytest
import serial

from waytell_bridge.line_protocol import Damaged, Hello, LineDecoder, Message, Positions, encode
from waytell_bridge.simulated.faults import FAULTS, UNSEEN
from waytell_bridge.simulated.person import Person, Steps
from waytell_bridge.simulated.serving import BoardServer
from waytell_bridge.simulated.settings import Settings
from waytell_bridge.sources.simulated_board import board_server, start

KINDS: list[Any] = [
    "tcp",
    pytest.param("pty", marks=pytest.mark.skipif(sys.platform == "win32", reason="no pseudo-terminals there")),
]
Kind = Literal["tcp", "pty"]


class Host:
    """Reads a board's lines through pyserial."""

    def __init__(self, url: str) -> None:
        self.port = serial.serial_for_url(url, timeout=0.02)
        self._decoder = LineDecoder()

    def hear(self, seconds: float) -> list[Message]:
        end_s, heard = time.monotonic() + seconds, list[Message]()
        while time.monotonic() < end_s:
            # As pyserial advises: what there is, or one byte waited for.
            data = self.port.read(min(self.port.in_waiting, 4096) or 1)
            heard += [message for _, message in self._decoder.feed(data)]
        return heard

    def hear_until(self, kind: type[Message], seconds: float = 3.0) -> Message:
        end_s = time.monotonic() + seconds
        while time.monotonic() < end_s:
            for message in self.hear(0.05):
                if isinstance(message, kind):
                    return message
        raise AssertionError(f"no {kind.__name__} within {seconds} s")


@contextmanager
def by_hand(kind: Kind = "tcp") -> Iterator[tuple[BoardServer, Host]]:
    with BoardServer(kind=kind) as server:
        host = Host(server.url)
        try:
            yield server, host
        finally:
            host.port.close()


def sound_reports(messages: list[Message]) -> list[Positions]:
    return [message for message in messages if isinstance(message, Positions)]


@pytest.mark.parametrize("kind", KINDS)
def test_reports_come_in_real_time_and_answers_when_asked(kind: Kind) -> None:
    with by_hand(kind) as (_, host):
        host.hear(0.2)
        reports = sound_reports(host.hear(0.6))
        assert len(reports) == pytest.approx(150, rel=0.2)
        host.port.write(encode("R 500"))
        hello = host.hear_until(Hello)
        assert isinstance(hello, Hello)
        assert hello.rate_hz in (250, 500)
        host.hear(0.1)
        assert len(sound_reports(host.hear(0.6))) == pytest.approx(300, rel=0.2)


@pytest.mark.parametrize("kind", KINDS)
def test_pulled_out_and_put_back_it_is_at_the_same_address(kind: Kind) -> None:
    with by_hand(kind) as (server, host):
        before = sound_reports(host.hear(0.3))[-1]
        url = server.url
        server.fault("unplug", seconds=0.5)
        with pytest.raises((serial.SerialException, OSError)):
            host.hear(1.0)
        host.port.close()
        time.sleep(0.6)
        assert server.url == url
        again = Host(url)
        after = sound_reports(again.hear(0.3))[0]
        again.port.close()
        # It kept its power: the counts and the clock went on.
        assert after.counts == before.counts
        assert 400_000 < after.t_us - before.t_us < 3_000_000


def test_without_power_it_starts_again_with_another_boot_id() -> None:
    with BoardServer() as server:
        host = Host(server.url)
        host.port.write(encode("Q"))
        first = host.hear_until(Hello)
        server.wind("cross", -1.0, 5.0)
        assert server.wait(5)
        server.fault("power_cut", seconds=0.3)
        host.port.close()
        time.sleep(0.6)
        again = Host(server.url)
        again.port.write(encode("Q"))
        second = again.hear_until(Hello)
        counts = sound_reports(again.hear(0.2))[0].counts
        again.port.close()
    assert isinstance(first, Hello)
    assert isinstance(second, Hello)
    assert (second.boot != first.boot, second.kept, counts) == (True, False, (0, 0))


@pytest.mark.parametrize(("fault", "kept"), [("restart", False), ("restart_kept", True)])
def test_a_restart_is_seen_on_the_wire(fault: str, kept: bool) -> None:
    with by_hand() as (server, host):
        server.wind("carriage", -2.0, 10.0)
        assert server.wait(5)
        counts = sound_reports(host.hear(0.2))[-1].counts
        server.fault(fault)
        host.hear(0.1)
        hello = host.hear_until(Hello)
        assert isinstance(hello, Hello)
        assert hello.kept == kept
        assert sound_reports(host.hear(0.2))[-1].counts == (counts if kept else (0, 0))


def test_silence_keeps_the_link_open_and_ends() -> None:
    with by_hand() as (server, host):
        host.hear(0.2)
        server.fault("silence", seconds=0.5)
        host.hear(0.1)
        assert host.hear(0.2) == []
        assert sound_reports(host.hear(0.6))


@pytest.mark.parametrize(("fault", "least"), [("garbage", 0.9), ("flood", 0.8), ("damaged", 0.3)])
def test_spoilt_lines_are_seen_on_the_wire_and_end(fault: str, least: float) -> None:
    with by_hand() as (server, host):
        host.hear(0.2)
        server.fault(fault, seconds=0.4, **({"share": 0.6} if fault == "damaged" else {}))
        # What was sent before is still on its way.
        host.hear(0.1)
        spoilt = host.hear(0.2)
        assert sum(isinstance(message, Damaged) for message in spoilt) > least * len(spoilt) > 0
        # How long what was sent takes to be read is the machine's affair; that it ends is the fault's.
        end_s = time.monotonic() + 5.0
        while any(isinstance(message, Damaged) for message in host.hear(0.3)):
            assert time.monotonic() < end_s


def test_noise_glitch_missed_edges_and_creep_are_seen_on_the_wire() -> None:
    with by_hand() as (server, host):
        still = sound_reports(host.hear(0.3))
        assert len({report.counts for report in still}) == 1
        server.fault("noise", scale=1, counts=2.0, seconds=0.4)
        assert len({report.counts[1] for report in sound_reports(host.hear(0.4))}) > 3
        host.hear(0.3)
        server.fault("glitch", scale=0, counts=4000)
        assert 4000 in {report.counts[0] - still[0].counts[0] for report in sound_reports(host.hear(0.2))}
        server.fault("missed_edges", scale=0, edges=8)
        assert sound_reports(host.hear(0.3))[-1].flags == 1
        before = server.truth().carriage_mm
        server.fault("creep", mm=0.05, seconds=0.2)
        last = sound_reports(host.hear(0.6))[-1]
        assert server.truth().carriage_mm - before == pytest.approx(0.05)
        assert last.counts[1] - still[0].counts[1] == pytest.approx(10, abs=1)


def test_an_unknown_fault_is_refused_with_the_names_there_are() -> None:
    server = BoardServer()
    with pytest.raises(ValueError, match="missed_edges"):
        server.fault("earthquake")
    with pytest.raises(ValueError, match="no scale 2"):
        server.fault("glitch", scale=2)
    with pytest.raises(TypeError, match="secs"):
        server.fault("silence", secs=3)
    assert [name for name, _ in server.faults] == [name for name in FAULTS if name not in UNSEEN]


def test_winding_by_hand_arrives_where_it_was_told_at_the_speed_it_was_told() -> None:
    with by_hand() as (server, host):
        first = sound_reports(host.hear(0.2))[0].counts
        start_s = time.monotonic()
        server.wind("carriage", -5.0, 10.0)
        server.wind("cross", -1.0, 2.0)
        assert server.wait(5)
        assert 0.9 < time.monotonic() - start_s < 2.0
        last = sound_reports(host.hear(0.2))[-1].counts
        truth = server.truth()
    assert (truth.carriage_mm, truth.cross_mm) == pytest.approx((1.0, 15.0))
    assert truth.counts == last
    assert [b - a for a, b in zip(first, last, strict=True)] == pytest.approx([-200, -1000], abs=1)


def test_the_person_presses_and_a_refusal_or_a_slow_answer_does_not_stop_the_lathe() -> None:
    acts: list[str] = []
    hold = threading.Event()

    def press(act: dict[str, Any]) -> None:
        acts.append(act["act"])
        hold.wait(1.0)
        raise ValueError("not now")

    def press_twice(person: Person) -> Steps:
        yield from person.press("seen")
        yield from person.press("undo")

    with BoardServer(press=press) as server:
        host = Host(server.url)
        server.do(press_twice)
        time.sleep(0.5)
        assert acts == ["seen"]
        # While the first answer is awaited, reports go on.
        assert len(sound_reports(host.hear(0.4))) > 60
        hold.set()
        assert server.wait(5)
        host.port.close()
    assert acts == ["seen"] * 3 + ["undo"] * 3, "pressed again for a while"
    assert server.refused == ["seen: not now", "undo: not now"]


def test_a_key_that_is_refused_for_a_moment_is_pressed_again_until_it_is_taken() -> None:
    acts: list[str] = []

    def press(act: dict[str, Any]) -> None:
        acts.append(act["act"])
        if len(acts) == 1:
            raise ValueError("not now")

    with BoardServer(press=press) as server:
        server.do(lambda person: person.press("seen"))
        assert server.wait(5)
    assert (acts, server.refused) == (["seen", "seen"], [])


def test_a_faster_pace_keeps_the_boards_clock_and_report_rate() -> None:
    with BoardServer(pace=5.0) as server:
        host = Host(server.url)
        host.hear(0.3)
        start_s, before_s = time.monotonic(), server.truth().t_s
        reports = sound_reports(host.hear(1.0))
        took_s, passed_s = time.monotonic() - start_s, server.truth().t_s - before_s
        host.port.close()
    assert passed_s == pytest.approx(5 * took_s, rel=0.2)
    assert len(reports) == pytest.approx(250, rel=0.2)
    assert (reports[-1].t_us - reports[0].t_us) * 1e-6 == pytest.approx(took_s, rel=0.2)


def test_a_computer_that_was_held_up_stops_the_slides_and_not_the_boards_clock() -> None:
    def held_up(_: Person) -> Steps:
        time.sleep(0.8)
        yield

    with by_hand() as (server, host):
        host.hear(0.3)
        start_s, before_s = time.monotonic(), server.truth().t_s
        first = host.hear_until(Positions)
        server.do(held_up)
        host.hear(1.2)
        last = host.hear_until(Positions)
        took_s, passed_s = time.monotonic() - start_s, server.truth().t_s - before_s
    assert passed_s < took_s - 0.5
    assert isinstance(first, Positions)
    assert isinstance(last, Positions)
    assert (last.t_us - first.t_us) * 1e-6 == pytest.approx(took_s, abs=0.15)


def test_a_host_that_does_not_read_does_not_stop_the_lathe() -> None:
    with by_hand() as (server, _):
        server.fault("flood", seconds=5)
        before_s = server.truth().t_s
        time.sleep(1.0)
        assert server.truth().t_s - before_s == pytest.approx(1.0, abs=0.3)


def test_it_stops_soon_and_leaves_no_thread_and_no_port() -> None:
    before = threading.active_count()
    server = start("simulated:demo?pace=2")
    port = Host(server.url)
    port.hear(0.2)
    start_s = time.monotonic()
    server.stop()
    server.stop()
    assert time.monotonic() - start_s < 1.0
    assert threading.active_count() == before
    port.port.close()
    with pytest.raises(serial.SerialException):
        serial.serial_for_url(server.url)


def test_the_demo_begins_with_a_set_up_and_says_what_it_does() -> None:
    acts: list[dict[str, Any]] = []
    server = start("simulated:demo?pace=20&seed=3", press=acts.append)
    end_s = time.monotonic() + 10
    while len(acts) < 4 and time.monotonic() < end_s:
        time.sleep(0.02)
    words = server.words
    server.stop()
    assert [act["act"] for act in acts[:4]] == ["new_set_up", "choose_tool", "answer", "touch_off"]
    assert words.endswith(".")


@pytest.mark.parametrize(
    ("url", "said"),
    [
        ("simulated:nothing", "simulated:demo"),
        ("COM5", "simulated:by_hand"),
        ("simulated:demo?speed=3", "no speed"),
        ("simulated:demo?pace=100", "between 0.1 and 20"),
        ("simulated:demo?style=wild", "jerky"),
        ("simulated:demo?rate=5", "between 10 and 1000"),
        ("simulated:demo?kind=usb", "neither tcp nor pty"),
    ],
)
def test_an_address_that_means_nothing_is_refused_with_what_there_is(url: str, said: str) -> None:
    with pytest.raises(ValueError, match=said):
        board_server(url)


def test_an_address_sets_manner_rate_and_seed() -> None:
    settings = board_server("simulated:turning_only?style=jerky&rate=500&seed=7").settings
    assert (settings.hand.style, settings.board.rate_hz) == ("jerky", 500)
    assert board_server("simulated:by_hand").settings == Settings()


def test_a_slow_or_broken_display_neither_stops_the_lathe_nor_locks_out_others() -> None:
    looked = threading.Event()

    def look() -> tuple[float | None, float | None]:
        looked.set()
        time.sleep(0.8)
        raise RuntimeError("the display has gone")

    with BoardServer(look=look) as server:
        assert looked.wait(2)
        start_s, before_s = time.monotonic(), server.truth().t_s
        server.fault("glitch")
        assert time.monotonic() - start_s < 0.2
        time.sleep(0.5)
        assert server.truth().t_s - before_s > 0.3
