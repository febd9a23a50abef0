"""The live stream: the newest state over a WebSocket, at most two on their way to a display at any time.

A display says which state it has drawn; each such word gives a token back, and a state is sent only for a token.
After a stall it therefore gets the newest state at once, not the hundreds that passed meanwhile.
"""

from __future__ import annotations

import asyncio
import json
from collections.abc import Awaitable, Callable, MutableMapping
from contextlib import suppress
from typing import Any
from urllib.parse import urlsplit

from waytell.session import Latest

IN_FLIGHT = 2
# A display that has just drawn draws next after 16.7 ms; a state sent at once would only age at its door. Sent this
# much later it is still in time for that frame, and carries what came meanwhile.
AFTER_DRAWING_S = 0.009
POLICY_VIOLATION = 1008

Scope = MutableMapping[str, Any]
Receive = Callable[[], Awaitable[MutableMapping[str, Any]]]
Send = Callable[[MutableMapping[str, Any]], Awaitable[None]]


async def stream(latest: Latest, scope: Scope, receive: Receive, send: Send) -> None:
    """Serve one display until it leaves."""
    await receive()
    if not same_origin(dict(scope["headers"])):
        await send({"type": "websocket.close", "code": POLICY_VIOLATION, "reason": "other origin"})
        return
    await send({"type": "websocket.accept"})
    tokens = asyncio.BoundedSemaphore(IN_FLIGHT)
    sender = asyncio.create_task(_send_newest(latest, tokens, send), name="live.send")
    try:
        await _hear_drawn(tokens, receive)
    finally:
        sender.cancel()


def same_origin(headers: dict[bytes, bytes]) -> bool:
    """A page of another site must not read the figures through the person's browser."""
    origin = headers.get(b"origin")
    return origin is None or urlsplit(origin.decode("latin-1")).netloc == headers.get(b"host", b"").decode("latin-1")


async def _send_newest(latest: Latest, tokens: asyncio.BoundedSemaphore, send: Send) -> None:
    seq = 0
    while True:
        await tokens.acquire()
        seq = await latest.newer_than(seq)
        await send({"type": "websocket.send", "text": latest.text()})


async def _hear_drawn(tokens: asyncio.BoundedSemaphore, receive: Receive) -> None:
    loop = asyncio.get_running_loop()
    while True:
        message = await receive()
        if message["type"] == "websocket.disconnect":
            return
        try:
            drawn = int(json.loads(message.get("text") or "")["drawn"])
        except (ValueError, KeyError, TypeError):
            continue
        if drawn > 0:
            loop.call_later(AFTER_DRAWING_S, _give_back, tokens)


def _give_back(tokens: asyncio.BoundedSemaphore) -> None:
    # A display that says more than it was sent gets no more than its two tokens.
    with suppress(ValueError):
        tokens.release()
