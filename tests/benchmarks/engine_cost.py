"""Cost of one reading: decoded, listened to, and taken by the engine, over a whole simulated bush at 250 Hz.

Aim for the engine: 15 microseconds. References in the same run: the checksum of the same line by a pure Python
library, and the same two coordinates as one numpy expression.
"""

from __future__ import annotations

import time
from collections.abc import Callable

import numpy as np
from crccheck.crc import Crc16Ibm3740  # type: ignore[import-untyped]

from benchmarks.table import print_table
from waytell.documents.acts import ACT
from waytell.engine.engine import Engine
from waytell.engine.live_state import Outside, build
from waytell_bridge.line_protocol import LineDecoder
from waytell_bridge.listener import BoardListener
from waytell_bridge.reading import BoardEvent, Reading
from waytell_bridge.simulated.recording import record
from waytell_bridge.simulated.settings import Settings
from waytell_bridge.simulated.short_scripts import SCRIPTS
from waytell_bridge.wire_log import Entry, read_entries, unescape


def timed(work: Callable[[], object], times: int = 3) -> float:
    best = float("inf")
    for _ in range(times):
        start_s = time.perf_counter()
        work()
        best = min(best, time.perf_counter() - start_s)
    return best


def main() -> None:
    entries = [e for e in read_entries(record(SCRIPTS["one_bush"], Settings(), 1).lines) if isinstance(e, Entry)]
    lines = [(entry.t_ns * 1e-9, unescape(entry.text) + b"\n") for entry in entries if entry.mark == "<"]
    items: list[BoardEvent | str] = []
    listener = BoardListener("benchmark")
    for entry in entries:
        if entry.mark == "<":
            items += listener.listen(unescape(entry.text) + b"\n", entry.t_ns * 1e-9).events
        elif entry.mark == "!":
            items.append(entry.text)
    readings = sum(isinstance(item, Reading) for item in items)
    engine = Engine()

    def decode() -> None:
        decoder = LineDecoder()
        for _, line in lines:
            decoder.feed(line)

    def listen() -> None:
        fresh = BoardListener("benchmark")
        for t_s, line in lines:
            fresh.listen(line, t_s)

    def feed() -> None:
        nonlocal engine
        engine = Engine()
        for item in items:
            if isinstance(item, str):
                engine.act(ACT.validate_json(item), engine.t_s)
            else:
                engine.feed(item)

    def checksum() -> None:
        for _, line in lines:
            Crc16Ibm3740.calc(line[:-6])

    def with_numpy() -> None:
        step = np.array([0.005, 0.005])
        since = np.array([10, 20])
        for count in range(readings):
            ((np.array([count, count]) - since) * step).tolist()

    reference, numpy_us = timed(checksum) / len(lines) * 1e6, timed(with_numpy) / readings * 1e6
    rows = []
    for name, work, each, aim in (
        ("decode a line", decode, len(lines), "-"),
        ("decode and listen", listen, len(lines), "-"),
        ("engine, a reading", feed, readings, "15 us"),
    ):
        us = timed(work) / each * 1e6
        rows.append((name, f"{us:.1f} us", aim, f"{us / reference:.2f}", f"{us / numpy_us:.1f}"))
    us = timed(lambda: [build(engine, Outside("m", 1, None, None)).model_dump_json() for _ in range(500)]) / 500 * 1e6
    rows.append(
        ("state document, built and written", f"{us:.0f} us", "-", f"{us / reference:.1f}", f"{us / numpy_us:.0f}")
    )
    rows.append(("checksum by crccheck (reference)", f"{reference:.1f} us", "-", "1", f"{reference / numpy_us:.1f}"))
    rows.append(("two coordinates by numpy (reference)", f"{numpy_us:.1f} us", "-", f"{numpy_us / reference:.2f}", "1"))
    print_table(
        f"Cost of a reading, {readings} readings of one simulated bush",
        ("step", "cost", "aim", "x checksum", "x numpy"), rows,
    )  # fmt: skip


if __name__ == "__main__":
    main()
