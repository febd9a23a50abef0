"""What the readings of a whole simulated bush take in the journal, and what it costs to write and to read them.

Aim: 3 bytes a reading at 250 Hz. References in the same run: the same readings as the board's raw lines, and zlib of
these lines in blocks as long. A real board's clock is read in steps and its scales flicker by a count, which no lathe
in virtual time does: both are put on top in the second table.
"""

from __future__ import annotations

import sqlite3
import tempfile
import time
import zlib
from collections.abc import Callable, Sequence
from contextlib import closing
from dataclasses import replace
from pathlib import Path
from random import Random

from benchmarks.table import print_table
from waytell.journal.store import Store, journal_file, journal_url
from waytell.journal.trace_block import decode, encode
from waytell.journal.traces import Block
from waytell_bridge.listener import BoardListener
from waytell_bridge.reading import Reading
from waytell_bridge.simulated.recording import record
from waytell_bridge.simulated.settings import Settings
from waytell_bridge.simulated.short_scripts import SCRIPTS
from waytell_bridge.wire_log import Entry, read_entries, unescape

BLOCK_S = 1.5
RATES_HZ = (50, 250, 1000)
# A timer of a 16 MHz controller behind a divider by 64 counts 4 microseconds (its data sheet, from memory).
CLOCK_STEP_US = 4


def recorded(rate_hz: int) -> list[tuple[Reading, bytes]]:
    """Readings and the lines that they came in."""
    plain = Settings()
    settings = replace(plain, board=replace(plain.board, rate_hz=rate_hz))
    listener = BoardListener("benchmark")
    found = []
    for entry in read_entries(record(SCRIPTS["one_bush"], settings, 1).lines):
        if isinstance(entry, Entry) and entry.mark == "<":
            line = unescape(entry.text) + b"\n"
            heard = listener.listen(line, entry.t_ns * 1e-9).events
            found += [(event, line) for event in heard if isinstance(event, Reading)]
    return found


def as_on_a_bench(reading: Reading, chance: Random) -> Reading:
    late_us = chance.randrange(0, 5) * CLOCK_STEP_US
    counts = tuple(count + (chance.random() < 0.05) for count in reading.counts)
    return reading._replace(board_s=reading.board_s + late_us * 1e-6, t_s=reading.t_s + late_us * 1e-6, counts=counts)


def in_blocks(all_of_them: Sequence[Reading], size: int) -> list[Sequence[Reading]]:
    return [all_of_them[i : i + size] for i in range(0, len(all_of_them), size)]


def in_the_journal(blocks: Sequence[Sequence[Reading]]) -> int:
    """Bytes of the file with all that it keeps beside the readings."""
    with tempfile.TemporaryDirectory() as folder:
        store = Store(journal_url(Path(folder)))
        for block in blocks:
            wall = "2026-01-01T00:00:00.000Z"
            kept = Block(1, 1, wall, block[0].t_s, block[-1].t_s, len(block), encode(block))
            store.append_blocks("simulated lathe", [kept])
        store.close()
        with closing(sqlite3.connect(journal_file(Path(folder)))) as connection:
            connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
        return journal_file(Path(folder)).stat().st_size


def timed(work: Callable[[], object]) -> float:
    start_s = time.perf_counter()
    work()
    return time.perf_counter() - start_s


def row(name: str, readings: Sequence[Reading], rate_hz: int, lines: Sequence[bytes] = ()) -> tuple[str, ...]:
    size, count = round(rate_hz * BLOCK_S), len(readings)
    blocks = in_blocks(readings, size)
    encoded = [encode(block) for block in blocks]
    raw = sum(map(len, lines))
    zipped = sum(len(zlib.compress(b"".join(lines[i : i + size]), 6)) for i in range(0, count, size))
    encode_us = timed(lambda: [encode(block) for block in blocks]) / count * 1e6
    decode_us = timed(lambda: [decode(data) for data in encoded]) / count * 1e6
    plain = (f"{raw / count:.1f}", f"{zipped / count:.2f}") if lines else ("-", "-")
    kept = f"{sum(map(len, encoded)) / count:.2f}", f"{in_the_journal(blocks) / count:.2f}"
    return name, str(count), *kept, *plain, f"{encode_us:.1f} us", f"{decode_us:.1f} us"


def main() -> None:
    rows = []
    for rate_hz in RATES_HZ:
        found = recorded(rate_hz)
        readings, lines = [reading for reading, _ in found], [line for _, line in found]
        rows.append(row(f"{rate_hz} Hz, as simulated", readings, rate_hz, lines))
        chance = Random(1)
        bench = [as_on_a_bench(reading, chance) for reading in readings]
        rows.append(row(f"{rate_hz} Hz, clock in steps, scales flicker", bench, rate_hz))
    print_table(
        f"Readings of one simulated bush in blocks of {BLOCK_S} s: bytes a reading (aim: 3 at 250 Hz)",
        ("board", "readings", "block", "file", "raw lines", "zlib of lines", "encode", "decode"), rows,
    )  # fmt: skip


if __name__ == "__main__":
    main()
