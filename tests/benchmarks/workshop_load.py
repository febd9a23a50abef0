"""Many lathes through one broker: bridges that each send 250 readings a second, one server that follows them all.

The bridges are the program's own senders, in processes of their own, fed with readings that are numbered by their
counts; displays on the live streams of some machines tell when each reading is seen. All run on this computer, whose
processors they share with the broker. Limits: a reading is up to 4 ms old before the next comes, and a sender gathers
for 16 ms; an age of 150 ms strikes a figure. The ratio is against one machine in the same run.
"""

from __future__ import annotations

import asyncio
import json
import multiprocessing
import tempfile
import time
from contextlib import suppress
from pathlib import Path
from typing import Any

from websockets.asyncio.client import connect

from benchmarks.fan_out import cpu_s
from benchmarks.steady_board import CONFIG
from benchmarks.table import percentile, print_table
from support.broker import mosquitto
from support.running import Waytell, waytell
from waytell_bridge.mqtt.address import broker
from waytell_bridge.mqtt.sender import Sender
from waytell_bridge.reading import BoardHello, LinkCondition, LinkReport, Reading

MACHINES = (1, 10, 20, 40, 60)
RATE_HZ = 250
SECONDS = 12.0
WATCHED = 4
"""So many machines have a display each."""
HELLO = BoardHello(0.0, "BOOT", "counter", 2, RATE_HZ, None, 0, 0, False, None, "ii", False)


async def _lathe(name: str, url: str, began_s: float) -> None:
    """One bridge whose reading number n was latched n / 250 s after `began_s`, and counts n."""
    sender = Sender(name, "simulated", broker(url), lambda _: None)
    sending = asyncio.create_task(sender.run_for_ever())
    await asyncio.sleep(0.2)
    sender.deliver([HELLO])
    number, reports = int((time.monotonic() - began_s) * RATE_HZ), 0
    told_s = 0.0
    while not sending.done():
        due = int((time.monotonic() - began_s) * RATE_HZ)
        events: list[Any] = [
            Reading(began_s + n / RATE_HZ, n / RATE_HZ, (n, n // 7), 0) for n in range(number + 1, due + 1)
        ]
        reports += len(events)
        number = max(number, due)
        if time.monotonic() - told_s > 0.5:
            told_s = time.monotonic()
            events.append(
                LinkReport(
                    told_s, LinkCondition.LIVE, "The board reports.", "simulated", True, reports, 0, 0, RATE_HZ, 0
                )
            )
        if events:
            sender.deliver(events)
        await asyncio.sleep(1 / RATE_HZ)


def lathes(names: list[str], url: str, began_s: float) -> None:
    async def all_of_them() -> None:
        await asyncio.gather(*(_lathe(name, url, began_s) for name in names))

    with suppress(KeyboardInterrupt):
        asyncio.run(all_of_them())


async def _watch(url: str, began_s: float, ages_ms: list[float], doubtful: list[int]) -> int:
    """Ages of what one machine's stream shows; how many reports were lost on the way."""
    until_s, lost = time.monotonic() + SECONDS, 0
    async with connect(url) as stream:
        while time.monotonic() < until_s:
            state = json.loads(await stream.recv())
            slide = next((one for one in state["slides"] if one["slide"] == "cross"), None)
            if slide and slide["counts"] is not None:
                ages_ms.append((time.monotonic() - began_s - slide["counts"] / RATE_HZ) * 1000)
                doubtful.append(
                    any(one["code"] in ("stale", "late", "link_lost", "unreadable") for one in state["doubts"])
                )
            lost = state["link"]["lost_reports"]
            await asyncio.sleep(1 / 60)
            await stream.send(json.dumps({"drawn": state["seq"]}))
    return lost


async def _watch_all(server: Waytell, names: list[str], began_s: float) -> tuple[list[float], list[int], int]:
    ages_ms: list[float] = []
    doubtful: list[int] = []
    base = server.url.replace("http", "ws")
    lost = await asyncio.gather(*(_watch(f"{base}/at/{name}/live", began_s, ages_ms, doubtful) for name in names))
    return ages_ms, doubtful, max(lost)


def measured(many: int, folder: Path) -> tuple[str, ...]:
    names, began_s = [f"m{i:02}" for i in range(many)], time.monotonic()
    with (
        mosquitto(folder) as middle,
        waytell("serve", "--mqtt", middle.url, "--data", str(folder / "data")) as server,
    ):
        halves = [names[::2], names[1::2]] if many > 1 else [names]
        senders = [
            multiprocessing.Process(target=lathes, args=(half, middle.url, began_s), daemon=True) for half in halves
        ]
        for sender in senders:
            sender.start()
        wait_for(server, many)
        for name in names:
            server.client.post(f"/at/{name}/api/acts", json={"act": "use_config", "config": CONFIG})
        time.sleep(3)
        pids = [server.process.pid, middle.pid, *(sender.pid or 0 for sender in senders)]
        before, start_s = [cpu_s(pid) for pid in pids], time.monotonic()
        ages, doubtful, lost = asyncio.run(_watch_all(server, names[:WATCHED], began_s))
        took_s = time.monotonic() - start_s
        server_load, broker_load, *senders_load = (
            (cpu_s(pid) - was) / took_s for pid, was in zip(pids, before, strict=True)
        )
        memory_mb = int(Path(f"/proc/{server.process.pid}/statm").read_text().split()[1]) * 4096 / 1e6
        for sender in senders:
            sender.terminate()
            sender.join()
    return (
        str(many), f"{percentile(ages, 0.5):.1f}", f"{percentile(ages, 0.99):.1f}", f"{max(ages):.0f}",
        f"{100 * sum(doubtful) / max(1, len(doubtful)):.2f} %", str(lost), f"{100 * server_load:.0f} %",
        f"{100 * broker_load:.0f} %", f"{100 * sum(senders_load):.0f} %", f"{memory_mb:.0f}",
    )  # fmt: skip


def wait_for(server: Waytell, many: int) -> None:
    until_s = time.monotonic() + 60
    while time.monotonic() < until_s:
        machines = server.client.get("/api/workshop").json()["machines"]
        if sum(one["link"]["condition"] in ("live", "late") for one in machines) == many:
            return
        time.sleep(0.2)
    raise AssertionError("not all machines were heard within a minute")


def main() -> None:
    rows: list[tuple[str, ...]] = []
    for many in MACHINES:
        with tempfile.TemporaryDirectory() as folder:
            Path(folder).chmod(0o755)
            row = measured(many, Path(folder))
            rows.append((*row, f"{float(row[1]) / float(rows[0][1]):.1f}" if rows else "1"))
    print_table(
        f"Many lathes at {RATE_HZ} readings a second through one broker (figures struck from 150 ms on)",
        ("machines", "age at display p50 ms", "p99", "worst", "struck", "lost", "server", "broker", "bridges",
         "server MB", "of the first"),
        rows,
    )  # fmt: skip


if __name__ == "__main__":
    main()
