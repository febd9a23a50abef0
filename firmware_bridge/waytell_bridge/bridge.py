"""The thread that reads a source, listens, and hands events over; it opens the source again whenever it is lost.

A thin shell: what is understood of the bytes is the listener's. The only clock of the bridge is read here.
"""

from __future__ import annotations

import logging
import threading
import time
from abc import ABC, abstractmethod
from collections.abc import Callable
from typing import TextIO

from waytell_bridge.line_pattern import PatternListener
from waytell_bridge.listener import BoardListener, Heard, Listener
from waytell_bridge.reading import BoardEvent
from waytell_bridge.sources import Source, SourceEnded, SourceError, make_source
from waytell_bridge.wire_log import escape, format_entry

FIRST_WAIT_S = 0.1
LONGEST_WAIT_S = 2.0

Deliver = Callable[[list[BoardEvent]], None]

_log = logging.getLogger(__name__)


def make_listener(address: str, baud: int, pattern: str | None = None, scale: float = 1.0) -> Listener:
    if pattern is None:
        return BoardListener(address, baud)
    return PatternListener(address, pattern, scale, baud)


class Recorder:
    """Writes the wire log; acts may come from another thread than lines.

    Where it can write no longer it stops, says so once and keeps the reason in `failed`: a full disk must not stop
    the figures.
    """

    def __init__(self, file: TextIO) -> None:
        self._file = file
        self._lock = threading.Lock()
        self.failed: str | None = None

    def received(self, t_s: float, lines: list[bytes]) -> None:
        self._write([format_entry(round(t_s * 1e9), "<", escape(line)) for line in lines])

    def sent(self, t_s: float, lines: list[bytes]) -> None:
        self._write([format_entry(round(t_s * 1e9), ">", escape(line.rstrip(b"\n"))) for line in lines])

    def act(self, t_s: float, body: str) -> None:
        self._write([format_entry(round(t_s * 1e9), "!", body)])

    def _write(self, entries: list[str]) -> None:
        if not entries:
            return
        with self._lock:
            if self.failed is not None:
                return
            try:
                self._file.writelines(entries)
                self._file.flush()
            except (OSError, ValueError) as error:
                self.failed = f"The recording has stopped: {error}."
                _log.error(self.failed)


class Telling(ABC):
    """Tells what a board says in a thread of its own between `start` and `stop`; `deliver` is called in that thread."""

    def __init__(self, name: str, deliver: Deliver) -> None:
        self._deliver = deliver
        self._stopping = threading.Event()
        self._thread = threading.Thread(target=self._run, name=name, daemon=True)

    def start(self) -> None:
        self._thread.start()

    def stop(self) -> None:
        self._stopping.set()
        if self._thread.ident is not None:
            self._thread.join(timeout=5)

    @abstractmethod
    def _run(self) -> None:
        """Tell until the end, or until `_stopping` is set."""


class Bridge(Telling):
    """Tells what comes from a source."""

    def __init__(
        self, address: str, deliver: Deliver, *, baud: int = 500_000, pattern: str | None = None, scale: float = 1.0,
        recorder: Recorder | None = None,
    ) -> None:  # fmt: skip
        super().__init__(f"bridge[{address}]", deliver)
        self._source = make_source(address, baud)
        self._listener = make_listener(address, baud, pattern, scale)
        self._recorder = recorder
        self._wait_s = FIRST_WAIT_S

    @property
    def source(self) -> Source:
        return self._source

    def _run(self) -> None:
        self._wait_s = FIRST_WAIT_S
        while not self._stopping.is_set():
            self._deliver([self._listener.opening(time.monotonic())])
            try:
                self._source.open()
                now_s = time.monotonic()
                self._pass_on(self._listener.opened(now_s), now_s)
                self._read_on()
            except SourceError as error:
                self._deliver([self._listener.lost(time.monotonic(), str(error))])
            except SourceEnded:
                self._deliver([self._listener.ended(time.monotonic())])
                return
            finally:
                self._source.close()
            self._stopping.wait(self._wait_s)
            self._wait_s = min(self._wait_s * 2, LONGEST_WAIT_S)

    def _read_on(self) -> None:
        while not self._stopping.is_set():
            data = self._source.read()
            now_s = time.monotonic()
            if data:
                # A port that opens and is lost again at once is no recovery: only bytes are.
                self._wait_s = FIRST_WAIT_S
            self._pass_on(self._listener.listen(data, now_s) if data else self._listener.tick(now_s), now_s)

    def _pass_on(self, heard: Heard, now_s: float) -> None:
        # Written with the time that the listener was given, so that a replay maps the board's clock alike, and before
        # anyone can act upon it.
        if self._recorder is not None:
            self._recorder.received(now_s, heard.lines)
            self._recorder.sent(now_s, heard.to_send)
        if heard.events:
            self._deliver(heard.events)
        for line in heard.to_send:
            self._source.write(line)
