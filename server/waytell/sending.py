"""Puts a bridge and its sender together, and takes them down again in order."""

from __future__ import annotations

import asyncio

import click

from waytell.documents.config import Board
from waytell_bridge.bridge import Bridge
from waytell_bridge.mqtt.address import Broker
from waytell_bridge.mqtt.sender import Sender


def send(machine: str, address: str, board: Board | None, broker: Broker) -> None:
    """Send until told to stop.

    Raises:
        ValueError: the board's or the broker's address is none.
    """
    asyncio.run(_send(machine, address, board or Board(), broker))


async def _send(machine: str, address: str, board: Board, broker: Broker) -> None:
    sender = Sender(machine, address, broker, click.echo)
    bridge = Bridge(
        address, sender.deliver, baud=board.baud, pattern=board.line_pattern, scale=board.line_scale
    )  # fmt: skip
    sending = asyncio.create_task(sender.run_for_ever(), name="mqtt")
    # The first thing a board says is worth as much as any other: the sender must be there to hear it.
    await asyncio.sleep(0)
    bridge.start()
    try:
        await sending
    finally:
        bridge.stop()
