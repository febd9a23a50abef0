"""The live stream: the newest state over a WebSocket, at most two on their way to a display at any time.

A display says which state it has drawn; each such word gives a token back, and a state is sent only for a token.
After a stall it therefore gets the newest state at once, not the hundreds that passed meanwhile.

With that word it tells now and then what stands on its screen. Where that is not what was sent, it gets nothing but
struck figures from then on, and every other display says so. Where the word comes late, what it draws is old: it gets
struck figures until it has kept up for a while.
"""

from __future__ import annotations

import asyncio
import json
import time
from collections.abc import Awaitable, Callable, MutableMapping
from typing import Any

from waytell.documents.state import DoubtCode
from waytell.engine.shown import DIFFERS, DRAWS_LATE, Shown, differs
from waytell.session import Latest

IN_FLIGHT = 2
# A display that has just drawn draws next after 16.7 ms; a state sent at once would only age at its door. Sent this
# much later it is still in time for that frame, and carries what came meanwhile.
AFTER_DRAWING_S = 0.009
LATE_S = 0.25
"""From sending to the word that it was drawn: so old was the state by then, but for the word's own way back."""
LATE_ONES = 4
"""A single hiccup makes both late that are on their way, and the page's own watch knows of that."""
KEPT_UP_S = 1.0
POLICY_VIOLATION = 1008
LONGEST_FIGURE = 16

Scope = MutableMapping[str, Any]
Receive = Callable[[], Awaitable[MutableMapping[str, Any]]]
Send = Callable[[MutableMapping[str, Any]], Awaitable[None]]
Route = Callable[[Scope, Receive, Send], Awaitable[None]]


async def stream(latest: Latest, receive: Receive, send: Send) -> None:
    """Serve one display until it leaves. Whether it may have the stream was judged at the gate."""
    await receive()
    await send({"type": "websocket.accept"})
    display = _Display(latest, send)
    sender = asyncio.create_task(display.send_newest(), name="live.send")
    try:
        await display.hear_drawn(receive)
    finally:
        sender.cancel()
        display.left()


class _Display:
    """One display: what it must show of the states on their way to it, and a token for each that may still be sent."""

    def __init__(self, latest: Latest, send: Send) -> None:
        self._latest = latest
        self._send = send
        self._tokens = asyncio.Semaphore(IN_FLIGHT)
        self._on_their_way: dict[int, tuple[float, dict[str, Shown]]] = {}
        self._late_ones = 0
        self._slow_until_s = 0.0

    async def send_newest(self) -> None:
        seq = 0
        while True:
            await self._tokens.acquire()
            seq = await self._latest.newer_than(seq)
            why = self._doubt()
            text = self._latest.text() if why is None else self._latest.struck_text(why)
            self._on_their_way[seq] = (time.monotonic(), self._latest.right() if why is None else {})
            await self._send({"type": "websocket.send", "text": text})

    def _doubt(self) -> DoubtCode | None:
        if self in self._latest.differing:
            return DIFFERS
        return DRAWS_LATE if time.monotonic() < self._slow_until_s else None

    async def hear_drawn(self, receive: Receive) -> None:
        """Until the display leaves. Only the word for a state that was sent gives its token back, and once."""
        loop = asyncio.get_running_loop()
        while True:
            message = await receive()
            if message["type"] == "websocket.disconnect":
                return
            seq, told = _drawn(message.get("text"))
            if seq in self._on_their_way:
                sent_s, right = self._on_their_way.pop(seq)
                self._look_at_delay(time.monotonic(), sent_s)
                self._compare(right, told)
                loop.call_later(AFTER_DRAWING_S, self._tokens.release)

    def _look_at_delay(self, now_s: float, sent_s: float) -> None:
        self._late_ones = self._late_ones + 1 if now_s - sent_s > LATE_S else 0
        if self._late_ones >= LATE_ONES:
            self._slow_until_s = now_s + KEPT_UP_S

    def _compare(self, right: dict[str, Shown], told: dict[str, str]) -> None:
        """Until it is loaded again: a page that was wrong once is not believed because it is right now."""
        words = None if self in self._latest.differing else differs(right, told)
        if words is not None:
            self._latest.differing[self] = words
            self._latest.publish()

    def left(self) -> None:
        if self._latest.differing.pop(self, None) is not None:
            self._latest.publish()


def _drawn(text: str | None) -> tuple[int, dict[str, str]]:
    """Number of the state that a display says it has drawn, and what it shows; 0 where it says nothing of the kind."""
    try:
        said = json.loads(text or "")
        told = said.get("shown") or {}
        # Told on to every other display: no more of it than a figure has.
        return int(said["drawn"]), {str(name): str(words)[:LONGEST_FIGURE] for name, words in told.items()}
    except (ValueError, KeyError, TypeError, AttributeError):
        return 0, {}
