"""Sources over real lines: what comes, what goes, what is said when a line cannot be opened or is lost."""

from __future__ import annotations

import os
import socket
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

import pytest

from bridge.ends import ENDS, HOST, End, PtyEnd, Rfc2217End, TcpEnd, plugged, posix, wait_for
from faults.table import causes
from waytell_bridge.sources import Source, SourceEnded, SourceError, make_source
from waytell_bridge.wire_log import escape, format_entry

LINE = b"P 1 1208512 0 -3 18*62A3\n"
ALL_BYTES = bytes(range(256))

pytestmark = pytest.mark.filterwarnings("ignore:set(Daemon|Name):DeprecationWarning")


@contextmanager
def opened(address: str, baud: int = 115_200) -> Iterator[Source]:
    source = make_source(address, baud)
    source.open()
    try:
        yield source
    finally:
        source.close()


def read(source: Source, count: int, seconds: float = 3.0) -> bytes:
    data, end_s = b"", time.monotonic() + seconds
    while len(data) < count and time.monotonic() < end_s:
        data += source.read()
    return data


def refused(address: str) -> str:
    """The words with which an address cannot be opened."""
    source = make_source(address, 115_200)
    with pytest.raises(SourceError) as error:
        source.open()
    source.close()
    return str(error.value)


@pytest.mark.parametrize("kind", ENDS)
def test_every_byte_comes_and_goes_as_it_is(kind: Callable[[], End]) -> None:
    with plugged(kind) as end, opened(end.url) as source:
        end.say(LINE + ALL_BYTES)
        assert read(source, len(LINE) + 256) == LINE + ALL_BYTES
        source.write(b"Q*AB24\n")
        assert end.heard(7) == b"Q*AB24\n"
        source.write(ALL_BYTES)
        assert end.heard(256) == ALL_BYTES


@pytest.mark.parametrize("kind", ENDS)
def test_where_nothing_comes_reading_gives_no_bytes_after_a_short_wait(kind: Callable[[], End]) -> None:
    with plugged(kind) as end, opened(end.url) as source:
        read(source, 1, 0.1)
        began_s = time.monotonic()
        assert source.read() == b""
        assert 0.01 < time.monotonic() - began_s < 0.5


@pytest.mark.parametrize("kind", ENDS)
def test_an_unplugged_line_is_told_in_words_and_not_as_a_driver_error(kind: Callable[[], End]) -> None:
    with plugged(kind) as end, opened(end.url) as source:
        end.say(LINE)
        assert read(source, len(LINE)) == LINE
        end.unplug()
        with pytest.raises(SourceError) as error:
            read(source, 1)
        assert end.url in str(error.value) if not isinstance(end, PtyEnd) else "/dev/" in str(error.value)
        assert any(word in str(error.value) for word in ("unplugged", "closed the connection"))


@posix
def test_writing_to_an_unplugged_port_is_told_in_words() -> None:
    with plugged(PtyEnd) as end, opened(end.url) as source:
        end.unplug()
        with pytest.raises(SourceError, match="takes no bytes"):
            source.write(b"Q*AB24\n")


@posix
def test_a_board_that_takes_no_bytes_does_not_hold_up_the_reading() -> None:
    with plugged(PtyEnd) as end, opened(end.url) as source:
        began_s = time.monotonic()
        with pytest.raises(SourceError, match="takes no bytes"):
            source.write(b"x" * 200_000)
        assert time.monotonic() - began_s < 3


@posix
def test_a_source_can_be_opened_again_after_it_was_closed() -> None:
    with plugged(PtyEnd) as end:
        source = make_source(end.url, 115_200)
        for _ in range(3):
            source.open()
            end.say(LINE)
            assert read(source, len(LINE)) == LINE
            source.close()
            source.close()


def test_a_source_that_is_not_open_says_so() -> None:
    source = make_source("COM99", 115_200)
    with pytest.raises(SourceError, match="is not open"):
        source.read()
    with pytest.raises(SourceError, match="is not open"):
        source.write(b"x")


def test_the_speed_asked_for_reaches_a_device_server() -> None:
    end = Rfc2217End()
    try:
        with opened(end.url, 57_600):
            wait_for(lambda: end.baud == 57_600)
    finally:
        end.unplug()


def test_a_long_talk_over_tcp_comes_whole() -> None:
    with plugged(TcpEnd) as end, opened(end.url) as source:
        data = LINE * 2000
        end.say(data)
        assert read(source, len(data)) == data


def test_a_port_that_is_not_there_is_told_with_what_to_do() -> None:
    address = "COM250" if sys.platform == "win32" else "/dev/ttyNONE7"
    words = refused(address)
    assert address in words
    assert "waytell ports" in words


@posix
def test_a_file_that_is_no_port_is_told_with_what_to_do(tmp_path: Path) -> None:
    (tmp_path / "notes.txt").write_text("no port")
    words = refused(str(tmp_path / "notes.txt"))
    assert "cannot be opened" in words
    assert "waytell ports" in words


@posix
def test_a_port_that_may_not_be_opened_is_told_with_the_group_to_join() -> None:
    with plugged(PtyEnd) as end:
        Path(end.url).chmod(0)
        was_root = os.geteuid() == 0
        # Root may open anything: what a person meets is tried as nobody.
        if was_root:
            os.seteuid(65534)
        try:
            words = refused(end.url)
        finally:
            if was_root:
                os.seteuid(0)
    assert "permission denied" in words
    assert "dialout" in words


@causes("port in use")
@posix
def test_a_port_that_another_program_reads_is_told_as_in_use() -> None:
    # Two readers would each get a part of every line.
    with plugged(PtyEnd) as end:
        with opened(end.url):
            assert "in use by another program" in refused(end.url)
        with opened(end.url):
            pass


@pytest.mark.parametrize(
    ("address", "expected"),
    [
        ("socket://lathe", "port number"),
        ("socket://", "port number"),
        ("socket://:5000", "name of a host"),
        ("socket://lathe:many", "port number"),
        ("socket://lathe:99999", "port number"),
        ("rfc2217://lathe", "port number"),
        ("rfc2217://lathe:0", "port number"),
        ("socket://127.0.0.1:9?speed=1", "option after its question mark"),
        ("gopher://lathe:70", "no address of a port"),
    ],
)
def test_an_address_that_is_none_is_told_with_what_it_lacks(address: str, expected: str) -> None:
    words = refused(address)
    assert address in words
    assert expected in words
    assert "NoneType" not in words


@pytest.mark.parametrize("scheme", ["socket", "rfc2217"])
def test_where_nobody_answers_is_told_with_what_to_look_at(scheme: str) -> None:
    with socket.create_server((HOST, 0)) as door:
        port = door.getsockname()[1]
    words = refused(f"{scheme}://{HOST}:{port}")
    assert f"Nothing answers at {scheme}://{HOST}:{port}" in words
    assert "network" in words


def test_a_server_that_passes_bytes_on_as_they_are_is_told_from_rfc2217() -> None:
    with plugged(TcpEnd) as end:
        words = refused(end.url.replace("socket", "rfc2217") + "?timeout=0.5")
    assert "use socket://" in words
    assert "TelnetOption" not in words


def test_a_loop_gives_back_what_was_written() -> None:
    with opened("loop://") as source:
        source.write(LINE)
        assert read(source, len(LINE)) == LINE


# --- Recordings.


def recording(folder: Path, *entries: tuple[float, bytes]) -> Path:
    path = folder / "day.wirelog"
    path.write_text("".join(format_entry(round(t_s * 1e9), "<", escape(line)) for t_s, line in entries), "utf-8")
    return path


def played(source: Source) -> Iterator[tuple[float, bytes]]:
    """What comes until the end, with the seconds since the beginning."""
    began_s = time.monotonic()
    with suppress(SourceEnded):
        while True:
            if data := source.read():
                yield time.monotonic() - began_s, data


def test_a_recording_plays_at_its_pace_and_ends(tmp_path: Path) -> None:
    path = recording(tmp_path, (100.0, b"one"), (100.1, b"two\xff\\"), (100.1, b"three"), (100.4, b"four"))
    with opened(str(path)) as source:
        heard = list(played(source))
    assert b"".join(data for _, data in heard) == b"one\ntwo\xff\\\nthree\nfour\n"
    assert len(heard) == 3
    for (at_s, _), due_s in zip(heard, [0.0, 0.1, 0.4], strict=True):
        # Never before its time; how long after it depends on how busy this computer is.
        assert due_s - 0.005 <= at_s < due_s + 0.25


def test_a_recording_passes_over_acts_what_was_sent_and_what_cannot_be_read(tmp_path: Path) -> None:
    path = tmp_path / "day.wirelog"
    act = '{"act": "note", "text": "a\u2028b\u0085c\x0bd 3 < false"}'
    path.write_text(f"\ufeff1 < one\n2 > Q*AB24\n3 ! {act}\nnonsense\n\n4 < two\n5 < cut", "utf-8")
    with opened(str(path)) as source:
        assert read(source, 12) == b"one\ntwo\ncut\n"
        with pytest.raises(SourceEnded):
            source.read()


@pytest.mark.parametrize("text", ["", "\n", "nothing of the kind\n", "1 > Q*AB24\n"])
def test_a_recording_in_which_no_board_speaks_ends_at_once(text: str, tmp_path: Path) -> None:
    path = tmp_path / "day.wirelog"
    path.write_text(text, "utf-8")
    with opened(str(path)) as source, pytest.raises(SourceEnded):
        source.read()


def test_a_recording_can_be_opened_again_from_its_beginning(tmp_path: Path) -> None:
    source = make_source(str(recording(tmp_path, (5.0, b"one"))), 115_200)
    for _ in range(2):
        source.open()
        source.write(b"heard by nobody")
        assert source.read() == b"one\n"
        source.close()


def test_a_recording_that_is_not_there_is_told(tmp_path: Path) -> None:
    words = refused(str(tmp_path / "none.wirelog"))
    assert "none.wirelog" in words
    assert "cannot be read" in words
