"""A line between two programs that can be cut, slowed down, made late and spoilt: a relay of one TCP port."""

from __future__ import annotations

import socket
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress

PIECE_BYTES = 1024


class Relay:
    """Passes bytes both ways to `port`. While `cut`, none pass and nobody is told, as with a pulled network cable."""

    def __init__(self, port: int, memory_bytes: int = PIECE_BYTES * 4) -> None:
        """As little as may be waits on the way: a slow network has no large memory. A fast one needs some."""
        self._to = port
        self._memory_bytes = memory_bytes
        self._open = True
        self._listener = socket.create_server(("127.0.0.1", 0))
        self.port: int = self._listener.getsockname()[1]
        self.cut = threading.Event()
        self.bytes_s = 0.0
        """How many pass in a second each way; 0 for as many as come."""
        self.spoil: Callable[[bytes], bytes] | None = None
        """What becomes of the bytes on their way back, as on a wire with a fault."""
        self._pairs: list[socket.socket] = []
        self._threads: list[threading.Thread] = []
        threading.Thread(target=self._accept, daemon=True).start()

    def _accept(self) -> None:
        with suppress(OSError):
            while self._open:
                near, _ = self._listener.accept()
                try:
                    far = socket.create_connection(("127.0.0.1", self._to))
                except OSError:
                    near.close()
                    continue
                for one in (near, far):
                    one.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
                    one.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, self._memory_bytes)
                self._pairs += [near, far]
                for a, b in ((near, far), (far, near)):
                    self._threads.append(threading.Thread(target=self._pass_on, args=(a, b, a is far), daemon=True))
                    self._threads[-1].start()

    def _pass_on(self, a: socket.socket, b: socket.socket, back: bool) -> None:
        with suppress(OSError):
            while data := a.recv(PIECE_BYTES):
                while self.cut.is_set() and self._open:
                    time.sleep(0.005)
                spoil = self.spoil if back else None
                b.sendall(data if spoil is None else spoil(data))
                if self.bytes_s:
                    time.sleep(len(data) / self.bytes_s)
        with suppress(OSError):
            b.shutdown(socket.SHUT_RDWR)

    def drop(self) -> None:
        """End every connection."""
        for one in self._pairs:
            with suppress(OSError):
                one.shutdown(socket.SHUT_RDWR)

    def close(self) -> None:
        self._open = False
        self._listener.close()
        self.drop()
        for thread in self._threads:
            thread.join(5)
        for one in self._pairs:
            one.close()


@contextmanager
def relay(port: int, memory_bytes: int = PIECE_BYTES * 4) -> Iterator[Relay]:
    between = Relay(port, memory_bytes)
    try:
        yield between
    finally:
        between.close()
