"""A board that reports at an exact pace while its cross-slide moves a count a report; remembers when it sent each.

Not a lathe: it speaks the real line protocol over TCP so that what comes out at the other end can be timed.
"""

from __future__ import annotations

import socket
import threading
import time
from typing import Self

from waytell_bridge.line_protocol import encode

BOOT = "5E0A91C3"
CONFIG = {
    "machine": {"name": "benchmark (invented)"},
    "scales": [
        {"channel": 0, "slide": "cross", "resolution_um": 5.0},
        {"channel": 1, "slide": "carriage", "resolution_um": 5.0},
    ],
    "units": {"length": "mm", "x_as": "radius"},
}
OPERATION = {
    "name": "face", "kind": "facing", "start_mm": 12.0, "end_mm": 0.0, "target_mm": 0.0, "depth_mm": 0.3,
}  # fmt: skip


class SteadyBoard:
    """`sent_s[count]` is the wall-clock time at which the last byte of the report with that count was handed over."""

    def __init__(self, rate_hz: int, *, moving: bool = True, most_counts: int = 2000) -> None:
        self._rate_hz = rate_hz
        self._most = most_counts
        self.moving = moving
        self.sent_s: dict[int, float] = {}
        # Whoever comes and goes, the board's clock and its counts go on.
        self._start_s = time.monotonic()
        self._count, self._step = 0, -1
        self._listener = socket.create_server(("127.0.0.1", 0))
        self._stopping = threading.Event()
        self._thread = threading.Thread(target=self._run, daemon=True)

    @property
    def url(self) -> str:
        return f"socket://127.0.0.1:{self._listener.getsockname()[1]}"

    def __enter__(self) -> Self:
        self._thread.start()
        return self

    def __exit__(self, *_: object) -> None:
        self._stopping.set()
        self._listener.close()
        self._thread.join(5)

    def _run(self) -> None:
        while not self._stopping.is_set():
            try:
                line, _ = self._listener.accept()
            except OSError:
                return
            line.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
            try:
                self._report(line)
            except OSError:
                continue

    def _report(self, line: socket.socket) -> None:
        period_s, start_s = 1 / self._rate_hz, self._start_s
        first = int((time.monotonic() - start_s) / period_s)
        for number in range(first, 1 << 31):
            if self._stopping.is_set():
                return
            wait_s = start_s + number * period_s - time.monotonic()
            if wait_s > 0:
                time.sleep(wait_s)
            if (number - first) % (2 * self._rate_hz) == 0:
                line.sendall(encode(f"W 1 {BOOT} steady 2 {self._rate_hz} max=120000"))
            if self.moving:
                # There and back within the travel, so that it can go on for ever.
                self._step = 1 if self._count <= -self._most else -1 if self._count >= 0 else self._step
                self._count += self._step
            t_us = round(number * period_s * 1e6) % (1 << 32)
            line.sendall(encode(f"P {number % 65536} {t_us} 0 {self._count} 0"))
            self.sent_s[self._count] = time.time()
