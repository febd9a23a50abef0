"""Writes to the store in a thread of its own, so that a slow disk never delays a figure.

Events are kept in memory until they are stored: a full disk loses nothing as long as the program runs. Whoever waits
for an event to be stored is told when it is, or at the first failure, in words. Readings come after the events, a few
blocks at a time, so that an act seldom waits for them; while they cannot be stored they are kept too, up to a limit,
beyond which the oldest are dropped.
"""

from __future__ import annotations

import math
import threading
from collections import deque
from collections.abc import Callable
from itertools import groupby
from time import monotonic
from typing import NamedTuple, Protocol

from waytell.documents.state import Event
from waytell.journal.store import Store
from waytell.journal.trace_block import encode
from waytell.journal.traces import Block, Pruning
from waytell.journal.trouble import JournalError
from waytell_bridge.reading import Reading

RETRY_S = 1.0
SLOW_S = 5.0
Told = Callable[[str | None], None]
# Ten minutes as they come, for a disk that does not answer; half a day encoded, for one that is full.
RAW_BLOCKS = 400
PENDING_BYTES = 32_000_000
BLOCKS_AT_ONCE = 20
KEEP_BYTES = 2_000_000_000
"""Room that the readings of a machine may take; each block stored takes out no more than a few old ones."""
PRUNED_AT_ONCE = 200
STORED_BETWEEN_PRUNINGS = 100


class Piece(NamedTuple):
    """Readings that came between two events, `after_event` the number of the first; `wall` labels their beginning."""

    after_event: int
    wall: str
    readings: list[Reading]


class Journal(Protocol):
    """What a session needs. `trouble` says in words why the newest events are not on disk, or is None."""

    @property
    def trouble(self) -> str | None: ...

    def append(self, events: list[Event], told: Told) -> None:
        """Store events; `told` is called, in any thread, with None, or with words where it failed."""

    def trace(self, piece: Piece) -> None:
        """Store readings that came one after the other, before long."""


class NoJournal:
    """Stands in for a journal that cannot be read, so that the figures go on: nothing is stored, and it says so."""

    def __init__(self, why: str) -> None:
        self.trouble: str | None = f"Nothing is stored. {why}"

    def append(self, events: list[Event], told: Told) -> None:
        del events
        told(self.trouble)

    def trace(self, piece: Piece) -> None:
        del piece


class JournalWriter:
    """`append` and `trace` from any thread."""

    def __init__(self, store: Store, machine: str) -> None:
        self._store = store
        self._machine = machine
        self._run = store.new_run(machine)
        self._wake = threading.Condition()
        self._inbox: deque[tuple[list[Event], Told]] = deque()
        self._raw: deque[Piece] = deque(maxlen=RAW_BLOCKS)
        self._stopping = False
        self._events: list[Event] = []
        self._blocks: deque[Block] = deque()
        self._blocks_bytes = 0
        self._dropped = 0
        self._since_pruning = STORED_BETWEEN_PRUNINGS
        self._failed: JournalError | None = None
        self._retry_s = 0.0
        self._writing_since_s: float | None = None
        self._thread = threading.Thread(target=self._work, name=f"journal[{machine}]", daemon=True)
        self._thread.start()

    @property
    def trouble(self) -> str | None:
        words = str(self._failed or self._stuck())
        if words and self._dropped:
            words += f" The oldest {self._dropped} readings were dropped to spare memory; no event was."
        return words or None

    def _stuck(self) -> str:
        if not self._thread.is_alive():
            return "The journal has stopped by a fault of the program: nothing is stored. Start Waytell again."
        since_s = self._writing_since_s
        if since_s is not None and monotonic() - since_s > SLOW_S:
            return f"The disk has not answered for {monotonic() - since_s:.0f} s: check it. What came since is kept."
        return ""

    @property
    def not_stored(self) -> int:
        """How many events are not on disk."""
        return len(self._events) + sum(len(events) for events, _ in self._inbox)

    def append(self, events: list[Event], told: Told) -> None:
        """Store events; `told` is called in the writer's thread with None, or with words where it failed."""
        with self._wake:
            self._inbox.append((events, told))
            self._wake.notify()

    def trace(self, piece: Piece) -> None:
        """Store readings that came one after the other, with the same number of scales."""
        with self._wake:
            if len(self._raw) == RAW_BLOCKS:
                self._dropped += len(self._raw[0].readings)
            self._raw.append(piece)
            self._wake.notify()

    def close(self) -> None:
        """Store what is left and stop."""
        with self._wake:
            self._stopping = True
            self._wake.notify()
        self._thread.join(timeout=10)
        self._store.close()

    def _work(self) -> None:
        while True:
            waiting, stopping = self._collect()
            if self._events:
                self._try(self._write_events)
            for told in waiting:
                told(self.trouble if self._events else None)
            self._encode()
            if self._blocks and not self._events and self._may_try():
                self._try(self._write_blocks)
            if stopping and not self._inbox and (self._failed or not self._blocks):
                return

    def _collect(self) -> tuple[list[Told], bool]:
        """Wait until there is something to do; who waits for an answer, and whether it is the end."""
        with self._wake:
            while not (self._stopping or self._inbox or self._due()):
                self._wake.wait(RETRY_S if self._failed else None)
            waiting = [told for _, told in self._inbox]
            for events, _ in self._inbox:
                self._events += events
            self._inbox.clear()
            return waiting, self._stopping

    def _due(self) -> bool:
        """Something can be done without an event that has come."""
        if self._raw:
            return True
        return bool(self._events or self._blocks) and monotonic() >= self._retry_s

    # -- to the store ----------------------------------------------------------------------------------------------

    def _try(self, write: Callable[[], None]) -> None:
        if self._failed is not None and self._failed.lasting:
            return
        self._writing_since_s = monotonic()
        try:
            write()
        except JournalError as error:
            self._failed = error
            # Until something new comes: trying in vain again and again would take a whole processor.
            self._retry_s = math.inf if error.lasting else monotonic() + RETRY_S
        else:
            self._failed, self._dropped = None, 0
        self._writing_since_s = None

    def _write_events(self) -> None:
        self._store.append(self._machine, self._events)
        self._events.clear()

    def _may_try(self) -> bool:
        """After a failure only once in a while: events alone are tried as they come."""
        return self._failed is None or self._stopping or monotonic() >= self._retry_s

    def _encode(self) -> None:
        while self._raw and not self._inbox:
            piece = self._raw.popleft()
            # A board that was changed for another may have more scales, or fewer.
            for _, alike in groupby(piece.readings, lambda reading: len(reading.counts)):
                self._add(piece, list(alike))
        while self._blocks_bytes > PENDING_BYTES:
            oldest = self._blocks.popleft()
            self._blocks_bytes -= len(oldest.data)
            self._dropped += oldest.readings

    def _add(self, piece: Piece, readings: list[Reading]) -> None:
        data = encode(readings)
        start_s, end_s = readings[0].t_s, readings[-1].t_s
        self._blocks.append(Block(self._run, piece.after_event, piece.wall, start_s, end_s, len(readings), data))
        self._blocks_bytes += len(data)

    def _write_blocks(self) -> None:
        some = [self._blocks[i] for i in range(min(BLOCKS_AT_ONCE, len(self._blocks)))]
        self._store.append_blocks(self._machine, some)
        for block in some:
            self._blocks.popleft()
            self._blocks_bytes -= len(block.data)
        self._since_pruning += len(some)
        if self._since_pruning >= STORED_BETWEEN_PRUNINGS:
            self._since_pruning = 0
            self._store.prune(self._machine, Pruning(keep_bytes=KEEP_BYTES), PRUNED_AT_ONCE)
