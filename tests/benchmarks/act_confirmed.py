"""How long an act waits until it is on disk, while readings at 250 Hz are stored beside it.

Both are synchronised with the disk. Reference in the same run: a page written to a file of the same disk and
synchronised by the system's own call.
"""

from __future__ import annotations

import asyncio
import os
import tempfile
import time
from pathlib import Path
from random import Random

from benchmarks.table import print_table
from waytell.documents.acts import ACT
from waytell.journal.store import Store, journal_url
from waytell.journal.writer import JournalWriter
from waytell.session import Session
from waytell_bridge.reading import Reading

RATE_HZ = 250
ACTS = 450
PAGE = bytes(4096)


async def told(session: Session) -> None:
    """What a board tells while its carriage moves, a few readings at once as they come over a serial line."""
    start_s, number = time.monotonic(), 0
    while True:
        await asyncio.sleep(0.01)
        due = int((time.monotonic() - start_s) * RATE_HZ)
        times = [start_s + i / RATE_HZ for i in range(number, due)]
        session.deliver([Reading(t_s, t_s, (number + i, 0), 0) for i, t_s in enumerate(times)])
        number = due


async def confirmed(folder: Path) -> list[float]:
    journal = JournalWriter(Store(journal_url(folder)), "benchmark")
    session, chance, took_s = Session(journal, []), Random(1), []
    session.start()
    board = asyncio.create_task(told(session))
    for number in range(ACTS):
        await asyncio.sleep(chance.uniform(0.05, 0.5))
        start_s = time.perf_counter()
        await session.act(ACT.validate_python({"act": "clamp", "axis": "Z", "held": number % 2 == 0}))
        took_s.append(time.perf_counter() - start_s)
    board.cancel()
    session.stop()
    journal.close()
    return took_s


def synchronised(folder: Path) -> list[float]:
    took_s = []
    with (folder / "pages").open("wb", buffering=0) as file:
        for _ in range(ACTS):
            start_s = time.perf_counter()
            file.write(PAGE)
            os.fsync(file.fileno())
            took_s.append(time.perf_counter() - start_s)
    return took_s


def row(name: str, took_s: list[float]) -> tuple[str, ...]:
    in_order = sorted(took_s)
    return name, *(f"{in_order[int(len(in_order) * share)] * 1e3:.1f} ms" for share in (0.5, 0.99, 0.999))


def main() -> None:
    # Not in a folder that may be kept in memory.
    with tempfile.TemporaryDirectory(dir=Path.cwd()) as folder:
        rows = (
            row("an act, till it is on disk", asyncio.run(confirmed(Path(folder)))),
            row("a page written and synchronised (reference)", synchronised(Path(folder))),
        )
    print_table(f"{ACTS} acts at random moments, readings at {RATE_HZ} Hz stored beside them",
                ("what", "p50", "p99", "longest"), rows)  # fmt: skip


if __name__ == "__main__":
    main()
