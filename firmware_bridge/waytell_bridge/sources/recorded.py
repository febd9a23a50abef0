"""A recorded wire log as a source: its lines come at the pace at which they were recorded.

Acts in the log are not bytes of the board: this source passes over them, so that a person can press the keys while
it plays. `waytell replay --serve` carries them out instead.
"""

from __future__ import annotations

import time
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import TextIO

from waytell_bridge.sources import SourceEnded, SourceError
from waytell_bridge.wire_log import Entry, bounded_lines, read_entries, unescape

LONGEST_WAIT_S = 0.02


class RecordedSource:
    def __init__(self, address: str) -> None:
        self.address = address
        self._file: TextIO | None = None
        self._entries: Iterator[tuple[float, bytes]] = iter(())
        self._next: tuple[float, bytes] | None = None
        self._started_s = 0.0

    def open(self) -> None:
        try:
            # Read as it plays: a day at the lathe is some hundred megabytes.
            self._file = Path(self.address).open(encoding="utf-8", errors="replace")  # noqa: SIM115 - closed by close
        except OSError as error:
            raise self._unreadable(error) from error
        self._entries = _board_lines(bounded_lines(self._file))
        self._advance()
        self._started_s = time.monotonic()

    def read(self) -> bytes:
        if self._next is None:
            raise SourceEnded
        wait_s = self._started_s + self._next[0] - time.monotonic()
        if wait_s > 0:
            time.sleep(min(wait_s, LONGEST_WAIT_S))
        due_s = time.monotonic() - self._started_s
        data = b""
        while self._next is not None and self._next[0] <= due_s:
            data += self._next[1]
            self._advance()
        return data

    def write(self, data: bytes) -> None:
        """A recording hears nothing."""

    def close(self) -> None:
        if self._file is not None:
            self._file.close()
        self._file = None
        self._entries = iter(())
        self._next = None

    def _advance(self) -> None:
        try:
            self._next = next(self._entries, None)
        except OSError as error:
            raise self._unreadable(error) from error

    def _unreadable(self, error: OSError) -> SourceError:
        return SourceError(f"The recording {self.address} cannot be read: {error.strerror}.")


def _board_lines(lines: Iterable[str]) -> Iterator[tuple[float, bytes]]:
    first_ns: int | None = None
    for entry in read_entries(lines):
        if isinstance(entry, Entry) and entry.mark == "<":
            first_ns = entry.t_ns if first_ns is None else first_ns
            yield (entry.t_ns - first_ns) * 1e-9, unescape(entry.text) + b"\n"
