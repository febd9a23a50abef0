"""From the start of the program to its first good figure, and what it holds in memory after a while at 250 Hz.

Aims: 1 s and 80 MB. Reference for the start: an interpreter that imports flask, sqlalchemy and pydantic and ends.
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
import time
from pathlib import Path

from benchmarks.steady_board import CONFIG, SteadyBoard
from benchmarks.table import print_table
from support.running import Waytell

MINUTE_S = 20.0


def resident_mb(pid: int) -> float:
    status = Path(f"/proc/{pid}/status").read_text()
    return next(int(line.split()[1]) for line in status.splitlines() if line.startswith("VmRSS")) / 1024


def seconds_to_first_figure(board: SteadyBoard, folder: str) -> tuple[float, Waytell]:
    start_s = time.monotonic()
    running = Waytell("run", "--source", board.url, "--data", folder)
    running.wait_for(lambda state: state["axes"][0]["position"]["good"])
    return time.monotonic() - start_s, running


def main() -> None:
    with SteadyBoard(250) as board, tempfile.TemporaryDirectory() as folder:
        first = Waytell("run", "--source", board.url, "--data", folder)
        first.wait_for(lambda state: state["link"]["boot"])
        first.act("use_config", config=CONFIG)
        first.act("touch_off", axis="X", at_mm=16.0)
        first.stop()
        times = []
        for _ in range(3):
            seconds, running = seconds_to_first_figure(board, folder)
            times.append(seconds)
            at_first = resident_mb(running.process.pid)
            if len(times) < 3:
                running.stop()
        time.sleep(MINUTE_S)
        later = resident_mb(running.process.pid)
        running.stop()
    start_s = time.monotonic()
    subprocess.run([sys.executable, "-c", "import flask, sqlalchemy, pydantic"], check=True)
    reference_s = time.monotonic() - start_s
    best = min(times)
    print_table(
        "Start and memory, board at 250 Hz",
        ("what", "measured", "aim", "x reference"),
        (
            ("start to first good figure, best of 3", f"{best:.2f} s", "1 s", f"{best / reference_s:.1f}"),
            ("import flask, sqlalchemy, pydantic (reference)", f"{reference_s:.2f} s", "-", "1"),
            ("resident at the first figure", f"{at_first:.0f} MB", "80 MB", "-"),
            (f"resident after {MINUTE_S:.0f} s more", f"{later:.0f} MB", "80 MB", "-"),
        ),
    )


if __name__ == "__main__":
    main()
