"""From a latched reading to the display, by the message broker's way, for one lathe; and the broker's way alone.

The reference is one client that publishes to another through the same broker (QoS 0, the size of one gathered batch).
Limits of the protocol's way: a reading waits on average half the time that a bridge gathers, and up to 4 ms until the
next comes; TCP and the broker need what the reference needs; a display draws every 16.7 ms.
"""

from __future__ import annotations

import asyncio
import multiprocessing
import tempfile
import time
from pathlib import Path

import aiomqtt

from benchmarks.steady_board import CONFIG
from benchmarks.table import percentile, print_table
from benchmarks.workshop_load import RATE_HZ, _watch_all, lathes, wait_for
from support.broker import Mosquitto, mosquitto
from support.running import waytell
from waytell_bridge.mqtt.address import broker
from waytell_bridge.mqtt.sender import GATHER_S

MESSAGES, BATCH_BYTES = 2000, 200


async def broker_alone(url: str) -> list[float]:
    """Ages in ms of messages that carry the time at which they were sent."""
    ages_ms: list[float] = []

    async def hear(client: aiomqtt.Client) -> None:
        async for message in client.messages:
            assert isinstance(message.payload, bytes)
            ages_ms.append((time.monotonic_ns() - int(message.payload.split()[0])) / 1e6)
            if len(ages_ms) == MESSAGES:
                return

    at = broker(url)
    async with at.client(identifier="hears") as hearing, at.client(identifier="says") as saying:
        await hearing.subscribe("reference")
        listening = asyncio.create_task(hear(hearing))
        for _ in range(MESSAGES):
            await saying.publish("reference", f"{time.monotonic_ns()} ".encode().ljust(BATCH_BYTES))
            await asyncio.sleep(1 / RATE_HZ)
        await listening
    return ages_ms


def through_all(middle: Mosquitto, folder: Path) -> list[float]:
    began_s = time.monotonic()
    with waytell("serve", "--mqtt", middle.url, "--data", str(folder / "data")) as server:
        sender = multiprocessing.Process(target=lathes, args=(["m00"], middle.url, began_s), daemon=True)
        sender.start()
        wait_for(server, 1)
        server.client.post("/at/m00/api/acts", json={"act": "use_config", "config": CONFIG})
        time.sleep(2)
        ages_ms, _, _ = asyncio.run(_watch_all(server, ["m00"], began_s))
        sender.terminate()
        sender.join()
    return ages_ms


def main() -> None:
    with tempfile.TemporaryDirectory() as made:
        folder = Path(made)
        folder.chmod(0o755)
        with mosquitto(folder) as middle:
            alone, ours = asyncio.run(broker_alone(middle.url)), through_all(middle, folder)
    least_ms = 1000 * (GATHER_S + 1 / RATE_HZ) / 2 + percentile(alone, 0.5)
    rows = [
        (what, f"{percentile(ages, 0.5):.1f}", f"{percentile(ages, 0.99):.1f}", f"{max(ages):.1f}", limit,
         f"{percentile(ages, 0.5) / percentile(alone, 0.5):.1f}")
        for what, ages, limit in (
            ("client to client through the broker (reference)", alone, "-"),
            ("latched reading to display", ours, f"{least_ms:.1f}"),
        )
    ]  # fmt: skip
    print_table(
        "A message broker's way, one lathe at 250 readings a second",
        ("what", "p50 ms", "p99", "worst", "least possible on average", "x reference"),
        rows,
    )


if __name__ == "__main__":
    main()
