"""The other ends of a line, all real: a pseudo-terminal, a TCP port, and an RFC 2217 server before a TCP port."""

from __future__ import annotations

import contextlib
import os
import select
import socket
import sys
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Protocol

import pytest
import serial
from serial import rfc2217

HOST = "127.0.0.1"
posix = pytest.mark.skipif(sys.platform == "win32", reason="there are no pseudo-terminals")


class End(Protocol):
    @property
    def url(self) -> str: ...

    def say(self, data: bytes) -> None: ...
    def heard(self, count: int, seconds: float = 3.0) -> bytes: ...
    def unplug(self) -> None: ...


def wait_for(true: Callable[[], object], seconds: float = 5.0) -> None:
    end_s = time.monotonic() + seconds
    while not true():
        assert time.monotonic() < end_s, "waited in vain"
        time.sleep(0.005)


class PtyEnd:
    """The board's side of a pseudo-terminal in raw mode."""

    def __init__(self) -> None:
        import tty  # noqa: PLC0415 - not on Windows

        self._board, self._port = os.openpty()
        tty.setraw(self._port)
        self._port_open = True

    @property
    def url(self) -> str:
        return os.ttyname(self._port)

    def say(self, data: bytes) -> None:
        os.write(self._board, data)

    def heard(self, count: int, seconds: float = 3.0) -> bytes:
        data, end_s = b"", time.monotonic() + seconds
        while len(data) < count and (left_s := end_s - time.monotonic()) > 0:
            if select.select([self._board], [], [], left_s)[0]:
                data += os.read(self._board, 4096)
        return data

    def unplug(self) -> None:
        if self._port_open:
            self._port_open = False
            os.close(self._port)
            os.close(self._board)


class TcpEnd:
    """A board behind a TCP port; it can be unplugged and opened again at the same address."""

    def __init__(self, port: int = 0) -> None:
        self._door = socket.create_server((HOST, port))
        self.port: int = self._door.getsockname()[1]
        self._line: socket.socket | None = None

    @property
    def url(self) -> str:
        return f"socket://{HOST}:{self.port}"

    def answer(self) -> socket.socket:
        if self._line is None:
            self._door.settimeout(5)
            self._line, _ = self._door.accept()
            self._line.settimeout(5)
        return self._line

    def say(self, data: bytes) -> None:
        self.answer().sendall(data)

    def heard(self, count: int, seconds: float = 3.0) -> bytes:
        line, data = self.answer(), b""
        line.settimeout(seconds)
        with contextlib.suppress(TimeoutError):
            while len(data) < count:
                data += line.recv(4096)
        return data

    def unplug(self) -> None:
        if self._line is not None:
            self._line.close()
        self._line = None
        self._door.close()


class Rfc2217End:
    """Pyserial's own RFC 2217 server side, as in a serial device server; the board behind it is on a TCP port.

    Not on a pseudo-terminal: the server side asks for modem lines, which those have not.
    """

    def __init__(self) -> None:
        self._board = TcpEnd()
        self._serial = serial.serial_for_url(self._board.url, 115_200, timeout=0)
        self._board.answer()
        self._tcp = TcpEnd()
        self._stopping = threading.Event()
        self._lock = threading.Lock()
        self._thread = threading.Thread(target=self._serve, name="rfc2217 end")
        self._thread.start()

    @property
    def url(self) -> str:
        return f"rfc2217://{HOST}:{self._tcp.port}"

    @property
    def baud(self) -> int:
        return int(self._serial.baudrate)

    def write(self, data: bytes) -> None:
        """What the manager has to say to the client."""
        with self._lock:
            self._tcp.answer().sendall(data)

    def _serve(self) -> None:
        with contextlib.suppress(OSError):
            line = self._tcp.answer()
            # Its stubs ask for the client's class; any port and anything with a write will do.
            manager = rfc2217.PortManager(self._serial, self)  # type: ignore[arg-type]
            while not self._stopping.is_set():
                if select.select([line], [], [], 0.005)[0]:
                    data = line.recv(4096)
                    if not data:
                        return
                    self._serial.write(b"".join(manager.filter(data)))
                if said := self._serial.read(4096):
                    self.write(b"".join(manager.escape(said)))

    def say(self, data: bytes) -> None:
        self._board.say(data)

    def heard(self, count: int, seconds: float = 3.0) -> bytes:
        return self._board.heard(count, seconds)

    def unplug(self) -> None:
        self._stopping.set()
        self._thread.join(6)
        self._tcp.unplug()
        self._serial.close()
        self._board.unplug()


@contextmanager
def plugged(kind: Callable[[], End]) -> Iterator[End]:
    end = kind()
    try:
        yield end
    finally:
        end.unplug()


ENDS = [
    pytest.param(PtyEnd, marks=posix, id="pty"),
    pytest.param(TcpEnd, id="tcp"),
    pytest.param(
        Rfc2217End,
        # pyserial 3.5 names its reader thread in the way of old Pythons.
        marks=pytest.mark.filterwarnings("ignore:set(Daemon|Name):DeprecationWarning"),
        id="rfc2217",
    ),
]
