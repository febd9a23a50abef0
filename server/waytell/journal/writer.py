"""Writes events to the store in a thread of its own, so that a slow disk never delays a figure.

Events are kept in memory until they are stored: a full disk loses nothing as long as the program runs. Whoever waits
for an event to be stored is told when it is, or at the first failure, in words.
"""

from __future__ import annotations

import threading
from collections.abc import Callable
from queue import Empty, SimpleQueue

from waytell.documents.state import Event
from waytell.journal.store import JournalError, Store

RETRY_S = 1.0
Told = Callable[[str | None], None]


class JournalWriter:
    """`append` from any thread; `trouble` says in words why the newest events are not on disk, or is None."""

    def __init__(self, store: Store, machine: str) -> None:
        self._store = store
        self._machine = machine
        self._inbox: SimpleQueue[tuple[list[Event], Told] | None] = SimpleQueue()
        self._pending: list[Event] = []
        self.trouble: str | None = None
        self._thread = threading.Thread(target=self._run, name=f"journal[{machine}]", daemon=True)
        self._thread.start()

    def append(self, events: list[Event], told: Told) -> None:
        """Store events; `told` is called in the writer's thread with None, or with words where it failed."""
        self._inbox.put((events, told))

    def close(self) -> None:
        """Store what is left and stop."""
        self._inbox.put(None)
        self._thread.join(timeout=10)
        self._store.close()

    def _run(self) -> None:
        while True:
            waiting: list[Told] = []
            stop = self._collect(waiting)
            self._write()
            for told in waiting:
                told(self.trouble)
            if stop:
                return

    def _collect(self, waiting: list[Told]) -> bool:
        """Everything that has come; True at the end."""
        try:
            item = self._inbox.get(timeout=RETRY_S if self._pending else None)
            while True:
                if item is None:
                    return True
                self._pending += item[0]
                waiting.append(item[1])
                item = self._inbox.get_nowait()
        except Empty:
            return False

    def _write(self) -> None:
        if not self._pending:
            return
        try:
            self._store.append(self._machine, self._pending)
        except JournalError as error:
            self.trouble = str(error)
        else:
            self._pending.clear()
            self.trouble = None
