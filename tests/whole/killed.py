"""The program that `test_kill` kills: a real session with its engine and its journal, at a simulated lathe.

Run as a script it loads everything once and then makes a child for each line that it reads: a data folder and where
in the recorded work to go on. Children tell, each in one write: `stored` an event's number and checksum as soon as the
journal says that it is on disk, and `at` how far in the work they are. The work is told faster than it was done, over
and over.
"""

from __future__ import annotations

import asyncio
import json
import os
import sys
import time
import zlib
from pathlib import Path
from typing import cast

import sqlalchemy.dialects.sqlite  # noqa: F401 - else loaded anew in each child

from waytell import running
from waytell.documents.acts import ACT
from waytell.documents.state import Event
from waytell.engine.happening import ActRefused
from waytell.journal.writer import JournalWriter, Told
from waytell.session import Session
from waytell_bridge.listener import BoardListener
from waytell_bridge.reading import BoardEvent, Reading
from waytell_bridge.simulated.recording import record
from waytell_bridge.simulated.settings import Settings
from waytell_bridge.simulated.short_scripts import SCRIPTS
from waytell_bridge.wire_log import Entry, read_entries, unescape

MACHINE = "killed"
AT_ONCE = 300
BETWEEN_MEASUREMENTS = 1000
MEASURED = {"act": "measured", "operation": "face", "axis": "Z", "at_mm": -0.51, "u_mm": 0.002}


def checksum(event: Event) -> int:
    return zlib.crc32(event.model_dump_json().encode())


def recorded_work() -> list[BoardEvent | str]:
    """What the board told, and acts as JSON; measurements are said in between."""
    found: list[BoardEvent | str] = []
    listener = BoardListener("recorded")
    for entry in read_entries(record(SCRIPTS["facing_only"], Settings(), 1).lines):
        if not isinstance(entry, Entry):
            continue
        if entry.mark == "<":
            found += listener.listen(unescape(entry.text) + b"\n", entry.t_ns * 1e-9).events
        elif entry.mark == "!":
            found.append(entry.text)
        if len(found) % BETWEEN_MEASUREMENTS == 0:
            found.append(json.dumps(MEASURED))
    return found


def tell(words: str) -> None:
    os.write(1, f"{words}\n".encode())


class Telling:
    """Passes on to the journal, and tells of each event that it is on disk."""

    def __init__(self, journal: JournalWriter) -> None:
        self._journal = journal
        self.trace = journal.trace

    @property
    def trouble(self) -> str | None:
        return self._journal.trouble

    def append(self, events: list[Event], told: Told) -> None:
        def stored(trouble: str | None) -> None:
            if trouble is None:
                for event in events:
                    tell(f"stored {event.number} {checksum(event)}")
            told(trouble)

        self._journal.append(events, stored)


async def work(folder: Path, start: int, items: list[BoardEvent | str]) -> None:
    opened = running.open_journal(folder, MACHINE)
    session = Session(Telling(cast(JournalWriter, opened.journal)), opened.past, opened.tail)
    session.start()
    shift_s = time.monotonic() - time_at(items, start)
    batch: list[BoardEvent] = []
    at = start
    while True:
        item = items[at % len(items)]
        if at % len(items) == 0 and at > start:
            shift_s += time_at(items, len(items) - 1) - time_at(items, 0) + 1.0
        if isinstance(item, str):
            session.deliver(batch)
            batch = []
            await asyncio.sleep(0)
            try:
                await session.act(ACT.validate_json(item))
            except ActRefused:
                tell(f"refused {item}")
        else:
            batch.append(later(item, shift_s))
        at += 1
        if isinstance(item, str) or len(batch) >= AT_ONCE:
            session.deliver(batch)
            batch = []
            tell(f"at {at}")
            await asyncio.sleep(0)


def later(event: BoardEvent, by_s: float) -> BoardEvent:
    if isinstance(event, Reading):
        return event._replace(t_s=event.t_s + by_s, board_s=event.board_s + by_s)
    return event._replace(t_s=event.t_s + by_s)


def time_at(items: list[BoardEvent | str], at: int) -> float:
    """Time of what the board told at, or before, a place in the work."""
    before = items[at % len(items) :: -1] if at % len(items) else items
    return next((one.t_s for one in before if not isinstance(one, str)), 0.0)


def main() -> None:
    items = recorded_work()
    tell("ready")
    for line in sys.stdin:
        folder, start = line.rsplit(maxsplit=1)
        pid = os.fork()
        if pid == 0:
            asyncio.run(work(Path(folder), int(start), items))
            os._exit(1)
        tell(f"pid {pid}")
        _, status = os.waitpid(pid, 0)
        tell(f"ended {status}")


if __name__ == "__main__":
    main()
