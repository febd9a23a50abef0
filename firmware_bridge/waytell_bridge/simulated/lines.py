"""The ends of a line that a host can open: a TCP port on this computer, or a pseudo-terminal.

They carry bytes and know nothing of their meaning. Pulling and putting back happen at one address: the same port, or
a link to whichever terminal there is now.
"""

from __future__ import annotations

import contextlib
import os
import select
import socket
import sys
import tempfile
from pathlib import Path
from typing import Protocol

HOST = "127.0.0.1"
CHUNK = 4096
BACKLOG = 65536
"""Bytes kept for a slow reader, here and once more by the system; what comes on top is lost."""


class Line(Protocol):
    @property
    def url(self) -> str:
        """What pyserial opens."""

    def open(self) -> str: ...

    def plug(self, *, plugged: bool) -> None:
        """Pull the cable or put it back; nothing happens where it is so already."""

    def exchange(self, data: bytes) -> bytes:
        """Send what can be sent; gives what was heard."""

    def close(self) -> None: ...


class TcpLine:
    """Any number of listeners hear the same board; the port stays the same when the cable is put back."""

    def __init__(self, port: int = 0) -> None:
        self._port = port
        self._door: socket.socket | None = None
        self._hosts: dict[socket.socket, bytearray] = {}

    @property
    def url(self) -> str:
        return f"socket://{HOST}:{self._port}"

    def open(self) -> str:
        self._door = self._listen()
        self._port = self._door.getsockname()[1]
        return self.url

    def _listen(self) -> socket.socket:
        door = socket.socket(socket.AF_INET, socket.SOCK_STREAM, socket.IPPROTO_TCP)
        # Elsewhere this allows the port again at once; on Windows it would let a stranger share it.
        if sys.platform != "win32":
            door.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            door.bind((HOST, self._port))
            door.listen()
        except OSError:
            door.close()
            raise
        door.setblocking(False)
        return door

    def plug(self, *, plugged: bool) -> None:
        if plugged and self._door is None:
            # The port may be taken for a moment by a host that tries to connect to itself: the next step tries again.
            with contextlib.suppress(OSError):
                self._door = self._listen()
        elif not plugged and self._door is not None:
            self.close()

    def exchange(self, data: bytes) -> bytes:
        if self._door is None:
            return b""
        with contextlib.suppress(BlockingIOError):
            host, _ = self._door.accept()
            host.setblocking(False)
            host.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
            # By itself a system keeps megabytes: a flood would be heard long after it has ended.
            host.setsockopt(socket.SOL_SOCKET, socket.SO_SNDBUF, BACKLOG)
            self._hosts[host] = bytearray()
        return b"".join(self._with_host(host, data) for host in list(self._hosts))

    def _with_host(self, host: socket.socket, data: bytes) -> bytes:
        waiting = self._hosts[host]
        if len(waiting) < BACKLOG:
            waiting += data
        heard = b""
        try:
            with contextlib.suppress(BlockingIOError):
                del waiting[: host.send(waiting)]
            with contextlib.suppress(BlockingIOError):
                heard = host.recv(CHUNK)
                if not heard:
                    raise ConnectionResetError
        except OSError:
            host.close()
            del self._hosts[host]
        return heard

    def close(self) -> None:
        for host in self._hosts:
            host.close()
        self._hosts.clear()
        if self._door is not None:
            self._door.close()
            self._door = None


if sys.platform == "win32":

    class PtyLine(TcpLine):
        """There are no pseudo-terminals here."""

        def open(self) -> str:
            raise OSError("pseudo-terminals are not available on Windows: serve over TCP")

else:
    import tty

    class PtyLine:
        """A pseudo-terminal behind a link that keeps its name when the cable is put back."""

        def __init__(self) -> None:
            self._folder: tempfile.TemporaryDirectory[str] | None = None
            self._ends: tuple[int, int] | None = None
            self._waiting = bytearray()

        @property
        def url(self) -> str:
            return "" if self._folder is None else str(Path(self._folder.name) / "board")

        def open(self) -> str:
            self._folder = tempfile.TemporaryDirectory(prefix="waytell-board-")
            self._open_ends()
            return self.url

        def _open_ends(self) -> None:
            board, host = os.openpty()
            # The host's end is kept open here too, so that the line outlives a host that comes and goes.
            tty.setraw(host)
            os.set_blocking(board, False)
            self._ends = (board, host)
            Path(self.url).symlink_to(os.ttyname(host))

        def _close_ends(self) -> None:
            if self._ends is not None:
                Path(self.url).unlink(missing_ok=True)
                for end in self._ends:
                    os.close(end)
                self._ends = None
                self._waiting.clear()

        def plug(self, *, plugged: bool) -> None:
            if plugged and self._ends is None:
                self._open_ends()
            elif not plugged:
                self._close_ends()

        def exchange(self, data: bytes) -> bytes:
            if self._ends is None:
                return b""
            board = self._ends[0]
            if len(self._waiting) < BACKLOG:
                self._waiting += data
            if select.select([], [board], [], 0)[1]:
                with contextlib.suppress(BlockingIOError):
                    del self._waiting[: os.write(board, self._waiting[:CHUNK])]
            if select.select([board], [], [], 0)[0]:
                return os.read(board, CHUNK)
            return b""

        def close(self) -> None:
            self._close_ends()
            if self._folder is not None:
                self._folder.cleanup()
                self._folder = None
