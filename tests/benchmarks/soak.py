"""A day of simulated work at `--pace` 20 with faults by lot: memory, file handles, threads, journal and answers.

`waytell run` as a process of its own, with its journal on disk; a simulated person makes one bush after the other and
presses keys through the API; three displays hear the live stream. Every half a minute or so a fault: cable, silence,
rubbish, damaged lines, a glitch, missed edges, a restart of the board, a server that sleeps. Nothing may grow but the
journal. Reference: the first sample, after an hour of work.
"""

from __future__ import annotations

import argparse
import json
import os
import signal
import tempfile
import threading
import time
from collections import Counter
from contextlib import suppress
from pathlib import Path
from random import Random
from typing import Any

from websockets.exceptions import WebSocketException
from websockets.sync.client import connect

from benchmarks.table import percentile, print_table
from support.running import Waytell, waytell
from waytell_bridge.simulated import demo
from waytell_bridge.simulated.person import Person, Steps
from waytell_bridge.simulated.serving import BoardServer

FAULTS: tuple[tuple[str, dict[str, Any]], ...] = (
    ("unplug", {"seconds": 20.0}), ("power_cut", {"seconds": 20.0}), ("silence", {"seconds": 20.0}),
    ("garbage", {"seconds": 20.0}), ("flood", {"seconds": 20.0}), ("damaged", {"share": 0.3, "seconds": 100.0}),
    ("glitch", {}), ("missed_edges", {}), ("restart", {}), ("restart_kept", {}),
    ("noise", {"counts": 2.0, "seconds": 100.0}), ("sleep", {}),
)  # fmt: skip
"""Their seconds are the simulated ones."""
DISPLAYS = 3
ASKED = 200


class Soak:
    """The lathe, its person and what goes wrong; `running` is there once the server has started."""

    def __init__(self, pace: float) -> None:
        self.running: Waytell | None = None
        self.refused = 0
        self.caused: Counter[str] = Counter()
        self.stopping = threading.Event()
        self.board = BoardServer(self.work, seed=7, press=self.press, pace=pace)

    def work(self, person: Person) -> Steps:
        while self.running is None:
            yield
        while True:
            yield from demo.one_bush(person)

    @property
    def server(self) -> Waytell:
        assert self.running is not None
        return self.running

    def press(self, act: dict[str, Any]) -> None:
        answer = self.server.client.post("/api/acts", json=act)
        self.refused += answer.status_code != 200

    def display(self) -> None:
        """Draws at once and says so; connects again when it is lost."""
        while not self.stopping.is_set():
            with suppress(OSError, WebSocketException), connect(self.server.url.replace("http", "ws") + "/live") as one:
                while not self.stopping.is_set():
                    state = json.loads(one.recv())
                    one.send(json.dumps({"drawn": state["seq"]}))
                    time.sleep(0.016)

    def cause_faults(self) -> None:
        chance = Random(3)
        while not self.stopping.wait(chance.uniform(15, 45)):
            name, how = chance.choice(FAULTS)
            self.caused[name] += 1
            if name == "sleep":
                os.kill(self.server.process.pid, signal.SIGSTOP)
                self.stopping.wait(1.0)
                os.kill(self.server.process.pid, signal.SIGCONT)
            else:
                self.board.fault(name, **how)

    def sample(self, folder: Path) -> tuple[float, int, int, float, float, float]:
        """Resident MB, open files, threads, MB on disk, and p50 and p99 of an answer in ms."""
        process = Path(f"/proc/{self.server.process.pid}")
        resident_mb = int((process / "statm").read_text().split()[1]) * 4096 / 1e6
        files, threads = (len(list((process / name).iterdir())) for name in ("fd", "task"))
        took_ms = []
        for _ in range(ASKED):
            began_s = time.perf_counter()
            self.server.state()
            took_ms.append((time.perf_counter() - began_s) * 1000)
            time.sleep(0.01)
        disk_mb = sum(one.stat().st_size for one in folder.iterdir() if one.is_file()) / 1e6
        return resident_mb, files, threads, disk_mb, percentile(took_ms, 0.5), percentile(took_ms, 0.99)

    def row(self, hours: float, folder: Path, first_mb: float) -> tuple[str, ...]:
        resident_mb, files, threads, disk_mb, p50_ms, p99_ms = self.sample(folder)
        return (
            f"{hours:.0f} h", str(self.server.state()["passes"]), f"{resident_mb:.1f} MB",
            f"{resident_mb / (first_mb or resident_mb):.2f}", str(files), str(threads), f"{disk_mb:.1f} MB",
            f"{p50_ms:.1f} ms", f"{p99_ms:.1f} ms", str(sum(self.caused.values())), str(self.refused),
        )  # fmt: skip


def main() -> None:
    ask = argparse.ArgumentParser()
    ask.add_argument("--hours", type=float, default=24.0)
    ask.add_argument("--pace", type=float, default=20.0)
    ask.add_argument("--samples", type=int, default=8)
    asked = ask.parse_args()
    soak, first_mb = Soak(asked.pace), 0.0
    with (
        tempfile.TemporaryDirectory() as name,
        waytell("run", "--source", soak.board.start(), "--data", name) as running,
    ):
        running.done("use_config", config=soak.board.config)
        soak.running = running
        helpers = [threading.Thread(target=soak.display, daemon=True) for _ in range(DISPLAYS)]
        helpers.append(threading.Thread(target=soak.cause_faults, daemon=True))
        for one in helpers:
            one.start()
        rows = []
        began_s = time.monotonic()
        for hours in (1.0, *(asked.hours * n / asked.samples for n in range(1, asked.samples + 1))):
            time.sleep(max(0.0, began_s + hours * 3600 / asked.pace - time.monotonic()))
            rows.append(soak.row(hours, Path(name), first_mb))
            print("  ".join(rows[-1]), flush=True)
            first_mb = first_mb or float(rows[0][2].split()[0])
        soak.stopping.set()
        for one in helpers:
            one.join(5)
        soak.board.stop()
    print_table(
        f"{asked.hours:.0f} h of work at {asked.pace:.0f} times speed; faults: {dict(soak.caused)}",
        ("after", "passes", "resident", "of the first", "open files", "threads", "on disk", "answer p50", "p99",
         "faults", "acts refused"),
        rows,
    )  # fmt: skip


if __name__ == "__main__":
    main()
