"""Age of a reading when it reaches a display, for 1, 10 and 60 displays that draw at 60 Hz, and the server's load.

The displays are WebSocket clients in a process of their own on the same computer. Limits: a frame is 16.7 ms; the
reading itself is up to 4 ms old at 250 Hz before the next one comes. The ratio is against one display in the same run.
"""

from __future__ import annotations

import asyncio
import json
import multiprocessing
import os
import tempfile
import time
from pathlib import Path
from typing import Any

from websockets.asyncio.client import connect

from benchmarks.steady_board import CONFIG, SteadyBoard
from benchmarks.table import percentile, print_table
from support.running import waytell

SECONDS = 8.0
DISPLAYS = (1, 10, 60)


async def display(url: str, until_s: float, ages_ms: list[float]) -> None:
    async with connect(url) as stream:
        while time.monotonic() < until_s:
            state = json.loads(await stream.recv())
            ages_ms.append((time.monotonic() - state["t_s"]) * 1000)
            await asyncio.sleep(1 / 60)
            await stream.send(json.dumps({"drawn": state["seq"]}))


def displays(url: str, many: int, out: Any) -> None:
    ages_ms: list[float] = []

    async def all_of_them() -> None:
        until_s = time.monotonic() + SECONDS
        await asyncio.gather(*(display(url, until_s, ages_ms) for _ in range(many)))

    asyncio.run(all_of_them())
    # What came while all were still connecting tells nothing of the stream.
    out.put(ages_ms[len(ages_ms) // 10 :])


def cpu_s(pid: int) -> float:
    fields = Path(f"/proc/{pid}/stat").read_text().rsplit(")", 1)[1].split()
    return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")


def main() -> None:
    rows, one = [], 1.0
    with (
        tempfile.TemporaryDirectory() as folder,
        SteadyBoard(250) as board,
        waytell("run", "--source", board.url, "--data", folder) as running,
    ):
        running.wait_for(lambda state: state["link"]["boot"])
        running.act("use_config", config=CONFIG)
        running.act("touch_off", axis="X", at_mm=16.0)
        url = running.url.replace("http", "ws") + "/live"
        for many in DISPLAYS:
            before, start_s = cpu_s(running.process.pid), time.monotonic()
            out: Any = multiprocessing.Queue()
            process = multiprocessing.Process(target=displays, args=(url, many, out))
            process.start()
            ages = out.get(timeout=60)
            process.join()
            load = (cpu_s(running.process.pid) - before) / (time.monotonic() - start_s)
            p50 = percentile(ages, 0.5)
            one = p50 if many == 1 else one
            rows.append(
                (str(many), f"{p50:.1f} ms", f"{percentile(ages, 0.99):.1f} ms", "16.7 ms", f"{100 * load:.0f} %",
                 f"{p50 / one:.1f}", f"{len(ages) / many / SECONDS:.0f}")
            )  # fmt: skip
    print_table(
        "Age of a reading at the display, board at 250 Hz",
        ("displays", "p50", "p99", "a frame", "of a core", "p50 / one display", "states/s each"), rows,
    )  # fmt: skip


if __name__ == "__main__":
    main()
